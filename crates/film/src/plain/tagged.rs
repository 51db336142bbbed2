//! TIFF, including signed and 32-bit samples and ink-is-zero greys.

use std::io::Cursor;

use tiff::{
    ColorType, TiffError,
    decoder::{Decoder, DecodingResult, Limits},
    tags::Tag,
};

use super::GreySamples;
use crate::{
    error::FilmProblem,
    film::ValueScale,
    foreign::fenced,
    limits::{self, with_room},
    luminance::luminance,
    notice::Notice,
    sixteen_bits::{self, Coded},
};

/// The largest picture that a decoder may return, in bytes.
const DECODER_BYTES: usize = 800_000_000;

/// The value of the tag PlanarConfiguration for one plane per component.
const SEPARATE_PLANES: u16 = 2;

pub(super) fn read(bytes: &[u8]) -> Result<GreySamples, FilmProblem> {
    fenced("TIFF", || decode(bytes))
}

fn problem(error: TiffError) -> FilmProblem {
    match error {
        TiffError::UnsupportedError(what) => {
            FilmProblem::unsupported(format!("this TIFF ({what})"))
        }
        other => FilmProblem::damaged("TIFF", other),
    }
}

fn decode(bytes: &[u8]) -> Result<GreySamples, FilmProblem> {
    let mut limits = Limits::default();
    limits.decoding_buffer_size = DECODER_BYTES;
    limits.intermediate_buffer_size = DECODER_BYTES;
    let mut decoder = Decoder::new(Cursor::new(bytes))
        .map_err(problem)?
        .with_limits(limits);
    let (width, height) = decoder.dimensions().map_err(problem)?;
    let pixels = limits::checked_pixel_count(width.into(), height.into())?;
    limits::check_against_file(pixels, bytes.len())?;
    let colour = decoder.colortype().map_err(problem)?;
    let planes = decoder
        .find_tag_unsigned::<u16>(Tag::PlanarConfiguration)
        .map_err(problem)?;
    let layout = Layout::of(colour, planes == Some(SEPARATE_PLANES))?;

    let mut notices = layout.notices();
    if decoder.more_images() {
        notices.push(Notice::OneOfSeveral {
            number: 1,
            pictures: count_pictures(&mut decoder),
        });
        decoder.seek_to_image(0).map_err(problem)?;
    }
    let components = decoder.read_image().map_err(problem)?;
    let coded = layout.to_grey(components, width as usize, pixels)?;
    if coded.was_scaled {
        notices.push(Notice::ScaledToSixteenBits { bits: layout.bits });
    }
    if coded.samples.len() != pixels {
        return Err(FilmProblem::damaged("TIFF", "its strips do not fill it"));
    }
    Ok(GreySamples {
        width: width as usize,
        height: height as usize,
        samples: coded.samples,
        bits: layout.bits,
        scale: coded.scale,
        notices,
    })
}

fn count_pictures(decoder: &mut Decoder<Cursor<&[u8]>>) -> u64 {
    const ENOUGH: u64 = 10_000;
    let mut pictures = 1;
    while pictures < ENOUGH && decoder.more_images() && decoder.next_image().is_ok() {
        pictures += 1;
    }
    pictures
}

/// What one pixel consists of.
struct Layout {
    bits: u8,
    components: usize,
    is_colour: bool,
    has_alpha: bool,
}

impl Layout {
    fn of(colour: ColorType, separate_planes: bool) -> Result<Self, FilmProblem> {
        let layout = match colour {
            ColorType::Gray(bits) => Self::new(bits, 1, false, false),
            ColorType::GrayA(bits)
            | ColorType::Multiband {
                bit_depth: bits,
                num_samples: 2,
            } => Self::new(bits, 2, false, true),
            // The decoder of JPEG strips hands YCbCr over as RGB.
            ColorType::RGB(bits) | ColorType::YCbCr(bits) => Self::new(bits, 3, true, false),
            ColorType::RGBA(bits) => Self::new(bits, 4, true, true),
            other => {
                return Err(FilmProblem::unsupported(format!(
                    "a TIFF of the colour kind {other:?}"
                )));
            }
        };
        let depth_is_read = match layout.bits {
            8 | 16 => true,
            1 | 2 | 4 | 32 => layout.components == 1,
            _ => false,
        };
        if !depth_is_read {
            return Err(FilmProblem::unsupported(format!(
                "a TIFF of {} bits in each of {} components",
                layout.bits, layout.components
            )));
        }
        if separate_planes && layout.components > 1 {
            return Err(FilmProblem::unsupported(
                "a TIFF with one plane for each component",
            ));
        }
        Ok(layout)
    }

    const fn new(bits: u8, components: usize, is_colour: bool, has_alpha: bool) -> Self {
        Self {
            bits,
            components,
            is_colour,
            has_alpha,
        }
    }

    fn notices(&self) -> Vec<Notice> {
        let mut notices = Vec::new();
        if self.is_colour {
            notices.push(Notice::ColourReducedToGrey);
        }
        if self.has_alpha {
            notices.push(Notice::TransparencyLeftOut);
        }
        notices
    }

    fn to_grey(
        &self,
        components: DecodingResult,
        width: usize,
        pixels: usize,
    ) -> Result<Coded, FilmProblem> {
        let unsigned = |samples| Coded::plain(samples, ValueScale::IDENTITY);
        match components {
            DecodingResult::U8(packed) if self.bits < 8 => {
                Ok(unsigned(unpacked(&packed, self.bits, width, pixels)?))
            }
            DecodingResult::U8(bytes) => Ok(unsigned(self.gather(&bytes, u16::from)?)),
            DecodingResult::U16(words) => Ok(unsigned(self.gather(&words, |word| word)?)),
            DecodingResult::I8(bytes) if !self.is_colour => {
                let samples = self.gather(&bytes, |byte| u16::from(byte.cast_unsigned() ^ 0x80))?;
                Ok(Coded::plain(samples, sixteen_bits::signed_scale(8)))
            }
            DecodingResult::I16(words) if !self.is_colour => {
                let samples = self.gather(&words, |word| word.cast_unsigned() ^ 0x8000)?;
                Ok(Coded::plain(samples, sixteen_bits::signed_scale(16)))
            }
            DecodingResult::U32(longs) => {
                sixteen_bits::scaled(longs.len(), |i| i64::from(longs[i]))
            }
            DecodingResult::I32(longs) => {
                sixteen_bits::scaled(longs.len(), |i| i64::from(longs[i]))
            }
            _ => Err(FilmProblem::unsupported(
                "a TIFF of floating-point, 64-bit or signed colour samples",
            )),
        }
    }

    fn gather<T: Copy>(
        &self,
        components: &[T],
        code: impl Fn(T) -> u16,
    ) -> Result<Vec<u16>, FilmProblem> {
        let mut samples = with_room(components.len() / self.components)?;
        let pixels = components.chunks_exact(self.components);
        if self.is_colour {
            samples.extend(pixels.map(|p| luminance(code(p[0]), code(p[1]), code(p[2]))));
        } else {
            samples.extend(pixels.map(|p| code(p[0])));
        }
        Ok(samples)
    }
}

/// Samples of 1, 2 or 4 bits, the first in the high bits of a byte; each row starts a new byte.
fn unpacked(packed: &[u8], bits: u8, width: usize, pixels: usize) -> Result<Vec<u16>, FilmProblem> {
    let bits = usize::from(bits);
    let row_bytes = (width * bits).div_ceil(8);
    let mask = (1_u8 << bits) - 1;
    let mut samples = with_room(pixels)?;
    for row in packed.chunks_exact(row_bytes) {
        samples.extend((0..width).map(|x| {
            let first_bit = x * bits;
            let shift = 8 - bits - first_bit % 8;
            u16::from((row[first_bit / 8] >> shift) & mask)
        }));
    }
    Ok(samples)
}
