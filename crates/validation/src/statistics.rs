//! What a set of errors says: bias, spread, limits, sizes, and how often a stated spread holds.

use plumbray_agreement::{AgreementError, ConfidenceLevel, USUAL_MULTIPLIER, within_subject};
pub use plumbray_measure::TWO_SIDED_95;

/// The radius in standard deviations of the circle that holds 95 % of points scattered normally and alike
/// in both directions: √(−2 ln 0.05).
pub const CIRCLE_95: f64 = 2.447_746_830_680_816;

/// Errors of one kind in a few numbers, in the unit of the errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// How many.
    pub count: usize,
    /// Their mean: above 0 when too much is read.
    pub bias: f64,
    /// Their standard deviation, with n − 1; 0 for a single error.
    pub sd: f64,
    /// Median of their sizes.
    pub median_size: f64,
    /// 95th centile of their sizes.
    pub centile_95_size: f64,
    /// The error of the greatest size, with its sign.
    pub worst: f64,
}

impl Summary {
    /// Nothing for no errors.
    #[must_use]
    pub fn of(errors: &[f64]) -> Option<Self> {
        let sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
        Some(Self {
            count: errors.len(),
            bias: mean(errors)?,
            sd: standard_deviation(errors).unwrap_or(0.0),
            median_size: quantile(&sizes, 0.5)?,
            centile_95_size: quantile(&sizes, 0.95)?,
            worst: errors
                .iter()
                .copied()
                .max_by(|one, other| one.abs().total_cmp(&other.abs()))?,
        })
    }

    /// Between which two values 95 % of such errors lie if they are normally distributed: bias ± 1.96
    /// standard deviations (Bland, Altman, Lancet 1986;i:307–310).
    #[must_use]
    pub fn limits(&self) -> (f64, f64) {
        let half = TWO_SIDED_95 * self.sd;
        (self.bias - half, self.bias + half)
    }
}

/// The mean; nothing for no values.
#[must_use]
pub fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// The standard deviation with n − 1; nothing for fewer than two values.
#[must_use]
pub fn standard_deviation(values: &[f64]) -> Option<f64> {
    let mean = mean(values).filter(|_| values.len() > 1)?;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    Some((squares / (values.len() - 1) as f64).sqrt())
}

/// The value below which this share of the values lies, between neighbours in proportion (type 7 of
/// Hyndman and Fan, Am Stat 1996;50:361–365); nothing for no values.
#[must_use]
pub fn quantile(values: &[f64], share: f64) -> Option<f64> {
    quantile_with_missing(values, 0, share)
}

/// The same, with so many values that are missing because they are too large to be told. Nothing where
/// the share reaches into them.
#[must_use]
pub fn quantile_with_missing(values: &[f64], missing: usize, share: f64) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let last = (sorted.len() + missing).checked_sub(1)?;
    let place = share.clamp(0.0, 1.0) * last as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 0 and the number of values"
    )]
    let below = place.floor() as usize;
    let part = place - place.floor();
    let lower = *sorted.get(below)?;
    if part > 0.0 {
        let upper = *sorted.get(below + 1)?;
        return Some(lower * (1.0 - part) + upper * part);
    }
    Some(lower)
}

/// Which share of the values lies within ± a limit; nothing for no values.
#[must_use]
pub fn share_within(values: &[f64], limit: f64) -> Option<f64> {
    let within = values.iter().filter(|value| value.abs() <= limit).count();
    (!values.is_empty()).then(|| within as f64 / values.len() as f64)
}

/// The standard deviation of repeated values of one thing, pooled over things: within-subject standard
/// deviation, as crate `agreement` finds it. Nothing where no thing has two values.
#[must_use]
pub fn within_groups_sd<'a>(groups: impl IntoIterator<Item = &'a [f64]>) -> Option<f64> {
    let groups: Vec<&[f64]> = groups.into_iter().collect();
    match within_subject(&groups, USUAL_MULTIPLIER, ConfidenceLevel::NINETY_FIVE) {
        Ok(found) => Some(found.standard_deviation),
        Err(AgreementError::NoVariance { .. }) => Some(0.0),
        Err(_) => None,
    }
}

/// The slope of the line of least squared vertical distances through points (x, y); nothing where all
/// x are equal.
#[must_use]
pub fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let across = mean(&points.iter().map(|point| point.0).collect::<Vec<_>>())?;
    let up = mean(&points.iter().map(|point| point.1).collect::<Vec<_>>())?;
    let (mut product, mut square) = (0.0, 0.0);
    for (x, y) in points {
        product += (x - across) * (y - up);
        square += (x - across).powi(2);
    }
    (square > 0.0).then(|| product / square)
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    /// Peak flow by two meters, first readings and second ones of the first meter (Bland, Altman,
    /// Lancet 1986;i:307–310).
    const LARGE: [f64; 17] = [
        494.0, 395.0, 516.0, 434.0, 476.0, 557.0, 413.0, 442.0, 650.0, 433.0, 417.0, 656.0, 267.0,
        478.0, 178.0, 423.0, 427.0,
    ];
    const LARGE_AGAIN: [f64; 17] = [
        490.0, 397.0, 512.0, 401.0, 470.0, 611.0, 415.0, 431.0, 638.0, 429.0, 420.0, 633.0, 275.0,
        492.0, 165.0, 372.0, 421.0,
    ];
    const SMALL: [f64; 17] = [
        512.0, 430.0, 520.0, 428.0, 500.0, 600.0, 364.0, 380.0, 658.0, 445.0, 432.0, 626.0, 260.0,
        477.0, 259.0, 350.0, 451.0,
    ];

    #[test]
    fn bias_and_limits_are_those_of_the_peak_flow_meters() {
        let differences: Vec<f64> = LARGE.iter().zip(SMALL).map(|(a, b)| a - b).collect();
        let summary = Summary::of(&differences).expect("seventeen people");
        assert_eq!(summary.count, 17, "people");
        assert_close(summary.bias, -2.1176, 1e-4, "mean difference");
        assert_close(summary.sd, 38.7651, 1e-4, "SD of the differences");
        let (low, high) = summary.limits();
        assert_close(low, -78.097, 1e-2, "lower limit");
        assert_close(high, 73.862, 1e-2, "upper limit");
        assert_close(summary.worst, -81.0, 1e-9, "the greatest difference");
    }

    #[test]
    fn repeated_readings_of_the_peak_flow_meter_have_the_published_spread() {
        let pairs: Vec<[f64; 2]> = LARGE
            .iter()
            .zip(LARGE_AGAIN)
            .map(|(a, b)| [*a, b])
            .collect();
        let sd = within_groups_sd(pairs.iter().map(<[f64; 2]>::as_slice)).expect("pairs");
        assert_close(sd, 15.3067, 1e-4, "within-subject SD");
    }

    #[test]
    fn quantiles_lie_between_neighbours_in_proportion() {
        let one_to_ten: Vec<f64> = (1..=10).rev().map(f64::from).collect();
        for (share, expected) in [
            (0.0, 1.0),
            (0.25, 3.25),
            (0.5, 5.5),
            (0.95, 9.55),
            (1.0, 10.0),
        ] {
            let value = quantile(&one_to_ten, share).expect("ten values");
            assert_close(value, expected, 1e-12, "of 1 to 10");
        }
    }

    #[test]
    fn missing_values_count_as_larger_than_all_others() {
        let values = [3.0, 1.0, 2.0];
        for (missing, share, expected) in [
            (0, 0.5, Some(2.0)),
            (2, 0.5, Some(3.0)),
            (2, 0.55, None),
            (1, 1.0, None),
        ] {
            let value = quantile_with_missing(&values, missing, share);
            assert_eq!(value, expected, "{missing} missing, share {share}");
        }
        assert_eq!(quantile_with_missing(&[], 3, 0.0), None, "all missing");
    }

    #[test]
    fn the_circle_of_95_per_cent_holds_as_many_points() {
        // Rayleigh: the share within r standard deviations is 1 − exp(−r²/2).
        let share = 1.0 - (-0.5 * CIRCLE_95 * CIRCLE_95).exp();
        assert_close(share, 0.95, 1e-12, "share");
    }

    #[test]
    fn the_share_within_a_limit_counts_both_sides_and_the_limit_itself() {
        let share = share_within(&[-2.0, -1.0, 0.0, 0.5, 3.0], 1.0).expect("five values");
        assert_close(share, 0.6, 1e-12, "three of five");
    }

    #[test]
    fn a_straight_line_has_its_slope() {
        let points: Vec<(f64, f64)> = (0..5)
            .map(|x| (f64::from(x), 2.0 - 0.4 * f64::from(x)))
            .collect();
        assert_close(slope(&points).expect("a line"), -0.4, 1e-12, "slope");
    }

    #[test]
    fn nothing_is_said_of_nothing() {
        assert_eq!(Summary::of(&[]), None, "no errors");
        assert_eq!(mean(&[]), None, "no mean");
        assert_eq!(standard_deviation(&[1.0]), None, "one value has no spread");
        assert_eq!(quantile(&[], 0.5), None, "no quantile");
        assert_eq!(share_within(&[], 1.0), None, "no share");
        assert_eq!(within_groups_sd([[1.0].as_slice()]), None, "no pair");
        assert_eq!(slope(&[(1.0, 0.0), (1.0, 5.0)]), None, "a vertical line");
    }
}
