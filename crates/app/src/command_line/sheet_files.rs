//! The films of a study as `plumbray sheet` finds them, and whom they name.

use std::path::{Path, PathBuf};

use plumbray_film::{PatientIdentity, Pyramid, open, patient_identity};
use plumbray_report::{FoundFilm, Identity};
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
            opened: open(&path)
                .map(|film| film.pyramid())
                .map_err(|problem| problem.to_string()),
            record: record.clone(),
            path,
        }
    }

    /// The film, where it opened.
    pub(super) fn pyramid(&self) -> Option<&Pyramid> {
        self.opened.as_ref().ok()
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

/// Whom the films name, each fact once.
pub(super) fn identity_of(films: &[Option<FilmFile>]) -> Identity {
    let mut facts: Vec<String> = Vec::new();
    for film in films.iter().flatten() {
        // A film that cannot be read has been told of already.
        let said = patient_identity(&film.path).unwrap_or_default();
        for fact in facts_of(said) {
            if !facts.contains(&fact) {
                facts.push(fact);
            }
        }
    }
    if facts.is_empty() {
        facts.push("Patient: the films’ files name nobody".to_owned());
    }
    Identity { facts }
}

fn facts_of(said: PatientIdentity) -> Vec<String> {
    [
        ("Patient", said.name),
        ("number", said.identifier),
        ("born", said.birth_date),
    ]
    .into_iter()
    .filter_map(|(name, fact)| Some(format!("{name}: {}", fact?)))
    .collect()
}
