//! A number with its standard deviation.

use plumbray_measure::TWO_SIDED_95;

/// A number with its standard deviation, both in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// Its standard deviation, not negative.
    pub sd: f64,
}

impl Estimate {
    /// The 95 % interval, from its lower to its upper end.
    #[must_use]
    pub fn interval(&self) -> (f64, f64) {
        let half = self.half_interval();
        (self.value - half, self.value + half)
    }

    /// Half of the 95 % interval.
    #[must_use]
    pub fn half_interval(&self) -> f64 {
        TWO_SIDED_95 * self.sd
    }

    /// The same in another unit.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            sd: self.sd * factor.abs(),
        }
    }

    /// How much larger this is than another, independent number.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        Self {
            value: self.value - other.value,
            sd: self.sd.hypot(other.sd),
        }
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn a_difference_spreads_by_the_root_of_both_variances() {
        let [one, other] = [(9.0, 0.3), (4.0, 0.4)].map(|(value, sd)| Estimate { value, sd });
        let difference = one.minus(&other);
        assert_close(difference.value, 5.0, 1e-12, "value");
        assert_close(difference.sd, 0.5, 1e-12, "spread");
        assert_close(difference.interval().0, 5.0 - 0.979_982, 1e-6, "lower end");
    }
}
