//! What a row of the worksheet says: its name, its number, how sure it is, or what it lacks.

use plumbray_anatomy::{LongBone, View};
use plumbray_measure::{Measurement, Need, Outcome, Reading, Row, Unit};
use plumbray_report::number::share_spread;

use super::number;
use crate::workbench::{TraceStep, Workbench};

/// A measurement's name in its row, where the question above it says that it is an angle.
pub(super) fn row_name(measurement: Measurement) -> &'static str {
    match measurement {
        Measurement::TibialSesamoidPosition => "Tibial sesamoid, position",
        Measurement::TibialSesamoidGrade => "Tibial sesamoid, grade",
        Measurement::FirstMetatarsophalangealAngle => "First metatarsophalangeal joint",
        Measurement::ProximalDistalPhalangealArticularAngle => "Phalangeal articular, base to head",
        Measurement::FirstMetatarsalElevationGain => "First metatarsal elevation, gain",
        Measurement::CongruencyIndex => "Congruency index of the joint",
        Measurement::FirstTarsometatarsalAngle => "Tarsometatarsal joint to M2",
        Measurement::FirstTarsometatarsalAngleOwn => "Tarsometatarsal joint to M1",
        Measurement::SecondMetatarsalCuneiformAngle => "M2 to intermediate cuneiform",
        Measurement::MetatarsusAdductusAngleModified => "Metatarsus adductus, modified",
        Measurement::FibularSesamoidShare => "Fibular sesamoid past the cortex",
        Measurement::M2M3Step => "Tip of M2 beyond M3",
        Measurement::M3M4Step => "Tip of M3 beyond M4",
        Measurement::M4M5Step => "Tip of M4 beyond M5",
        Measurement::M1ReachByArcs => "M1 beyond M2, by arcs",
        Measurement::M3ReachByArcs => "M3 beyond M2, by arcs",
        Measurement::M4ReachByArcs => "M4 beyond M2, by arcs",
        Measurement::M5ReachByArcs => "M5 beyond M2, by arcs",
        Measurement::SesamoidLineAtM4 => "Sesamoid line at M4’s head",
        Measurement::FragmentShiftRatio => "Dorsal shift, share of the shaft",
        Measurement::RelativeFirstMetatarsalLength => "Relative M1 length",
        Measurement::RelativeFirstMetatarsalLengthRatio => "Relative M1 length, share of M2",
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
            share_spread(reading.spread()),
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
    let beside = match measurement {
        Measurement::TibialSesamoidGrade => Some((Measurement::TibialSesamoidShare, "past axis")),
        Measurement::FibularSesamoidGrade => {
            Some((Measurement::FibularSesamoidShare, "past cortex"))
        }
        _ => None,
    };
    let share = beside
        .and_then(|(share, past)| {
            let reading = workbench.worksheet().outcome(share)?.reading()?;
            let per_cent = number::per_cent(reading.value / 100.0);
            Some(format!(" · {per_cent} {past}"))
        })
        .unwrap_or_default();
    (
        class_label(measurement, reading),
        format!("{of} · {} likely{share}", number::likelihood(sure)),
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

/// Rows as they are pasted into a letter, one to a line, under which foot they are of.
pub(super) fn plain_table(workbench: &Workbench, measurements: &[Measurement]) -> String {
    let side = workbench.study().side;
    let mut lines = vec![side.map_or_else(
        || "Side not known".to_owned(),
        |choice| {
            let confirmed = if choice.confirmed {
                ""
            } else {
                ", not confirmed"
            };
            format!("{} foot{confirmed}", choice.side.identifier())
        },
    )];
    let rows = workbench.worksheet().rows.iter();
    lines.extend(
        rows.filter(|row| measurements.contains(&row.measurement))
            .map(|row| plain_row(workbench, row)),
    );
    lines.push(spread_line(workbench, measurements));
    lines.join("\n")
}

/// What the ± of the rows holds.
fn spread_line(workbench: &Workbench, measurements: &[Measurement]) -> String {
    let kept = workbench.own_spread();
    let own = kept.map_or_else(Vec::new, |kept| {
        kept.sheet_lines(workbench.worksheet(), measurements, true)
    });
    let first = "± is the spread of this tracing (95 %).".to_owned();
    let last = "Not a medical device.".to_owned();
    let lines = std::iter::once(first).chain(own).chain([last]);
    lines.collect::<Vec<String>>().join(" ")
}

/// A row as it is pasted into a letter: name, value, and by which axes or whose millimetres.
fn plain_row(workbench: &Workbench, row: &Row) -> String {
    let name = row.measurement.name();
    match &row.outcome {
        Outcome::Value(reading) => {
            let (value, spread) = value_texts(workbench, row.measurement, reading);
            let basis = [
                reading.convention.map(|by| by.name().to_lowercase()),
                reading.calibration_name.clone(),
            ];
            let basis: Vec<String> = basis.into_iter().flatten().collect();
            let basis = if basis.is_empty() {
                String::new()
            } else {
                format!(" ({})", basis.join("; "))
            };
            format!("{name}\t{value} {spread}{basis}")
        }
        other => format!("{name}\t{}", other.why_not().unwrap_or_default()),
    }
}

/// The value as a screen reader says it.
pub(super) fn spoken_value(measurement: Measurement, reading: &Reading) -> String {
    match measurement.unit() {
        Unit::Position | Unit::Grade => class_label(measurement, reading),
        Unit::PerCent => format!(
            "{} {}",
            number::plain(reading.value, 0),
            share_spread(reading.spread())
        ),
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_length_of_the_first_ray_is_called_alike_in_its_row_and_on_the_sheet() {
        for measurement in [
            Measurement::RelativeFirstMetatarsalLength,
            Measurement::RelativeFirstMetatarsalLengthRatio,
        ] {
            let in_full = row_name(measurement)
                .replace("M1", "first metatarsal")
                .replace("share of M2", "share of the second");
            assert_eq!(in_full, measurement.name(), "the row’s name, spelt out");
        }
    }
}
