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
    let all: Vec<Vec<String>> = records.values().filter_map(film_of).collect();
    let root = offset(&data_set, ROOT);
    let mut walk = Walk {
        records: &records,
        seen: BTreeSet::new(),
        films: Vec::new(),
    };
    walk.along(root, 0);
    Ok(if walk.films.len() < all.len() {
        all
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
}

impl Walk<'_, '_> {
    fn along(&mut self, first: usize, depth: usize) {
        let mut next = first;
        while next != 0 && depth < DEEPEST && self.seen.insert(next) {
            let Some(record) = self.records.get(&next) else {
                return;
            };
            // Inactive records, which were deleted, say 0.
            if record.word(tags::RECORD_IN_USE_FLAG) != Some(0) {
                self.films.extend(film_of(record));
                self.along(
                    offset(
                        record,
                        tags::OFFSET_OF_REFERENCED_LOWER_LEVEL_DIRECTORY_ENTITY,
                    ),
                    depth + 1,
                );
            }
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

/// The path of a record that names a film.
fn film_of(record: &DataSet<'_>) -> Option<Vec<String>> {
    let kind = record.text(tags::DIRECTORY_RECORD_TYPE)?;
    let parts = record.texts(tags::REFERENCED_FILE_ID);
    (kind == "IMAGE" && !parts.is_empty()).then_some(parts)
}
