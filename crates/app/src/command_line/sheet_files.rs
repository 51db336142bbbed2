//! The films of a study as `plumbray sheet` finds them.

use std::path::{Path, PathBuf};

use plumbray_film::{Pyramid, open_frame};
use plumbray_report::FoundFilm;
use plumbray_study::FilmRecord;

/// A film of a study as it was found.
pub(super) struct FilmFile {
    path: PathBuf,
    opened: Result<Pyramid, String>,
    record: FilmRecord,
}

impl FilmFile {
    /// Opens the film that a study in this folder remembers. One that cannot be opened is no failure.
    pub(super) fn open(record: &FilmRecord, study_folder: &Path) -> Self {
        let path = record.path_in(study_folder);
        Self {
            opened: open_frame(&path, record.picture.get())
                .map(|film| film.pyramid())
                .map_err(|problem| problem.to_string()),
            record: record.clone(),
            path,
        }
    }

    /// Where it lies, or should.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// The film as the sheet takes it. The sheet does not say where a film should lie: names of folders may
    /// be names of people.
    pub(super) fn found(&self) -> FoundFilm<'_> {
        match &self.opened {
            Ok(film) => FoundFilm::of(film, &self.record),
            Err(_) if self.path.exists() => FoundFilm::Absent("its file cannot be read as a film"),
            Err(_) => FoundFilm::Absent("its file is not where the study expects it"),
        }
    }

    /// What the caller should know of this film.
    pub(super) fn problem(&self) -> Option<String> {
        match (&self.opened, self.found()) {
            (Err(problem), _) => Some(format!("the sheet is made without a film: {problem}")),
            (Ok(_), FoundFilm::Changed(_)) => Some(format!(
                "the film was changed since it was traced; check that the tracing still lies on the \
                 bones: {}",
                self.path.display()
            )),
            (Ok(_), _) => None,
        }
    }
}
