//! How many misses are acceptable, and what each reading therefore scores.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, Chart};

/// The two rates of misses that a chart tells apart, as shares of all readings.
///
/// What counts as a miss is the caller's choice, for example further than a stated limit from a reference.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "(f64, f64)", into = "(f64, f64)")]
pub struct MissRates {
    acceptable: f64,
    unacceptable: f64,
}

impl MissRates {
    /// 10 % adequate, 20 % inadequate: Biau, Williams, Schlup, Nizard, Porcher, Br J Surg 2008;95:925–929.
    pub const OF_BIAU: Self = Self {
        acceptable: 0.10,
        unacceptable: 0.20,
    };

    /// 5 % acceptable, 15 % unacceptable, as in a study of residents (PMC4188705).
    pub const OF_RESIDENTS: Self = Self {
        acceptable: 0.05,
        unacceptable: 0.15,
    };

    /// An acceptable rate p₀ and an unacceptable one p₁.
    ///
    /// # Errors
    /// [`AgreementError::Unusable`] unless 0 < p₀ < p₁ < 1.
    pub fn new(acceptable: f64, unacceptable: f64) -> Result<Self, AgreementError> {
        share("the acceptable rate of misses", acceptable)?;
        share("the unacceptable rate of misses", unacceptable)?;
        if unacceptable <= acceptable {
            return Err(AgreementError::Unusable {
                what: "the unacceptable rate of misses",
                value: unacceptable,
                allowed: "above the acceptable rate",
            });
        }
        Ok(Self {
            acceptable,
            unacceptable,
        })
    }

    /// The acceptable rate, p₀.
    #[must_use]
    pub fn acceptable(self) -> f64 {
        self.acceptable
    }

    /// The unacceptable rate, p₁.
    #[must_use]
    pub fn unacceptable(self) -> f64 {
        self.unacceptable
    }

    /// What a miss and a hit add to a chart.
    ///
    /// ```text
    /// misses:      miss ln(p₁ / p₀),   hit ln((1 − p₁) / (1 − p₀))
    /// competence:  the same with opposite signs
    /// ```
    ///
    /// They are the logarithms of how much likelier the reading is under one rate than under the other
    /// (Page, Biometrika 1954;41:100–115).
    #[must_use]
    pub fn scores(self, chart: Chart) -> Scores {
        let miss = (self.unacceptable / self.acceptable).ln();
        let hit = ((1.0 - self.unacceptable) / (1.0 - self.acceptable)).ln();
        match chart {
            Chart::Misses => Scores { miss, hit },
            Chart::Competence => Scores {
                miss: -miss,
                hit: -hit,
            },
        }
    }
}

impl TryFrom<(f64, f64)> for MissRates {
    type Error = AgreementError;

    fn try_from((acceptable, unacceptable): (f64, f64)) -> Result<Self, AgreementError> {
        Self::new(acceptable, unacceptable)
    }
}

impl From<MissRates> for (f64, f64) {
    fn from(rates: MissRates) -> Self {
        (rates.acceptable, rates.unacceptable)
    }
}

/// Refuses what is no share between none and all.
pub(super) fn share(what: &'static str, value: f64) -> Result<(), AgreementError> {
    if value > 0.0 && value < 1.0 {
        return Ok(());
    }
    Err(AgreementError::Unusable {
        what,
        value,
        allowed: "above 0 and below 1",
    })
}

/// What each reading adds to a chart, without unit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Scores {
    /// For a miss.
    pub miss: f64,
    /// For a hit.
    pub hit: f64,
}

#[cfg(test)]
mod tests {
    use std::f64::consts::LN_2;

    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn scores_are_the_logarithms_of_the_ratios() {
        // Computed from the formula, to four digits, for the rates that papers use.
        for (acceptable, unacceptable, miss, hit) in [
            (0.05, 0.15, 1.0986, -0.1112),
            (0.10, 0.20, LN_2, -0.1178),
            (0.10, 0.30, 1.0986, -0.2513),
        ] {
            let rates = MissRates::new(acceptable, unacceptable).expect("rates");
            let scores = rates.scores(Chart::Misses);
            let what = format!("{acceptable} and {unacceptable}");
            assert_close(scores.miss, miss, 5e-5, &what);
            assert_close(scores.hit, hit, 5e-5, &what);
        }
        let learning = MissRates::OF_BIAU.scores(Chart::Competence);
        assert_close(learning.hit, 0.1178, 5e-5, "a success of a learner");
        assert_close(learning.miss, -LN_2, 5e-5, "a failure of a learner");
    }

    #[test]
    fn rates_that_cannot_be_told_apart_are_refused() {
        for (acceptable, unacceptable) in [
            (0.0, 0.2),
            (0.1, 1.0),
            (0.2, 0.2),
            (0.3, 0.2),
            (f64::NAN, 0.2),
            (0.1, f64::NAN),
        ] {
            let rates = MissRates::new(acceptable, unacceptable);
            assert!(
                matches!(rates, Err(AgreementError::Unusable { .. })),
                "{acceptable} and {unacceptable} give {rates:?}"
            );
        }
        let read = serde_json::from_str::<MissRates>("[0.2, 0.1]");
        assert!(read.is_err(), "stored rates are checked: {read:?}");
    }
}
