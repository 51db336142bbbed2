//! `plumbray sheet`: the printed sheet of a study, and on request its pictures and its table.

use std::{
    collections::BTreeSet,
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_measure::Measurement;
use plumbray_report::Paper;
use plumbray_study::{load, study_stem};

use super::{SheetArguments, measure::kept_spreads, sheet_files::FilmFile};
use crate::{
    own_spread::KeptSpreads,
    printing::{Besides, Printing, identity_of, write_beside},
    workbench::RowSet,
};

/// What stands for every measurement.
const ALL: &str = "all";

/// A file that is to be written, and the films that it must not take the place of.
struct Made {
    path: PathBuf,
    bytes: Vec<u8>,
    films: Vec<PathBuf>,
}

/// Makes everything that was asked for, and writes it only then: a study that cannot be read leaves nothing
/// half done.
pub(super) fn sheet(arguments: &SheetArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let measurements = chosen(&arguments.measurements)?;
    let kept = kept_spreads(arguments.reader_spread.as_deref())?;
    let mut made = Vec::new();
    for study in &arguments.studies {
        let of_study = made_of(study, arguments, &measurements, &kept, output)
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
        let films = file.films.iter().map(PathBuf::as_path);
        write_beside(&file.path, &file.bytes, films)?;
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
    kept: &KeptSpreads,
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
    let paths = || films.iter().flatten().map(FilmFile::path);
    let identity = arguments.identity.then(|| identity_of(paths()));
    let name = name_of(path);
    let printing = Printing {
        name: &name,
        study: &study,
        films: films
            .each_ref()
            .map(|film| film.as_ref().map(FilmFile::found)),
        measurements,
        reader: kept.of_named(&study.reader.name),
        tells_reader: true,
        paper: Paper::from(arguments.paper),
        identity: identity.as_ref(),
    };
    let besides = Besides {
        pictures: arguments.picture,
        table: arguments.csv,
        data: arguments.json,
    };
    let folder = arguments.out.as_deref().unwrap_or(folder);
    let stem = study_stem(path);
    let made = printing.files(besides)?.into_iter().map(|file| Made {
        path: folder.join(format!("{stem}.{}", file.ending)),
        bytes: file.bytes,
        films: paths().map(Path::to_owned).collect(),
    });
    Ok(made.collect())
}

/// The file name of a study.
fn name_of(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}
