//! The printed sheet of the foot that is open, made on a worker's thread.

use std::path::{Path, PathBuf};

use jiff::{civil::Date, tz::TimeZone};
use plumbray_anatomy::View;
use plumbray_measure::Measurement;
use plumbray_report::FoundFilm;
use plumbray_study::Study;

use super::{
    Finished, Workbench,
    command::Command,
    opening::{OpenFilm, StudyPlace},
    settings::SheetSettings,
    state::{Overlay, Request},
};
use crate::own_spread::KeptOfReader;
use crate::printing::{Printing, SHEET_ENDING, identity_of, write_beside};

/// The program as the sheet names it.
pub(crate) const PROGRAM: &str = concat!("Plumbray ", env!("CARGO_PKG_VERSION"));

/// The day on which a study was last traced, where the reader lives.
pub(crate) fn traced_on(study: &Study) -> Option<Date> {
    let traced_at = study.reader.traced_at?;
    Some(traced_at.to_zoned(TimeZone::system()).date())
}

/// Everything that the worker needs for a sheet.
struct SheetJob {
    study: Study,
    study_file: String,
    films: [Option<OpenFilm>; 2],
    measurements: Vec<Measurement>,
    reader: Option<KeptOfReader>,
    settings: SheetSettings,
    names_patient: bool,
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

    /// Whether what a command makes of the foot, on paper or for an archive, can be made now; nothing of other commands.
    pub(super) fn can_write(&self, command: &Command) -> Option<bool> {
        match command {
            Command::AskSheet | Command::MakeSheet(_) | Command::Show(Some(Overlay::Sheet)) => {
                Some(self.can_make_sheet())
            }
            Command::Show(Some(Overlay::Export)) => Some(self.has_film()),
            Command::Export(command) => Some(self.can_export(command)),
            _ => None,
        }
    }

    /// Commands that make a sheet; gives back others.
    pub(super) fn apply_to_sheet(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::SetSheet(settings) => {
                self.settings.sheet = settings;
                self.keep_settings();
            }
            Command::NamePatientOnSheet(is_named) => self.view.sheet_names_patient = is_named,
            Command::AskSheet => {
                if let Some(film) = self.film_of_name() {
                    let mut name = film.file_stem().unwrap_or_default().to_owned();
                    name.push(".");
                    name.push(SHEET_ENDING);
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
    pub(super) fn film_of_name(&self) -> Option<&Path> {
        let film = self.film(View::Ap).or_else(|| self.film(View::Lateral))?;
        Some(&film.path)
    }

    fn start_sheet(&mut self, path: PathBuf) {
        let shown = self.shown_rows("").into_iter();
        let job = SheetJob {
            study: self.study().clone(),
            study_file: self.study_file_name(),
            films: View::ALL.map(|view| self.film(view).cloned()),
            measurements: shown.map(|row| row.measurement).collect(),
            reader: self.own_spread().cloned(),
            settings: self.settings.sheet,
            names_patient: self.view.sheet_names_patient,
        };
        // The next sheet names nobody until it is asked for again.
        self.view.sheet_names_patient = false;
        self.show_page(None);
        self.jobs.start("Making the sheet", move || {
            let made = job.make(&path).map_err(|problem| problem.to_string());
            Finished::SheetMade(made.map(|()| path))
        });
    }

    pub(super) fn study_file_name(&self) -> String {
        let name = match &self.place {
            StudyPlace::Nowhere => None,
            StudyPlace::Here(file) => file.path().file_name(),
            StudyPlace::Saving(path) | StudyPlace::ReadOnly(path) => path.file_name(),
        };
        name.map_or_else(String::new, |name| name.to_string_lossy().into_owned())
    }

    pub(super) fn sheet_was_made(&mut self, result: Result<PathBuf, String>) {
        match result {
            Ok(path) => self.note(format!("The sheet is made: {}", path.display())),
            Err(problem) => self.warn(format!("No sheet was made: {problem}")),
        }
    }
}

impl SheetJob {
    /// Makes everything, and writes it only then: the sheet to `path`, the rest beside it.
    fn make(&self, path: &Path) -> anyhow::Result<()> {
        let paths = || self.films.iter().flatten().map(|open| open.path.as_path());
        let found = |view: View| {
            let open = self.films[view as usize].as_ref()?;
            Some(FoundFilm::of(&open.pyramid, self.study.film(view)?))
        };
        let identity = self.names_patient.then(|| identity_of(paths()));
        let printing = Printing {
            name: &self.study_file,
            study: &self.study,
            films: View::ALL.map(found),
            measurements: &self.measurements,
            reader: self.reader.as_ref(),
            tells_reader: true,
            paper: self.settings.paper,
            identity: identity.as_ref(),
        };
        for file in printing.files(self.settings.besides)? {
            let path = if file.ending == SHEET_ENDING {
                path.to_owned()
            } else {
                beside(path, &file.ending)
            };
            write_beside(&path, &file.bytes, paths())?;
        }
        Ok(())
    }
}

/// The file beside a sheet: its name without the sheet's own ending, with another.
fn beside(sheet: &Path, ending: &str) -> PathBuf {
    let name = sheet.file_name().unwrap_or_default().to_string_lossy();
    let stem = [&format!(".{SHEET_ENDING}"), ".pdf"]
        .into_iter()
        .find_map(|own| name.strip_suffix(own))
        .unwrap_or(&name);
    sheet.with_file_name(format!("{stem}.{ending}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_beside_a_sheet_goes_by_its_name() {
        for (sheet, expected) in [
            ("/desk/foot-ap.sheet.pdf", "/desk/foot-ap.sheet.csv"),
            ("/desk/left foot.pdf", "/desk/left foot.sheet.csv"),
            ("/desk/foot", "/desk/foot.sheet.csv"),
        ] {
            let found = beside(Path::new(sheet), "sheet.csv");
            assert_eq!(found, Path::new(expected), "{sheet}");
        }
    }
}
