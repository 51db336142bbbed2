//! A coefficient in a word.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::{Coefficient, Interval};

/// How reliable readings are, after Koo, Li, J Chiropr Med 2016;15:155–163.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Reliability {
    /// Below 0.5.
    Poor,
    /// From 0.5 to below 0.75.
    Moderate,
    /// From 0.75 to 0.9.
    Good,
    /// Above 0.9.
    Excellent,
}

impl Reliability {
    /// The word for a coefficient.
    #[must_use]
    pub fn of(coefficient: f64) -> Self {
        if coefficient > 0.9 {
            Self::Excellent
        } else if coefficient >= 0.75 {
            Self::Good
        } else if coefficient >= 0.5 {
            Self::Moderate
        } else {
            Self::Poor
        }
    }
}

impl fmt::Display for Reliability {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Poor => "poor",
            Self::Moderate => "moderate",
            Self::Good => "good",
            Self::Excellent => "excellent",
        })
    }
}

/// The words that an interval reaches over: Koo and Li judge the interval, not the coefficient within.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReliabilityRange {
    /// The word for the lower end.
    pub from: Reliability,
    /// The word for the upper end.
    pub to: Reliability,
}

impl ReliabilityRange {
    /// The words for both ends of an interval.
    #[must_use]
    pub fn of(interval: &Interval) -> Self {
        Self {
            from: Reliability::of(interval.lower),
            to: Reliability::of(interval.upper),
        }
    }
}

impl fmt::Display for ReliabilityRange {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.from == self.to {
            return self.from.fmt(formatter);
        }
        write!(formatter, "{} to {}", self.from, self.to)
    }
}

impl Coefficient {
    /// How reliable the readings are in words, judged on the interval, which Koo and Li mean at 95 %.
    #[must_use]
    pub fn reliability(&self) -> ReliabilityRange {
        ReliabilityRange::of(&self.interval)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        ConfidenceLevel, Form, MeanSquares, Unit, intraclass::coefficient::tests::shrout_and_fleiss,
    };

    #[test]
    fn the_words_change_at_the_published_limits() {
        for (coefficient, word) in [
            (-0.3, "poor"),
            (0.499, "poor"),
            (0.5, "moderate"),
            (0.749, "moderate"),
            (0.75, "good"),
            (0.9, "good"),
            (0.901, "excellent"),
            (1.0, "excellent"),
        ] {
            assert_eq!(
                Reliability::of(coefficient).to_string(),
                word,
                "{coefficient}"
            );
        }
    }

    #[test]
    fn an_interval_may_reach_over_several_words() {
        let squares = MeanSquares::of(&shrout_and_fleiss()).expect("the published table");
        let level = ConfidenceLevel::NINETY_FIVE;
        // The 95 % interval of ICC(3,1) of six targets is 0.34 to 0.95.
        let found = squares.coefficient(Form::TwoWayConsistency, Unit::Single, level);
        let range = found.expect("defined").reliability();
        assert_eq!(
            range.to_string(),
            "poor to excellent",
            "six targets say little"
        );
        let narrow = Interval {
            lower: 0.92,
            upper: 0.97,
            level,
        };
        assert_eq!(
            ReliabilityRange::of(&narrow).to_string(),
            "excellent",
            "one word"
        );
    }
}
