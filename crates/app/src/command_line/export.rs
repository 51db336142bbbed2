//! `plumbray export`: DICOM objects of a measured study, for an archive.

use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, ensure};
use clap::Args;
use jiff::Zoned;
use plumbray_anatomy::View;
use plumbray_film::{Film, Pyramid};
use plumbray_measure::{Measurement, worksheet};
use plumbray_report::{
    ChosenObjects, DicomError, ExportFilm, ExportSheet, FoundFilm, MaskBox, NewUids, ObjectFile,
    ObjectsRequest, Paper, TextInPicture, film_without_identity, objects_of,
    study_without_identity,
};
use plumbray_study::{Study, load};

use crate::{
    printing::{Besides, Printing, identity_of},
    window::CAUTION,
    workbench::{RowSet, choices_of, foot_of},
};

#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("what").required(true).multiple(true)))]
pub(super) struct ExportArguments {
    /// A study (`….study.ron`) whose side is confirmed.
    study: PathBuf,
    /// The folder for the objects; it is made if there is none. Nothing in it is written over.
    #[arg(long, value_name = "FOLDER")]
    into: PathBuf,
    /// The worksheet as a structured report.
    #[arg(long, group = "what")]
    report: bool,
    /// The tracing over each film, as a presentation state.
    #[arg(long, group = "what")]
    drawing: bool,
    /// The printed sheet, as an encapsulated PDF.
    #[arg(long, group = "what")]
    sheet: bool,
    /// Each film with its tracing burnt in, as a secondary capture.
    #[arg(long, group = "what")]
    picture: bool,
    /// The films themselves.
    #[arg(long, group = "what")]
    film: bool,
    /// Put the patient on the sheet, as the films' files name them.
    #[arg(long, conflicts_with = "without_identity")]
    identity: bool,
    /// Everything without whom it is about: attributes by the Basic Profile of the standard, new identifiers, no days.
    #[arg(long)]
    without_identity: bool,
    /// Fill this box over letters in a film, in its pixels: ap:20,15,300,80 is 300 wide and 80 high, its corner at
    /// 20, 15. Repeatable.
    #[arg(long, value_name = "VIEW:LEFT,TOP,WIDTH,HEIGHT", value_parser = mask_from, requires = "without_identity")]
    mask: Vec<(View, MaskBox)>,
    /// You looked at the films: no letters that name anybody are left in them, masked or not there at all.
    #[arg(long, requires = "without_identity")]
    no_text_in_picture: bool,
}

/// Reads `ap:20,15,300,80`.
fn mask_from(text: &str) -> Result<(View, MaskBox), String> {
    let as_wanted = || {
        let (view, numbers) = text.split_once(':')?;
        let view = View::ALL
            .into_iter()
            .find(|known| known.identifier() == view)?;
        let numbers: Vec<u32> = numbers
            .split(',')
            .map(|number| number.trim().parse().ok())
            .collect::<Option<_>>()?;
        let [left, top, width, height] = numbers[..] else {
            return None;
        };
        let masked = MaskBox {
            left,
            top,
            width,
            height,
        };
        Some((view, masked))
    };
    as_wanted()
        .ok_or_else(|| "a mask is VIEW:LEFT,TOP,WIDTH,HEIGHT, as in ap:20,15,300,80".to_owned())
}

/// A film of the study with its file.
struct OpenedFilm {
    path: PathBuf,
    bytes: Vec<u8>,
    film: Pyramid,
}

/// Makes every object first and writes them only then: what cannot be made leaves nothing half done.
pub(super) fn export(arguments: &ExportArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let path = &arguments.study;
    let cannot = || format!("nothing can be exported of {}", path.display());
    let study = load(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut films = opened_films(&study, folder).with_context(cannot)?;
    let mut study = study;
    if arguments.without_identity {
        study = take_identity_away(&study, &mut films, arguments).with_context(cannot)?;
    }
    let files = objects(&study, &films, arguments).with_context(cannot)?;
    write_new(&arguments.into, &files)?;
    for file in &files {
        writeln!(output, "{}", arguments.into.join(&file.name).display())?;
    }
    if arguments.without_identity && !arguments.no_text_in_picture {
        writeln!(
            output,
            "letters that are part of a film stay on it, but for the masks: look at each film, mask what names \
             anybody, then say --no-text-in-picture"
        )?;
    }
    Ok(())
}

/// The films of a study, in the order of [`View::ALL`].
fn opened_films(study: &Study, folder: &Path) -> anyhow::Result<[Option<OpenedFilm>; 2]> {
    let open = |view: View| -> anyhow::Result<Option<OpenedFilm>> {
        let Some(record) = study.film(view) else {
            return Ok(None);
        };
        let path = record.path_in(folder);
        let bytes = fs::read(&path).with_context(|| {
            format!(
                "the {} film cannot be read; put its file back there: {}",
                view.name_in_sentence(),
                path.display()
            )
        })?;
        let film = Film::from_bytes(&bytes)
            .with_context(|| format!("in the film {}", path.display()))?
            .pyramid();
        Ok(Some(OpenedFilm { path, bytes, film }))
    };
    Ok([open(View::Ap)?, open(View::Lateral)?])
}

/// Takes the identity of films away; gives back a study about them that names nobody.
fn take_identity_away(
    study: &Study,
    films: &mut [Option<OpenedFilm>; 2],
    arguments: &ExportArguments,
) -> anyhow::Result<Study> {
    let letters = if arguments.no_text_in_picture {
        TextInPicture::NoneLeft
    } else {
        TextInPicture::NotLookedAt
    };
    let mut uids = NewUids::default();
    for (view, film) in View::ALL.into_iter().zip(films.iter_mut()) {
        let masks: Vec<MaskBox> = arguments
            .mask
            .iter()
            .filter(|(of, _)| *of == view)
            .map(|(_, masked)| *masked)
            .collect();
        let Some(film) = film else {
            ensure!(
                masks.is_empty(),
                "a mask is for the {} film, and the study has none",
                view.name_in_sentence()
            );
            continue;
        };
        let record = study.film(view);
        ensure!(
            record.is_some_and(|record| film.film.film().content_hash() == record.hash.to_string()),
            DicomError::FilmChanged { view }
        );
        film.bytes = film_without_identity(&film.bytes, &masks, letters, &mut uids)?;
        film.film = Film::from_bytes(&film.bytes)?.pyramid();
    }
    let bytes = films
        .each_ref()
        .map(|film| film.as_ref().map(|film| film.bytes.as_slice()));
    Ok(study_without_identity(study, bytes))
}

fn objects(
    study: &Study,
    films: &[Option<OpenedFilm>; 2],
    arguments: &ExportArguments,
) -> anyhow::Result<Vec<ObjectFile>> {
    let pdf = arguments
        .sheet
        .then(|| sheet(study, films, arguments))
        .transpose()?;
    let now = Zoned::now();
    let request = ObjectsRequest {
        study,
        worksheet: &worksheet(&foot_of(study), &choices_of(study)),
        films: films.each_ref().map(|film| {
            film.as_ref().map(|film| ExportFilm {
                bytes: &film.bytes,
                film: &film.film,
                names_nobody: arguments.no_text_in_picture,
            })
        }),
        sheet: pdf.as_ref().map(|pdf| ExportSheet {
            pdf,
            names_patient: arguments.identity,
        }),
        chosen: ChosenObjects {
            report: arguments.report,
            drawing: arguments.drawing,
            sheet: arguments.sheet,
            picture: arguments.picture,
            film: arguments.film,
        },
        caution: CAUTION,
        version: env!("CARGO_PKG_VERSION"),
        moment: (!arguments.without_identity).then_some(&now),
    };
    Ok(objects_of(&request)?)
}

/// The sheet with the rows that a clinic reads of every foot, on A4.
fn sheet(
    study: &Study,
    films: &[Option<OpenedFilm>; 2],
    arguments: &ExportArguments,
) -> anyhow::Result<Vec<u8>> {
    let opened = || films.iter().flatten();
    let identity = arguments
        .identity
        .then(|| identity_of(opened().map(|film| film.path.as_path())));
    let rows = Measurement::ALL.into_iter();
    let measurements: Vec<Measurement> = rows
        .filter(|row| RowSet::Clinic.usually_has(*row))
        .collect();
    let name = arguments.study.file_name().unwrap_or_default();
    let name = name.to_string_lossy();
    let printing = Printing {
        // Names of files may be names of people.
        name: if arguments.without_identity {
            "without identity"
        } else {
            &name
        },
        study,
        films: films
            .each_ref()
            .map(|film| film.as_ref().map(|film| FoundFilm::Same(&film.film))),
        measurements: &measurements,
        // The numbers of the report beside it hold no reader's own spread either.
        reader: None,
        paper: Paper::A4,
        identity: identity.as_ref(),
    };
    let made = printing.files(Besides::default())?.into_iter().next();
    made.map(|file| file.bytes)
        .context("the sheet was not made")
}

/// Writes files into a folder in which none of them is yet.
fn write_new(folder: &Path, files: &[ObjectFile]) -> anyhow::Result<()> {
    fs::create_dir_all(folder)
        .with_context(|| format!("the folder cannot be made: {}", folder.display()))?;
    let there = files.iter().map(|file| folder.join(&file.name));
    for path in there {
        ensure!(
            !path.exists(),
            "nothing is written over what is there; choose another folder: {}",
            path.display()
        );
    }
    for file in files {
        let path = folder.join(&file.name);
        fs::write(&path, &file.bytes).with_context(|| {
            format!(
                "it cannot be written there; choose another folder: {}",
                path.display()
            )
        })?;
    }
    Ok(())
}
