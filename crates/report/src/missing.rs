//! What the measurements without a number lack, in a line or two.

use plumbray_measure::{Need, Outcome, Row};

/// So many missing things are named; of more, the number is told.
const NAMED: usize = 8;

/// Nothing where every row has a number; else how many have none and what they lack, and one line for each
/// other reason.
pub(crate) fn missing_lines(rows: &[&Row]) -> Vec<String> {
    let without = rows.iter().filter(|row| row.outcome.reading().is_none());
    let count = without.clone().count();
    if count == 0 {
        return Vec::new();
    }
    let mut needs: Vec<Need> = Vec::new();
    let mut others: Vec<(String, Vec<&str>)> = Vec::new();
    for row in without {
        if let Outcome::Needs(missing) = &row.outcome {
            needs.extend(missing);
            continue;
        }
        let why = row.outcome.why_not().unwrap_or_default();
        let name = row.measurement.name();
        match others.iter_mut().find(|(reason, _)| *reason == why) {
            Some((_, names)) => names.push(name),
            None => others.push((why, vec![name])),
        }
    }
    needs.sort_unstable();
    needs.dedup();
    let mut lines = vec![format!(
        "Without a number: {count} of {} measurements.{}",
        rows.len(),
        needs_text(&needs)
    )];
    lines.extend(others.into_iter().map(|(why, names)| {
        let why = why.trim_end_matches('.');
        format!("{}: {why}.", names.join(", "))
    }));
    lines
}

fn needs_text(needs: &[Need]) -> String {
    if needs.is_empty() {
        return String::new();
    }
    let mut names: Vec<String> = needs.iter().take(NAMED).map(Need::name).collect();
    if needs.len() > NAMED {
        names.push(format!("{} more", needs.len() - NAMED));
    }
    let last = names.pop().unwrap_or_default();
    if names.is_empty() {
        format!(" Missing: {last}.")
    } else {
        format!(" Missing: {} and {last}.", names.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::View;
    use plumbray_measure::Measurement;

    use super::*;

    fn row(measurement: Measurement, outcome: Outcome) -> Row {
        Row {
            measurement,
            outcome,
        }
    }

    #[test]
    fn what_several_rows_lack_is_named_once() {
        let lateral = || Outcome::Needs(vec![Need::Film(View::Lateral)]);
        let rows = [
            row(Measurement::TaloFirstMetatarsalAngle, lateral()),
            row(Measurement::CalcanealInclinationAngle, lateral()),
            row(
                Measurement::M1Length,
                Outcome::Needs(vec![Need::Calibration(View::Ap)]),
            ),
        ];
        assert_eq!(
            missing_lines(&rows.iter().collect::<Vec<_>>()),
            [
                "Without a number: 3 of 3 measurements. Missing: a lateral film and a calibration of \
                 the AP film."
            ],
            "one line"
        );
    }

    #[test]
    fn another_reason_has_a_line_of_its_own() {
        let refused = row(
            Measurement::HalluxValgusAngle,
            Outcome::Refused {
                reason: "not by this axis".to_owned(),
            },
        );
        assert_eq!(
            missing_lines(&[&refused]),
            [
                "Without a number: 1 of 1 measurements.",
                "Hallux valgus angle: not by this axis."
            ],
            "two lines"
        );
    }

    #[test]
    fn nothing_missing_is_not_mentioned() {
        assert_eq!(missing_lines(&[]), [] as [String; 0], "no rows");
    }
}
