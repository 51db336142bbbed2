//! What leaves the program about one foot: the sheet to print and, beside it, its pictures, its table and its
//! data. The window and the command line make the same.

mod identity;
mod measured_study;

use std::{fs, path::Path};

use anyhow::{Context as _, ensure};
use plumbray_anatomy::View;
use plumbray_measure::{Implausible, Measurement, Worksheet, implausible, worksheet};
use plumbray_report::{
    FoundFilm, Identity, Paper, PictureRequest, SheetContent, SheetRequest, annotated_picture,
    sheet, table,
};
use plumbray_study::{Study, is_same_file};
use serde::{Deserialize, Serialize};

use crate::{
    own_spread::{KeptOfReader, choices_by},
    window::CAUTION,
    workbench::{PROGRAM, foot_of, traced_on},
};

pub(crate) use identity::identity_of;
pub(crate) use measured_study::{
    Measured, MeasuredResult, MeasuredStudy, measured_foot, measured_study,
};

/// What is made beside the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Besides {
    /// Each film with its tracing, as a PNG picture.
    pub pictures: bool,
    /// The table of measurements, as CSV.
    pub table: bool,
    /// The same with every convention, as JSON.
    pub data: bool,
}

/// One study on its way to paper.
pub(crate) struct Printing<'a> {
    /// The name of its file.
    pub name: &'a str,
    pub study: &'a Study,
    /// In the order of [`View::ALL`]; nothing where the study has none.
    pub films: [Option<FoundFilm<'a>>; 2],
    pub measurements: &'a [Measurement],
    /// What is kept of the reader who traced it; nothing where the intervals hold the tracing's spread alone.
    pub reader: Option<&'a KeptOfReader>,
    /// Whether the sheet may tell who that reader is.
    pub tells_reader: bool,
    pub paper: Paper,
    /// The patient; nothing unless somebody asked for it.
    pub identity: Option<&'a Identity>,
}

/// A file that is to be written: the end of its name after the sheet's own, and what is in it.
pub(crate) struct MadeFile {
    pub ending: String,
    pub bytes: Vec<u8>,
}

/// The ending of the sheet itself.
pub(crate) const SHEET_ENDING: &str = "sheet.pdf";

impl Printing<'_> {
    /// The sheet and what is wanted beside it, the sheet first.
    ///
    /// # Errors
    /// When one of them cannot be made.
    pub(crate) fn files(&self, besides: Besides) -> anyhow::Result<Vec<MadeFile>> {
        let (foot, choices) = (foot_of(self.study), choices_by(self.study, self.reader));
        let rows = worksheet(&foot, &choices);
        let warnings = implausible(&foot, self.study.foot());
        let mut files = vec![MadeFile {
            ending: SHEET_ENDING.to_owned(),
            bytes: self.sheet(&rows, &warnings)?,
        }];
        if besides.pictures {
            files.extend(self.pictures(&rows)?);
        }
        if besides.table {
            files.push(MadeFile {
                ending: "sheet.csv".to_owned(),
                bytes: table(&rows, self.measurements, CAUTION)?.into_bytes(),
            });
        }
        if besides.data {
            files.push(MadeFile {
                ending: "sheet.json".to_owned(),
                bytes: self.data()?,
            });
        }
        Ok(files)
    }

    fn sheet(&self, rows: &Worksheet, warnings: &[Implausible]) -> anyhow::Result<Vec<u8>> {
        let [ap, lateral] = self.films;
        let own_spread = self.reader.map_or_else(Vec::new, |reader| {
            reader.sheet_lines(rows, self.measurements, self.tells_reader)
        });
        let content = SheetContent::of(&SheetRequest {
            study: self.study,
            worksheet: rows,
            ap,
            lateral,
            warnings,
            measurements: self.measurements,
            own_spread: &own_spread,
            paper: self.paper,
            traced_on: traced_on(self.study),
            program: PROGRAM,
            study_file: self.name,
            caution: CAUTION,
            identity: self.identity,
        });
        Ok(sheet(&content)?)
    }

    /// The pictures of those films that are there.
    fn pictures(&self, rows: &Worksheet) -> anyhow::Result<Vec<MadeFile>> {
        let films = View::ALL.into_iter().zip(self.films);
        films
            .filter_map(|(view, film)| match film? {
                FoundFilm::Same(film) | FoundFilm::Changed(film) => Some((view, film)),
                FoundFilm::Absent(_) => None,
            })
            .map(|(view, film)| {
                let bytes = annotated_picture(&PictureRequest {
                    study: self.study,
                    worksheet: rows,
                    view,
                    film,
                    caution: CAUTION,
                })?;
                Ok(MadeFile {
                    ending: format!("sheet.{}.png", view.identifier()),
                    bytes,
                })
            })
            .collect()
    }

    /// The same as `plumbray measure --json`, of the chosen measurements.
    fn data(&self) -> anyhow::Result<Vec<u8>> {
        let choices = choices_by(self.study, self.reader);
        let mut measured = measured_study(self.name, self.study, &choices);
        let is_chosen = |identifier| {
            let mut chosen = self.measurements.iter();
            chosen.any(|measurement| measurement.identifier() == identifier)
        };
        measured
            .measurements
            .retain(|measured| is_chosen(measured.identifier));
        let mut bytes = serde_json::to_vec_pretty(&[measured.read_by(self.reader)])?;
        bytes.push(b'\n');
        Ok(bytes)
    }
}

/// Writes a file; never over one of the films that the sheet is made from.
///
/// # Errors
/// When it would, or it cannot be written; the message says what to do.
pub(crate) fn write_beside<'a>(
    path: &Path,
    bytes: &[u8],
    films: impl IntoIterator<Item = &'a Path>,
) -> anyhow::Result<()> {
    let mut films = films.into_iter();
    ensure!(
        films.all(|film| !is_same_file(film, path)),
        "it would take the place of the film itself; choose another name: {}",
        path.display()
    );
    fs::write(path, bytes).with_context(|| {
        format!(
            "it cannot be written there; choose another folder: {}",
            path.display()
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_film_is_never_written_over() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let film = folder.path().join("film.png");
        fs::write(&film, b"a film").expect("writable");
        let again = folder.path().join(".").join("film.png");
        let problem = write_beside(&again, b"a sheet", [film.as_path()]);
        assert!(
            problem.is_err_and(|problem| problem.to_string().contains("another name")),
            "told"
        );
        assert_eq!(fs::read(&film).expect("still there"), b"a film", "whole");
        let sheet = folder.path().join("film.sheet.pdf");
        write_beside(&sheet, b"a sheet", [film.as_path()]).expect("beside it");
        assert_eq!(fs::read(&sheet).expect("there"), b"a sheet", "written");
    }
}
