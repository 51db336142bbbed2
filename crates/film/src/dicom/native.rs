//! The first frame of uncompressed pixels.

use std::borrow::Cow;

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

/// The first frame of uncompressed pixels, as bytes in little endian.
///
/// # Errors
/// When the file has fewer bytes than its header announces, or encapsulates its pixels after all.
pub(super) fn first_frame<'a>(
    data_set: &DataSet<'a>,
    header: &ImageHeader,
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
        data_set.encoding.big_endian,
        words_are_swapped,
    )
}

/// The first frame at the start of uncompressed pixels. `byte_pairs_are_swapped` says whether
/// samples of one byte were written as words in big endian.
pub(super) fn frame_of<'a>(
    pixels: &'a [u8],
    header: &ImageHeader,
    big_endian: bool,
    byte_pairs_are_swapped: bool,
) -> Result<Frame<'a>, FilmProblem> {
    let bytes_per_sample = usize::from(header.bits_allocated / 8).max(1);
    let length = frame_bytes(header);
    let frame = pixels.get(..length).ok_or_else(|| FilmProblem::CutShort {
        what: "pixels".to_owned(),
        announced: length as u64,
        present: pixels.len() as u64,
    })?;
    let bytes = match header.bits_allocated {
        1 => Cow::Owned(unpacked_bits(frame, header.samples())?),
        8 if byte_pairs_are_swapped => {
            // With an odd length the last byte's partner lies beyond the frame.
            let whole = pixels.get(..length.next_multiple_of(2)).unwrap_or(frame);
            let mut bytes = reversed(whole, 2)?;
            bytes.truncate(length);
            Cow::Owned(bytes)
        }
        16 | 32 if big_endian => Cow::Owned(reversed(frame, bytes_per_sample)?),
        _ => Cow::Borrowed(frame),
    };
    Ok(Frame {
        bytes,
        bytes_per_sample,
    })
}

fn frame_bytes(header: &ImageHeader) -> usize {
    match (header.bits_allocated, header.colours) {
        (1, _) => header.samples().div_ceil(8),
        (bits, Colours::Ybr422) => header.pixels().next_multiple_of(2) * 2 * usize::from(bits / 8),
        (bits, _) => header.samples() * usize::from(bits / 8),
    }
}

/// Samples of one bit each, the first in the lowest bit of a byte (PS3.5 8.1.1).
fn unpacked_bits(packed: &[u8], count: usize) -> Result<Vec<u8>, FilmProblem> {
    let mut samples = with_room(packed.len() * 8)?;
    for byte in packed {
        samples.extend((0..8).map(|bit| (byte >> bit) & 1));
    }
    samples.truncate(count);
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
