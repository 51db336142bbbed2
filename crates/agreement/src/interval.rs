//! How sure a statistic is.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::{AgreementError, distribution::t_quantile};

/// The share of repetitions of a whole study whose interval would hold the true value, between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct ConfidenceLevel(f64);

impl ConfidenceLevel {
    /// 95 %, which almost every paper on readers states.
    pub const NINETY_FIVE: Self = Self(0.95);

    /// A level as a share of 1.
    ///
    /// # Errors
    /// [`AgreementError::Unusable`] unless it lies between 0 and 1, both excluded.
    pub fn new(share: f64) -> Result<Self, AgreementError> {
        if share > 0.0 && share < 1.0 {
            return Ok(Self(share));
        }
        Err(AgreementError::Unusable {
            what: "the confidence level",
            value: share,
            allowed: "above 0 and below 1",
        })
    }

    /// The level as a share of 1.
    #[must_use]
    pub fn share(self) -> f64 {
        self.0
    }

    /// The number within whose distance from 0 lies this share of Student's distribution with so many degrees of
    /// freedom, more than 0: 12.706 for 95 % with one, 1.96 with very many.
    #[must_use]
    pub fn student(self, degrees_of_freedom: f64) -> f64 {
        t_quantile(self.upper_probability(), degrees_of_freedom)
    }

    /// The probability below the upper end of a two-sided interval: 0.975 for 95 %.
    #[must_use]
    pub(crate) fn upper_probability(self) -> f64 {
        f64::midpoint(1.0, self.0)
    }
}

impl Default for ConfidenceLevel {
    fn default() -> Self {
        Self::NINETY_FIVE
    }
}

impl TryFrom<f64> for ConfidenceLevel {
    type Error = AgreementError;

    fn try_from(share: f64) -> Result<Self, AgreementError> {
        Self::new(share)
    }
}

impl From<ConfidenceLevel> for f64 {
    fn from(level: ConfidenceLevel) -> Self {
        level.0
    }
}

impl fmt::Display for ConfidenceLevel {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{} %", (self.0 * 1e4).round() / 1e2)
    }
}

/// A two-sided confidence interval, in the unit of what it belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Interval {
    /// The lower end.
    pub lower: f64,
    /// The upper end.
    pub upper: f64,
    /// How sure it is.
    pub level: ConfidenceLevel,
}

impl Interval {
    /// A value and as much to either side.
    pub(crate) fn around(value: f64, half: f64, level: ConfidenceLevel) -> Self {
        Self {
            lower: value - half,
            upper: value + half,
            level,
        }
    }

    /// Whether a value lies between the ends, both included.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.lower..=self.upper).contains(&value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_lies_between_none_and_certainty() {
        for share in [0.0, 1.0, 95.0, -0.1, f64::NAN] {
            assert!(ConfidenceLevel::new(share).is_err(), "{share} is no level");
        }
        assert_eq!(
            ConfidenceLevel::new(0.95),
            Ok(ConfidenceLevel::NINETY_FIVE),
            "the usual level"
        );
        assert_eq!(ConfidenceLevel::NINETY_FIVE.to_string(), "95 %", "in words");
    }

    #[test]
    fn a_stored_level_is_checked_when_it_is_read() {
        let read = serde_json::from_str::<ConfidenceLevel>("1.5");
        assert!(read.is_err(), "a level above certainty");
        let read: ConfidenceLevel = serde_json::from_str("0.9").expect("90 %");
        assert!((read.share() - 0.9).abs() < 1e-15, "90 % is read as 90 %");
    }
}
