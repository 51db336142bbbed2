//! What a plan is checked for, in words: what is wanted beside what is.

use plumbray_plan::{Bound, Check, Figure, Finding, Verdict};
use plumbray_report::number::{degrees, per_cent};

use super::words::{length, signed_length};

/// What is checked, without a millimetre where nothing is calibrated.
pub(crate) const fn check_name(finding: Finding, is_calibrated: bool) -> &'static str {
    match finding {
        Finding::LengthKept if !is_calibrated => "First ray not shortened by much",
        _ => finding.name(),
    }
}

/// Whether a check is met: "met", "open", "cannot tell".
pub(crate) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Met => "met",
        Verdict::Open => "open",
        Verdict::CannotTell => "cannot tell",
    }
}

/// The number behind a check, as it stands beside its name: "23.0 mm", "3 cortices".
pub(crate) fn figure(check: &Check) -> Option<String> {
    check.figure.map(|figure| number(check.finding, figure))
}

/// What that number has to be: "at least 4.0 mm".
pub(crate) fn wanted(check: &Check) -> Option<String> {
    let number = |figure: Figure| number(check.finding, figure);
    Some(match check.wanted? {
        Bound::AtLeast(least) => format!("at least {}", number(least)),
        Bound::MoreThan(least) => format!("more than {}", number(least)),
        Bound::AtMost(most) => format!("at most {}", number(most)),
        Bound::Between(least, most) => format!("{} to {}", number(least), number(most)),
        Bound::Within(most) => format!("at most {} to either side", number(most)),
        Bound::About(about) => number(about),
    })
}

/// Both in a sentence: "wanted at least 4.0 mm, is 0.7 mm from where it leaves the lateral cortex to the cut".
pub(crate) fn wanted_and_is(check: &Check) -> Option<String> {
    let is = check.figure.map(|figure| {
        let finding = check.finding;
        let what = finding.figure_is();
        let sign = finding.below_zero_is().filter(|_| figure.is_negative());
        let what = what.map_or_else(String::new, |what| format!(" {what}"));
        let sign = sign.map_or_else(String::new, |sign| format!(": {sign}"));
        format!("is {}{what}{sign}", number(finding, figure))
    });
    let wanted = wanted(check).map(|wanted| format!("wanted {wanted}"));
    let both: Vec<String> = wanted.into_iter().chain(is).collect();
    (!both.is_empty()).then(|| both.join(", "))
}

/// Both where there is little room: "0.7 mm (wanted at least 4.0 mm)".
pub(crate) fn figure_and_wanted(check: &Check) -> Option<String> {
    match (figure(check), wanted(check)) {
        (Some(figure), Some(wanted)) => Some(format!("{figure} (wanted {wanted})")),
        (None, Some(wanted)) => Some(format!("wanted {wanted}")),
        (figure, None) => figure,
    }
}

/// A check's verdict with what is wanted and what is, and what may help where it is open: "open: wanted at most 15.0°, is
/// 21.3°; a wedge from the phalanx may help".
pub(crate) fn check_words(check: &Check) -> String {
    let mut words = verdict(check.verdict).to_owned();
    if let Some(more) = wanted_and_is(check) {
        words = format!("{words}: {more}");
    }
    match check.finding.help() {
        Some(help) if check.verdict == Verdict::Open => format!("{words}; {help} may help"),
        _ => words,
    }
}

fn number(finding: Finding, figure: Figure) -> String {
    match figure {
        Figure::Count(count) => {
            let [one, many] = match finding {
                Finding::TwoScrews => ["screw", "screws"],
                _ => ["cortex", "cortices"],
            };
            format!("{count} {}", if count == 1 { one } else { many })
        }
        Figure::Length(of) if finding == Finding::LengthKept => signed_length(of),
        Figure::Length(of) => length(of),
        Figure::Degrees(angle) => degrees(angle),
        Figure::Share(share) => match finding {
            Finding::LevelUsual => format!("{} of the bone", per_cent(share)),
            Finding::ContactLeft | Finding::GoalReached => {
                format!("{} of the cut", per_cent(share))
            }
            _ => per_cent(share),
        },
    }
}

#[cfg(test)]
mod tests {
    use plumbray_plan::Length;

    use super::*;

    fn length_of(mm: f64) -> Figure {
        Figure::Length(Length {
            pixel_widths: mm * 7.0,
            of_width: mm / 14.0,
            mm: Some(mm),
        })
    }

    fn check(finding: Finding, verdict: Verdict) -> Check {
        Check {
            finding,
            screw: None,
            verdict,
            figure: None,
            wanted: None,
        }
    }

    #[test]
    fn a_check_says_what_is_wanted_and_what_is() {
        let exit = Check {
            figure: Some(length_of(0.7)),
            wanted: Some(Bound::AtLeast(length_of(4.0))),
            ..check(Finding::LeavesBeforeCut, Verdict::Open)
        };
        assert_eq!(
            check_words(&exit),
            "open: wanted at least 4.0\u{2009}mm, is 0.7\u{2009}mm from where it leaves the lateral cortex to the cut",
            "in a sentence"
        );
        assert_eq!(
            figure_and_wanted(&exit).as_deref(),
            Some("0.7\u{2009}mm (wanted at least 4.0\u{2009}mm)"),
            "where there is little room"
        );
        let beyond = Check {
            figure: Some(length_of(-0.3)),
            ..check(Finding::LateralHeadGripped, Verdict::Met)
        };
        assert_eq!(
            check_words(&beyond),
            "met: is \u{2212}0.3\u{2009}mm from the tip to the lateral cortex of the head: the tip lies beyond it",
            "what a sign means"
        );
        let plain = check(Finding::LengthAtHand, Verdict::Met);
        assert_eq!(check_words(&plain), "met", "nothing but the verdict");
    }

    #[test]
    fn what_may_help_is_said_where_a_check_is_open_and_only_there() {
        let valgus = |verdict, angle| Check {
            figure: Some(Figure::Degrees(angle)),
            wanted: Some(Bound::AtMost(Figure::Degrees(15.0))),
            ..check(Finding::ToeStraightened, verdict)
        };
        let open = check_words(&valgus(Verdict::Open, 21.3));
        assert!(
            open.starts_with("open: wanted at most 15.0°, is 21.3°; a wedge")
                && open.ends_with("may help"),
            "{open}"
        );
        let met = check_words(&valgus(Verdict::Met, 12.0));
        assert_eq!(met, "met: wanted at most 15.0°, is 12.0°", "no more");
    }

    #[test]
    fn each_bound_has_words() {
        let with = |wanted| Check {
            wanted: Some(wanted),
            ..check(Finding::LengthKept, Verdict::Open)
        };
        for (bound, words) in [
            (
                Bound::MoreThan(length_of(-3.0)),
                "more than \u{2212}3.0\u{2009}mm",
            ),
            (
                Bound::Between(length_of(22.0), length_of(25.0)),
                "+22.0\u{2009}mm to +25.0\u{2009}mm",
            ),
            (
                Bound::Within(Figure::Degrees(2.0)),
                "at most 2.0° to either side",
            ),
            (Bound::About(Figure::Degrees(6.0)), "6.0°"),
        ] {
            assert_eq!(wanted(&with(bound)).as_deref(), Some(words), "{bound:?}");
        }
    }
}
