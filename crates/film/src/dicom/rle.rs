//! RLE Lossless (PS3.5 annex G).

use crate::{error::FilmProblem, limits::zeroed};

/// The number of 32-bit words in the header of a frame: the count and up to 15 offsets.
const HEADER_WORDS: usize = 16;

fn damaged(detail: &str) -> FilmProblem {
    FilmProblem::damaged("RLE", detail)
}

/// Decodes a frame to its samples, colour by pixel, the least significant byte of each first.
///
/// Each segment holds one byte of one component of every pixel: components in order, and within
/// each the most significant byte first.
///
/// # Errors
/// When a segment lies outside the frame or does not fill it.
pub(super) fn decoded(
    frame: &[u8],
    pixels: usize,
    samples_per_pixel: usize,
    bytes_per_sample: usize,
) -> Result<Vec<u8>, FilmProblem> {
    let segments = segments(frame)?;
    let wanted = samples_per_pixel * bytes_per_sample;
    if segments.len() != wanted {
        return Err(damaged(&format!(
            "{} segments instead of {wanted}",
            segments.len()
        )));
    }
    let stride = wanted;
    let mut bytes = zeroed(pixels * stride)?;
    for (number, segment) in segments.into_iter().enumerate() {
        let sample = number / bytes_per_sample;
        let significance = bytes_per_sample - 1 - number % bytes_per_sample;
        let offset = sample * bytes_per_sample + significance;
        unpack(segment, bytes.iter_mut().skip(offset).step_by(stride))?;
    }
    Ok(bytes)
}

/// The segments of a frame, by the offsets in its header.
fn segments(frame: &[u8]) -> Result<Vec<&[u8]>, FilmProblem> {
    let header = frame
        .get(..HEADER_WORDS * 4)
        .ok_or_else(|| damaged("the header is cut short"))?;
    let words: Vec<usize> = header
        .chunks_exact(4)
        .map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]) as usize)
        .collect();
    let count = words[0];
    if count == 0 || count >= HEADER_WORDS {
        return Err(damaged(&format!("the header announces {count} segments")));
    }
    let starts = &words[1..=count];
    let ends = starts[1..].iter().copied().chain([frame.len()]);
    starts
        .iter()
        .zip(ends)
        .map(|(start, end)| {
            frame
                .get(*start..end)
                .ok_or_else(|| damaged("a segment lies outside the frame"))
        })
        .collect()
}

/// Unpacks one segment (PackBits) into every place, up to the last.
fn unpack<'a>(
    segment: &[u8],
    mut places: impl ExactSizeIterator<Item = &'a mut u8>,
) -> Result<(), FilmProblem> {
    let ends_early = || damaged("a segment ends early");
    let mut rest = segment;
    while places.len() > 0 {
        let (control, after) = rest.split_first().ok_or_else(ends_early)?;
        match control.cast_signed() {
            literal @ 0..=127 => {
                let length = usize::from(literal.cast_unsigned()) + 1;
                let (bytes, after) = after.split_at_checked(length).ok_or_else(ends_early)?;
                let pairs = bytes.iter().zip(places.by_ref());
                pairs.for_each(|(byte, place)| *place = *byte);
                rest = after;
            }
            -128 => rest = after,
            repeated => {
                let (byte, after) = after.split_first().ok_or_else(ends_early)?;
                let length = usize::from(repeated.unsigned_abs()) + 1;
                let places = places.by_ref().take(length);
                places.for_each(|place| *place = *byte);
                rest = after;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A frame of the given segments.
    fn frame(segments: &[&[u8]]) -> Vec<u8> {
        let mut header = vec![u32::try_from(segments.len()).expect("few")];
        let mut offset = 64;
        for segment in segments {
            header.push(offset);
            offset += u32::try_from(segment.len()).expect("short");
        }
        header.resize(HEADER_WORDS, 0);
        let mut bytes: Vec<u8> = header.iter().flat_map(|word| word.to_le_bytes()).collect();
        bytes.extend(segments.concat());
        bytes
    }

    #[test]
    fn sixteen_bit_samples_come_from_a_high_and_a_low_segment() {
        // High bytes: 1 1 1; low bytes: 5 6 7.
        let bytes = decoded(&frame(&[&[0xFE, 1], &[2, 5, 6, 7]]), 3, 1, 2).expect("valid");
        assert_eq!(bytes, [5, 1, 6, 1, 7, 1], "little endian");
    }

    #[test]
    fn colour_comes_pixel_by_pixel() {
        let bytes = decoded(&frame(&[&[1, 1, 2], &[1, 3, 4], &[1, 5, 6]]), 2, 3, 1).expect("valid");
        assert_eq!(bytes, [1, 3, 5, 2, 4, 6], "interleaved");
    }

    #[test]
    fn a_run_beyond_the_frame_is_cut_off() {
        let bytes = decoded(&frame(&[&[0x81, 9]]), 3, 1, 1).expect("valid");
        assert_eq!(bytes, [9, 9, 9], "three of 128");
    }

    #[test]
    fn contradictions_are_errors() {
        let short = frame(&[&[5, 1, 2]]);
        assert!(
            decoded(&short, 6, 1, 1).is_err(),
            "a literal beyond the end"
        );
        assert!(decoded(&short[..40], 6, 1, 1).is_err(), "half a header");
        let mut outside = frame(&[&[0xFE, 1]]);
        outside[4..8].copy_from_slice(&u32::MAX.to_le_bytes());
        assert!(decoded(&outside, 3, 1, 1).is_err(), "an offset outside");
        assert!(
            decoded(&frame(&[&[0xFE, 1]]), 3, 3, 1).is_err(),
            "too few segments"
        );
    }
}
