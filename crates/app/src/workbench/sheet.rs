//! The printed sheet of the foot that is open, made on a worker's thread.

use std::{
    fs,
    path::{Path, PathBuf},
};

use jiff::{civil::Date, tz::TimeZone};
use plumbray_anatomy::View;
use plumbray_measure::Measurement;
use plumbray_report::{FoundFilm, Paper, SheetContent, SheetRequest, sheet};
use plumbray_study::Study;

use super::{Finished, Workbench, command::Command, opening::StudyPlace, state::Request};

/// The program as the sheet names it.
pub(crate) const PROGRAM: &str = concat!("Plumbray ", env!("CARGO_PKG_VERSION"));

/// The day on which a study was last traced, where the reader lives.
pub(crate) fn traced_on(study: &Study) -> Option<Date> {
    let traced_at = study.reader.traced_at?;
    Some(traced_at.to_zoned(TimeZone::system()).date())
}

impl Workbench {
    /// Whether there is anything to put on a sheet.
    #[must_use]
    pub fn can_make_sheet(&self) -> bool {
        self.film_of_name().is_some()
            && self
                .worksheet()
                .rows
                .iter()
                .any(|row| row.outcome.reading().is_some())
    }

    /// Commands that make a sheet; gives back others.
    pub(super) fn apply_to_sheet(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::AskSheet => {
                if let Some(film) = self.film_of_name() {
                    let mut name = film.file_stem().unwrap_or_default().to_owned();
                    name.push(".sheet.pdf");
                    let proposal = film.with_file_name(name);
                    self.requests.push(Request::AskWhereToPutSheet(proposal));
                }
            }
            Command::MakeSheet(path) => self.start_sheet(path),
            other => return Some(other),
        }
        None
    }

    /// The film by which the study goes.
    fn film_of_name(&self) -> Option<&Path> {
        let film = self.film(View::Ap).or_else(|| self.film(View::Lateral))?;
        Some(&film.path)
    }

    fn start_sheet(&mut self, path: PathBuf) {
        let (study, worksheet) = (self.study().clone(), self.worksheet().clone());
        let films = View::ALL.map(|view| self.film(view).map(|open| open.pyramid.clone()));
        let measurements: Vec<Measurement> = self
            .shown_rows("")
            .into_iter()
            .map(|row| row.measurement)
            .collect();
        let study_file = match &self.place {
            StudyPlace::Nowhere => None,
            StudyPlace::Here(file) => file.path().file_name(),
            StudyPlace::Saving(path) | StudyPlace::ReadOnly(path) => path.file_name(),
        };
        let study_file =
            study_file.map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        self.jobs.start("Making the sheet", move || {
            let found = |view: View| {
                let film = films[view as usize].as_deref()?;
                Some(FoundFilm::of(film, study.film(view)?))
            };
            let content = SheetContent::of(&SheetRequest {
                study: &study,
                worksheet: &worksheet,
                ap: found(View::Ap),
                lateral: found(View::Lateral),
                measurements: &measurements,
                paper: Paper::default(),
                traced_on: traced_on(&study),
                program: PROGRAM,
                study_file: &study_file,
                caution: crate::window::CAUTION,
                identity: None,
            });
            let made = sheet(&content)
                .map_err(|problem| problem.to_string())
                .and_then(|bytes| {
                    fs::write(&path, bytes).map_err(|problem| {
                        format!("it cannot be written there ({problem}); choose another folder")
                    })
                });
            Finished::SheetMade(made.map(|()| path))
        });
    }

    pub(super) fn sheet_was_made(&mut self, result: Result<PathBuf, String>) {
        match result {
            Ok(path) => self.note(format!("The sheet is made: {}", path.display())),
            Err(problem) => self.warn(format!("No sheet was made: {problem}")),
        }
    }
}
