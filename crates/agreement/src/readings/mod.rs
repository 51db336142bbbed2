//! A list of readings, as they were made, becomes full tables; what does not fit in is counted and named.

mod between;
mod within;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

pub use between::{BetweenReaders, IncompleteTarget, OneValue, between_readers};
pub use within::{WithinReader, WithinReaders, within_readers};

use crate::AgreementError;

/// One value that one reader gave one target.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What was read: any number that names it.
    pub target: usize,
    /// Who read it: any number that names the reader.
    pub reader: usize,
    /// Which of this reader's readings of this target it is: the lowest number is the first.
    pub repeat: usize,
    /// What was read, in any unit that all readings share.
    pub value: f64,
}

/// A reader whom a table leaves out because too few targets count.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeftOutReader {
    /// The reader.
    pub reader: usize,
    /// How many of the reader's targets count: read at all, or read often enough.
    pub targets: usize,
    /// How many would have been needed.
    pub needed: usize,
    /// How many readings are left out with the reader.
    pub readings: usize,
}

/// Values of one target by one reader in the order of their repeats.
type Repeats = Vec<f64>;

/// All readings: by reader, then by target.
type ByReader = BTreeMap<usize, BTreeMap<usize, Repeats>>;

/// Sorts readings; refuses what is no number and what was given twice.
fn by_reader(readings: &[Reading]) -> Result<ByReader, AgreementError> {
    let mut sorted: BTreeMap<(usize, usize, usize), f64> = BTreeMap::new();
    for (number, reading) in readings.iter().enumerate() {
        if !reading.value.is_finite() {
            return Err(AgreementError::NotANumber {
                reading: number,
                value: reading.value,
            });
        }
        let key = (reading.reader, reading.target, reading.repeat);
        if sorted.insert(key, reading.value).is_some() {
            return Err(AgreementError::Duplicate {
                target: reading.target,
                reader: reading.reader,
                repeat: reading.repeat,
            });
        }
    }
    let mut readers = ByReader::new();
    for ((reader, target, _), value) in sorted {
        let targets = readers.entry(reader).or_default();
        targets.entry(target).or_default().push(value);
    }
    Ok(readers)
}

/// How many readings of some targets there are.
fn count(targets: &BTreeMap<usize, Repeats>) -> usize {
    targets.values().map(Vec::len).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_or_was_given_twice_is_refused_by_name() {
        let reading = |repeat, value| Reading {
            target: 4,
            reader: 2,
            repeat,
            value,
        };
        let twice = between_readers(&[reading(1, 3.0), reading(1, 3.5)], OneValue::First, 1);
        assert_eq!(
            twice,
            Err(AgreementError::Duplicate {
                target: 4,
                reader: 2,
                repeat: 1
            }),
            "one repeat given twice"
        );
        for value in [f64::NAN, f64::NEG_INFINITY] {
            let given = [reading(0, 1.0), reading(1, value)];
            for problem in [
                between_readers(&given, OneValue::First, 1).err(),
                within_readers(&given, 2, 1).err(),
            ] {
                assert!(
                    matches!(problem, Some(AgreementError::NotANumber { reading: 1, .. })),
                    "{value} gives {problem:?}"
                );
            }
        }
    }
}
