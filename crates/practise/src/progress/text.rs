//! A resident's progress as text: its fields, checked while they are read.

use jiff::civil::DateTime;
use serde::{Deserialize, Serialize};

use super::{PastAttempt, PastNumber, PastThing, Progress};
use crate::{
    lesson::{LengthUnit, PlacedThing},
    set::{Damage, MeasurementName, Text, parse},
};

/// The format that this program writes, and the newest that it reads.
pub const PROGRESS_FORMAT_VERSION: u32 = 1;

const EXPECTED: &str = "the progress of a resident";

const HEADING: &str = "\
// A resident's progress in Plumbray's practice. It lies only here, and is the resident's own to delete.
// docs/practice.md of the program explains every field.
";

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

/// A progress from the text of its file.
pub(super) fn from_text(text: &str) -> Result<Progress, Damage> {
    let fields: ProgressFields = parse(text, PROGRESS_FORMAT_VERSION, EXPECTED)?;
    Ok(Progress {
        resident: fields.resident.0,
        attempts: fields.attempts.into_iter().map(PastAttempt::from).collect(),
    })
}

/// The text of a progress, which was read back and found to say the same; else what is wrong.
pub(super) fn to_text(progress: &Progress) -> Result<String, String> {
    let fields = ProgressFields {
        format_version: PROGRESS_FORMAT_VERSION,
        resident: Text(progress.resident.clone()),
        attempts: progress.attempts.iter().map(AttemptFields::from).collect(),
    };
    let layout = ron::ser::PrettyConfig::new().depth_limit(4).new_line("\n");
    let body = ron::ser::to_string_pretty(&fields, layout).map_err(|error| error.to_string())?;
    let text = format!("{HEADING}{body}\n");
    match from_text(&text) {
        Ok(same) if same == *progress => Ok(text),
        Ok(_) => Err("it would not come back as it is".to_owned()),
        Err(damage) => Err(damage.to_string()),
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
