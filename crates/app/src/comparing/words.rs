//! A comparison in words, as the command line prints it and the sheet has it.

use plumbray_compare::{
    ChangeRow, Comparison, Correction, CorrectionLost, Direction, Estimate, HeadShift, Pair,
    Recurrence, TYPICAL_DRIFT, TypicalDrift, VisitFilm,
};
use plumbray_measure::{Measurement, Outcome, Unit};
use plumbray_report::number::{in_unit, plain, signed};

pub(super) const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Ratio => 3,
        Unit::Position | Unit::Grade => 0,
        Unit::Degrees | Unit::Millimetres | Unit::PerCent => 1,
    }
}

/// The unit behind a difference, with a thin space before it where one belongs.
pub(super) const fn unit_words(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => "\u{2009}mm",
        Unit::PerCent => "\u{2009}%",
        Unit::Ratio | Unit::Position | Unit::Grade => "",
    }
}

/// A number with its unit; "–" where there is none.
pub(crate) fn value_words(measurement: Measurement, outcome: &Outcome) -> String {
    let unit = measurement.unit();
    outcome.reading().map_or_else(
        || "–".to_owned(),
        |reading| in_unit(unit, reading.value, decimals(unit)),
    )
}

/// A change with the smallest detectable one: "+5.2 ± 2.1°".
pub(crate) fn difference_words(row: &ChangeRow) -> String {
    let change = match &row.change {
        Ok(change) => change,
        Err(why) => return why.to_string(),
    };
    let unit = row.measurement.unit();
    let decimals = decimals(unit);
    let smallest = change
        .smallest_detectable
        .map(|smallest| format!(" ± {}", plain(smallest, decimals)))
        .unwrap_or_default();
    let number = signed(change.difference, decimals);
    format!("{number}{smallest}{}", unit_words(unit))
}

/// The same with its verdict and which way it went.
pub(crate) fn change_words(row: &ChangeRow, pair: Pair) -> String {
    let difference = difference_words(row);
    let Ok(change) = &row.change else {
        return difference;
    };
    let direction = match row.direction(pair) {
        Some(Direction::Toward) => ", toward the usual range",
        Some(Direction::Away) => ", away from the usual range",
        None => "",
    };
    format!("{difference}: {}{direction}", change.verdict())
}

/// An estimate with the half-width of its 95 % interval: "5.2 ± 2.1°".
fn with_interval(estimate: &Estimate, decimals: usize, unit: &str) -> String {
    format!(
        "{} ± {}{unit}",
        plain(estimate.value, decimals),
        plain(estimate.half_interval(), decimals)
    )
}

/// What a surgeon asks of two visits, under headings; what cannot be told says why.
pub(crate) fn answers(comparison: &Comparison, limit: Recurrence) -> Vec<(String, Vec<String>)> {
    let mut answers = vec![(
        "Does the correction hold?".to_owned(),
        correction_lines(comparison, limit),
    )];
    let name = |place: usize| comparison.visits[place].name.long.clone();
    answers.extend(comparison.head_moves.iter().map(|moved| {
        let heading = format!(
            "How far was the head moved, from “{}” to “{}”?",
            name(moved.between.earlier),
            name(moved.between.later)
        );
        let lines = match &moved.shift {
            Ok(shift) => shift_lines(shift),
            Err(why) => vec![why.to_string()],
        };
        (heading, lines)
    }));
    answers
}

fn correction_lines(comparison: &Comparison, limit: Recurrence) -> Vec<String> {
    let mut lines: Vec<String> = comparison
        .corrections
        .iter()
        .map(|correction| {
            format!(
                "{} from the last visit before surgery to the first standing one after it",
                corrected_words(correction)
            )
        })
        .collect();
    if lines.is_empty() {
        lines.push(
            "Not told: it takes a visit before surgery and a standing one after it.".to_owned(),
        );
    } else if comparison.lost.is_empty() {
        lines.push(
            "What was lost is not told: it takes two standing visits after surgery, the later one compared."
                .to_owned(),
        );
    }
    lines.extend(comparison.lost.iter().map(lost_words));
    lines.extend(recurrence_line(comparison, limit));
    lines.push(format!("{} ({}).", typical_drift(), TypicalDrift::SOURCE));
    lines.push(HEALING.to_owned());
    lines
}

/// What no number says.
pub(crate) const HEALING: &str = "Whether the bone has healed is not judged.";

/// How much was corrected, by one angle.
pub(crate) fn corrected_words(correction: &Correction) -> String {
    format!(
        "{}: corrected by {}",
        correction.measurement.name(),
        with_interval(&correction.corrected, 1, "°")
    )
}

/// How much of a correction was lost, by one angle, and whether that is real.
pub(crate) fn lost_words(lost: &CorrectionLost) -> String {
    let share = lost.share.map_or_else(String::new, |share| {
        format!(
            ", {} of the correction",
            with_interval(&share.times(100.0), 0, "\u{2009}%")
        )
    });
    format!(
        "{}: lost {}{share}: {}",
        lost.measurement.name(),
        with_interval(&lost.degrees, 1, "°"),
        lost.verdict()
    )
}

/// How far numbers drift in feet that keep their correction, without its source and a full stop.
pub(crate) fn typical_drift() -> String {
    let drifts: Vec<String> = TYPICAL_DRIFT
        .iter()
        .map(|drift| {
            let (from, to) = drift.from_to;
            format!(
                "{} from {} to {}",
                drift.measurement.name(),
                plain(from, 1),
                plain(to, 1)
            )
        })
        .collect();
    format!(
        "For comparison, means of feet without recurrence on their first and last film, {} months apart: {}",
        plain(TypicalDrift::MONTHS, 0),
        drifts.join("; ")
    )
}

fn recurrence_line(comparison: &Comparison, limit: Recurrence) -> Option<String> {
    let standing = comparison.standing(limit)?;
    Some(format!(
        "Recurrence by {} ({}): {}",
        limit.name(),
        limit.source(),
        standing.words()
    ))
}

/// How far the head was moved, turned and brought nearer, a sentence each.
pub(crate) fn shift_lines(shift: &HeadShift) -> Vec<String> {
    let in_mm = |value: Option<&(Estimate, String)>| {
        value.map_or_else(
            || "; without a calibration, no millimetres".to_owned(),
            |(mm, name)| format!(", {} ({name})", with_interval(mm, 1, "\u{2009}mm")),
        )
    };
    let mut lines = vec![format!(
        "Toward lateral by {} of the shaft’s width{}",
        with_interval(&shift.share_of_width.times(100.0), 0, "\u{2009}%"),
        in_mm(shift.millimetres.as_ref())
    )];
    lines.extend(shift.turn_degrees.map(|turn| {
        format!(
            "Its joint surface turned by {} (positive toward lateral)",
            with_interval(&turn, 1, "°")
        )
    }));
    lines.extend(shift.lengthening_share.map(|share| {
        format!(
            "First metatarsal against the second, longer (negative: shorter): {} of the second{}",
            with_interval(&share.times(100.0), 1, "\u{2009}%"),
            in_mm(shift.lengthening_millimetres.as_ref())
        )
    }));
    lines
}

/// Whose millimetres the visits have, a sentence each; one where it is the same at all of them.
pub(crate) fn calibration_lines(comparison: &Comparison) -> Vec<String> {
    let visits = &comparison.visits;
    let line = |name: &str, films: &[VisitFilm]| {
        let films: Vec<String> = films.iter().map(VisitFilm::words).collect();
        format!("{name}: {}.", films.join("; "))
    };
    match visits.first() {
        Some(first) if visits.iter().all(|visit| visit.films == first.films) => {
            vec![line("Every visit", &first.films)]
        }
        _ => visits
            .iter()
            .map(|visit| line(&visit.name.long, &visit.films))
            .collect(),
    }
}
