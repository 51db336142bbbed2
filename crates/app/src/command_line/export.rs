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
    ChosenObjects, ExportFilm, ExportSheet, FoundFilm, ObjectFile, ObjectsRequest, Paper,
    objects_of,
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
    #[arg(long)]
    identity: bool,
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
    let films = opened_films(&study, folder).with_context(cannot)?;
    let files = objects(&study, &films, arguments).with_context(cannot)?;
    write_new(&arguments.into, &files)?;
    for file in &files {
        writeln!(output, "{}", arguments.into.join(&file.name).display())?;
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

fn objects(
    study: &Study,
    films: &[Option<OpenedFilm>; 2],
    arguments: &ExportArguments,
) -> anyhow::Result<Vec<ObjectFile>> {
    let pdf = arguments
        .sheet
        .then(|| sheet(study, films, arguments))
        .transpose()?;
    let request = ObjectsRequest {
        study,
        worksheet: &worksheet(&foot_of(study), &choices_of(study)),
        films: films.each_ref().map(|film| {
            film.as_ref().map(|film| ExportFilm {
                bytes: &film.bytes,
                film: &film.film,
                names_nobody: false,
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
        moment: &Zoned::now(),
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
    let printing = Printing {
        name: &name.to_string_lossy(),
        study,
        films: films
            .each_ref()
            .map(|film| film.as_ref().map(|film| FoundFilm::Same(&film.film))),
        measurements: &measurements,
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
