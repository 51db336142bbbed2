//! What a film's file says of itself at its beginning: enough to list it, and far quicker than opening it.

use std::{fs::File, io::Read as _, path::Path};

use plumbray_anatomy::{Side, View};

use crate::{
    dicom::{self, Summed},
    error::{FilmError, FilmProblem},
    facts::Stated,
    limits,
    patient::PatientIdentity,
    plain,
};

/// What a film's file says of itself. It names the patient: it is for lists on the screen, and is kept nowhere.
///
/// Texts that the file lacks are empty.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FilmSummary {
    /// Of whom.
    pub patient: PatientIdentity,
    /// The study to which it belongs.
    pub study: StudySummary,
    /// The series to which it belongs.
    pub series: SeriesSummary,
    /// SOP Class UID: what kind of object it is.
    pub class_uid: String,
    /// SOP Instance UID: which object it is.
    pub instance_uid: String,
    /// Transfer Syntax UID: how its pixels are stored.
    pub transfer_syntax_uid: String,
    /// Instance Number.
    pub number: Option<i64>,
    /// Which foot, and the attribute that was believed.
    pub side: Option<Stated<Side>>,
    /// From where, and the attribute that was believed.
    pub view: Option<Stated<View>>,
    /// The number of rows; 0 where it does not say.
    pub rows: u16,
    /// The number of columns; 0 where it does not say.
    pub columns: u16,
    /// How many pictures it holds.
    pub frames: u32,
    /// Whether it is a picture at all; reports and measurements are not.
    pub has_pixels: bool,
}

/// A study as its films describe it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct StudySummary {
    /// Study Instance UID.
    pub uid: String,
    /// Its day, as `2026-11-25`.
    pub date: Option<String>,
    /// Study Description.
    pub description: String,
    /// Accession Number.
    pub accession_number: String,
}

/// A series as its films describe it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct SeriesSummary {
    /// Series Instance UID.
    pub uid: String,
    /// Series Number.
    pub number: Option<i64>,
    /// Modality: DX, CR, …
    pub modality: String,
    /// Series Description.
    pub description: String,
    /// Body Part Examined.
    pub body_part: String,
}

/// So much of a file is read at first, and so much when that did not reach the pixels.
const BEGINNINGS: [u64; 2] = [16 << 10, 1 << 20];

/// Sums a file up by its beginning. A plain picture says nothing but that it is one.
///
/// # Errors
/// When the file cannot be read or is none of the formats that are read.
pub fn film_summary(path: &Path) -> Result<FilmSummary, FilmError> {
    summed(path).map_err(|problem| FilmError::new(problem, path))
}

/// Sums up a file that is in memory as a whole.
///
/// # Errors
/// When it is none of the formats that are read.
pub fn film_summary_of(bytes: &[u8]) -> Result<FilmSummary, FilmProblem> {
    if plain::recognised(bytes).is_some() {
        return Ok(FilmSummary::of_picture());
    }
    match dicom::summed(bytes, true)? {
        Summed::Whole(summary) => Ok(*summary),
        Summed::NeedsMore => Err(FilmProblem::NotAFilm),
    }
}

impl FilmSummary {
    /// A plain picture, which says nothing.
    fn of_picture() -> Self {
        Self {
            frames: 1,
            has_pixels: true,
            ..Self::default()
        }
    }
}

fn summed(path: &Path) -> Result<FilmSummary, FilmProblem> {
    let mut file = File::open(path).map_err(FilmProblem::Unreadable)?;
    let about = file.metadata().map_err(FilmProblem::Unreadable)?;
    if !about.is_file() {
        return Err(FilmProblem::NotAFile);
    }
    let mut bytes = Vec::new();
    for most in BEGINNINGS.into_iter().chain([limits::FILE_BYTES]) {
        let wanted = most.min(about.len()).saturating_sub(bytes.len() as u64);
        (&mut file)
            .take(wanted)
            .read_to_end(&mut bytes)
            .map_err(FilmProblem::Unreadable)?;
        if plain::recognised(&bytes).is_some() {
            return Ok(FilmSummary::of_picture());
        }
        let is_whole = bytes.len() as u64 >= about.len();
        match dicom::summed(&bytes, is_whole)? {
            Summed::Whole(summary) => return Ok(*summary),
            Summed::NeedsMore => {}
        }
    }
    Err(FilmProblem::FileTooLarge {
        bytes: about.len(),
        limit: limits::FILE_BYTES,
    })
}
