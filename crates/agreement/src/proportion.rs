//! A share with its interval.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, ConfidenceLevel, Interval, distribution::normal_quantile};

/// A share of a whole, from 0 to 1, with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Proportion {
    /// How many count: agreements, misses.
    pub part: u64,
    /// Of how many.
    pub total: u64,
    /// The share, part over total.
    pub share: f64,
    /// Its interval, which never leaves 0 to 1.
    pub interval: Interval,
}

/// A share with Wilson's interval.
///
/// ```text
/// (p + z² / 2n ± z √(p (1 − p) / n + z² / 4n²)) / (1 + z² / n)
/// ```
///
/// Unlike p ± z √(p (1 − p) / n) it says something for 0 and for all of n, and holds as often as it claims for few
/// targets too. The single cases must be independent: films, not repeats of one film.
/// Sources: Wilson, J Am Stat Assoc 1927;22:209–212; Newcombe, Stat Med 1998;17:857–872.
///
/// # Errors
/// [`AgreementError::TooFew`] of none at all, [`AgreementError::PartExceedsWhole`].
pub fn proportion(
    part: u64,
    total: u64,
    level: ConfidenceLevel,
) -> Result<Proportion, AgreementError> {
    if total == 0 {
        return Err(AgreementError::TooFew {
            what: "cases",
            found: 0,
            needed: 1,
        });
    }
    if part > total {
        return Err(AgreementError::PartExceedsWhole { part, total });
    }
    let n = total as f64;
    let share = part as f64 / n;
    let z = normal_quantile(level.upper_probability());
    let z_squared = z.powi(2);
    let middle = share + z_squared / (2.0 * n);
    let half = z * (share * (1.0 - share) / n + z_squared / (4.0 * n.powi(2))).sqrt();
    let widening = 1.0 + z_squared / n;
    Ok(Proportion {
        part,
        total,
        share,
        interval: Interval {
            // At 0 and at all of n an end is exactly there; rounding must not carry it past.
            lower: if part == 0 {
                0.0
            } else {
                (middle - half) / widening
            },
            upper: if part == total {
                1.0
            } else {
                (middle + half) / widening
            },
            level,
        },
    })
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn intervals_are_those_of_newcombe() {
        // Newcombe 1998, table I, method 3 (from memory; checked against statsmodels in tests/outside).
        for (part, total, lower, upper) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let found = proportion(part, total, ConfidenceLevel::NINETY_FIVE).expect("a share");
            let what = format!("{part} of {total}");
            assert_close(found.interval.lower, lower, 5e-5, &what);
            assert_close(found.interval.upper, upper, 5e-5, &what);
        }
    }

    #[test]
    fn no_cases_and_more_than_all_are_refused() {
        let level = ConfidenceLevel::NINETY_FIVE;
        assert!(
            matches!(proportion(0, 0, level), Err(AgreementError::TooFew { .. })),
            "no cases"
        );
        assert_eq!(
            proportion(5, 4, level),
            Err(AgreementError::PartExceedsWhole { part: 5, total: 4 }),
            "five of four"
        );
    }

    proptest! {
        #[test]
        fn misses_mirror_hits_and_the_share_lies_within(total in 1..2_000_u64, portion in 0.0..=1.0) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of the total")]
            let part = (portion * total as f64) as u64;
            let of = |part| proportion(part, total, ConfidenceLevel::NINETY_FIVE).expect("a share");
            let (hits, misses) = (of(part), of(total - part));
            prop_assert!(hits.interval.holds(hits.share), "{hits:?}");
            prop_assert!((hits.interval.lower - (1.0 - misses.interval.upper)).abs() < 1e-12, "{hits:?}");
            prop_assert!(hits.interval.lower >= 0.0 && hits.interval.upper <= 1.0, "{hits:?}");
        }
    }
}
