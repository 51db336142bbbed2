//! The verdict on the sheet: how severe, how probable, and by whose limits.

use plumbray_anatomy::capitalised;
use plumbray_measure::{Severity, SeverityOutcome};

use crate::number;

/// The verdict in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// "Moderate, 78 %; severe, 22 %", or that there is none.
    pub headline: String,
    /// By whose limits, and what else to know.
    pub remarks: String,
}

impl Verdict {
    /// The verdict of a worksheet.
    #[must_use]
    pub fn of(severity: &SeverityOutcome) -> Self {
        match severity {
            SeverityOutcome::Graded(severity) => Self {
                headline: capitalised(&headline(severity)),
                remarks: remarks(severity),
            },
            SeverityOutcome::Ungraded(missing) => {
                let names: Vec<String> = missing
                    .iter()
                    .map(|row| row.measurement.name().to_lowercase())
                    .collect();
                Self {
                    headline: "No severity".to_owned(),
                    remarks: format!(
                        "It follows from two angles; without a number: {}.",
                        names.join(" and ")
                    ),
                }
            }
            SeverityOutcome::ImpossibleReaderError => Self {
                headline: "No severity".to_owned(),
                remarks: "The reader’s error is not a number from 0 upward.".to_owned(),
            },
        }
    }
}

fn headline(severity: &Severity) -> String {
    let words: Vec<String> = severity
        .likely_classes()
        .into_iter()
        .map(|(class, share)| {
            let name = severity.scheme.class_name(class);
            format!("{name}, {}", number::likelihood(share))
        })
        .collect();
    words.join("; ")
}

fn remarks(severity: &Severity) -> String {
    let mut remarks = vec![format!(
        "Limits: {}. {}",
        severity.scheme.name(),
        severity.reader_words()
    )];
    remarks.extend(severity.remarks());
    remarks.join(" ")
}

#[cfg(test)]
mod tests {
    use plumbray_measure::{Class, Graded, SeverityScheme};

    use super::*;

    fn graded(class: Class) -> Graded {
        Graded {
            degrees: 30.0,
            sd_degrees: 2.0,
            by_own_spread: false,
            class,
            probabilities: [0.0, 0.0, 1.0, 0.0],
        }
    }

    #[test]
    fn a_verdict_names_its_limits_and_every_class_that_may_be() {
        let verdict = Verdict::of(&SeverityOutcome::Graded(Severity {
            scheme: SeverityScheme::CoughlinMann,
            hallux_valgus: graded(Class::Moderate),
            intermetatarsal: graded(Class::Mild),
            class: Class::Moderate,
            probabilities: [0.001, 0.019, 0.76, 0.22],
            disagree: true,
            hallux_varus: false,
        }));
        assert_eq!(
            verdict.headline, "Moderate, 76\u{2009}%; severe, 22\u{2009}%; mild, 2\u{2009}%",
            "headline"
        );
        assert!(
            verdict.remarks.contains("Limits: Coughlin & Mann"),
            "whose: {}",
            verdict.remarks
        );
        assert!(
            verdict
                .remarks
                .contains("mild by the intermetatarsal angle"),
            "disagreement: {}",
            verdict.remarks
        );
    }

    #[test]
    fn without_both_angles_there_is_no_severity() {
        let verdict = Verdict::of(&SeverityOutcome::Ungraded(Vec::new()));
        assert_eq!(verdict.headline, "No severity", "none");
    }
}
