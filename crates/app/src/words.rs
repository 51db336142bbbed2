//! Words that several parts of the program use.

use std::{collections::BTreeSet, fmt::Display};

use plumbray_measure::Unit;

/// "1 film", "12 films".
pub(crate) fn counted<N: Copy + Display + PartialEq + From<u8>>(
    count: N,
    one: &str,
    many: &str,
) -> String {
    let thing = if count == N::from(1) { one } else { many };
    format!("{count} {thing}")
}

/// A text of at most so many characters that keeps its beginning and its end, which tell apart what begins alike.
pub(crate) fn shortened_in_middle(text: &str, most: usize) -> String {
    let length = text.chars().count();
    if length <= most {
        return text.to_owned();
    }
    let kept = most.saturating_sub(1);
    let beginning: String = text.chars().take(kept.div_ceil(2)).collect();
    let end: String = text.chars().skip(length - kept / 2).collect();
    format!("{beginning}…{end}")
}

/// Each once, in their order.
pub(crate) fn once<T: Clone + Ord>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut seen = BTreeSet::new();
    let all = all.into_iter();
    all.filter(|one| seen.insert(one.clone())).collect()
}

/// What is said of a tracing of so many points that no reader took over.
pub(crate) fn draft_words(points: u64) -> String {
    format!(
        "Traced by the program; nobody has looked at it yet: {} to look at.",
        counted(points, "point", "points")
    )
}

/// How many decimals a statistic of this unit is told with.
pub(crate) const fn decimals_of(unit: Unit) -> usize {
    if matches!(unit, Unit::Ratio) { 3 } else { 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_is_told_in_the_singular() {
        assert_eq!(counted(1_usize, "study", "studies"), "1 study", "one");
        assert_eq!(counted(0_u64, "study", "studies"), "0 studies", "none");
    }

    #[test]
    fn what_comes_again_later_is_kept_once() {
        assert_eq!(once(["a", "b", "a"]), ["a", "b"], "in their order");
    }

    #[test]
    fn a_long_text_keeps_its_beginning_and_its_end() {
        for (text, most, shown) in [
            ("one/ap", 20, "one/ap"),
            ("patient-0001/left-ap.dcm", 11, "patie…p.dcm"),
            ("ä/ö/ü/ß", 3, "ä…ß"),
            ("AP-5412e7a0.dcm", 30, "AP-5412e7a0.dcm"),
            (
                "2.25.295912345678901234567890123456789012.dcm",
                30,
                "2.25.2959123456…3456789012.dcm",
            ),
        ] {
            assert_eq!(shortened_in_middle(text, most), shown, "{text}");
        }
    }
}
