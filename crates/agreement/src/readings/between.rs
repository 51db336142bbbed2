//! One value for each target and reader, to compare readers with each other.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::{AgreementError, Table, table::at_least};

use super::{ByReader, LeftOutReader, Reading, by_reader, count};

/// Which value stands for a target that a reader read more than once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum OneValue {
    /// The first, which is what a single reading is worth. Later ones are left out and counted.
    First,
    /// The mean of all, which is what that many readings are worth: steadier than a single one.
    Mean,
}

/// A target that the table leaves out because not every reader read it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct IncompleteTarget {
    /// The target.
    pub target: usize,
    /// Who did not read it, in ascending order.
    pub not_read_by: Vec<usize>,
    /// How many readings of it by the other readers are left out.
    pub readings: usize,
}

/// A full table of one value for each target and reader, and what it leaves out.
///
/// Every reading given is in exactly one of [`readings_used`](Self::readings_used),
/// [`later_readings_left_out`](Self::later_readings_left_out), a left-out reader or a left-out target.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BetweenReaders {
    /// The values: a row for each of `targets`, a column for each of `readers`.
    pub table: Table,
    /// The targets that every reader of the table read, ascending.
    pub targets: Vec<usize>,
    /// The readers of the table, ascending.
    pub readers: Vec<usize>,
    /// Which value stands for repeated readings.
    pub one_value: OneValue,
    /// The smallest and the largest number of readings that one value of the table stands for.
    pub readings_a_value: (usize, usize),
    /// How many readings the table stands on.
    pub readings_used: usize,
    /// How many readings were left out because an earlier one stands for the target.
    pub later_readings_left_out: usize,
    /// Readers who read too few targets.
    pub readers_left_out: Vec<LeftOutReader>,
    /// Targets that not every remaining reader read.
    pub targets_left_out: Vec<IncompleteTarget>,
}

impl BetweenReaders {
    /// How many readings were given and are not in the table, for whatever reason.
    #[must_use]
    pub fn readings_left_out(&self) -> usize {
        let readers: usize = self.readers_left_out.iter().map(|out| out.readings).sum();
        let targets: usize = self.targets_left_out.iter().map(|out| out.readings).sum();
        self.later_readings_left_out + readers + targets
    }
}

/// The table in which readers are compared with each other.
///
/// First, readers who read fewer than `least_targets` targets are left out by name, so that one who only began does
/// not empty the table. Then only targets that every remaining reader read are kept (listwise deletion): the analysis
/// of variance behind [`MeanSquares`](crate::MeanSquares) needs full tables, and filling gaps would invent readings.
/// That is honest where a reading is missing by chance; where readers left out what was hard, agreement looks better
/// than it is. `least_targets` of 0 counts as 1.
///
/// # Errors
/// [`AgreementError::NotANumber`] and [`AgreementError::Duplicate`] for what was given;
/// [`AgreementError::TooFew`] when no reader, or no target that all of them read, is left.
pub fn between_readers(
    readings: &[Reading],
    one_value: OneValue,
    least_targets: usize,
) -> Result<BetweenReaders, AgreementError> {
    let needed = least_targets.max(1);
    let (kept, few): (ByReader, ByReader) = by_reader(readings)?
        .into_iter()
        .partition(|(_, targets)| targets.len() >= needed);
    at_least("readers with enough targets", kept.len(), 1)?;
    let (targets, targets_left_out) = complete_targets(&kept);
    at_least("targets read by every reader", targets.len(), 1)?;

    let cells: Vec<Vec<&[f64]>> = targets
        .iter()
        .map(|target| kept.values().map(|reader| &reader[target][..]).collect())
        .collect();
    let rows: Vec<Vec<f64>> = cells
        .iter()
        .map(|row| row.iter().map(|cell| one_of(cell, one_value)).collect())
        .collect();
    let sizes = || cells.iter().flatten().map(|cell| cell.len());
    let all: usize = sizes().sum();
    let (readings_used, readings_a_value) = match one_value {
        OneValue::First => (cells.len() * kept.len(), (1, 1)),
        OneValue::Mean => {
            let (least, most) = (sizes().min(), sizes().max());
            (all, (least.unwrap_or_default(), most.unwrap_or_default()))
        }
    };
    Ok(BetweenReaders {
        table: Table::from_rows(&rows)?,
        targets,
        readers: kept.keys().copied().collect(),
        one_value,
        readings_a_value,
        readings_used,
        later_readings_left_out: all - readings_used,
        readers_left_out: few
            .iter()
            .map(|(reader, targets)| LeftOutReader {
                reader: *reader,
                targets: targets.len(),
                needed,
                readings: count(targets),
            })
            .collect(),
        targets_left_out,
    })
}

fn one_of(cell: &[f64], one_value: OneValue) -> f64 {
    match one_value {
        OneValue::First => cell[0],
        OneValue::Mean => cell.iter().sum::<f64>() / cell.len() as f64,
    }
}

/// The targets that every reader read, and the others.
fn complete_targets(readers: &ByReader) -> (Vec<usize>, Vec<IncompleteTarget>) {
    let all: BTreeSet<usize> = readers.values().flat_map(BTreeMap::keys).copied().collect();
    let mut complete = Vec::new();
    let mut incomplete = Vec::new();
    for target in all {
        let not_read_by: Vec<usize> = readers
            .iter()
            .filter(|(_, targets)| !targets.contains_key(&target))
            .map(|(reader, _)| *reader)
            .collect();
        if not_read_by.is_empty() {
            complete.push(target);
            continue;
        }
        let readings = readers
            .values()
            .filter_map(|targets| targets.get(&target))
            .map(Vec::len)
            .sum();
        incomplete.push(IncompleteTarget {
            target,
            not_read_by,
            readings,
        });
    }
    (complete, incomplete)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn reading(target: usize, reader: usize, repeat: usize, value: f64) -> Reading {
        Reading {
            target,
            reader,
            repeat,
            value,
        }
    }

    /// Readers 10 and 20 read targets 1 to 3, reader 20 not target 2; 10 read target 1 twice; 30 only began.
    fn uneven() -> Vec<Reading> {
        vec![
            reading(3, 10, 0, 33.0),
            reading(1, 10, 5, 14.0),
            reading(1, 10, 2, 12.0),
            reading(2, 10, 0, 22.0),
            reading(1, 20, 0, 15.0),
            reading(3, 20, 0, 35.0),
            reading(2, 30, 0, 29.0),
        ]
    }

    #[test]
    fn only_targets_that_all_read_are_kept_and_the_rest_is_named() {
        let between = between_readers(&uneven(), OneValue::First, 2).expect("a table");
        assert_eq!(between.targets, [1, 3], "complete targets");
        assert_eq!(between.readers, [10, 20], "readers with two targets");
        assert_eq!(
            between.table,
            Table::from_rows(&[[12.0, 15.0], [33.0, 35.0]]).expect("a table"),
            "the first reading of each"
        );
        assert_eq!(
            between.targets_left_out,
            [IncompleteTarget {
                target: 2,
                not_read_by: vec![20],
                readings: 1
            }],
            "reader 20 did not read target 2"
        );
        assert_eq!(
            between.readers_left_out,
            [LeftOutReader {
                reader: 30,
                targets: 1,
                needed: 2,
                readings: 1
            }],
            "reader 30 read one"
        );
        assert_eq!(between.later_readings_left_out, 1, "the second of target 1");
        assert_eq!(between.readings_left_out(), 3, "of seven");
    }

    #[test]
    fn the_mean_stands_on_all_repeats_and_says_how_many() {
        let between = between_readers(&uneven(), OneValue::Mean, 2).expect("a table");
        assert_eq!(
            between.table,
            Table::from_rows(&[[13.0, 15.0], [33.0, 35.0]]).expect("a table"),
            "12 and 14 come to 13"
        );
        assert_eq!(between.readings_a_value, (1, 2), "one or two readings");
        assert_eq!(between.later_readings_left_out, 0, "none is left out");
    }

    #[test]
    fn without_a_common_target_there_is_no_table() {
        let apart = [reading(1, 1, 0, 1.0), reading(2, 2, 0, 2.0)];
        let problem = between_readers(&apart, OneValue::First, 1);
        assert!(
            matches!(problem, Err(AgreementError::TooFew { found: 0, .. })),
            "{problem:?}"
        );
        let problem = between_readers(&apart, OneValue::First, 2);
        assert!(problem.is_err(), "nobody read two: {problem:?}");
        assert!(
            between_readers(&[], OneValue::First, 0).is_err(),
            "no reading at all"
        );
    }

    proptest! {
        #[test]
        fn every_reading_is_used_or_accounted_for(
            present in proptest::collection::btree_set((0..6_usize, 0..4_usize, 0..3_usize), 1..60),
            least in 0..5_usize,
            mean: bool,
        ) {
            let readings: Vec<Reading> = present
                .iter()
                .map(|(target, reader, repeat)| reading(*target, *reader, *repeat, 1.0))
                .collect();
            let one_value = if mean { OneValue::Mean } else { OneValue::First };
            if let Ok(between) = between_readers(&readings, one_value, least) {
                prop_assert_eq!(
                    between.readings_used + between.readings_left_out(),
                    readings.len(),
                    "used and left out are all"
                );
                let named = between.targets.len() + between.targets_left_out.len();
                let kept: BTreeSet<usize> = readings
                    .iter()
                    .filter(|reading| between.readers.contains(&reading.reader))
                    .map(|reading| reading.target)
                    .collect();
                prop_assert_eq!(named, kept.len(), "each target is kept or named");
            }
        }
    }
}
