//! How far a single reading lies from the true value, in the unit of the readings.

use std::f64::consts::SQRT_2;

use serde::{Deserialize, Serialize};

use crate::{MeanSquares, USUAL_MULTIPLIER};

/// The standard error of measurement and what follows from it, in the unit of the readings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasurementError {
    /// The standard deviation of single readings of one target.
    pub standard_error: f64,
    /// The smallest difference between two single readings that is more than chance in 95 %.
    pub smallest_detectable_change: f64,
}

impl MeasurementError {
    fn of(variance: f64) -> Self {
        let standard_error = variance.sqrt();
        Self {
            standard_error,
            smallest_detectable_change: smallest_detectable_change(standard_error),
        }
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
        let of_readers = (self.between_readers - self.residual).max(0.0) / self.targets as f64;
        MeasurementError::of(of_readers + self.residual)
    }

    /// The error of a single reading where the same reader reads again, or readers' constant differences are known:
    /// √MSE. Source as of [`MeanSquares::agreement_error`].
    #[must_use]
    pub fn consistency_error(&self) -> MeasurementError {
        MeasurementError::of(self.residual)
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
