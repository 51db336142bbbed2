//! What a row of the worksheet says: its name, its number, how sure it is, or what it lacks.

use plumbray_anatomy::{LongBone, View};
use plumbray_measure::{Measurement, Need, Outcome, Reading, Unit};

use super::number;
use crate::workbench::{TraceStep, Workbench};

/// A measurement's name in its row, where the question above it says that it is an angle.
pub(super) fn row_name(measurement: Measurement) -> &'static str {
    match measurement {
        Measurement::TibialSesamoidPosition => "Tibial sesamoid, position",
        Measurement::TibialSesamoidGrade => "Tibial sesamoid, grade",
        Measurement::RelativeFirstMetatarsalLength => "Tip of M1 beyond M2",
        Measurement::RelativeFirstMetatarsalLengthRatio => "Tip of M1 beyond M2, of M2’s length",
        other => other.name().trim_end_matches(" angle"),
    }
}

/// What a row lacks, by the bones that would give it, each once: "needs M3, calibration".
pub(super) fn short_why(outcome: &Outcome) -> String {
    let Outcome::Needs(needs) = outcome else {
        return match outcome {
            Outcome::Refused { .. } => "not by this axis".to_owned(),
            _ => "look at its points again".to_owned(),
        };
    };
    let mut words: Vec<&str> = Vec::new();
    for need in needs {
        let word = match *need {
            Need::Film(View::Ap) => "an AP film",
            Need::Film(View::Lateral) => "a lateral film",
            Need::Shaft(view, bone) => TraceStep::Shaft(view, bone).short_name(),
            Need::Landmark(view, landmark) => {
                TraceStep::of_landmark(view, landmark).map_or("a point", TraceStep::short_name)
            }
            // A metatarsal that is asked for by number will do.
            Need::AnotherMetatarsal if needs.iter().any(is_lesser_metatarsal) => continue,
            Need::AnotherMetatarsal => "M2",
            Need::Calibration(_) => "a calibration",
        };
        if !words.contains(&word) {
            words.push(word);
        }
    }
    let remedy = if words == ["a calibration"] {
        " · do it now"
    } else {
        ""
    };
    format!("needs {}{remedy}", words.join(", "))
}

const fn is_lesser_metatarsal(need: &Need) -> bool {
    matches!(
        need,
        Need::Shaft(
            View::Ap,
            LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5
        )
    )
}

/// The number and, smaller, how sure it is.
#[must_use]
pub(super) fn value_texts(
    workbench: &Workbench,
    measurement: Measurement,
    reading: &Reading,
) -> (String, String) {
    let half = (reading.interval.1 - reading.interval.0) / 2.0;
    match measurement.unit() {
        Unit::Degrees => (
            number::degrees(reading.value),
            format!("± {}", number::degrees(half)),
        ),
        Unit::Millimetres => (
            number::millimetres(reading.value),
            format!("± {}", number::plain(half, 1)),
        ),
        Unit::Ratio => (
            number::plain(reading.value, 2),
            format!("± {}", number::plain(half, 2)),
        ),
        Unit::PerCent => (
            number::per_cent(reading.value / 100.0),
            format!("± {}", number::plain(half, 0)),
        ),
        Unit::Position | Unit::Grade => class_texts(workbench, measurement, reading),
    }
}

fn class_texts(
    workbench: &Workbench,
    measurement: Measurement,
    reading: &Reading,
) -> (String, String) {
    let likely = reading
        .classes
        .iter()
        .copied()
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let sure = likely.map_or(0.0, |(_, probability)| probability);
    let of = if measurement.unit() == Unit::Position {
        "of VII"
    } else {
        "of 3"
    };
    let share = workbench
        .worksheet()
        .outcome(Measurement::TibialSesamoidShare)
        .and_then(Outcome::reading)
        .filter(|_| measurement.unit() == Unit::Grade)
        .map(|share| format!(" · {} past the axis", number::per_cent(share.value / 100.0)))
        .unwrap_or_default();
    (
        class_label(measurement, reading),
        format!("{of} · {} sure{share}", number::per_cent(sure)),
    )
}

/// A position as the trade writes it, I to VII, or a grade, 0 to 3.
fn class_label(measurement: Measurement, reading: &Reading) -> String {
    const POSITIONS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a position is a whole number from 1 to 7, and the conversion saturates"
    )]
    let whole = reading.value.round() as usize;
    if measurement.unit() == Unit::Position {
        let position = whole.checked_sub(1).and_then(|index| POSITIONS.get(index));
        position.map_or_else(String::new, |position| (*position).to_owned())
    } else {
        whole.to_string()
    }
}

/// The value as a screen reader says it.
pub(super) fn spoken_value(measurement: Measurement, reading: &Reading) -> String {
    match measurement.unit() {
        Unit::Position | Unit::Grade => class_label(measurement, reading),
        unit => {
            let half = (reading.interval.1 - reading.interval.0) / 2.0;
            let decimals = if unit == Unit::Ratio { 2 } else { 1 };
            format!(
                "{} ± {}",
                number::plain(reading.value, decimals),
                number::plain(half, decimals)
            )
        }
    }
}
