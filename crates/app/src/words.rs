//! Words that several parts of the program use.

use std::fmt::Display;

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

/// Each once, in their order.
pub(crate) fn once<T: PartialEq>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut kept = Vec::new();
    for one in all {
        if !kept.contains(&one) {
            kept.push(one);
        }
    }
    kept
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
}
