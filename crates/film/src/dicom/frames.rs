//! Which fragments of encapsulated pixels are which frame (PS3.5 A.4).

use std::ops::Range;

use super::compressed::Compression;

/// The fragments of the frame at `index`, counted from 0; empty where there are none.
///
/// The offset table decides where there is one. Without it a frame is one fragment where there are as many of
/// both, or in RLE, and else ends with the first fragment that ends with an end marker.
pub(super) fn fragments_of_frame(
    offset_table: &[u8],
    fragments: &[&[u8]],
    index: usize,
    frames: u64,
    compression: Compression,
) -> Range<usize> {
    if frames == 1 {
        return 0..fragments.len();
    }
    if fragments.len() as u64 == frames || compression == Compression::Rle {
        return index..index + 1;
    }
    if let Some(start) = offset(offset_table, index) {
        let end = offset(offset_table, index + 1);
        let first = fragments_before(fragments, start);
        return first..end.map_or(fragments.len(), |end| fragments_before(fragments, end));
    }
    let ends_frame = |fragment: &[u8]| {
        let tail = &fragment[fragment.len().saturating_sub(4)..];
        tail.windows(2).any(|pair| pair == b"\xff\xd9")
    };
    let mut ends = fragments
        .iter()
        .enumerate()
        .filter(|(_, fragment)| ends_frame(fragment))
        .map(|(place, _)| place + 1);
    let start = match index.checked_sub(1) {
        None => Some(0),
        Some(before) => ends.by_ref().nth(before),
    };
    let start = start.unwrap_or(fragments.len());
    start..ends.next().unwrap_or(fragments.len())
}

/// Where a frame starts, in bytes from the start of the first fragment's item.
fn offset(table: &[u8], index: usize) -> Option<usize> {
    let at = index.checked_mul(4)?;
    let bytes = table.get(at..)?.first_chunk()?;
    usize::try_from(u32::from_le_bytes(*bytes)).ok()
}

/// How many fragments start before an offset; an item's header has eight bytes.
fn fragments_before(fragments: &[&[u8]], offset: usize) -> usize {
    let mut at = 0;
    fragments
        .iter()
        .take_while(|fragment| {
            let start = at;
            at += fragment.len() + 8;
            start < offset
        })
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAGMENTS: [&[u8]; 4] = [b"ab", b"c\xff\xd9", b"de", b"f\xff\xd9"];

    fn range(table: &[u8], index: usize, frames: u64) -> Range<usize> {
        fragments_of_frame(table, &FRAGMENTS, index, frames, Compression::Jpeg)
    }

    #[test]
    fn the_offset_table_tells_frames_apart() {
        // The third fragment starts behind items of 10 and 11 bytes.
        let table = [0_u32, 21].map(u32::to_le_bytes).concat();
        assert_eq!(range(&table, 0, 2), 0..2, "first");
        assert_eq!(range(&table, 1, 2), 2..4, "second");
    }

    #[test]
    fn without_a_table_a_frame_ends_with_its_end_marker() {
        assert_eq!(range(&[], 0, 2), 0..2, "first");
        assert_eq!(range(&[], 1, 2), 2..4, "second");
        assert!(range(&[], 2, 3).is_empty(), "there is no third");
    }

    #[test]
    fn as_many_fragments_as_frames_are_one_each() {
        assert_eq!(range(&[], 3, 4), 3..4, "last");
        assert_eq!(range(&[], 0, 1), 0..4, "a single frame is all of them");
    }
}
