//! The normal distribution, where probabilities come from.

/// Standard deviations on either side of the mean that hold 95 % of a normal distribution.
pub const TWO_SIDED_95: f64 = 1.959_963_984_540_054;

/// The probability that a normal variable stays below `limit`.
///
/// With no spread at all it is 0 or 1; at the limit itself `included` says which.
pub(crate) fn probability_below(limit: f64, included: bool, mean: f64, sd: f64) -> f64 {
    if sd > 0.0 {
        // The complementary error function keeps its digits in the lower tail.
        0.5 * libm::erfc((mean - limit) / (sd * std::f64::consts::SQRT_2))
    } else if mean < limit || (included && mean <= limit) {
        1.0
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ninety_five_per_cent_lie_within_one_point_ninety_six() {
        let within = probability_below(TWO_SIDED_95, true, 0.0, 1.0)
            - probability_below(-TWO_SIDED_95, true, 0.0, 1.0);
        assert!((within - 0.95).abs() < 1e-15, "{within}");
    }

    #[test]
    fn without_spread_the_limit_itself_decides() {
        let below = |included, mean| probability_below(9.0, included, mean, 0.0);
        assert!((below(true, 9.0) - 1.0).abs() < f64::EPSILON, "included");
        assert!(below(false, 9.0).abs() < f64::EPSILON, "not included");
        assert!(below(true, 9.1).abs() < f64::EPSILON, "above");
    }
}
