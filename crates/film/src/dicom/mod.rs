//! Films that come as DICOM files.

use crate::{error::FilmProblem, film::Content};

/// Reads a DICOM file.
pub(crate) fn read(_bytes: &[u8]) -> Result<Content, FilmProblem> {
    Err(FilmProblem::NotAFilm)
}
