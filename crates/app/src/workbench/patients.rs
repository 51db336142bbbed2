//! Whom the films' files name, shown on the page of the visit when somebody asks. It is read anew each time and goes
//! with the page: neither the study nor the settings nor a log holds it.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;
use plumbray_film::{PatientIdentity, patient_identity};

use super::{Finished, Overlay, Workbench};
use crate::disc::words::joined;

/// How the job is called that reads whom the files name.
const READING: &str = "Reading whom the films name";

/// What the files of the films that are open say of their patient.
#[derive(Clone, PartialEq, Eq)]
pub struct PatientsOfFilms {
    said: Vec<(View, Result<PatientIdentity, String>)>,
}

/// Nothing that may be written into a log names a patient.
impl std::fmt::Debug for PatientsOfFilms {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("PatientsOfFilms")
            .finish_non_exhaustive()
    }
}

impl PatientsOfFilms {
    /// What becomes of the names.
    pub const KEPT_NOWHERE: &str =
        "Shown on this page only; neither the study nor the settings hold it.";

    fn of(films: &[(View, PathBuf)]) -> Self {
        let said = |path: &Path| patient_identity(path).map_err(|problem| problem.to_string());
        Self {
            said: films
                .iter()
                .map(|(view, path)| (*view, said(path)))
                .collect(),
        }
    }

    /// One line for all films where they say the same, and one for each otherwise.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        match self.said.as_slice() {
            [(_, Ok(one)), (_, Ok(other))] if one == other => vec![words_of(one)],
            films => films
                .iter()
                .map(|(view, said)| {
                    let words = said.as_ref().map_or_else(Clone::clone, words_of);
                    format!("{}: {words}", view.name())
                })
                .collect(),
        }
    }

    /// What the AP and the lateral film say differently. A film that says nothing of a fact contradicts nobody.
    #[must_use]
    pub fn warning(&self) -> Option<String> {
        let [(_, Ok(one)), (_, Ok(other))] = self.said.as_slice() else {
            return None;
        };
        let facts = [
            ("name", &one.name, &other.name),
            ("number", &one.identifier, &other.identifier),
            ("day of birth", &one.birth_date, &other.birth_date),
        ];
        let differ: Vec<&str> = facts
            .into_iter()
            .filter(|(_, one, other)| one.is_some() && other.is_some() && one != other)
            .map(|(fact, ..)| fact)
            .collect();
        (!differ.is_empty()).then(|| {
            format!(
                "The two films’ files differ in the {}. Check that both are of this patient.",
                differ.join(", ")
            )
        })
    }
}

fn words_of(said: &PatientIdentity) -> String {
    let number = said.identifier.as_ref();
    let day = said.birth_date.as_ref();
    let facts = joined(&[
        said.name.clone().unwrap_or_default(),
        number
            .map(|number| format!("number {number}"))
            .unwrap_or_default(),
        day.map(|day| format!("born {day}")).unwrap_or_default(),
    ]);
    if facts.is_empty() {
        "the file names nobody".to_owned()
    } else {
        facts
    }
}

impl Workbench {
    /// Reads on a worker's thread whom the films' files name.
    pub(super) fn read_patients(&mut self) {
        let films: Vec<(View, PathBuf)> = View::ALL
            .into_iter()
            .filter_map(|view| Some((view, self.film(view)?.path.clone())))
            .collect();
        let foot = self.foot_number;
        self.jobs.start(READING, move || {
            Finished::PatientsRead(foot, PatientsOfFilms::of(&films))
        });
    }

    /// Shows whom the files name, where the page that asked is still open.
    pub(super) fn patients_were_read(&mut self, foot: u64, patients: PatientsOfFilms) {
        if foot == self.foot_number && self.view.overlay == Some(Overlay::Visit) {
            self.view.patients = Some(patients);
        }
    }
}
