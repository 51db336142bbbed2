//! The repeats of each reader, to compare a reader with himself or herself.

use serde::{Deserialize, Serialize};

use crate::{AgreementError, Table, table::at_least};

use super::{LeftOutReader, Reading, by_reader, count};

/// One reader's repeats: a full table of targets by repeats, and what it leaves out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WithinReader {
    /// The reader.
    pub reader: usize,
    /// The values: a row for each of `targets`; the columns are the first, second and further time that the reader
    /// read the target.
    pub table: Table,
    /// The targets that the reader read often enough, ascending.
    pub targets: Vec<usize>,
    /// Targets that the reader read too rarely, ascending, each with how often.
    pub targets_left_out: Vec<(usize, usize)>,
    /// How many readings were left out with those targets.
    pub readings_of_left_out_targets: usize,
    /// How many readings were left out because the table already held enough repeats of their target.
    pub later_readings_left_out: usize,
}

/// The repeats of all readers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WithinReaders {
    /// The readers with enough repeated targets, ascending.
    pub readers: Vec<WithinReader>,
    /// The readers with too few.
    pub readers_left_out: Vec<LeftOutReader>,
}

/// For each reader the table of the first `repeats` readings of every target that was read so often.
///
/// Repeats are taken in the order of their numbers, whatever these are. Targets read too rarely are left out and
/// named; a reader with fewer than `least_targets` targets (0 counts as 1) is left out and named. Where the number of
/// repeats differs from target to target and all shall count, [`within_subject`](crate::within_subject) takes them
/// as they are.
///
/// # Errors
/// [`AgreementError::NotANumber`] and [`AgreementError::Duplicate`] for what was given,
/// [`AgreementError::TooFew`] for fewer than two repeats, which repeat nothing.
pub fn within_readers(
    readings: &[Reading],
    repeats: usize,
    least_targets: usize,
) -> Result<WithinReaders, AgreementError> {
    at_least("repeats", repeats, 2)?;
    let needed = least_targets.max(1);
    let mut within = WithinReaders {
        readers: Vec::new(),
        readers_left_out: Vec::new(),
    };
    for (reader, targets) in by_reader(readings)? {
        let enough: Vec<(usize, &Vec<f64>)> = targets
            .iter()
            .filter(|(_, values)| values.len() >= repeats)
            .map(|(target, values)| (*target, values))
            .collect();
        if enough.len() < needed {
            within.readers_left_out.push(LeftOutReader {
                reader,
                targets: enough.len(),
                needed,
                readings: count(&targets),
            });
            continue;
        }
        let rows: Vec<&[f64]> = enough
            .iter()
            .map(|(_, values)| &values[..repeats])
            .collect();
        let targets_left_out: Vec<(usize, usize)> = targets
            .iter()
            .filter(|(_, values)| values.len() < repeats)
            .map(|(target, values)| (*target, values.len()))
            .collect();
        within.readers.push(WithinReader {
            reader,
            table: Table::from_rows(&rows)?,
            targets: enough.iter().map(|(target, _)| *target).collect(),
            readings_of_left_out_targets: targets_left_out.iter().map(|(_, times)| times).sum(),
            targets_left_out,
            later_readings_left_out: enough.iter().map(|(_, all)| all.len() - repeats).sum(),
        });
    }
    Ok(within)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reader 1 read target 7 three times, target 8 twice, target 9 once; reader 2 read target 7 once.
    fn uneven() -> Vec<Reading> {
        [
            (8, 1, 1, 82.0),
            (8, 1, 0, 81.0),
            (7, 1, 4, 74.0),
            (7, 1, 0, 71.0),
            (7, 1, 2, 72.0),
            (9, 1, 0, 91.0),
            (7, 2, 0, 70.0),
        ]
        .map(|(target, reader, repeat, value)| Reading {
            target,
            reader,
            repeat,
            value,
        })
        .to_vec()
    }

    #[test]
    fn targets_read_often_enough_are_kept_in_the_order_of_their_repeats() {
        let within = within_readers(&uneven(), 2, 2).expect("tables");
        let [reader] = &within.readers[..] else {
            panic!("one reader repeated two targets: {within:?}")
        };
        assert_eq!(reader.reader, 1, "who");
        assert_eq!(
            reader.table,
            Table::from_rows(&[[71.0, 72.0], [81.0, 82.0]]).expect("a table"),
            "the first two of each"
        );
        assert_eq!(reader.targets, [7, 8], "what was read twice");
        assert_eq!(reader.targets_left_out, [(9, 1)], "read once");
        assert_eq!(reader.readings_of_left_out_targets, 1, "of target 9");
        assert_eq!(
            reader.later_readings_left_out, 1,
            "the third time of target 7"
        );
        assert_eq!(
            within.readers_left_out,
            [LeftOutReader {
                reader: 2,
                targets: 0,
                needed: 2,
                readings: 1
            }],
            "reader 2 repeated nothing"
        );
    }

    #[test]
    fn one_reading_is_no_repeat() {
        let problem = within_readers(&uneven(), 1, 1);
        assert!(
            matches!(problem, Err(AgreementError::TooFew { needed: 2, .. })),
            "{problem:?}"
        );
    }
}
