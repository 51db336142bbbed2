//! How well one reader repeats a number.

use std::f64::consts::SQRT_2;

use serde::{Deserialize, Serialize};

use crate::{
    AgreementError, ConfidenceLevel, Interval,
    distribution::chi_squared_quantile,
    limits::usable_multiplier,
    table::{at_least, finite},
};

/// The spread of repeated readings of one target, pooled over targets; in the unit of the readings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct WithinSubject {
    /// How many targets were read at least twice and count.
    pub targets: usize,
    /// How many readings of them count.
    pub readings: usize,
    /// How many targets were read once and say nothing.
    pub targets_read_once: usize,
    /// Degrees of freedom: readings less targets.
    pub degrees: f64,
    /// The within-subject standard deviation: of single readings of one target.
    pub standard_deviation: f64,
    /// Its interval, by χ².
    pub interval: Interval,
    /// The standard deviation of the difference between two single readings, √2 times as large.
    pub standard_deviation_of_difference: f64,
    /// The repeatability coefficient: two single readings of one target differ by no more in 95 %, with the usual
    /// multiplier.
    pub repeatability_coefficient: f64,
}

/// The within-subject standard deviation and repeatability coefficient of targets that were read any number of times.
///
/// With xᵢⱼ the j-th reading of target i and mᵢ their number, from the one-way analysis of variance,
///
/// ```text
/// sw = √(Σᵢⱼ (xᵢⱼ − x̄ᵢ)² / Σᵢ (mᵢ − 1)),   repeatability coefficient = multiplier · √2 · sw
/// ```
///
/// The interval is sw √(d / χ²) at the two χ² quantiles of d = Σ (mᵢ − 1). A trend from the first to the second reading
/// counts as error. Sources: Bland, Altman, Lancet 1986;i:307–310, who assume a mean difference of 0 between repeats
/// and take the multiplier as 2; Bland, Altman, BMJ 1996;313:744.
///
/// # Errors
/// [`AgreementError::TooFew`] where no target was read twice, [`AgreementError::NotANumber`] where a reading is not
/// finite, [`AgreementError::Unusable`] for a multiplier that is not above 0, [`AgreementError::NoVariance`] where
/// every target was read exactly the same each time.
pub fn within_subject<R: AsRef<[f64]>>(
    targets: &[R],
    multiplier: f64,
    level: ConfidenceLevel,
) -> Result<WithinSubject, AgreementError> {
    usable_multiplier(multiplier)?;
    let all: Vec<f64> = targets.iter().flat_map(AsRef::as_ref).copied().collect();
    finite(&all)?;
    let repeated: Vec<&[f64]> = targets
        .iter()
        .map(AsRef::as_ref)
        .filter(|readings| readings.len() > 1)
        .collect();
    at_least("targets read twice", repeated.len(), 1)?;
    let readings: usize = repeated.iter().map(|readings| readings.len()).sum();
    let degrees = (readings - repeated.len()) as f64;
    let squares: f64 = repeated
        .iter()
        .map(|readings| squares_about_mean(readings))
        .sum();
    let standard_deviation = (squares / degrees).sqrt();
    let largest = all
        .iter()
        .fold(0.0_f64, |largest, value| largest.max(value.abs()));
    if standard_deviation <= 8.0 * f64::EPSILON * largest {
        return Err(AgreementError::NoVariance {
            what: "the repeated readings",
            result: "the interval of their standard deviation",
        });
    }
    let upper = level.upper_probability();
    let [lower, upper] = [upper, 1.0 - upper]
        .map(|probability| (squares / chi_squared_quantile(probability, degrees)).sqrt());
    let standard_deviation_of_difference = SQRT_2 * standard_deviation;
    Ok(WithinSubject {
        targets: repeated.len(),
        readings,
        targets_read_once: targets
            .iter()
            .filter(|target| target.as_ref().len() == 1)
            .count(),
        degrees,
        standard_deviation,
        interval: Interval {
            lower,
            upper,
            level,
        },
        standard_deviation_of_difference,
        repeatability_coefficient: multiplier * standard_deviation_of_difference,
    })
}

fn squares_about_mean(readings: &[f64]) -> f64 {
    let mean = readings.iter().sum::<f64>() / readings.len() as f64;
    readings
        .iter()
        .map(|reading| (reading - mean).powi(2))
        .sum()
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;
    use crate::{
        MULTIPLIER_OF_1986, MeanSquares, Table, USUAL_MULTIPLIER,
        limits::tests::{LARGE, MINI},
    };

    fn within<R: AsRef<[f64]>>(targets: &[R], multiplier: f64) -> WithinSubject {
        within_subject(targets, multiplier, ConfidenceLevel::NINETY_FIVE).expect("repeats")
    }

    #[test]
    fn both_meters_repeat_as_bland_and_altman_found() {
        // Published: standard deviations of the differences between repeats of 21.6 and 28.2 litres a minute; from
        // memory of the paper twice as much as the coefficients, 43.2 and 56.4. The closer digits are computed from
        // the data.
        let large = within(&LARGE, MULTIPLIER_OF_1986);
        assert_close(
            large.standard_deviation_of_difference,
            21.6,
            0.05,
            "large, published",
        );
        assert_close(
            large.standard_deviation_of_difference,
            21.647,
            5e-4,
            "large",
        );
        assert_close(
            large.standard_deviation,
            15.3067,
            5e-5,
            "large, within people",
        );
        assert_close(
            large.repeatability_coefficient,
            43.2,
            0.1,
            "large, published",
        );
        let mini = within(&MINI, MULTIPLIER_OF_1986);
        assert_close(
            mini.standard_deviation_of_difference,
            28.2,
            0.05,
            "mini, published",
        );
        assert_close(mini.standard_deviation_of_difference, 28.158, 5e-4, "mini");
        assert_close(
            mini.repeatability_coefficient,
            56.4,
            0.1,
            "mini, from memory",
        );
        let usual = within(&LARGE, USUAL_MULTIPLIER);
        assert_close(
            usual.repeatability_coefficient,
            42.428,
            5e-4,
            "large, with 1.96",
        );
        assert_close(usual.degrees, 17.0, 0.0, "34 readings of 17 people");
    }

    #[test]
    fn targets_read_once_are_counted_and_say_nothing() {
        let uneven = [vec![1.0, 3.0], vec![7.0], vec![4.0, 5.0, 9.0]];
        let found = within(&uneven, USUAL_MULTIPLIER);
        // Squares about the means: 2 and 14, with 1 and 2 degrees of freedom.
        assert_close(
            found.standard_deviation,
            (16.0_f64 / 3.0).sqrt(),
            1e-12,
            "by hand",
        );
        assert_eq!(
            (found.targets, found.readings, found.targets_read_once),
            (2, 5, 1),
            "what counts"
        );
        let once = [[1.0], [2.0]];
        let problem = within_subject(&once, 1.96, ConfidenceLevel::NINETY_FIVE);
        assert!(
            matches!(problem, Err(AgreementError::TooFew { .. })),
            "{problem:?}"
        );
        let same = [[0.1, 0.1, 0.1], [0.7, 0.7, 0.7]];
        let problem = within_subject(&same, 1.96, ConfidenceLevel::NINETY_FIVE);
        assert!(
            matches!(problem, Err(AgreementError::NoVariance { .. })),
            "{problem:?}"
        );
    }

    #[test]
    fn the_interval_is_that_of_the_variance_by_chi_squared() {
        // Ten degrees of freedom: χ² 20.483 and 3.247 of any printed table.
        let eleven: Vec<f64> = (0..11).map(f64::from).collect();
        let found = within(&[eleven], USUAL_MULTIPLIER);
        assert_close(
            found.interval.lower,
            (110.0_f64 / 20.483).sqrt(),
            1e-4,
            "lower",
        );
        assert_close(
            found.interval.upper,
            (110.0_f64 / 3.247).sqrt(),
            1e-3,
            "upper",
        );
    }

    proptest! {
        #[test]
        fn it_is_the_root_of_the_mean_square_within_targets(
            rows in proptest::collection::vec(proptest::collection::vec(-50.0..50.0, 3), 2..20),
        ) {
            let found = within(&rows, USUAL_MULTIPLIER);
            let squares = MeanSquares::of(&Table::from_rows(&rows).expect("a table")).expect("spread");
            prop_assert!(
                (found.standard_deviation.powi(2) - squares.within_targets).abs() < 1e-9,
                "{found:?} and {squares:?}"
            );
        }
    }
}
