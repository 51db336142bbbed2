//! A full table of readings.

use serde::{Deserialize, Serialize};

use crate::AgreementError;

/// A rectangular table of finite numbers without gaps: a row for each target, a column for each reader or repeat.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<Vec<f64>>", into = "Vec<Vec<f64>>")]
pub struct Table {
    columns: usize,
    values: Vec<f64>,
}

impl Table {
    /// A table from its rows.
    ///
    /// # Errors
    /// [`AgreementError::TooFew`] without a row or without a column, [`AgreementError::Ragged`] where a row differs
    /// in length from the first, [`AgreementError::NotANumber`] where a value is not finite.
    pub fn from_rows<R: AsRef<[f64]>>(rows: &[R]) -> Result<Self, AgreementError> {
        let columns = rows.first().map_or(0, |row| row.as_ref().len());
        at_least("rows", rows.len(), 1)?;
        at_least("columns", columns, 1)?;
        let mut values = Vec::with_capacity(rows.len() * columns);
        for (number, row) in rows.iter().enumerate() {
            let row = row.as_ref();
            if row.len() != columns {
                return Err(AgreementError::Ragged {
                    row: number,
                    found: row.len(),
                    expected: columns,
                });
            }
            values.extend_from_slice(row);
        }
        finite(&values)?;
        Ok(Self { columns, values })
    }

    /// How many targets.
    #[must_use]
    pub fn row_count(&self) -> usize {
        self.values.len() / self.columns
    }

    /// How many readers or repeats.
    #[must_use]
    pub fn column_count(&self) -> usize {
        self.columns
    }

    /// The readings of each target, in order.
    #[must_use]
    pub fn rows(&self) -> impl ExactSizeIterator<Item = &[f64]> {
        self.values.chunks_exact(self.columns)
    }

    /// The readings by one reader or in one repeat, target by target; nothing for a column that is not there.
    pub fn column(&self, column: usize) -> impl Iterator<Item = f64> {
        self.rows().filter_map(move |row| row.get(column).copied())
    }

    /// All values, row by row.
    #[must_use]
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// What two columns hold of each target, for [`limits_of_agreement`](crate::limits_of_agreement); nothing where
    /// one of them is not there.
    #[must_use]
    pub fn pairs(&self, first: usize, second: usize) -> Vec<(f64, f64)> {
        self.column(first).zip(self.column(second)).collect()
    }
}

impl TryFrom<Vec<Vec<f64>>> for Table {
    type Error = AgreementError;

    fn try_from(rows: Vec<Vec<f64>>) -> Result<Self, AgreementError> {
        Self::from_rows(&rows)
    }
}

impl From<Table> for Vec<Vec<f64>> {
    fn from(table: Table) -> Self {
        table.rows().map(<[f64]>::to_vec).collect()
    }
}

/// Refuses a list that holds an infinite value or none.
pub(crate) fn finite(values: &[f64]) -> Result<(), AgreementError> {
    let unusable = values.iter().position(|value| !value.is_finite());
    unusable.map_or(Ok(()), |reading| {
        Err(AgreementError::NotANumber {
            reading,
            value: values[reading],
        })
    })
}

/// Refuses to judge too few.
pub(crate) fn at_least(
    what: &'static str,
    found: usize,
    needed: usize,
) -> Result<(), AgreementError> {
    if found < needed {
        return Err(AgreementError::TooFew {
            what,
            found,
            needed,
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_has_no_gaps_and_only_numbers() {
        let ragged = Table::from_rows(&[vec![1.0, 2.0], vec![3.0]]);
        assert_eq!(
            ragged,
            Err(AgreementError::Ragged {
                row: 1,
                found: 1,
                expected: 2
            }),
            "a gap"
        );
        for value in [f64::NAN, f64::INFINITY] {
            let unusable = Table::from_rows(&[[1.0, 2.0], [value, 4.0]]);
            assert!(
                matches!(unusable, Err(AgreementError::NotANumber { reading: 2, .. })),
                "{value} gives {unusable:?}"
            );
        }
        assert!(Table::from_rows::<[f64; 2]>(&[]).is_err(), "no row");
        assert!(Table::from_rows(&[[0.0; 0]]).is_err(), "no column");
    }

    #[test]
    fn a_table_is_written_as_its_rows_and_read_again() {
        let table = Table::from_rows(&[[1.0, 2.0], [3.0, 4.0]]).expect("a table");
        let written = serde_json::to_string(&table).expect("written");
        assert_eq!(written, "[[1.0,2.0],[3.0,4.0]]", "its rows");
        let read: Table = serde_json::from_str(&written).expect("read");
        assert_eq!(read, table, "the same table");
        assert_eq!(
            read.pairs(1, 0),
            [(2.0, 1.0), (4.0, 3.0)],
            "pairs of columns"
        );
        assert_eq!(read.pairs(0, 2), [], "a column that is not there");
    }
}
