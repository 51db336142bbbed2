//! Limits of agreement between two ways of reading.

use serde::{Deserialize, Serialize};

use crate::{
    AgreementError, ConfidenceLevel, Interval,
    distribution::t_two_sided,
    table::{at_least, finite},
};

/// Standard deviations to either side that hold 95 % of normal differences, as papers round it today.
pub const USUAL_MULTIPLIER: f64 = 1.96;

/// The same as Bland and Altman rounded it in 1986.
pub const MULTIPLIER_OF_1986: f64 = 2.0;

/// Differences that spread by less than so many roundings of the largest value do not spread.
const ROUNDINGS: f64 = 8.0;

/// One target in the plot of differences over means, in the unit of the readings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeanAndDifference {
    /// The mean of both readings, which goes across.
    pub mean: f64,
    /// The first reading less the second, which goes up.
    pub difference: f64,
}

/// Whether the difference grows or shrinks with what is read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct ProportionalBias {
    /// The correlation of difference and mean, from −1 to 1: above 0 where the first way reads ever more than the
    /// second on larger targets.
    pub correlation: f64,
    /// How much the difference changes for one unit of the mean, by least squares.
    pub slope: f64,
    /// t of the correlation.
    pub t: f64,
    /// Degrees of freedom of t: targets less two.
    pub degrees: f64,
    /// How probable a correlation at least as far from 0 is where there is none.
    pub probability: f64,
}

/// Between what two ways of reading, or two readers, differ; in the unit of the readings.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LimitsOfAgreement {
    /// Mean and difference of each target in the order given.
    pub targets: Vec<MeanAndDifference>,
    /// The mean difference, first less second.
    pub bias: f64,
    /// Its standard error, s / √n.
    pub standard_error_of_bias: f64,
    /// Its interval.
    pub bias_interval: Interval,
    /// The standard deviation s of the differences, with n − 1.
    pub standard_deviation: f64,
    /// How many standard deviations the limits lie from the bias.
    pub multiplier: f64,
    /// The lower limit.
    pub lower: f64,
    /// Its interval.
    pub lower_interval: Interval,
    /// The upper limit.
    pub upper: f64,
    /// Its interval.
    pub upper_interval: Interval,
    /// The standard error of either limit, √(3 s² / n).
    pub standard_error_of_limit: f64,
    /// Whether the difference depends on what is read; nothing for two targets or equal means, where it cannot be
    /// told.
    pub proportional_bias: Option<ProportionalBias>,
}

/// The limits of agreement of pairs of readings of the same targets, first and second.
///
/// ```text
/// bias = d̄,   limits = d̄ ± m s,   SE(bias) = s / √n,   SE(limit) = √(3 s² / n)
/// ```
///
/// d are the differences first less second, s their standard deviation, m the multiplier: [`USUAL_MULTIPLIER`] or
/// [`MULTIPLIER_OF_1986`]. Intervals are by t with n − 1 degrees of freedom. The standard error of a limit is the
/// paper's round number for multipliers near 2. The limits presume differences that are about normal and do not
/// depend on what is read: for the latter see [`ProportionalBias`], whose t is r √((n − 2) / (1 − r²)).
///
/// Source: Bland, Altman, Lancet 1986;i:307–310.
///
/// # Errors
/// [`AgreementError::TooFew`] for fewer than two targets, [`AgreementError::NotANumber`] where a reading is not finite
/// (counted first and second, pair by pair), [`AgreementError::Unusable`] for a multiplier that is not above 0,
/// [`AgreementError::NoVariance`] where all differences are equal.
pub fn limits_of_agreement(
    pairs: &[(f64, f64)],
    multiplier: f64,
    level: ConfidenceLevel,
) -> Result<LimitsOfAgreement, AgreementError> {
    at_least("targets", pairs.len(), 2)?;
    usable_multiplier(multiplier)?;
    let readings: Vec<f64> = pairs
        .iter()
        .flat_map(|(first, second)| [*first, *second])
        .collect();
    finite(&readings)?;
    let largest = readings
        .iter()
        .fold(0.0_f64, |largest, value| largest.max(value.abs()));
    let targets: Vec<MeanAndDifference> = pairs
        .iter()
        .map(|(first, second)| MeanAndDifference {
            mean: f64::midpoint(*first, *second),
            difference: first - second,
        })
        .collect();
    let spread = Spread::of(&targets);
    let n = targets.len() as f64;
    let standard_deviation = (spread.differences / (n - 1.0)).sqrt();
    if standard_deviation <= ROUNDINGS * f64::EPSILON * largest {
        return Err(AgreementError::NoVariance {
            what: "the differences",
            result: "a limit of agreement",
        });
    }
    let standard_error_of_bias = standard_deviation / n.sqrt();
    let standard_error_of_limit = (3.0 * standard_deviation.powi(2) / n).sqrt();
    let t = level.student(n - 1.0);
    let bias = spread.mean_difference;
    let [lower, upper] = [-1.0, 1.0].map(|side| bias + side * multiplier * standard_deviation);
    let around_limit = |limit| Interval::around(limit, t * standard_error_of_limit, level);
    Ok(LimitsOfAgreement {
        bias,
        standard_error_of_bias,
        bias_interval: Interval::around(bias, t * standard_error_of_bias, level),
        standard_deviation,
        multiplier,
        lower,
        lower_interval: around_limit(lower),
        upper,
        upper_interval: around_limit(upper),
        standard_error_of_limit,
        proportional_bias: spread.proportional_bias(n, largest),
        targets,
    })
}

/// Refuses a multiplier that gives no limits.
pub(crate) fn usable_multiplier(multiplier: f64) -> Result<(), AgreementError> {
    if multiplier > 0.0 && multiplier.is_finite() {
        return Ok(());
    }
    Err(AgreementError::Unusable {
        what: "the multiplier of the standard deviation",
        value: multiplier,
        allowed: "above 0 and finite, usually 1.96",
    })
}

/// Sums of squares and products about the means.
struct Spread {
    mean_difference: f64,
    differences: f64,
    means: f64,
    products: f64,
}

impl Spread {
    fn of(targets: &[MeanAndDifference]) -> Self {
        let n = targets.len() as f64;
        let mean_difference = targets.iter().map(|target| target.difference).sum::<f64>() / n;
        let mean_mean = targets.iter().map(|target| target.mean).sum::<f64>() / n;
        let mut spread = Self {
            mean_difference,
            differences: 0.0,
            means: 0.0,
            products: 0.0,
        };
        for target in targets {
            let across = target.mean - mean_mean;
            let up = target.difference - mean_difference;
            spread.differences += up.powi(2);
            spread.means += across.powi(2);
            spread.products += across * up;
        }
        spread
    }

    fn proportional_bias(&self, n: f64, largest: f64) -> Option<ProportionalBias> {
        let degrees = n - 2.0;
        let varies = (self.means / n).sqrt() > ROUNDINGS * f64::EPSILON * largest;
        if degrees < 1.0 || !varies {
            return None;
        }
        let correlation = (self.products / (self.means * self.differences).sqrt()).clamp(-1.0, 1.0);
        // Where all lies on one line t is infinite and its probability 0.
        let t = correlation * (degrees / (1.0 - correlation.powi(2))).sqrt();
        Some(ProportionalBias {
            correlation,
            slope: self.products / self.means,
            t,
            degrees,
            probability: t_two_sided(t, degrees),
        })
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use plumbray_anatomy::testing::assert_close;
    use proptest::prelude::*;

    use super::*;

    /// Peak flow in litres a minute of 17 people by two meters, twice each: Bland, Altman, Lancet 1986;i:307–310.
    pub(crate) const LARGE: [[f64; 2]; 17] = [
        [494.0, 490.0],
        [395.0, 397.0],
        [516.0, 512.0],
        [434.0, 401.0],
        [476.0, 470.0],
        [557.0, 611.0],
        [413.0, 415.0],
        [442.0, 431.0],
        [650.0, 638.0],
        [433.0, 429.0],
        [417.0, 420.0],
        [656.0, 633.0],
        [267.0, 275.0],
        [478.0, 492.0],
        [178.0, 165.0],
        [423.0, 372.0],
        [427.0, 421.0],
    ];
    pub(crate) const MINI: [[f64; 2]; 17] = [
        [512.0, 525.0],
        [430.0, 415.0],
        [520.0, 508.0],
        [428.0, 444.0],
        [500.0, 500.0],
        [600.0, 625.0],
        [364.0, 460.0],
        [380.0, 390.0],
        [658.0, 642.0],
        [445.0, 432.0],
        [432.0, 420.0],
        [626.0, 605.0],
        [260.0, 227.0],
        [477.0, 467.0],
        [259.0, 268.0],
        [350.0, 370.0],
        [451.0, 443.0],
    ];

    fn first_readings() -> Vec<(f64, f64)> {
        LARGE
            .iter()
            .zip(&MINI)
            .map(|(large, mini)| (large[0], mini[0]))
            .collect()
    }

    fn limits(pairs: &[(f64, f64)], multiplier: f64) -> LimitsOfAgreement {
        limits_of_agreement(pairs, multiplier, ConfidenceLevel::NINETY_FIVE).expect("limits")
    }

    #[test]
    fn the_two_meters_agree_as_bland_and_altman_found() {
        // Published: mean −2.1, SD 38.8, limits −79.7 and 75.5 with 2 SD from rounded numbers; from memory of the paper
        // the intervals, −22.0 to 17.8 of the bias, from −114.3 and to 110.1 of the limits. The closer digits are
        // computed from the data.
        let found = limits(&first_readings(), MULTIPLIER_OF_1986);
        assert_close(found.bias, -2.1176, 5e-5, "mean difference");
        assert_close(found.standard_deviation, 38.7651, 5e-5, "SD");
        assert_close(found.lower, -79.648, 5e-4, "lower");
        assert_close(found.upper, 75.413, 5e-4, "upper");
        assert_close(found.standard_error_of_bias, 9.4019, 5e-5, "SE of the mean");
        assert_close(
            found.standard_error_of_limit,
            16.2846,
            5e-5,
            "SE of a limit",
        );
        assert_close(found.bias_interval.lower, -22.0, 0.06, "from memory");
        assert_close(found.bias_interval.upper, 17.8, 0.06, "from memory");
        assert_close(
            found.lower_interval.lower,
            -114.3,
            0.2,
            "from memory, of rounded numbers",
        );
        assert_close(
            found.upper_interval.upper,
            110.1,
            0.2,
            "from memory, of rounded numbers",
        );
        let usual = limits(&first_readings(), USUAL_MULTIPLIER);
        assert_close(usual.lower, -78.097, 5e-4, "lower with 1.96");
        assert_close(usual.upper, 73.862, 5e-4, "upper with 1.96");
    }

    #[test]
    fn the_plot_holds_the_mean_and_difference_of_every_person() {
        let found = limits(&first_readings(), USUAL_MULTIPLIER);
        assert_eq!(found.targets.len(), 17, "people");
        let first = found.targets[0];
        assert_close(first.mean, 503.0, 0.0, "mean of 494 and 512");
        assert_close(first.difference, -18.0, 0.0, "494 less 512");
        let bias = found.proportional_bias.expect("seventeen people");
        assert!(bias.probability > 0.05, "no dependence on size: {bias:?}");
    }

    #[test]
    fn a_second_reader_who_reads_a_tenth_more_is_proportionally_biased() {
        let pairs: Vec<(f64, f64)> = [10.0, 15.0, 22.0, 30.0, 41.0]
            .iter()
            .zip([0.1, -0.2, 0.15, 0.0, -0.1])
            .map(|(value, noise)| (value * 1.1 + noise, *value))
            .collect();
        let bias = limits(&pairs, USUAL_MULTIPLIER)
            .proportional_bias
            .expect("five targets");
        assert_close(bias.slope, 0.1 / 1.05, 0.01, "a tenth of the smaller");
        assert!(bias.probability < 0.001, "{bias:?}");
        assert_close(bias.degrees, 3.0, 0.0, "five less two");
    }

    #[test]
    fn means_of_two_readings_agree_as_computed_from_the_published_data() {
        let mean = |repeats: &[f64; 2]| f64::midpoint(repeats[0], repeats[1]);
        let pairs: Vec<(f64, f64)> = LARGE
            .iter()
            .zip(&MINI)
            .map(|(large, mini)| (mean(large), mean(mini)))
            .collect();
        let found = limits(&pairs, USUAL_MULTIPLIER);
        assert_close(found.bias, -6.0294, 5e-5, "mean difference");
        assert_close(found.standard_deviation, 33.2041, 5e-5, "SD");
    }

    #[test]
    fn what_cannot_be_judged_is_said() {
        let level = ConfidenceLevel::NINETY_FIVE;
        let of = |pairs: &[(f64, f64)], multiplier| limits_of_agreement(pairs, multiplier, level);
        assert!(
            matches!(of(&[(1.0, 2.0)], 1.96), Err(AgreementError::TooFew { .. })),
            "one target"
        );
        assert!(
            matches!(
                of(&[(0.1, 0.4), (0.2, 0.5), (0.7, 1.0)], 1.96),
                Err(AgreementError::NoVariance { .. })
            ),
            "equal differences"
        );
        assert!(
            matches!(
                of(&[(0.1, 0.4), (0.2, f64::NAN)], 1.96),
                Err(AgreementError::NotANumber { reading: 3, .. })
            ),
            "no number"
        );
        for multiplier in [0.0, -2.0, f64::NAN, f64::INFINITY] {
            assert!(
                matches!(
                    of(&first_readings(), multiplier),
                    Err(AgreementError::Unusable { .. })
                ),
                "a multiplier of {multiplier}"
            );
        }
        let two = of(&[(1.0, 2.0), (3.0, 5.0)], 1.96).expect("two targets have limits");
        assert_eq!(
            two.proportional_bias, None,
            "two points always lie on a line"
        );
    }

    proptest! {
        #[test]
        fn changing_places_mirrors_the_limits_and_scaling_scales_them(
            pairs in proptest::collection::vec((-50.0..50.0, -50.0..50.0), 3..30),
            scale in 0.01..100.0,
        ) {
            let found = limits(&pairs, USUAL_MULTIPLIER);
            let swapped: Vec<(f64, f64)> =
                pairs.iter().map(|(first, second)| (second * scale, first * scale)).collect();
            let mirrored = limits(&swapped, USUAL_MULTIPLIER);
            let near = |one: f64, other: f64| (one - other).abs() < 1e-9 * f64::max(scale, 1.0);
            prop_assert!(near(mirrored.bias, -scale * found.bias), "bias");
            prop_assert!(near(mirrored.lower, -scale * found.upper), "lower");
            prop_assert!(near(mirrored.upper_interval.upper, -scale * found.lower_interval.lower), "ends");
        }
    }
}
