//! From stored bits to values: masking, sign, padding and the modality transformation, the first
//! half of the grey-scale stage (PS3.4 N.2.1).

use std::{borrow::Cow, ops::RangeInclusive};

use dicom_dictionary_std::tags;

use super::{
    element::DataSet, functional_groups::FunctionalGroups, image_header::ImageHeader,
    lookup_table::LookupTable, native::Frame,
};
use crate::{
    error::FilmProblem,
    film::ValueScale,
    grey_scale::CODES,
    limits::with_room,
    notice::Notice,
    sixteen_bits::{self, Coded},
};

/// Which bits of a stored word are the sample (PS3.5 8.1.1).
#[derive(Clone, Copy, Debug)]
pub(super) struct StoredBits {
    shift: u32,
    mask: u32,
    /// The sign's bit, or 0 for unsigned samples.
    sign: u32,
}

impl StoredBits {
    fn of(header: &ImageHeader) -> Self {
        let stored = u32::from(header.bits_stored);
        let mask = u32::MAX >> (32 - stored);
        Self {
            shift: u32::from(header.high_bit) + 1 - stored,
            mask,
            sign: if header.is_signed {
                1 << (stored - 1)
            } else {
                0
            },
        }
    }

    /// Those of unsigned samples, whatever the header says of the sign.
    pub(super) fn unsigned(header: &ImageHeader) -> Self {
        Self::of(&ImageHeader {
            is_signed: false,
            ..*header
        })
    }

    /// The largest code.
    pub(super) const fn largest(self) -> u32 {
        self.mask
    }

    /// The stored word of an unsigned sample.
    pub(super) const fn word(self, code: u32) -> u32 {
        (code & self.mask) << self.shift
    }

    /// The sample as a number from 0 up in the order of the values: the lowest value that the depth
    /// allows is 0. Flipping the sign bit is what makes signed numbers of it.
    pub(super) const fn code(self, word: u32) -> u32 {
        ((word >> self.shift) & self.mask) ^ self.sign
    }

    /// The value of code 0.
    fn lowest(self) -> i64 {
        -i64::from(self.sign)
    }
}

/// Grey samples after the modality transformation.
#[derive(Debug)]
pub(super) struct ModalitySamples {
    pub(super) coded: Coded,
    pub(super) padding: Option<RangeInclusive<u16>>,
    pub(super) notices: Vec<Notice>,
}

/// The unsigned components of a colour frame or indexes of a palette, without unused bits.
pub(super) fn components(frame: Frame<'_>, header: &ImageHeader) -> Result<Vec<u16>, FilmProblem> {
    codes(frame, StoredBits::unsigned(header))
}

/// The unsigned component at an index of a frame of 32-bit components, without unused bits.
pub(super) fn deep_component(frame: &Frame<'_>, header: &ImageHeader, index: usize) -> u32 {
    StoredBits::unsigned(header).code(deep_word(frame, index))
}

fn deep_word(frame: &Frame<'_>, index: usize) -> u32 {
    frame
        .bytes
        .get(4 * index..)
        .and_then(<[u8]>::first_chunk)
        .map_or(0, |word| u32::from_le_bytes(*word))
}

/// One code for each sample of one or two bytes.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a mask of up to 16 bits was applied"
)]
fn codes(frame: Frame<'_>, bits: StoredBits) -> Result<Vec<u16>, FilmProblem> {
    if let (Cow::Owned(bytes), 2) = (&frame.bytes, frame.bytes_per_sample)
        && bytes.len() >= LARGE
    {
        return Ok(codes_of_large(frame.bytes.into_owned(), bits));
    }
    let mut codes = with_room(frame.bytes.len() / frame.bytes_per_sample)?;
    if frame.bytes_per_sample == 1 {
        codes.extend(
            frame
                .bytes
                .iter()
                .map(|byte| bits.code(u32::from(*byte)) as u16),
        );
    } else {
        codes.extend(
            frame
                .bytes
                .chunks_exact(2)
                .map(|pair| bits.code(u32::from(u16::from_le_bytes([pair[0], pair[1]]))) as u16),
        );
    }
    Ok(codes)
}

/// Frames of so many bytes are given back piece by piece.
const LARGE: usize = 4 << 20;

/// One code for each pair of bytes, from the last one on; the bytes are given back to the system on the way, so that a
/// large film is in memory once and not twice.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a mask of up to 16 bits was applied"
)]
fn codes_of_large(mut bytes: Vec<u8>, bits: StoredBits) -> Vec<u16> {
    bytes.truncate(bytes.len() & !1);
    // Zeroed memory takes no room before it is written.
    let mut codes = vec![0; bytes.len() / 2];
    while !bytes.is_empty() {
        let kept = bytes.len().saturating_sub(LARGE / 4);
        let places = codes[kept / 2..].iter_mut();
        for (code, pair) in places.zip(bytes[kept..].chunks_exact(2)) {
            *code = bits.code(u32::from(u16::from_le_bytes([pair[0], pair[1]]))) as u16;
        }
        bytes.truncate(kept);
        bytes.shrink_to_fit();
    }
    codes
}

/// Grey samples after masking, padding and the modality transformation. `dark_code` is what
/// padding becomes where a table leaves no code of its own for it.
pub(super) fn modality_samples(
    frame: Frame<'_>,
    header: &ImageHeader,
    data_set: &DataSet<'_>,
    groups: &FunctionalGroups<'_>,
    dark_code: u16,
) -> Result<ModalitySamples, FilmProblem> {
    let bits = StoredBits::of(header);
    let rescale = Rescale::read(data_set, groups);
    if frame.bytes_per_sample == 4 {
        return deep_samples(&frame, header, bits, &rescale);
    }
    let mut samples = codes(frame, bits)?;
    let padding = padding(data_set, header, bits);
    if let Some(table) = modality_table(data_set, header) {
        apply_table(&mut samples, bits, &table, padding.as_ref(), dark_code);
        return Ok(ModalitySamples {
            coded: Coded::plain(samples, ValueScale::IDENTITY),
            padding: None,
            notices: Vec::new(),
        });
    }
    let highest = u16::try_from(bits.mask).unwrap_or(u16::MAX);
    let falls = rescale.slope < 0.0;
    if falls {
        samples
            .iter_mut()
            .for_each(|sample| *sample = highest - *sample);
    }
    let lowest = bits.lowest() as f64;
    let first_stored = if falls {
        lowest + f64::from(highest)
    } else {
        lowest
    };
    Ok(ModalitySamples {
        coded: Coded::plain(samples, rescale.scale(first_stored, 1.0)),
        padding: padding.map(|range| {
            if falls {
                highest - range.end()..=highest - range.start()
            } else {
                range
            }
        }),
        notices: rescale.notices,
    })
}

/// Samples of 32 bits.
fn deep_samples(
    frame: &Frame<'_>,
    header: &ImageHeader,
    bits: StoredBits,
    rescale: &Rescale,
) -> Result<ModalitySamples, FilmProblem> {
    let sign: i32 = if rescale.slope < 0.0 { -1 } else { 1 };
    let value = |index: usize| {
        let code = bits.code(deep_word(frame, index));
        i64::from(sign) * (i64::from(code) + bits.lowest())
    };
    let mut coded = sixteen_bits::scaled(frame.bytes.len() / 4, value)?;
    let step = f64::from(coded.scale.value_of_code(1.0) - coded.scale.value_of_code(0.0));
    let first_stored = f64::from(sign) * f64::from(coded.scale.value_of_code(0.0));
    coded.scale = rescale.scale(first_stored, step);
    let mut notices = rescale.notices.clone();
    if coded.was_scaled {
        notices.push(Notice::ScaledToSixteenBits {
            bits: u8::try_from(header.bits_stored).unwrap_or(u8::MAX),
        });
    }
    Ok(ModalitySamples {
        coded,
        padding: None,
        notices,
    })
}

/// Rescale Slope and Intercept (PS3.3 C.11.1), checked.
struct Rescale {
    /// Not 0.
    slope: f64,
    intercept: f64,
    notices: Vec<Notice>,
}

impl Rescale {
    fn read(data_set: &DataSet<'_>, groups: &FunctionalGroups<'_>) -> Self {
        let transformation = groups.first(tags::PIXEL_VALUE_TRANSFORMATION_SEQUENCE);
        let holder = transformation.as_ref().unwrap_or(data_set);
        let mut notices = Vec::new();
        let mut checked = |tag, name: &str, default: f64, possible: fn(f64) -> bool| match holder
            .numbers(tag)
            .first()
        {
            None => default,
            Some(number) if possible(*number) => *number,
            Some(number) => {
                notices.push(Notice::HeaderValueLeftOut {
                    what: format!("{name} {number}"),
                });
                default
            }
        };
        let slope = checked(tags::RESCALE_SLOPE, "Rescale Slope", 1.0, |slope| {
            (1e-12..1e12).contains(&slope.abs())
        });
        let intercept = checked(
            tags::RESCALE_INTERCEPT,
            "Rescale Intercept",
            0.0,
            |number| number.abs() < 1e12,
        );
        Self {
            slope,
            intercept,
            notices,
        }
    }

    /// The scale of codes of which the first stands for `first_stored` and each next one for
    /// `step` stored values more in the direction in which values rise.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "film values are captions, for which 24 bits are enough"
    )]
    fn scale(&self, first_stored: f64, step: f64) -> ValueScale {
        ValueScale::new(
            (self.slope.abs() * step) as f32,
            (self.slope * first_stored + self.intercept) as f32,
        )
        .unwrap_or(ValueScale::IDENTITY)
    }
}

fn modality_table(data_set: &DataSet<'_>, header: &ImageHeader) -> Option<LookupTable> {
    let item = data_set.first_item(tags::MODALITY_LUT_SEQUENCE)?;
    LookupTable::read(
        &item,
        tags::LUT_DESCRIPTOR,
        tags::LUT_DATA,
        header.is_signed,
    )
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "codes and the lowest value of up to 16 bits fit"
)]
fn apply_table(
    samples: &mut [u16],
    bits: StoredBits,
    table: &LookupTable,
    padding: Option<&RangeInclusive<u16>>,
    dark_code: u16,
) {
    let outputs: Vec<u16> = (0..CODES)
        .map(|code| {
            if padding.is_some_and(|range| range.contains(&(code as u16))) {
                dark_code
            } else {
                table.entry(code as i32 + bits.lowest() as i32)
            }
        })
        .collect();
    for sample in samples {
        *sample = outputs[usize::from(*sample)];
    }
}

/// The codes that Pixel Padding Value, alone or with its Range Limit, sets aside (PS3.3 C.7.5.1.1.2).
fn padding(
    data_set: &DataSet<'_>,
    header: &ImageHeader,
    bits: StoredBits,
) -> Option<RangeInclusive<u16>> {
    let code = |word: u16| {
        let stored = if header.is_signed {
            i64::from(word.cast_signed())
        } else {
            i64::from(word)
        };
        (stored - bits.lowest()).clamp(-1, i64::from(bits.mask) + 1)
    };
    let value = code(data_set.word(tags::PIXEL_PADDING_VALUE)?);
    let limit = data_set
        .word(tags::PIXEL_PADDING_RANGE_LIMIT)
        .map_or(value, code);
    let first = value.min(limit).max(0);
    let last = value.max(limit).min(i64::from(bits.mask));
    // A value that no sample can have sets nothing aside.
    (first <= last).then_some(u16::try_from(first).ok()?..=u16::try_from(last).ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn bits(stored: u32, high_bit: u32, signed: bool) -> StoredBits {
        StoredBits {
            shift: high_bit + 1 - stored,
            mask: u32::MAX >> (32 - stored),
            sign: if signed { 1 << (stored - 1) } else { 0 },
        }
    }

    fn value(bits: StoredBits, word: u32) -> i64 {
        i64::from(bits.code(word)) + bits.lowest()
    }

    #[test]
    fn unused_bits_are_masked_away() {
        assert_eq!(value(bits(12, 11, false), 0xF123), 0x123, "overlay bits");
        assert_eq!(value(bits(12, 15, false), 0x1234), 0x123, "high bit 15");
    }

    #[test]
    fn the_sign_reaches_as_far_as_the_stored_bits() {
        assert_eq!(value(bits(12, 11, true), 0x0800), -2048, "lowest");
        assert_eq!(value(bits(12, 11, true), 0x0FFF), -1, "minus one");
        assert_eq!(value(bits(12, 11, true), 0x07FF), 2047, "highest");
        assert_eq!(value(bits(16, 15, true), 0x8000), -32_768, "16 bits");
    }

    #[test]
    fn a_falling_slope_keeps_larger_codes_for_larger_values() {
        let rescale = Rescale {
            slope: -2.0,
            intercept: 100.0,
            notices: Vec::new(),
        };
        // Stored 0 … 255 gives values 100 … -410; code 0 must be the lowest.
        let scale = rescale.scale(255.0, 1.0);
        let ends = [0.0, 255.0].map(|code| scale.value_of_code(code).to_string());
        assert_eq!(ends, ["-410", "100"], "stored 255 and stored 0");
    }

    #[test]
    fn a_large_frame_gives_the_codes_of_a_small_one() {
        let words = (0..u32::try_from(LARGE).expect("small") / 2 + 5)
            .map(|word| word.wrapping_mul(40_503).to_le_bytes())
            .flat_map(|word| [word[1], word[2]]);
        let bytes: Vec<u8> = words.collect();
        let bits = StoredBits {
            shift: 2,
            mask: 0xFFF,
            sign: 0x800,
        };
        let frame = |bytes| Frame {
            bytes,
            bytes_per_sample: 2,
        };
        let large = codes(frame(Cow::Owned(bytes.clone())), bits).expect("codes");
        let borrowed = codes(frame(Cow::Borrowed(&bytes)), bits).expect("codes");
        assert_eq!(large, borrowed, "the same codes");
    }
}
