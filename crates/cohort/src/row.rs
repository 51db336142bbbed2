//! What the table says of one study.

use jiff::{Timestamp, civil::Date};
use plumbray_anatomy::{Side, View};
use plumbray_compare::{Recurrence, Standing};
use plumbray_measure::{Class, Construction, Measurement, Outcome, Reading, Unit};
use plumbray_study::Stance;
use serde::{Deserialize, Serialize};

use crate::words;

/// The numbers that every row has, in the order of its columns.
pub const HEADLINES: [Measurement; 6] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidGrade,
    Measurement::RelativeFirstMetatarsalLength,
    Measurement::RelativeFirstMetatarsalLengthRatio,
];

/// The numbers by which visits are held against each other: those of the row, and the share behind the grade.
pub const COMPARED: [Measurement; 7] = [
    HEADLINES[0],
    HEADLINES[1],
    HEADLINES[2],
    HEADLINES[3],
    HEADLINES[4],
    HEADLINES[5],
    Measurement::TibialSesamoidShare,
];

/// By what a file is taken for unchanged without reading it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FileStamp {
    /// Its size in bytes.
    pub size_bytes: u64,
    /// When it was last written, in nanoseconds since 1970 in UTC; negative before.
    pub modified_nanoseconds: i64,
}

impl FileStamp {
    /// The stamp of a file as it is now.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn of(path: &std::path::Path) -> std::io::Result<Self> {
        Ok(crate::reading::stamp_of(&std::fs::metadata(path)?))
    }
}

/// One study of the series.
#[derive(Clone, Debug, PartialEq)]
pub struct StudyRow {
    /// Its file, relative to the folder of the series, with `/` between folders.
    pub path: String,
    /// The state of the file that was read.
    pub stamp: FileStamp,
    /// The BLAKE3 hash of the file's bytes in 64 hexadecimal digits; nothing where it could not be read at all.
    pub hash: Option<String>,
    /// What it says.
    pub content: Content,
}

impl StudyRow {
    /// What was read, where it could be.
    #[must_use]
    pub const fn facts(&self) -> Option<&StudyFacts> {
        match &self.content {
            Content::Read(facts) => Some(facts),
            Content::Unreadable(_) => None,
        }
    }

    /// Why it could not be read, where it could not.
    #[must_use]
    pub fn problem(&self) -> Option<&str> {
        match &self.content {
            Content::Read(_) => None,
            Content::Unreadable(problem) => Some(problem),
        }
    }

    /// The folder that the study lies in, relative to that of the series; empty for that folder itself.
    #[must_use]
    pub fn folder(&self) -> &str {
        folder_of(&self.path)
    }
}

/// The folder part of a relative path; empty where there is none.
pub(crate) fn folder_of(path: &str) -> &str {
    path.rsplit_once('/').map_or("", |(folder, _)| folder)
}

/// What a study's file says.
#[derive(Clone, Debug, PartialEq)]
pub enum Content {
    /// It is a study.
    Read(Box<StudyFacts>),
    /// It cannot be read: why, and what to do.
    Unreadable(String),
}

/// What the table says of a study that could be read. Nothing of it is the patient's name, unless somebody typed
/// that as the label of the visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StudyFacts {
    /// Which foot; nothing while nobody knows.
    pub side: Option<Side>,
    /// Whether a person confirmed the side.
    pub side_confirmed: bool,
    /// What the user calls the visit; may be empty.
    pub visit: String,
    /// The day of the AP film.
    pub ap_date: Option<Date>,
    /// The day of the lateral film.
    pub lateral_date: Option<Date>,
    /// Whether the foot had been operated on by then.
    pub operated: bool,
    /// Whether the foot bore weight.
    pub stance: Stance,
    /// Who traced it; may be empty.
    pub reader: String,
    /// When the tracing was last changed.
    pub traced_at: Option<Timestamp>,
    /// How many points and shafts the program placed, where nobody has looked at any of it; else nothing.
    pub draft: Option<u64>,
    /// Which pictures the AP and the lateral film are: a text that two studies share exactly where their film is the same
    /// picture of a file with the same content.
    pub films: [Option<String>; 2],
    /// The set of limits that the reader chose, by identifier.
    pub severity_scheme: String,
    /// The class by that set; nothing where an angle is missing.
    #[serde(with = "words::class")]
    pub severity: Option<Class>,
    /// [`HEADLINES`] in their order, by the study's own convention.
    pub numbers: Vec<Number>,
    /// [`COMPARED`] in their order, by the convention by which visits are held against each other.
    pub compared: Vec<Number>,
    /// Where the foot stands by each limit of recurrence, in the order of [`Recurrence::ALL`]; nothing where the
    /// number is missing. Whether the films are a result that may be held against a limit, the visit says.
    #[serde(with = "words::standings")]
    pub standings: [Option<Standing>; 3],
}

impl StudyFacts {
    /// The day of the films: that of the AP film, or else of the lateral one.
    #[must_use]
    pub fn date(&self) -> Option<Date> {
        self.ap_date.or(self.lateral_date)
    }

    /// The content of the film of a view.
    #[must_use]
    pub fn film(&self, view: View) -> Option<&str> {
        let [ap, lateral] = &self.films;
        match view {
            View::Ap => ap.as_deref(),
            View::Lateral => lateral.as_deref(),
        }
    }

    /// What tells whether two studies read one film of one foot: the film by which the study goes, and the side, since a
    /// film may show both feet. Nothing without a film.
    #[must_use]
    pub fn what_is_read(&self) -> Option<(&str, Option<Side>)> {
        let film = self.film(View::Ap).or_else(|| self.film(View::Lateral))?;
        Some((film, self.side))
    }

    /// One of [`HEADLINES`] by the study's own convention.
    #[must_use]
    pub fn number(&self, measurement: Measurement) -> Option<&Number> {
        let place = HEADLINES.iter().position(|one| *one == measurement)?;
        self.numbers.get(place)
    }

    /// One of [`COMPARED`] by the convention that visits share.
    #[must_use]
    pub fn compared(&self, measurement: Measurement) -> Option<&Number> {
        let place = COMPARED.iter().position(|one| *one == measurement)?;
        self.compared.get(place)
    }

    /// Where the foot stands by a limit of recurrence.
    #[must_use]
    pub fn standing(&self, limit: Recurrence) -> Option<Standing> {
        let place = Recurrence::ALL.iter().position(|one| *one == limit)?;
        self.standings.get(place).copied().flatten()
    }
}

/// A number of a row, or why there is none.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Number {
    /// There is one.
    Is(Value),
    /// There is none, and why.
    Missing(String),
}

/// A number with its spread, in the unit of its measurement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Value {
    /// The number.
    pub value: f64,
    /// Its standard deviation from the spread of the tracing.
    pub sd: f64,
    /// Its 95 % interval from the spread of the tracing.
    pub interval: (f64, f64),
    /// The identifier of the axis convention; nothing where no axis is laid.
    pub convention: Option<String>,
    /// Where its millimetres come from.
    pub calibration: Option<String>,
}

impl Number {
    /// What a measurement came to, as a row has it. A length in millimetres without the name of its calibration
    /// is no number.
    #[must_use]
    pub fn of(measurement: Measurement, outcome: &Outcome) -> Self {
        let Some(reading) = outcome.reading() else {
            return Self::Missing(outcome.why_not().unwrap_or_default());
        };
        if measurement.unit() == Unit::Millimetres && reading.calibration_name.is_none() {
            return Self::Missing("needs a calibration".to_owned());
        }
        Self::Is(Value {
            value: reading.value,
            sd: reading.sd,
            interval: reading.interval,
            convention: reading.convention.map(|one| one.identifier().to_owned()),
            calibration: reading.calibration_name.clone(),
        })
    }

    /// The number, where there is one.
    #[must_use]
    pub const fn value(&self) -> Option<&Value> {
        match self {
            Self::Is(value) => Some(value),
            Self::Missing(_) => None,
        }
    }

    /// Why there is none, where there is none.
    #[must_use]
    pub fn why_not(&self) -> Option<&str> {
        match self {
            Self::Is(_) => None,
            Self::Missing(why) => Some(why),
        }
    }

    /// The number as the comparison of visits takes it; without what only a drawing needs.
    pub(crate) fn outcome(&self) -> Outcome {
        match self {
            Self::Missing(why) => Outcome::Refused {
                reason: why.clone(),
            },
            Self::Is(value) => Outcome::Value(Box::new(Reading {
                value: value.value,
                sd: value.sd,
                own_sd: None,
                interval: value.interval,
                convention: value
                    .convention
                    .as_deref()
                    .and_then(plumbray_measure::AxisConvention::from_identifier),
                calibration_name: value.calibration.clone(),
                influences: Vec::new(),
                sensitivities: Vec::new(),
                construction: Construction::default(),
                classes: Vec::new(),
                remarks: Vec::new(),
            })),
        }
    }
}
