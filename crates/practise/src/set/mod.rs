//! A practice set: a folder of films with one sealed reference for each foot.

mod bounded;
mod error;
mod file;
mod reference;
mod sealed;

use std::path::{Path, PathBuf};

use plumbray_anatomy::{Calibration, Proportions, Side, Tracing, View};
use plumbray_measure::{Foot, Measurement, TracedFilm};
use plumbray_study::{ContentHash, FilmRecord, SideChoice, SideSource, Stance, Study, Visit};

pub(crate) use bounded::{MeasurementName, Text, parse};
pub use error::{Damage, SetError};
pub use file::{MOST_FEET, SET_FILE, SET_FORMAT_VERSION, set_from_text, set_to_text};
pub use reference::{Reference, ReferenceSource};
pub use sealed::{REFERENCE_FORMAT_VERSION, reference_from_bytes, reference_to_bytes};

/// A set of feet to practise on.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeSet {
    /// What the set is called.
    pub name: String,
    /// Who made it.
    pub made_by: String,
    /// By what it was made, such as "simulated feet, seed 7" or "studies traced by a supervisor".
    pub made_with: String,
    /// What a lesson goes by where nobody chose otherwise.
    pub defaults: LessonDefaults,
    /// The feet, in the order in which they are listed.
    pub feet: Vec<PracticeFoot>,
}

/// What a lesson goes by where nobody chose otherwise.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonDefaults {
    /// Whether a resident may let the program move points to edges.
    pub snapping: bool,
    /// From which difference on a measurement counts as missed.
    pub limits: Vec<Limit>,
}

/// From which difference on a measurement counts as missed.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The measurement.
    pub measurement: Measurement,
    /// The largest difference from the reference, in the measurement's unit, that is not yet a miss.
    pub largest: f64,
    /// Who says so.
    pub source: String,
}

/// Where the default limits come from.
const LIMIT_SOURCE: &str = "a study of automatic readings of 1753 films counts differences up to 5° in the hallux \
                            valgus angle and 3° in the intermetatarsal angle as acceptable (its title alone known to us)";

impl Default for LessonDefaults {
    /// No snapping, since the hand is what practises; a miss beyond 5° in the hallux valgus angle and beyond 3°
    /// in the 1–2 intermetatarsal angle. No published limit is known to us for the other measurements.
    fn default() -> Self {
        let limit = |measurement, largest| Limit {
            measurement,
            largest,
            source: LIMIT_SOURCE.to_owned(),
        };
        Self {
            snapping: false,
            limits: vec![
                limit(Measurement::HalluxValgusAngle, 5.0),
                limit(Measurement::IntermetatarsalAngle12, 3.0),
            ],
        }
    }
}

impl LessonDefaults {
    /// The limit of a measurement, where the set names one.
    #[must_use]
    pub fn limit(&self, measurement: Measurement) -> Option<&Limit> {
        self.limits
            .iter()
            .find(|limit| limit.measurement == measurement)
    }
}

/// One foot of a set.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeFoot {
    /// Its name within the set, such as `foot-01`: no word of a patient.
    pub identifier: String,
    /// Which foot.
    pub side: Side,
    /// Whether the first metatarsal was cut before the films were taken.
    pub operated: bool,
    /// The AP film.
    pub ap: Option<PracticeFilm>,
    /// The lateral film.
    pub lateral: Option<PracticeFilm>,
    /// How hard it is, and why.
    pub difficulty: Difficulty,
    /// Words to find it by.
    pub tags: Vec<String>,
    /// The file of its reference, relative to the set's folder.
    pub reference: String,
}

/// A film of a practice foot.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeFilm {
    /// The file, relative to the set's folder, with `/` between folders.
    pub file: String,
    /// The content of that file when the set was made.
    pub hash: ContentHash,
    /// Its width in pixels.
    pub width_px: u32,
    /// Its height in pixels.
    pub height_px: u32,
    /// The shape of its pixels.
    pub proportions: Proportions,
    /// The size of its pixels, where it is known.
    pub calibration: Option<Calibration>,
}

/// How hard a foot is to read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difficulty {
    /// In one word.
    pub grade: DifficultyGrade,
    /// What makes it so; may be empty.
    pub reasons: Vec<DifficultyReason>,
}

/// How hard a foot is to read, in one word.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum DifficultyGrade {
    /// Nothing stands in the way.
    Easy,
    /// One thing does.
    Medium,
    /// Several things do.
    Hard,
}

impl DifficultyGrade {
    /// Every grade, the easiest first.
    pub const ALL: [Self; 3] = [Self::Easy, Self::Medium, Self::Hard];

    /// The name within a sentence.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Easy => "easy",
            Self::Medium => "medium",
            Self::Hard => "hard",
        }
    }
}

/// What makes a foot hard to read.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum DifficultyReason {
    /// The deformity: bones lie over each other and far from their usual place.
    Deformity,
    /// The exposure: grain, burnt-out edges or movement.
    Exposure,
    /// The projection: a tilted tube, or a turned or rolled foot.
    Projection,
}

impl DifficultyReason {
    /// The name within a sentence.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Deformity => "deformity",
            Self::Exposure => "exposure",
            Self::Projection => "projection",
        }
    }
}

impl Difficulty {
    /// The grade that these reasons give: easy without any, medium with one, hard with more. Ours.
    #[must_use]
    pub fn by_reasons(reasons: Vec<DifficultyReason>) -> Self {
        let grade = match reasons.len() {
            0 => DifficultyGrade::Easy,
            1 => DifficultyGrade::Medium,
            _ => DifficultyGrade::Hard,
        };
        Self { grade, reasons }
    }
}

impl PracticeSet {
    /// Reads the set of a folder. Films and references are read when they are needed.
    ///
    /// # Errors
    /// [`SetError`] when there is no set, or it is damaged, foreign or newer than this program.
    pub fn open(folder: &Path) -> Result<Self, SetError> {
        file::read(folder)
    }

    /// The foot of this name.
    #[must_use]
    pub fn foot(&self, identifier: &str) -> Option<&PracticeFoot> {
        self.feet.iter().find(|foot| foot.identifier == identifier)
    }
}

impl PracticeFoot {
    /// The film of this view.
    #[must_use]
    pub const fn film(&self, view: View) -> Option<&PracticeFilm> {
        match view {
            View::Ap => self.ap.as_ref(),
            View::Lateral => self.lateral.as_ref(),
        }
    }

    /// Opens the sealed reference of this foot in the set's folder.
    ///
    /// # Errors
    /// [`SetError`] when it is missing, damaged, newer than this program or another foot's.
    pub fn reference(&self, set_folder: &Path) -> Result<Reference, SetError> {
        sealed::read(self, set_folder)
    }

    /// Where the film of this view lies.
    #[must_use]
    pub fn film_path(&self, view: View, set_folder: &Path) -> Option<PathBuf> {
        self.film(view).map(|film| set_folder.join(&film.file))
    }

    /// Opens the film of this view after a look whether it is still the one that the reference was traced on;
    /// nothing where the foot has no such film.
    ///
    /// # Errors
    /// [`SetError`] when the film is missing, cannot be read or was exchanged.
    pub fn open_film(
        &self,
        view: View,
        set_folder: &Path,
    ) -> Result<Option<plumbray_film::Film>, SetError> {
        let Some((record, path)) = self.film(view).zip(self.film_path(view, set_folder)) else {
            return Ok(None);
        };
        let film =
            plumbray_film::open(&path).map_err(|problem| SetError::Film(Box::new(problem)))?;
        if film.content_hash() == record.hash.to_string() {
            Ok(Some(film))
        } else {
            Err(SetError::FilmExchanged { path })
        }
    }

    /// A study of this foot on which nothing is traced yet, for an attempt. Its films are named relative to the
    /// set's folder.
    #[must_use]
    pub fn blank_study(&self) -> Study {
        let record = |view: View| {
            self.film(view).map(|film| FilmRecord {
                file: film.file.clone(),
                hash: film.hash,
                picture: std::num::NonZeroU32::MIN,
                width_px: film.width_px,
                height_px: film.height_px,
                proportions: film.proportions,
                calibration: film.calibration,
                date: None,
            })
        };
        Study {
            side: Some(SideChoice {
                side: self.side,
                source: SideSource::User,
                confirmed: true,
            }),
            ap: record(View::Ap),
            lateral: record(View::Lateral),
            visit: Visit {
                operated: self.operated,
                stance: Stance::Standing,
                ..Visit::default()
            },
            ..Study::default()
        }
    }

    /// This foot with a tracing of its films, as the engine takes it.
    #[must_use]
    pub fn traced<'a>(&'a self, tracing: &'a Tracing) -> Foot<'a> {
        let film = |view: View| {
            self.film(view).map(|film| TracedFilm {
                tracing: tracing.on(view),
                proportions: film.proportions,
                calibration: film.calibration.as_ref(),
            })
        };
        Foot {
            ap: film(View::Ap),
            lateral: film(View::Lateral),
            operated: self.operated,
        }
    }
}
