//! One frame of uncompressed pixels.

use std::{borrow::Cow, ops::Range};

use dicom_core::VR;
use dicom_dictionary_std::tags;

use super::{
    element::DataSet,
    image_header::{Colours, ImageHeader},
};
use crate::{error::FilmProblem, limits::with_room};

/// The samples of one frame: 1, 2 or 4 bytes each, little endian, in the order of the file.
pub(super) struct Frame<'a> {
    pub(super) bytes: Cow<'a, [u8]>,
    pub(super) bytes_per_sample: usize,
}

/// A frame of uncompressed pixels, counted from 0, as bytes in little endian.
///
/// # Errors
/// When the file has fewer bytes than its header announces, or encapsulates its pixels after all.
pub(super) fn frame<'a>(
    data_set: &DataSet<'a>,
    header: &ImageHeader,
    index: usize,
) -> Result<Frame<'a>, FilmProblem> {
    let element = data_set
        .element(tags::PIXEL_DATA)
        .ok_or_else(|| FilmProblem::damaged("DICOM", "it has no pixels"))?;
    if element.is_delimited {
        return Err(FilmProblem::damaged(
            "DICOM",
            "its transfer syntax is uncompressed, but its pixels are encapsulated",
        ));
    }
    let words_are_swapped = data_set.encoding.big_endian && element.vr == VR::OW;
    frame_of(
        element.bytes,
        header,
        index,
        data_set.encoding.big_endian,
        words_are_swapped,
    )
}

/// A frame of uncompressed pixels. `byte_pairs_are_swapped` says whether samples of one byte were
/// written as words in big endian.
pub(super) fn frame_of<'a>(
    pixels: &'a [u8],
    header: &ImageHeader,
    index: usize,
    big_endian: bool,
    byte_pairs_are_swapped: bool,
) -> Result<Frame<'a>, FilmProblem> {
    let bytes_per_sample = usize::from(header.bits_allocated / 8).max(1);
    let cut_short = |announced: usize| FilmProblem::CutShort {
        what: "pixels".to_owned(),
        announced: announced as u64,
        present: pixels.len() as u64,
    };
    if header.bits_allocated == 1 {
        return Ok(Frame {
            bytes: Cow::Owned(unpacked_bits(pixels, header.samples(), index, cut_short)?),
            bytes_per_sample,
        });
    }
    let length = frame_bytes(header);
    let start = length.saturating_mul(index);
    let end = start.saturating_add(length);
    let frame = pixels.get(start..end).ok_or_else(|| cut_short(end))?;
    let bytes = match header.bits_allocated {
        8 if byte_pairs_are_swapped => Cow::Owned(unswapped(pixels, start..end)?),
        16 | 32 if big_endian => Cow::Owned(reversed(frame, bytes_per_sample)?),
        _ => Cow::Borrowed(frame),
    };
    Ok(Frame {
        bytes,
        bytes_per_sample,
    })
}

/// Bytes that were written as words in big endian. A word may reach over the frame's ends.
fn unswapped(pixels: &[u8], range: Range<usize>) -> Result<Vec<u8>, FilmProblem> {
    let whole = range.start & !1..range.end.next_multiple_of(2).min(pixels.len());
    let mut bytes = reversed(&pixels[whole.clone()], 2)?;
    bytes.drain(..range.start - whole.start);
    bytes.truncate(range.len());
    Ok(bytes)
}

fn frame_bytes(header: &ImageHeader) -> usize {
    let bytes_per_sample = usize::from(header.bits_allocated / 8);
    match header.colours {
        Colours::Ybr422 => header.pixels().next_multiple_of(2) * 2 * bytes_per_sample,
        _ => header.samples() * bytes_per_sample,
    }
}

/// Samples of one bit each, the first in the lowest bit of a byte; frames follow each other without a gap
/// (PS3.5 8.1.1, A.2).
fn unpacked_bits(
    packed: &[u8],
    count: usize,
    index: usize,
    cut_short: impl Fn(usize) -> FilmProblem,
) -> Result<Vec<u8>, FilmProblem> {
    let first = count.saturating_mul(index);
    let last = first.saturating_add(count);
    if last.div_ceil(8) > packed.len() {
        return Err(cut_short(last.div_ceil(8)));
    }
    let mut samples = with_room(count)?;
    samples.extend((first..last).map(|bit| (packed[bit / 8] >> (bit % 8)) & 1));
    Ok(samples)
}

/// The bytes with each group of `size` turned around.
fn reversed(bytes: &[u8], size: usize) -> Result<Vec<u8>, FilmProblem> {
    let mut turned = with_room(bytes.len())?;
    for group in bytes.chunks(size) {
        turned.extend(group.iter().rev());
    }
    Ok(turned)
}
