//! The running sum and where it signals.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, MissRates};

/// What a chart looks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Chart {
    /// CUSUM of a reader who is taken to be competent: misses raise the sum, and it signals when they have become too
    /// many. After a signal it starts again from 0. Source: Page, Biometrika 1954;41:100–115.
    Misses,
    /// LC-CUSUM of a learner who is taken not to be competent yet: hits raise the sum, and it signals once, when
    /// competence is shown; the sum then runs on. Source: Biau, Williams, Schlup, Nizard, Porcher, Br J Surg
    /// 2008;95:925–929.
    Competence,
}

/// A chart over all readings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Curve {
    /// What it looks for.
    pub chart: Chart,
    /// The rates that it tells apart.
    pub rates: MissRates,
    /// The decision limit: it signals where the sum exceeds it.
    pub limit: f64,
    /// The sum after each reading, in the order given; where it signals, as it was before any new start.
    pub sums: Vec<f64>,
    /// The readings, counted from 0, after which it signalled.
    pub signals: Vec<usize>,
    /// How many readings were misses.
    pub misses: usize,
}

/// Follows a reader through readings in the order in which they were made; `true` is a miss.
///
/// ```text
/// Sₜ = max(0, Sₜ₋₁ + score),   signal where Sₜ > limit
/// ```
///
/// For the scores see [`MissRates::scores`]. The limit is agreed on beforehand, or comes from
/// [`decision_limit`](crate::decision_limit); one chosen after looking at the curve means nothing.
///
/// # Errors
/// [`AgreementError::Unusable`] for a limit that is not above 0 and finite.
pub fn follow(
    chart: Chart,
    misses: &[bool],
    rates: MissRates,
    limit: f64,
) -> Result<Curve, AgreementError> {
    usable_limit(limit)?;
    let scores = rates.scores(chart);
    let mut curve = Curve {
        chart,
        rates,
        limit,
        sums: Vec::with_capacity(misses.len()),
        signals: Vec::new(),
        misses: 0,
    };
    let mut sum = 0.0_f64;
    for (reading, missed) in misses.iter().enumerate() {
        curve.misses += usize::from(*missed);
        let score = if *missed { scores.miss } else { scores.hit };
        sum = (sum + score).max(0.0);
        curve.sums.push(sum);
        if sum <= limit {
            continue;
        }
        match chart {
            Chart::Misses => {
                curve.signals.push(reading);
                sum = 0.0;
            }
            Chart::Competence if curve.signals.is_empty() => curve.signals.push(reading),
            Chart::Competence => {}
        }
    }
    Ok(curve)
}

/// Refuses a limit that no sum can meaningfully exceed.
pub(super) fn usable_limit(limit: f64) -> Result<(), AgreementError> {
    if limit > 0.0 && limit.is_finite() {
        return Ok(());
    }
    Err(AgreementError::Unusable {
        what: "the decision limit",
        value: limit,
        allowed: "above 0 and finite",
    })
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn misses_raise_the_sum_hits_lower_it_to_no_less_than_nothing() {
        // By hand with ln 3 = 1.0986 and ln(0.85 / 0.95) = −0.1112.
        let misses = [false, true, false, true, false, false];
        let curve = follow(Chart::Misses, &misses, MissRates::OF_RESIDENTS, 2.0).expect("a curve");
        let expected = [0.0, 1.0986, 0.9874, 2.0860, 0.0, 0.0];
        assert_eq!(curve.sums.len(), 6, "one sum a reading");
        for (reading, (sum, expected)) in curve.sums.iter().zip(expected).enumerate() {
            assert_close(*sum, expected, 2e-4, &format!("after reading {reading}"));
        }
        assert_eq!(
            curve.signals,
            [3],
            "the second miss exceeds 2, and the sum starts again"
        );
        assert_eq!(curve.misses, 2, "misses");
    }

    #[test]
    fn a_learner_who_hits_shows_competence_once() {
        // 0.1178 a hit: the eleventh exceeds 1.25.
        let mut misses = vec![false; 11];
        let curve = follow(Chart::Competence, &misses, MissRates::OF_BIAU, 1.25).expect("a curve");
        assert_eq!(curve.signals, [10], "eleven hits in a row");
        misses.insert(5, true);
        let curve = follow(Chart::Competence, &misses, MissRates::OF_BIAU, 1.25).expect("a curve");
        assert_eq!(
            curve.signals, [0_usize; 0],
            "a miss takes away about six hits"
        );
        let many = vec![false; 40];
        let curve = follow(Chart::Competence, &many, MissRates::OF_BIAU, 1.25).expect("a curve");
        assert_eq!(curve.signals, [10], "it is shown once");
        assert_close(curve.sums[39], 40.0 * 0.11778, 1e-3, "the sum runs on");
    }

    #[test]
    fn without_readings_there_is_an_empty_curve_and_without_a_limit_none() {
        let empty = follow(Chart::Misses, &[], MissRates::OF_BIAU, 1.0).expect("a curve");
        assert!(
            empty.sums.is_empty() && empty.signals.is_empty(),
            "{empty:?}"
        );
        for limit in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let curve = follow(Chart::Misses, &[true], MissRates::OF_BIAU, limit);
            assert!(
                matches!(curve, Err(AgreementError::Unusable { .. })),
                "a limit of {limit}"
            );
        }
    }

    proptest! {
        #[test]
        fn one_miss_more_never_lowers_the_sum_before_a_signal(
            misses in proptest::collection::vec(any::<bool>(), 1..80),
            place in 0..80_usize,
        ) {
            let of = |misses: &[bool]| {
                follow(Chart::Misses, misses, MissRates::OF_BIAU, 1e6).expect("a curve")
            };
            let before = of(&misses);
            let mut worse = misses;
            let length = worse.len();
            worse[place % length] = true;
            let after = of(&worse);
            prop_assert!(
                before.sums.iter().zip(&after.sums).all(|(before, after)| before <= after),
                "{before:?} {after:?}"
            );
            prop_assert!(after.sums.iter().all(|sum| *sum >= 0.0), "{after:?}");
        }
    }
}
