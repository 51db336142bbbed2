//! How much each disagreement counts.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, kappa::rating_pairs::check_square};

/// How much it weighs when one reader names category i and the other j. Only ratios of weights matter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum DisagreementWeights {
    /// Every disagreement weighs the same: Cohen, Educ Psychol Meas 1960;20:37–46. For categories without order.
    Plain,
    /// |i − j|: for grades whose steps weigh alike.
    Linear,
    /// (i − j)²: for ordered grades where a neighbouring grade is nearly right; the usual choice for grades, as its
    /// kappa is close to an intraclass correlation (Fleiss, Cohen, Educ Psychol Meas 1973;33:613–619).
    Quadratic,
    /// Weights of one's own, row by row for the first reader's category: Cohen, Psychol Bull 1968;70:213–220.
    Own(Vec<Vec<f64>>),
}

impl DisagreementWeights {
    /// The weights of so many categories, row by row.
    ///
    /// # Errors
    /// [`AgreementError::TooFew`] or [`AgreementError::Ragged`] where own weights are not as many by as many;
    /// [`AgreementError::UnusableWeight`] where one is negative or not finite, or agreement weighs more than 0.
    pub(super) fn of(&self, categories: usize) -> Result<Vec<f64>, AgreementError> {
        if let Self::Own(rows) = self {
            return own(rows, categories);
        }
        let cells =
            (0..categories).flat_map(|row| (0..categories).map(move |column| (row, column)));
        Ok(cells
            .map(|(row, column)| {
                let distance = row.abs_diff(column) as f64;
                match self {
                    Self::Linear => distance,
                    Self::Quadratic => distance.powi(2),
                    Self::Plain | Self::Own(_) => distance.min(1.0),
                }
            })
            .collect())
    }
}

fn own(rows: &[Vec<f64>], categories: usize) -> Result<Vec<f64>, AgreementError> {
    check_square(rows, categories)?;
    for (row, weights) in rows.iter().enumerate() {
        for (column, value) in weights.iter().copied().enumerate() {
            let usable = if row == column {
                value.abs() <= 0.0
            } else {
                value >= 0.0
            };
            if !usable || !value.is_finite() {
                return Err(AgreementError::UnusableWeight { row, column, value });
            }
        }
    }
    Ok(rows.concat())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weights_grow_with_the_distance_of_grades() {
        let of = |weights: DisagreementWeights| weights.of(3).expect("three grades");
        assert_eq!(
            of(DisagreementWeights::Plain),
            [0.0, 1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 1.0, 0.0],
            "plain"
        );
        assert_eq!(
            of(DisagreementWeights::Linear)[..3],
            [0.0, 1.0, 2.0],
            "linear"
        );
        assert_eq!(
            of(DisagreementWeights::Quadratic)[..3],
            [0.0, 1.0, 4.0],
            "quadratic"
        );
    }

    #[test]
    fn own_weights_must_weigh_agreement_as_nothing_and_disagreement_as_something_finite() {
        let of = |rows: [[f64; 2]; 2]| {
            DisagreementWeights::Own(rows.map(|row| row.to_vec()).to_vec()).of(2)
        };
        assert_eq!(
            of([[0.0, 1.0], [3.0, 0.0]]),
            Ok(vec![0.0, 1.0, 3.0, 0.0]),
            "may be one-sided"
        );
        for rows in [
            [[0.5, 1.0], [1.0, 0.0]],
            [[0.0, -1.0], [1.0, 0.0]],
            [[0.0, f64::NAN], [1.0, 0.0]],
            [[0.0, f64::INFINITY], [1.0, 0.0]],
        ] {
            let found = of(rows);
            assert!(
                matches!(found, Err(AgreementError::UnusableWeight { .. })),
                "{rows:?} gives {found:?}"
            );
        }
        let too_many = DisagreementWeights::Own(vec![vec![0.0; 2]; 2]).of(3);
        assert!(
            too_many.is_err(),
            "weights of two for three categories: {too_many:?}"
        );
    }
}
