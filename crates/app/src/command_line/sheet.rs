//! `plumbray sheet`: the printed sheet of a study, and on request its pictures and its table.

use std::{
    collections::BTreeSet,
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_measure::{Measurement, Worksheet, worksheet};
use plumbray_report::{
    Identity, Paper, PictureRequest, SheetContent, SheetRequest, annotated_picture,
    sheet as pdf_of, table,
};
use plumbray_study::{Study, load};

use super::{
    SheetArguments,
    measure::study_of,
    sheet_files::{FilmFile, identity_of},
};
use crate::{
    window::CAUTION,
    workbench::{PROGRAM, RowSet, choices_of, foot_of, traced_on},
};

/// What stands for every measurement.
const ALL: &str = "all";

/// How the file of a study ends.
const STUDY_ENDING: &str = ".study.ron";

/// A file that is to be written.
struct Made {
    path: PathBuf,
    bytes: Vec<u8>,
}

/// Makes everything that was asked for, and writes it only then: a study that cannot be read leaves nothing
/// half done.
pub(super) fn sheet(arguments: &SheetArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let measurements = chosen(&arguments.measurements)?;
    let mut made = Vec::new();
    for study in &arguments.studies {
        let of_study = made_of(study, arguments, &measurements, output)
            .with_context(|| format!("no sheet can be made of {}", study.display()))?;
        made.extend(of_study);
    }
    let mut paths = BTreeSet::new();
    if let Some(twice) = made.iter().find(|file| !paths.insert(&file.path)) {
        bail!(
            "two of the studies would be written to one file; make their sheets one by one, each with \
             its own --out: {}",
            twice.path.display()
        );
    }
    if let Some(folder) = &arguments.out {
        fs::create_dir_all(folder)
            .with_context(|| format!("the folder cannot be made: {}", folder.display()))?;
    }
    for file in &made {
        fs::write(&file.path, &file.bytes)
            .with_context(|| format!("the file cannot be written: {}", file.path.display()))?;
        writeln!(output, "{}", file.path.display())?;
    }
    Ok(())
}

/// Those that a clinic reads of every foot, all of them, or those that are named.
fn chosen(identifiers: &[String]) -> anyhow::Result<Vec<Measurement>> {
    let all = Measurement::ALL.into_iter();
    match identifiers {
        [] => return Ok(all.filter(|row| RowSet::Clinic.usually_has(*row)).collect()),
        [only] if only == ALL => return Ok(all.collect()),
        _ => {}
    }
    identifiers
        .iter()
        .map(|name| {
            Measurement::from_identifier(name.trim()).with_context(|| {
                format!(
                    "“{name}” is no measurement; “all”, or some of {}",
                    Measurement::ALL.map(Measurement::identifier).join(", ")
                )
            })
        })
        .collect()
}

fn made_of(
    path: &Path,
    arguments: &SheetArguments,
    measurements: &[Measurement],
    output: &mut dyn Write,
) -> anyhow::Result<Vec<Made>> {
    let study = load(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let films = View::ALL.map(|view| {
        let record = study.film(view)?;
        Some(FilmFile::open(record, folder))
    });
    for film in films.iter().flatten() {
        if let Some(problem) = film.problem() {
            writeln!(output, "{problem}")?;
        }
    }
    let printing = Printing {
        name: name_of(path),
        study: &study,
        sheet: worksheet(&foot_of(&study), &choices_of(&study)),
        films: &films,
        measurements,
        folder: arguments.out.as_deref().unwrap_or(folder),
    };
    let identity = arguments.identity.then(|| identity_of(&films));
    let mut made = vec![printing.pdf(Paper::from(arguments.paper), identity.as_ref())?];
    if arguments.picture {
        made.extend(printing.pictures()?);
    }
    if arguments.csv {
        made.push(printing.csv()?);
    }
    if arguments.json {
        made.push(printing.json()?);
    }
    Ok(made)
}

/// The file name of a study.
fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

/// One study on its way to paper.
struct Printing<'a> {
    /// The name of its file.
    name: String,
    study: &'a Study,
    sheet: Worksheet,
    /// In the order of [`View::ALL`].
    films: &'a [Option<FilmFile>; 2],
    measurements: &'a [Measurement],
    folder: &'a Path,
}

impl Printing<'_> {
    fn made(&self, ending: &str, bytes: Vec<u8>) -> Made {
        let stem = self.name.strip_suffix(STUDY_ENDING).unwrap_or(&self.name);
        Made {
            path: self.folder.join(format!("{stem}.{ending}")),
            bytes,
        }
    }

    fn pdf(&self, paper: Paper, identity: Option<&Identity>) -> anyhow::Result<Made> {
        let [ap, lateral] = self
            .films
            .each_ref()
            .map(|film| film.as_ref().map(FilmFile::found));
        let content = SheetContent::of(&SheetRequest {
            study: self.study,
            worksheet: &self.sheet,
            ap,
            lateral,
            measurements: self.measurements,
            paper,
            traced_on: traced_on(self.study),
            program: PROGRAM,
            study_file: &self.name,
            caution: CAUTION,
            identity,
        });
        Ok(self.made("sheet.pdf", pdf_of(&content)?))
    }

    /// The pictures of those films that open.
    fn pictures(&self) -> anyhow::Result<Vec<Made>> {
        View::ALL
            .into_iter()
            .zip(self.films)
            .filter_map(|(view, film)| Some((view, film.as_ref()?.pyramid()?)))
            .map(|(view, film)| {
                let picture = annotated_picture(&PictureRequest {
                    study: self.study,
                    worksheet: &self.sheet,
                    view,
                    film,
                    caution: CAUTION,
                })?;
                Ok(self.made(&format!("{}.png", view.identifier()), picture))
            })
            .collect()
    }

    fn csv(&self) -> anyhow::Result<Made> {
        let text = table(&self.sheet, self.measurements, CAUTION)?;
        Ok(self.made("sheet.csv", text.into_bytes()))
    }

    /// The same as `plumbray measure --json`, of the chosen measurements.
    fn json(&self) -> anyhow::Result<Made> {
        let mut measured = study_of(
            Path::new(&self.name),
            &foot_of(self.study),
            &choices_of(self.study),
            self.study.side.map(|choice| choice.side.identifier()),
            self.study.side.is_some_and(|choice| choice.confirmed),
        );
        let is_chosen = |identifier| {
            let mut chosen = self.measurements.iter();
            chosen.any(|measurement| measurement.identifier() == identifier)
        };
        measured
            .measurements
            .retain(|measured| is_chosen(measured.identifier));
        let mut bytes = serde_json::to_vec_pretty(&[measured])?;
        bytes.push(b'\n');
        Ok(self.made("sheet.json", bytes))
    }
}
