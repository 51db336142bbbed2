//! How often two readers named which categories.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, table::at_least};

/// The counts of pairs of categories: the first reader's in rows, the second's in columns.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<Vec<u32>>", into = "Vec<Vec<u32>>")]
pub struct RatingPairs {
    categories: usize,
    counts: Vec<u32>,
}

impl RatingPairs {
    /// The counts from two lists of categories, from 0, of the same targets in the same order.
    ///
    /// Categories that nobody used count as existing: for weighted kappa their place in the order matters.
    ///
    /// # Errors
    /// [`AgreementError::UnequalLists`], [`AgreementError::TooFew`] for no target or a single category,
    /// [`AgreementError::UnknownCategory`].
    pub fn from_ratings(
        first: &[usize],
        second: &[usize],
        categories: usize,
    ) -> Result<Self, AgreementError> {
        if first.len() != second.len() {
            return Err(AgreementError::UnequalLists {
                first: first.len(),
                second: second.len(),
            });
        }
        at_least("categories", categories, 2)?;
        at_least("targets", first.len(), 1)?;
        let mut counts = vec![0; categories * categories];
        for (rating, (row, column)) in first.iter().zip(second).enumerate() {
            for category in [*row, *column] {
                known(rating, category, categories)?;
            }
            counts[row * categories + column] += 1;
        }
        Ok(Self { categories, counts })
    }

    /// The counts as a square table, the first reader's categories in rows.
    ///
    /// # Errors
    /// [`AgreementError::TooFew`] for a single category, rows or nothing counted; [`AgreementError::Ragged`] where it
    /// is not square.
    pub fn from_counts<R: AsRef<[u32]>>(rows: &[R]) -> Result<Self, AgreementError> {
        at_least("categories", rows.len(), 2)?;
        check_square(rows, rows.len())?;
        let counts: Vec<u32> = rows.iter().flat_map(AsRef::as_ref).copied().collect();
        at_least(
            "targets",
            usize::from(counts.iter().any(|count| *count > 0)),
            1,
        )?;
        Ok(Self {
            categories: rows.len(),
            counts,
        })
    }

    /// How many categories there are.
    #[must_use]
    pub fn category_count(&self) -> usize {
        self.categories
    }

    /// How many targets both readers rated.
    #[must_use]
    pub fn target_count(&self) -> u64 {
        self.counts.iter().copied().map(u64::from).sum()
    }

    /// On how many targets both named the same category.
    #[must_use]
    pub fn agreement_count(&self) -> u64 {
        let same = self.counts.iter().step_by(self.categories + 1);
        same.copied().map(u64::from).sum()
    }

    /// Row by row, the share of all targets.
    pub(super) fn shares(&self) -> Vec<f64> {
        let total = self.target_count() as f64;
        self.counts
            .iter()
            .map(|count| f64::from(*count) / total)
            .collect()
    }
}

impl TryFrom<Vec<Vec<u32>>> for RatingPairs {
    type Error = AgreementError;

    fn try_from(rows: Vec<Vec<u32>>) -> Result<Self, AgreementError> {
        Self::from_counts(&rows)
    }
}

impl From<RatingPairs> for Vec<Vec<u32>> {
    fn from(pairs: RatingPairs) -> Self {
        pairs
            .counts
            .chunks_exact(pairs.categories)
            .map(<[u32]>::to_vec)
            .collect()
    }
}

/// Refuses a category that does not exist.
pub(super) fn known(
    rating: usize,
    category: usize,
    categories: usize,
) -> Result<(), AgreementError> {
    if category < categories {
        return Ok(());
    }
    Err(AgreementError::UnknownCategory {
        rating,
        category,
        categories,
    })
}

/// Refuses what is not so many rows of as many.
pub(super) fn check_square<T, R: AsRef<[T]>>(
    rows: &[R],
    categories: usize,
) -> Result<(), AgreementError> {
    at_least("rows", rows.len(), categories)?;
    let unequal = rows.iter().position(|row| row.as_ref().len() != rows.len());
    match unequal {
        None if rows.len() == categories => Ok(()),
        None => Err(AgreementError::Ragged {
            row: 0,
            found: rows.len(),
            expected: categories,
        }),
        Some(row) => Err(AgreementError::Ragged {
            row,
            found: rows[row].as_ref().len(),
            expected: categories,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_and_counts_give_the_same() {
        let listed = RatingPairs::from_ratings(&[0, 0, 1, 2, 2], &[0, 1, 1, 2, 0], 3);
        let counted = RatingPairs::from_counts(&[[1, 1, 0], [0, 1, 0], [1, 0, 1]]);
        assert_eq!(listed, counted, "five targets");
        let pairs = listed.expect("counts");
        assert_eq!(pairs.target_count(), 5, "targets");
        assert_eq!(pairs.agreement_count(), 3, "agreements");
        let written = serde_json::to_string(&pairs).expect("written");
        let read: RatingPairs = serde_json::from_str(&written).expect("read");
        assert_eq!(read, pairs, "the same after writing and reading");
    }

    #[test]
    fn what_does_not_fit_is_refused_by_its_place() {
        assert_eq!(
            RatingPairs::from_ratings(&[0, 1], &[0], 2),
            Err(AgreementError::UnequalLists {
                first: 2,
                second: 1
            }),
            "a rating is missing"
        );
        assert_eq!(
            RatingPairs::from_ratings(&[0, 1], &[0, 2], 2),
            Err(AgreementError::UnknownCategory {
                rating: 1,
                category: 2,
                categories: 2
            }),
            "a third of two categories"
        );
        assert!(RatingPairs::from_ratings(&[], &[], 2).is_err(), "no target");
        assert!(
            RatingPairs::from_ratings(&[0], &[0], 1).is_err(),
            "one category"
        );
        assert!(
            RatingPairs::from_counts(&[vec![1, 2], vec![3]]).is_err(),
            "not square"
        );
        assert!(
            RatingPairs::from_counts(&[[1, 2, 3], [4, 5, 6]]).is_err(),
            "not square"
        );
        assert!(
            RatingPairs::from_counts(&[[0, 0], [0, 0]]).is_err(),
            "nothing counted"
        );
    }
}
