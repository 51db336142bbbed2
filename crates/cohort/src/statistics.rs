//! Means and shares with their intervals.
//!
//! Intervals are 95 %, and hold for feet that have nothing to do with each other: two feet of one person are nearer to
//! each other, so that the true interval is somewhat wider.

use plumbray_agreement::{ConfidenceLevel, proportion};
use serde::Serialize;

/// A share of a number of feet.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Share {
    /// How many.
    pub count: u64,
    /// Of how many.
    pub of: u64,
    /// The 95 % interval of the share, from 0 to 1; nothing of none.
    pub interval: Option<(f64, f64)>,
}

impl Share {
    /// So many of so many, with Wilson's interval ([`proportion`]): within 0 and 1, and with a width also where the share
    /// is 0 or 1.
    #[must_use]
    pub fn of(count: u64, of: u64) -> Self {
        Self {
            count,
            of,
            interval: proportion(count.min(of), of, ConfidenceLevel::NINETY_FIVE)
                .ok()
                .map(|share| (share.interval.lower, share.interval.upper)),
        }
    }
}

/// A count as a number: exact up to 2⁵³.
#[expect(
    clippy::cast_precision_loss,
    reason = "no series has as many feet as a number can no longer count one by one"
)]
pub(crate) fn as_number(count: u64) -> f64 {
    count as f64
}

/// The mean of numbers that come one after another.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Mean {
    count: u64,
    mean: f64,
    /// The sum of squared distances from the mean.
    squares: f64,
}

impl Mean {
    /// Takes one more number, by Welford's way (Technometrics 1962;4:419–420, citation from memory), which keeps its
    /// digits.
    pub fn add(&mut self, number: f64) {
        self.count += 1;
        let step = number - self.mean;
        self.mean += step / as_number(self.count);
        self.squares += step * (number - self.mean);
    }

    /// How many numbers.
    #[must_use]
    pub const fn count(&self) -> u64 {
        self.count
    }

    /// Their mean; nothing of none.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        (self.count > 0).then_some(self.mean)
    }

    /// Their standard deviation, with n − 1; nothing of fewer than two.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / as_number(self.count - 1)).sqrt())
    }

    /// The 95 % interval of the mean by Student's t with n − 1 degrees of freedom; nothing of fewer than two.
    #[must_use]
    pub fn interval(&self) -> Option<(f64, f64)> {
        let sd = self.sd()?;
        let quantile = ConfidenceLevel::NINETY_FIVE.student(as_number(self.count - 1));
        let half = quantile * sd / as_number(self.count).sqrt();
        Some((self.mean - half, self.mean + half))
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn quantiles_are_those_of_the_published_table() {
        // Abramowitz and Stegun 1964, table 26.10 (from memory), the column of 0.975.
        for (degrees, quantile) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (9, 2.262),
            (10, 2.228),
            (29, 2.045),
            (30, 2.042),
            (60, 2.000),
            (120, 1.980),
        ] {
            let found = ConfidenceLevel::NINETY_FIVE.student(as_number(degrees));
            assert_close(found, quantile, 5.1e-4, &format!("{degrees}"));
        }
    }

    #[test]
    fn a_share_has_wilsons_interval() {
        // Newcombe, Stat Med 1998;17:857–872, table I (from memory).
        for (count, of, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let interval = Share::of(count, of).interval.expect("of some");
            assert_close(interval.0, low, 5.1e-5, &format!("{count} of {of}, low"));
            assert_close(interval.1, high, 5.1e-5, &format!("{count} of {of}, high"));
        }
        assert_eq!(Share::of(0, 0).interval, None, "of none");
    }

    #[test]
    fn a_mean_of_a_few_numbers_is_as_worked_out_by_hand() {
        let mut mean = Mean::default();
        assert_eq!((mean.value(), mean.sd()), (None, None), "of none");
        for number in [2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0] {
            mean.add(number);
        }
        assert_close(mean.value().expect("some"), 5.0, 1e-12, "mean");
        assert_close(
            mean.sd().expect("some"),
            (32.0_f64 / 7.0).sqrt(),
            1e-12,
            "spread",
        );
        let (low, high) = mean.interval().expect("some");
        // ± 2.3646 · 2.1381 / √8
        assert_close(high - 5.0, 1.7875, 1e-4, "upper end");
        assert_close(5.0 - low, 1.7875, 1e-4, "lower end");
    }
}
