//! How far a single reading lies from the true value, in the unit of the readings.

use std::f64::consts::SQRT_2;

use serde::{Deserialize, Serialize};

use crate::{
    ConfidenceLevel, Interval, MeanSquares, USUAL_MULTIPLIER, distribution::chi_squared_quantile,
};

/// The standard error of measurement and what follows from it, in the unit of the readings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasurementError {
    /// The standard deviation of single readings of one target.
    pub standard_error: f64,
    /// The smallest difference between two single readings that is more than chance in 95 %.
    pub smallest_detectable_change: f64,
    /// On how many degrees of freedom the standard error stands; need not be whole.
    pub degrees: f64,
}

impl MeasurementError {
    /// The error of a sum of mean squares, each weighed and with its degrees of freedom. The sum's own are those of
    /// Satterthwaite, (Σ wᵢ MSᵢ)² / Σ ((wᵢ MSᵢ)² / dᵢ); of a single mean square that is its own d. Source: Satterthwaite,
    /// Biometrics Bull 1946;2:110–114 (from memory).
    fn of(parts: &[(f64, f64)]) -> Self {
        let variance: f64 = parts.iter().map(|(part, _)| part).sum();
        let uncertain: f64 = parts
            .iter()
            .map(|(part, degrees)| part.powi(2) / degrees)
            .sum();
        let standard_error = variance.sqrt();
        Self {
            standard_error,
            smallest_detectable_change: smallest_detectable_change(standard_error),
            degrees: if uncertain > 0.0 {
                variance.powi(2) / uncertain
            } else {
                0.0
            },
        }
    }

    /// The interval of the standard error, √(d SEM² / χ²) at the two χ² quantiles of its degrees of freedom d, in the
    /// unit of the readings; nothing where readings do not differ at all, since it would claim certainty.
    #[must_use]
    pub fn interval(&self, level: ConfidenceLevel) -> Option<Interval> {
        if self.degrees <= 0.0 {
            return None;
        }
        let upper = level.upper_probability();
        let [lower, upper] = [upper, 1.0 - upper].map(|probability| {
            let quantile = chi_squared_quantile(probability, self.degrees);
            self.standard_error * (self.degrees / quantile).sqrt()
        });
        Some(Interval {
            lower,
            upper,
            level,
        })
    }

    /// The interval of the smallest detectable change, 1.96 · √2 times that of the standard error; nothing where that
    /// has none.
    #[must_use]
    pub fn interval_of_change(&self, level: ConfidenceLevel) -> Option<Interval> {
        self.interval(level).map(|ends| Interval {
            lower: smallest_detectable_change(ends.lower),
            upper: smallest_detectable_change(ends.upper),
            level,
        })
    }
}

/// 1.96 · √2 · `standard_error`: the smallest difference between two single readings that is more than chance in 95 %,
/// in the unit of the standard error. Source: Bland, Altman, Lancet 1986;i:307–310, as the coefficient of
/// repeatability.
#[must_use]
pub fn smallest_detectable_change(standard_error: f64) -> f64 {
    USUAL_MULTIPLIER * SQRT_2 * standard_error
}

impl MeanSquares {
    /// The error of a single reading by any reader: √((MSJ − MSE) / n + MSE).
    ///
    /// Between readers' means MSJ − MSE estimates n times their variance. Where it is negative, readers' means differ
    /// less than chance would make them; their variance then counts as 0, as is common practice. Source: de Vet,
    /// Terwee, Knol, Bouter, J Clin Epidemiol 2006;59:1033–1039 (from memory).
    #[must_use]
    pub fn agreement_error(&self) -> MeasurementError {
        if self.between_readers <= self.residual {
            return self.consistency_error();
        }
        // (MSJ − MSE) / n + MSE is MSJ / n + MSE (n − 1) / n: two mean squares that know nothing of each other.
        let targets = self.targets as f64;
        let readers = self.readers as f64;
        MeasurementError::of(&[
            (self.between_readers / targets, readers - 1.0),
            (
                self.residual * (targets - 1.0) / targets,
                (targets - 1.0) * (readers - 1.0),
            ),
        ])
    }

    /// The error of a single reading where readers' constant differences are known and taken off: √MSE. It still holds
    /// all else by which readers differ, so it is not how well one reader repeats himself; that is
    /// [`crate::within_subject`]. Source as of [`MeanSquares::agreement_error`].
    #[must_use]
    pub fn consistency_error(&self) -> MeasurementError {
        let degrees = (self.targets as f64 - 1.0) * (self.readers as f64 - 1.0);
        MeasurementError::of(&[(self.residual, degrees)])
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::{Table, intraclass::coefficient::tests::shrout_and_fleiss};

    #[test]
    fn errors_of_the_published_judges_follow_from_their_mean_squares() {
        // The data of Shrout, Fleiss 1979; the numbers are computed from the formulas.
        let squares = MeanSquares::of(&shrout_and_fleiss()).expect("the published table");
        let agreement = squares.agreement_error();
        assert_close(agreement.standard_error, 2.502_78, 5e-6, "agreement");
        assert_close(
            agreement.smallest_detectable_change,
            6.937_34,
            5e-6,
            "agreement",
        );
        let consistency = squares.consistency_error();
        assert_close(consistency.standard_error, 1.009_68, 5e-6, "consistency");
        assert_close(
            consistency.smallest_detectable_change,
            2.798_68,
            5e-6,
            "consistency",
        );
    }

    #[test]
    fn an_error_has_the_interval_of_a_standard_deviation_by_its_degrees_of_freedom() {
        let squares = MeanSquares::of(&shrout_and_fleiss()).expect("the published table");
        let consistency = squares.consistency_error();
        assert_close(consistency.degrees, 15.0, 1e-9, "(6 − 1)(4 − 1)");
        // χ² with 15 degrees of freedom at 0.975 and 0.025, from any printed table.
        let ends = consistency.interval_of_change(ConfidenceLevel::NINETY_FIVE);
        let ends = ends.expect("readings that differ");
        let change = consistency.smallest_detectable_change;
        let by = |quantile: f64| change * (15.0 / quantile).sqrt();
        assert_close(ends.lower, by(27.488), 1e-4, "lower end");
        assert_close(ends.upper, by(6.262), 1e-3, "upper end");
        // MSJ/n = 32.4861/6 = 5.41435 with 3, MSE (n − 1)/n = 0.849537 with 15 degrees of freedom:
        // 6.263889² / (5.41435² / 3 + 0.849537² / 15) = 3.9956.
        let agreement = squares.agreement_error();
        assert_close(agreement.degrees, 3.9956, 1e-3, "Satterthwaite");
        let ends = agreement.interval(ConfidenceLevel::NINETY_FIVE);
        let ends = ends.expect("readings that differ");
        assert!(
            ends.holds(agreement.standard_error),
            "{ends:?} holds the error"
        );
        // χ² with 4 degrees of freedom: 11.143 and 0.4844.
        assert_close(
            ends.upper,
            2.502_78 * (4.0_f64 / 0.4844).sqrt(),
            0.02,
            "upper end",
        );
    }

    #[test]
    fn readings_that_are_all_the_same_claim_no_interval() {
        let table = Table::from_rows(&[[1.0, 1.0], [5.0, 5.0], [9.0, 9.0]]).expect("a table");
        let error = MeanSquares::of(&table).expect("spread").agreement_error();
        let ends = error.interval(ConfidenceLevel::NINETY_FIVE);
        assert!(ends.is_none(), "from however few films: {ends:?}");
    }

    #[test]
    fn readers_who_differ_less_than_chance_add_nothing() {
        let table = Table::from_rows(&[[1.0, 2.0], [5.0, 4.0], [9.0, 9.0]]).expect("a table");
        let squares = MeanSquares::of(&table).expect("spread");
        assert!(
            squares.between_readers < squares.residual,
            "means are equal: {squares:?}"
        );
        assert_eq!(
            squares.agreement_error(),
            squares.consistency_error(),
            "clamped at 0"
        );
    }
}
