//! The analysis of variance that every intraclass correlation starts from.

use serde::Serialize;

use crate::{AgreementError, Table, table::at_least};

/// Squares below (this many roundings of the largest value)² are what rounding left of equal numbers.
const ROUNDINGS: f64 = 8.0;

/// The mean squares of a full table of n targets by k readers, in the squared unit of the readings.
///
/// ```text
/// MSB = k Σᵢ (x̄ᵢ − x̄)² / (n − 1)                         between targets
/// MSJ = n Σⱼ (x̄ⱼ − x̄)² / (k − 1)                         between readers
/// MSE = Σᵢⱼ (xᵢⱼ − x̄ᵢ − x̄ⱼ + x̄)² / ((n − 1)(k − 1))       what neither explains
/// MSW = Σᵢⱼ (xᵢⱼ − x̄ᵢ)² / (n (k − 1))                     within targets
/// ```
///
/// Source: Shrout, Fleiss, Psychol Bull 1979;86:420–428. A mean square that rounding alone could have left is 0.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[non_exhaustive]
pub struct MeanSquares {
    /// How many targets, n.
    pub targets: usize,
    /// How many readers, k; repeats where the columns are one reader's repeats.
    pub readers: usize,
    /// MSB: how far targets differ, with n − 1 degrees of freedom.
    pub between_targets: f64,
    /// MSJ: how far readers differ in their means, with k − 1 degrees of freedom.
    pub between_readers: f64,
    /// MSE: what is left, with (n − 1)(k − 1) degrees of freedom.
    pub residual: f64,
    /// MSW: how far readings of one target differ for whatever reason, with n (k − 1) degrees of freedom.
    pub within_targets: f64,
}

impl MeanSquares {
    /// The mean squares of a table with a row for each target and a column for each reader or repeat.
    ///
    /// # Errors
    /// [`AgreementError::TooFew`] for one target or one reader, [`AgreementError::NoVariance`] where all targets have
    /// the same mean: there is nothing that readers could tell apart.
    pub fn of(table: &Table) -> Result<Self, AgreementError> {
        let (targets, readers) = (table.row_count(), table.column_count());
        at_least("targets", targets, 2)?;
        at_least("readers or repeats", readers, 2)?;
        let (n, k) = (targets as f64, readers as f64);
        let largest = table
            .values()
            .iter()
            .fold(0.0_f64, |largest, value| largest.max(value.abs()));
        // From the grand mean, so that a large common part costs no digits.
        let grand = mean(table.values());
        let of_targets: Vec<f64> = table.rows().map(|row| mean(row) - grand).collect();
        let of_readers: Vec<f64> = (0..readers)
            .map(|reader| table.column(reader).sum::<f64>() / n - grand)
            .collect();
        let (mut residual, mut within) = (0.0, 0.0);
        for (row, of_target) in table.rows().zip(&of_targets) {
            for (value, of_reader) in row.iter().zip(&of_readers) {
                let from_target = value - grand - of_target;
                within += from_target.powi(2);
                residual += (from_target - of_reader).powi(2);
            }
        }
        let rounding = n * k * (ROUNDINGS * f64::EPSILON * largest).powi(2);
        let mean_square = |squares: f64, degrees: f64| {
            if squares <= rounding {
                0.0
            } else {
                squares / degrees
            }
        };
        let squares = |of: &[f64]| of.iter().map(|deviation| deviation.powi(2)).sum::<f64>();
        let between_targets = mean_square(k * squares(&of_targets), n - 1.0);
        if between_targets <= 0.0 {
            return Err(AgreementError::NoVariance {
                what: "the means of the targets",
                result: "an intraclass correlation",
            });
        }
        Ok(Self {
            targets,
            readers,
            between_targets,
            between_readers: mean_square(n * squares(&of_readers), k - 1.0),
            residual: mean_square(residual, (n - 1.0) * (k - 1.0)),
            within_targets: mean_square(within, n * (k - 1.0)),
        })
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::intraclass::coefficient::tests::shrout_and_fleiss;

    #[test]
    fn the_mean_squares_are_those_of_the_published_table() {
        // Computed from the data of Shrout, Fleiss 1979, who print two digits.
        let squares = MeanSquares::of(&shrout_and_fleiss()).expect("six targets by four judges");
        assert_close(squares.between_targets, 11.2417, 5e-5, "between targets");
        assert_close(squares.within_targets, 6.2639, 5e-5, "within targets");
        assert_close(squares.between_readers, 32.4861, 5e-5, "between judges");
        assert_close(squares.residual, 1.01944, 5e-6, "residual");
    }

    #[test]
    fn a_single_target_or_reader_and_equal_targets_are_refused() {
        let of = |rows: &[Vec<f64>]| MeanSquares::of(&Table::from_rows(rows).expect("a table"));
        let one_target = of(&[vec![1.0, 2.0]]);
        assert!(
            matches!(
                one_target,
                Err(AgreementError::TooFew {
                    what: "targets",
                    ..
                })
            ),
            "{one_target:?}"
        );
        let one_reader = of(&[vec![1.0], vec![2.0]]);
        assert!(
            matches!(one_reader, Err(AgreementError::TooFew { found: 1, .. })),
            "{one_reader:?}"
        );
        for row in [[0.1, 0.1], [0.1, 0.7]] {
            let equal = of(&[row.to_vec(), row.to_vec(), row.to_vec()]);
            assert!(
                matches!(equal, Err(AgreementError::NoVariance { .. })),
                "{row:?} three times gives {equal:?}"
            );
        }
    }

    #[test]
    fn what_rounding_leaves_of_a_constant_difference_is_no_error() {
        let rows: Vec<[f64; 2]> = (0..20)
            .map(|target| f64::from(target) * 0.1)
            .map(|value| [value, value + 0.3])
            .collect();
        let squares = MeanSquares::of(&Table::from_rows(&rows).expect("a table")).expect("spread");
        assert!(squares.residual <= 0.0, "residual {}", squares.residual);
        assert_close(
            squares.between_readers,
            20.0 * 2.0 * 0.15_f64.powi(2),
            1e-12,
            "readers",
        );
    }
}
