//! The directory of a disc, a file called DICOMDIR (PS3.3 F, PS3.10 8.6): which films it holds.

use std::collections::{BTreeMap, BTreeSet};

use dicom_core::Tag;
use dicom_dictionary_std::tags;

use super::{element::DataSet, header};
use crate::error::FilmProblem;

/// The films that a directory names: for each the parts of its path, outermost first, as they stand there.
///
/// Records are walked by the offsets that chain them. Where these lead to fewer films than there are records of films,
/// as on discs whose offsets are wrong, all records are taken in the order of the file.
///
/// # Errors
/// When it is no DICOM file, is damaged, or is no directory.
pub fn films(bytes: &[u8]) -> Result<Vec<Vec<String>>, FilmProblem> {
    let located = header::locate(bytes)?;
    let data_set = DataSet::read(&located.data_set, located.encoding)?;
    if data_set.element(tags::DIRECTORY_RECORD_SEQUENCE).is_none() {
        return Err(FilmProblem::damaged(
            "DICOMDIR",
            "it has no directory records",
        ));
    }
    let start = bytes.as_ptr().addr();
    let records: BTreeMap<usize, DataSet<'_>> = data_set
        .placed_items(tags::DIRECTORY_RECORD_SEQUENCE)
        .map(|(item, record)| {
            (
                item.as_ptr().addr().wrapping_sub(start + ITEM_HEADER),
                record,
            )
        })
        .collect();
    let all = records.values().filter_map(film_of).count();
    let root = offset(&data_set, ROOT);
    let mut walk = Walk {
        records: &records,
        seen: BTreeSet::new(),
        films: Vec::new(),
        deleted: 0,
    };
    walk.along(root, 0, true);
    Ok(if walk.films.len() + walk.deleted < all {
        let kept = records.values().filter(|record| is_in_use(record));
        kept.filter_map(film_of).collect()
    } else {
        walk.films
    })
}

/// An item's tag and length come before its content.
const ITEM_HEADER: usize = 8;
const ROOT: Tag = tags::OFFSET_OF_THE_FIRST_DIRECTORY_RECORD_OF_THE_ROOT_DIRECTORY_ENTITY;
/// Patient, study, series and image are four; a few more are private.
const DEEPEST: usize = 16;

struct Walk<'a, 'file> {
    records: &'a BTreeMap<usize, DataSet<'file>>,
    /// A chain that comes back to itself ends there.
    seen: BTreeSet<usize>,
    films: Vec<Vec<String>>,
    /// How many films lie at or below records that were deleted.
    deleted: usize,
}

impl Walk<'_, '_> {
    fn along(&mut self, first: usize, depth: usize, is_kept: bool) {
        let mut next = first;
        while next != 0 && depth < DEEPEST && self.seen.insert(next) {
            let Some(record) = self.records.get(&next) else {
                return;
            };
            let is_kept = is_kept && is_in_use(record);
            match film_of(record) {
                Some(film) if is_kept => self.films.push(film),
                Some(_deleted) => self.deleted += 1,
                None => {}
            }
            let lower = tags::OFFSET_OF_REFERENCED_LOWER_LEVEL_DIRECTORY_ENTITY;
            self.along(offset(record, lower), depth + 1, is_kept);
            next = offset(record, tags::OFFSET_OF_THE_NEXT_DIRECTORY_RECORD);
        }
    }
}

fn offset(data_set: &DataSet<'_>, tag: Tag) -> usize {
    let bytes = data_set
        .element(tag)
        .and_then(|element| element.bytes.first_chunk());
    bytes.map_or(0, |bytes| data_set.encoding.u32(*bytes) as usize)
}

/// Inactive records, which were deleted, say 0.
fn is_in_use(record: &DataSet<'_>) -> bool {
    record.word(tags::RECORD_IN_USE_FLAG) != Some(0)
}

/// The path of a record that names a film.
fn film_of(record: &DataSet<'_>) -> Option<Vec<String>> {
    let kind = record.text(tags::DIRECTORY_RECORD_TYPE)?;
    let parts = record.texts(tags::REFERENCED_FILE_ID);
    (kind == "IMAGE" && !parts.is_empty()).then_some(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An explicit element in little endian.
    fn element(tag: Tag, vr: &[u8; 2], value: &[u8]) -> Vec<u8> {
        let mut bytes = [tag.group(), tag.element()].map(u16::to_le_bytes).concat();
        bytes.extend(vr);
        bytes.extend(u16::try_from(value.len()).expect("short").to_le_bytes());
        bytes.extend(value);
        bytes
    }

    fn record(next: u32, lower: u32, in_use: u16, kind: &str, file: &str) -> Vec<u8> {
        let lower_tag = tags::OFFSET_OF_REFERENCED_LOWER_LEVEL_DIRECTORY_ENTITY;
        let next_tag = tags::OFFSET_OF_THE_NEXT_DIRECTORY_RECORD;
        let mut content = element(next_tag, b"UL", &next.to_le_bytes());
        content.extend(element(
            tags::RECORD_IN_USE_FLAG,
            b"US",
            &in_use.to_le_bytes(),
        ));
        content.extend(element(lower_tag, b"UL", &lower.to_le_bytes()));
        content.extend(element(tags::DIRECTORY_RECORD_TYPE, b"CS", kind.as_bytes()));
        content.extend(element(tags::REFERENCED_FILE_ID, b"CS", file.as_bytes()));
        let mut item = b"\xfe\xff\x00\xe0".to_vec();
        item.extend(u32::try_from(content.len()).expect("short").to_le_bytes());
        item.extend(content);
        item
    }

    /// A directory of four records of equal length: a patient with two films below, and a film beside. Each is said to be in
    /// use or not.
    fn directory(in_use: [u16; 4]) -> Vec<u8> {
        const START: u32 = 52;
        let length = u32::try_from(record(0, 0, 0, "SERIES", "A001").len()).expect("short");
        let at = |place: u32| START + place * length;
        let records = [
            record(at(3), at(1), in_use[0], "SERIES", "A000"),
            record(at(2), 0, in_use[1], "IMAGE ", "A001"),
            record(0, 0, in_use[2], "IMAGE ", "A002"),
            record(0, 0, in_use[3], "IMAGE ", "A003"),
        ]
        .concat();
        let syntax = b"1.2.840.10008.1.2.1\0";
        let mut bytes = element(tags::TRANSFER_SYNTAX_UID, b"UI", syntax);
        bytes.extend(element(ROOT, b"UL", &START.to_le_bytes()));
        bytes.extend(b"\x04\x00\x20\x12SQ\0\0");
        bytes.extend(u32::try_from(records.len()).expect("short").to_le_bytes());
        assert_eq!(bytes.len(), START as usize, "where the records begin");
        bytes.extend(records);
        bytes
    }

    fn named(in_use: [u16; 4]) -> Vec<String> {
        let films = films(&directory(in_use)).expect("a directory");
        films.iter().map(|parts| parts.join("/")).collect()
    }

    #[test]
    fn records_that_were_deleted_and_what_lies_below_them_are_left_out() {
        const KEPT: u16 = 0xFFFF;
        assert_eq!(named([KEPT; 4]), ["A001", "A002", "A003"], "all");
        assert_eq!(named([KEPT, 0, KEPT, KEPT]), ["A002", "A003"], "one film");
        assert_eq!(named([0, KEPT, KEPT, KEPT]), ["A003"], "what lies below");
    }
}
