//! A resident's progress on disk: one plain file, theirs to read, copy and delete.

use std::{
    fs::File,
    io::{self, Read as _},
    path::{Path, PathBuf},
};

use jiff::civil::DateTime;
use plumbray_study::{ContentHash, write_whole};
use serde::{Deserialize, Serialize};

use super::{PastAttempt, PastNumber, PastThing, Progress};
use crate::{
    lesson::{LengthUnit, PlacedThing},
    set::{Damage, MeasurementName, Text, parse},
};

/// The end of the name of every resident's file.
pub const PROGRESS_ENDING: &str = ".progress.ron";

/// The format that this program writes, and the newest that it reads.
pub const PROGRESS_FORMAT_VERSION: u32 = 1;

/// The largest file that is read, in bytes: some four thousand attempts of about 8 kB.
const MOST_BYTES: u64 = 32 << 20;

/// The most letters of a resident's name in the name of the file.
const LONGEST_STEM: usize = 40;

const EXPECTED: &str = "the progress of a resident";

const HEADING: &str = "\
// A resident's progress in Plumbray's practice. It lies only here, and is the resident's own to delete.
// docs/practice.md of the program explains every field.
";

/// Why a resident's progress could not be read or kept. The file was left as it is.
#[derive(Debug, thiserror::Error)]
pub enum ProgressError {
    /// The file system refused to read the file.
    #[error("the progress cannot be read ({cause}); check the folder's permissions: {}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file system refused to write the file.
    #[error("the attempt is NOT kept: the progress cannot be written ({cause}); make room or choose another folder: {}", path.display())]
    NotWritten {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file is damaged.
    #[error(
        "the progress is damaged at line {line}, column {column}: {what}. Correct it there, take it from a backup, \
         or move it elsewhere to begin anew: {}",
        path.display()
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// The line, counted from 1.
        line: usize,
        /// The character in that line, counted from 1.
        column: usize,
        /// What is wrong.
        what: String,
    },
    /// The file is something else, or larger than any progress.
    #[error("this is not the progress of a resident; choose another file or move it elsewhere: {}", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// A newer program wrote it.
    #[error(
        "a newer Plumbray wrote this progress (format {found}, this program knows up to {PROGRESS_FORMAT_VERSION}); \
         update Plumbray to go on: {}",
        path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// The format that it names.
        found: u32,
    },
    /// The file is another resident's.
    #[error("this is the progress of “{found}”; choose your own name or another folder: {}", path.display())]
    OtherResident {
        /// The file.
        path: PathBuf,
        /// Whose it is.
        found: String,
    },
    /// The attempt holds something that could not be read back.
    #[error("the attempt is NOT kept, since it could not be read again: {what}")]
    NotStorable {
        /// What it is.
        what: String,
    },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ProgressFields {
    format_version: u32,
    resident: Text,
    attempts: Vec<AttemptFields>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct AttemptFields {
    set: Text,
    foot: Text,
    when: Moment,
    seconds: Amount,
    snapping: bool,
    missed: bool,
    numbers: Vec<NumberFields>,
    things: Vec<ThingFields>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct NumberFields {
    measurement: MeasurementName,
    difference: Option<Difference>,
    missed: bool,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct ThingFields {
    thing: PlacedThing,
    distance: Amount,
    unit: UnitFields,
    relative: Amount,
    cost_degrees: Amount,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum UnitFields {
    Millimetres { calibration: Text },
    PerCentOfFirstMetatarsal,
    PerCentOfFilm,
}

/// A number from 0 upward.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
struct Amount(f64);

/// A number that may be negative.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
struct Difference(f64);

const LARGEST: f64 = 1e9;

impl TryFrom<f64> for Amount {
    type Error = String;

    fn try_from(number: f64) -> Result<Self, String> {
        let possible = (0.0..=LARGEST).contains(&number);
        possible
            .then_some(Self(number))
            .ok_or_else(|| impossible(number))
    }
}

impl TryFrom<f64> for Difference {
    type Error = String;

    fn try_from(number: f64) -> Result<Self, String> {
        let possible = (-LARGEST..=LARGEST).contains(&number);
        possible
            .then_some(Self(number))
            .ok_or_else(|| impossible(number))
    }
}

fn impossible(number: f64) -> String {
    format!("{number} cannot stand here")
}

impl From<Amount> for f64 {
    fn from(amount: Amount) -> Self {
        amount.0
    }
}

impl From<Difference> for f64 {
    fn from(difference: Difference) -> Self {
        difference.0
    }
}

/// A date with a time of day.
#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
struct Moment(DateTime);

impl TryFrom<String> for Moment {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        text.parse()
            .map(Self)
            .map_err(|error: jiff::Error| error.to_string())
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> Self {
        moment.0.to_string()
    }
}

/// The file of a resident in a folder: the letters and digits of the name, with a mark that tells apart names which
/// would look alike.
#[must_use]
pub fn progress_path(folder: &Path, resident: &str) -> PathBuf {
    let stem: String = resident
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() {
                letter
            } else {
                '-'
            }
        })
        .take(LONGEST_STEM)
        .collect();
    let mark: String = ContentHash::of_bytes(resident.as_bytes())
        .to_string()
        .chars()
        .take(8)
        .collect();
    folder.join(format!("{stem}-{mark}{PROGRESS_ENDING}"))
}

/// Reads a resident's progress; nothing where there is no file.
///
/// # Errors
/// [`ProgressError`] when the file cannot be read, is damaged, foreign or newer than this program.
pub fn load_progress(path: &Path) -> Result<Option<Progress>, ProgressError> {
    let unreadable = |cause| ProgressError::Unreadable {
        path: path.to_owned(),
        cause,
    };
    let foreign = || ProgressError::Foreign {
        path: path.to_owned(),
    };
    match std::fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(unreadable(error)),
        // A pipe or a device may never end.
        Ok(metadata) if !metadata.is_file() => return Err(foreign()),
        Ok(_) => {}
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes))
        .map_err(unreadable)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(foreign());
    }
    let text = std::str::from_utf8(&bytes).map_err(|_not_text| foreign())?;
    from_text(text)
        .map(Some)
        .map_err(|damage| explained(damage, path))
}

fn explained(damage: Damage, path: &Path) -> ProgressError {
    let path = path.to_owned();
    match damage {
        Damage::Newer { found, .. } => ProgressError::Newer { path, found },
        Damage::Malformed { line, column, what } => ProgressError::Damaged {
            path,
            line,
            column,
            what,
        },
        Damage::Contradiction { what } => ProgressError::Damaged {
            path,
            line: 1,
            column: 1,
            what,
        },
        Damage::Foreign { .. }
        | Damage::TooLarge { .. }
        | Damage::Unsealable
        | Damage::OfAnotherFoot { .. } => ProgressError::Foreign { path },
    }
}

/// Keeps a resident's progress: at every moment either the old or the new content is on the disk, whole.
///
/// # Errors
/// [`ProgressError`] when it could not be read back or the file system refuses; the old content is then still there.
pub fn save_progress(path: &Path, progress: &Progress) -> Result<(), ProgressError> {
    let text = to_text(progress)?;
    write_whole(path, text.as_bytes()).map_err(|cause| ProgressError::NotWritten {
        path: path.to_owned(),
        cause,
    })
}

/// Adds an attempt to what is on the disk, and gives the whole. A file that cannot be read is never overwritten.
///
/// # Errors
/// [`ProgressError`] as reading and writing; also where the file is another resident's.
pub fn add_attempt(
    path: &Path,
    resident: &str,
    attempt: PastAttempt,
) -> Result<Progress, ProgressError> {
    let mut progress = load_progress(path)?.unwrap_or_else(|| Progress {
        resident: resident.to_owned(),
        attempts: Vec::new(),
    });
    if progress.resident != resident {
        return Err(ProgressError::OtherResident {
            path: path.to_owned(),
            found: progress.resident,
        });
    }
    progress.attempts.push(attempt);
    save_progress(path, &progress)?;
    Ok(progress)
}

fn from_text(text: &str) -> Result<Progress, Damage> {
    let fields: ProgressFields = parse(text, PROGRESS_FORMAT_VERSION, EXPECTED)?;
    Ok(Progress {
        resident: fields.resident.0,
        attempts: fields.attempts.into_iter().map(PastAttempt::from).collect(),
    })
}

fn to_text(progress: &Progress) -> Result<String, ProgressError> {
    let refused = |what: String| ProgressError::NotStorable { what };
    let fields = ProgressFields {
        format_version: PROGRESS_FORMAT_VERSION,
        resident: Text(progress.resident.clone()),
        attempts: progress.attempts.iter().map(AttemptFields::from).collect(),
    };
    let layout = ron::ser::PrettyConfig::new().depth_limit(4).new_line("\n");
    let body =
        ron::ser::to_string_pretty(&fields, layout).map_err(|error| refused(error.to_string()))?;
    let text = format!("{HEADING}{body}\n");
    match from_text(&text) {
        Ok(same) if same == *progress && text.len() as u64 <= MOST_BYTES => Ok(text),
        Ok(_) => Err(refused("it would not come back as it is".to_owned())),
        Err(damage) => Err(refused(damage.to_string())),
    }
}

impl From<AttemptFields> for PastAttempt {
    fn from(fields: AttemptFields) -> Self {
        let number = |own: NumberFields| PastNumber {
            measurement: own.measurement.0,
            difference: own.difference.map(f64::from),
            missed: own.missed,
        };
        let thing = |own: ThingFields| PastThing {
            thing: own.thing,
            distance: own.distance.0,
            unit: match own.unit {
                UnitFields::Millimetres { calibration } => LengthUnit::Millimetres {
                    calibration: calibration.0,
                },
                UnitFields::PerCentOfFirstMetatarsal => LengthUnit::PerCentOfFirstMetatarsal,
                UnitFields::PerCentOfFilm => LengthUnit::PerCentOfFilm,
            },
            relative: own.relative.0,
            cost_degrees: own.cost_degrees.0,
        };
        Self {
            set: fields.set.0,
            foot: fields.foot.0,
            when: fields.when.0,
            seconds: fields.seconds.0,
            snapping: fields.snapping,
            missed: fields.missed,
            numbers: fields.numbers.into_iter().map(number).collect(),
            things: fields.things.into_iter().map(thing).collect(),
        }
    }
}

impl From<&PastAttempt> for AttemptFields {
    fn from(attempt: &PastAttempt) -> Self {
        let number = |own: &PastNumber| NumberFields {
            measurement: MeasurementName(own.measurement),
            difference: own.difference.map(Difference),
            missed: own.missed,
        };
        let thing = |own: &PastThing| ThingFields {
            thing: own.thing,
            distance: Amount(own.distance),
            unit: match &own.unit {
                LengthUnit::Millimetres { calibration } => UnitFields::Millimetres {
                    calibration: Text(calibration.clone()),
                },
                LengthUnit::PerCentOfFirstMetatarsal => UnitFields::PerCentOfFirstMetatarsal,
                LengthUnit::PerCentOfFilm => UnitFields::PerCentOfFilm,
            },
            relative: Amount(own.relative),
            cost_degrees: Amount(own.cost_degrees),
        };
        Self {
            set: Text(attempt.set.clone()),
            foot: Text(attempt.foot.clone()),
            when: Moment(attempt.when),
            seconds: Amount(attempt.seconds),
            snapping: attempt.snapping,
            missed: attempt.missed,
            numbers: attempt.numbers.iter().map(number).collect(),
            things: attempt.things.iter().map(thing).collect(),
        }
    }
}
