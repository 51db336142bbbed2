//! Red, green and blue from uncompressed YBR_FULL_422, in which two pixels share their differences of colour.

use super::{image_header::ImageHeader, native::Frame, stored::StoredBits};
use crate::{error::FilmProblem, limits::with_room};

/// The red, green and blue of each pixel of a frame, colour by pixel, in as many bytes as its components have.
///
/// The inverse of PS3.3 C.7.6.3.1.2: with the differences of colour around the middle of their range,
///
/// ```text
/// R = Y + 1.4020 Cr
/// G = Y − 0.3441 Cb − 0.7141 Cr
/// B = Y + 1.7720 Cb
/// ```
///
/// rounded, and kept within what the stored bits can hold.
///
/// # Errors
/// When a component has 32 bits, or the frame has fewer than its header announces.
pub(super) fn to_rgb(frame: &Frame<'_>, header: &ImageHeader) -> Result<Vec<u8>, FilmProblem> {
    let size = frame.bytes_per_sample;
    if size > 2 {
        return Err(FilmProblem::unsupported(
            "a DICOM image in YBR_FULL_422 of 32 bits",
        ));
    }
    let pixels = header.pixels();
    let groups = pixels.div_ceil(2);
    if frame.bytes.len() < groups * 4 * size {
        return Err(FilmProblem::CutShort {
            what: "pixels".to_owned(),
            announced: (groups * 4 * size) as u64,
            present: frame.bytes.len() as u64,
        });
    }
    let mut rgb = with_room(pixels * 3 * size)?;
    let range = Range::of(header);
    for (number, group) in frame.bytes.chunks_exact(4 * size).take(groups).enumerate() {
        let component = |place: usize| range.stored(&group[place * size..][..size]);
        let (blue, red) = (component(2) - range.middle, component(3) - range.middle);
        for place in 0..(pixels - 2 * number).min(2) {
            let luminance = component(place);
            for colour in [
                1.402 * red + luminance,
                luminance - 0.344_136 * blue - 0.714_136 * red,
                1.772 * blue + luminance,
            ] {
                rgb.extend_from_slice(&range.bytes(colour)[..size]);
            }
        }
    }
    Ok(rgb)
}

/// What the stored bits of a component can hold.
struct Range {
    bits: StoredBits,
    middle: f64,
}

impl Range {
    fn of(header: &ImageHeader) -> Self {
        let bits = StoredBits::unsigned(header);
        Self {
            bits,
            middle: f64::from(bits.largest() / 2 + 1),
        }
    }

    fn stored(&self, bytes: &[u8]) -> f64 {
        let word = bytes
            .iter()
            .rev()
            .fold(0, |word, byte| word << 8 | u32::from(*byte));
        f64::from(self.bits.code(word))
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the value was held within the stored bits"
    )]
    fn bytes(&self, value: f64) -> [u8; 4] {
        let held = value.round().clamp(0.0, f64::from(self.bits.largest())) as u32;
        self.bits.word(held).to_le_bytes()
    }
}

#[cfg(test)]
mod tests {
    use std::borrow::Cow;

    use super::*;
    use crate::dicom::image_header::Colours;

    fn header(columns: u16, bits_allocated: u16, bits_stored: u16) -> ImageHeader {
        ImageHeader {
            rows: 1,
            columns,
            frames: 1,
            colours: Colours::Ybr422,
            bits_allocated,
            bits_stored,
            high_bit: bits_stored - 1,
            is_signed: false,
            is_planar: false,
        }
    }

    fn of_bytes(bytes: &[u8], header: &ImageHeader) -> Result<Vec<u8>, FilmProblem> {
        let frame = Frame {
            bytes: Cow::Borrowed(bytes),
            bytes_per_sample: usize::from(header.bits_allocated / 8),
        };
        to_rgb(&frame, header)
    }

    #[test]
    fn two_pixels_take_the_differences_of_colour_that_they_share() {
        // Pure red by the forward transform of the standard: Y 76, Cb 85, Cr 255; beside it a grey would need 128.
        let rgb = of_bytes(&[76, 30, 85, 255], &header(2, 8, 8)).expect("two pixels");
        assert_eq!(rgb[..3], [254, 0, 0], "red, to the rounding");
        assert_eq!(rgb[3..], [208, 0, 0], "the same colour, darker");
        let grey = of_bytes(&[10, 200, 128, 128], &header(2, 8, 8)).expect("two pixels");
        assert_eq!(grey, [10, 10, 10, 200, 200, 200], "no colour is grey");
    }

    #[test]
    fn an_odd_number_of_pixels_and_deeper_components_come_out_whole() {
        let words = [4000_u16, 7, 2048, 2048, 1, 0, 2048, 2048];
        let bytes: Vec<u8> = words.iter().flat_map(|word| word.to_le_bytes()).collect();
        let rgb = of_bytes(&bytes, &header(3, 16, 12)).expect("three pixels");
        let back: Vec<u16> = rgb
            .chunks_exact(2)
            .map(|pair| u16::from_le_bytes([pair[0], pair[1]]))
            .collect();
        assert_eq!(back, [4000, 4000, 4000, 7, 7, 7, 1, 1, 1], "greys");
        assert!(
            of_bytes(&bytes[..10], &header(3, 16, 12)).is_err(),
            "cut short"
        );
    }
}
