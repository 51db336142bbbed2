//! Whom a film's file names as its patient. Kept apart from the film, so that nothing that handles films
//! holds names of people.

use std::path::Path;

use crate::{
    dicom,
    error::{FilmError, FilmProblem},
    film::read_file,
    plain,
};

/// What a film's file says of its patient, as it stands there.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PatientIdentity {
    /// The name, family name first: "Sample, Foot".
    pub name: Option<String>,
    /// The number or word by which the patient is kept.
    pub identifier: Option<String>,
    /// The day of birth: `1970-12-31`.
    pub birth_date: Option<String>,
}

/// What a film's file says of its patient. Pictures other than DICOM say nothing.
///
/// # Errors
/// When the file cannot be read or is not a film.
pub fn patient_identity(path: &Path) -> Result<PatientIdentity, FilmError> {
    read_file(path)
        .and_then(|bytes| of_bytes(&bytes))
        .map_err(|problem| FilmError::new(problem, path))
}

fn of_bytes(bytes: &[u8]) -> Result<PatientIdentity, FilmProblem> {
    if plain::recognised(bytes).is_some() {
        return Ok(PatientIdentity::default());
    }
    dicom::patient(bytes)
}
