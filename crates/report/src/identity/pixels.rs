//! Boxes over letters that are part of a film, in its stored pixels.

use plumbray_film::FilmPixels;

use crate::DicomError;

/// A box in film pixels whose content is taken away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MaskBox {
    /// The first column that it covers, counted from 0.
    pub left: u32,
    /// The first row that it covers, counted from 0.
    pub top: u32,
    /// How many columns it covers; more than there are is all of them.
    pub width: u32,
    /// How many rows it covers.
    pub height: u32,
}

impl MaskBox {
    /// The columns and the rows of a film that it covers.
    ///
    /// # Errors
    /// When it covers none.
    pub(super) fn on(
        &self,
        columns: usize,
        rows: usize,
    ) -> Result<[std::ops::Range<usize>; 2], DicomError> {
        let along = |from: u32, length: u32, most: usize| {
            let [from, length] = [from, length].map(|pixels| pixels as usize);
            from.min(most)..from.saturating_add(length).min(most)
        };
        let covered = [
            along(self.left, self.width, columns),
            along(self.top, self.height, rows),
        ];
        if covered.iter().any(std::ops::Range::is_empty) {
            return Err(DicomError::MaskOffFilm {
                left: self.left,
                top: self.top,
                width: self.width,
                height: self.height,
                columns,
                rows,
            });
        }
        Ok(covered)
    }
}

/// Where the used bits of a sample lie.
#[derive(Clone, Copy)]
struct UsedBits {
    /// Bytes of a sample.
    size: usize,
    shift: u32,
    /// Bits of a word of 32 that are not used.
    unused: u32,
}

impl UsedBits {
    fn of(pixels: &FilmPixels) -> Self {
        Self {
            size: usize::from(pixels.bits_allocated / 8).max(1),
            shift: u32::from((pixels.high_bit + 1).saturating_sub(pixels.bits_stored)).min(31),
            unused: 32 - u32::from(pixels.bits_stored.clamp(1, 32)),
        }
    }

    /// A sample in four bytes.
    fn widened(self, sample: &[u8]) -> [u8; 4] {
        let mut whole = [0; 4];
        whole[..self.size].copy_from_slice(sample);
        whole
    }

    /// The used bits, at the upper end of a word.
    const fn at_top(self, whole: [u8; 4]) -> u32 {
        (u32::from_le_bytes(whole) >> self.shift) << self.unused
    }
}

/// Clears the bits of each sample that are not used. A file may keep graphics in them, with letters (overlays as before
/// 2004, PS3.5 8.1.2), and what the file says of these graphics is taken out without them.
pub(super) fn clear_unused_bits(pixels: &mut FilmPixels) {
    if pixels.bits_stored >= pixels.bits_allocated {
        return;
    }
    let used = UsedBits::of(pixels);
    for sample in pixels.bytes.chunks_exact_mut(used.size) {
        let bits = used.at_top(used.widened(sample));
        // A reader that masks nothing finds the same number, where the sample begins at the lowest bit.
        let kept = if pixels.is_signed && used.shift == 0 {
            (bits.cast_signed() >> used.unused).cast_unsigned()
        } else {
            (bits >> used.unused) << used.shift
        };
        sample.copy_from_slice(&kept.to_le_bytes()[..used.size]);
    }
}

/// Fills boxes, on every picture of the file, with what the film shows darkest: of a grey film the darkest sample that
/// it has.
///
/// # Errors
/// When a box lies beside the film.
pub(super) fn mask(pixels: &mut FilmPixels, boxes: &[MaskBox]) -> Result<(), DicomError> {
    if boxes.is_empty() {
        return Ok(());
    }
    let fill = darkest(pixels);
    let size = UsedBits::of(pixels).size;
    let (samples, area) = (pixels.samples_per_pixel, pixels.columns * pixels.rows);
    for masked in boxes {
        let [columns, rows] = masked.on(pixels.columns, pixels.rows)?;
        for picture in pixels.bytes.chunks_exact_mut(area * samples * size) {
            for pixel in rows.clone().flat_map(|row| {
                let first = row * pixels.columns;
                columns.clone().map(move |column| first + column)
            }) {
                for (sample, value) in fill.iter().enumerate() {
                    let index = if pixels.is_planar {
                        sample * area + pixel
                    } else {
                        pixel * samples + sample
                    };
                    if let Some(stored) = picture.get_mut(index * size..(index + 1) * size) {
                        stored.copy_from_slice(&value[..size]);
                    }
                }
            }
        }
    }
    Ok(())
}

/// The samples of the darkest pixel, little endian in as many bytes as they have.
fn darkest(pixels: &FilmPixels) -> Vec<[u8; 4]> {
    match pixels.colours {
        // A luminance of nothing, and no difference of colour.
        "YBR_FULL" => {
            let middle = 1_u32 << (pixels.bits_stored.clamp(1, 32) - 1);
            vec![[0; 4], middle.to_le_bytes(), middle.to_le_bytes()]
        }
        "RGB" => vec![[0; 4]; 3],
        "PALETTE COLOR" => vec![[0; 4]],
        name => vec![darkest_grey(pixels, name == "MONOCHROME1")],
    }
}

fn darkest_grey(pixels: &FilmPixels, largest_is_dark: bool) -> [u8; 4] {
    let used = UsedBits::of(pixels);
    let value = |whole: [u8; 4]| {
        let bits = used.at_top(whole);
        if pixels.is_signed {
            i64::from(bits.cast_signed() >> used.unused)
        } else {
            i64::from(bits >> used.unused)
        }
    };
    let samples = pixels.bytes.chunks_exact(used.size);
    let samples = samples.map(|sample| used.widened(sample));
    let found = if largest_is_dark {
        samples.max_by_key(|whole| value(*whole))
    } else {
        samples.min_by_key(|whole| value(*whole))
    };
    found.unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn film(colours: &'static str, is_signed: bool, samples: &[i16]) -> FilmPixels {
        FilmPixels {
            columns: 3,
            rows: 2,
            samples_per_pixel: 1,
            bits_allocated: 16,
            bits_stored: 12,
            high_bit: 11,
            is_signed,
            colours,
            is_planar: false,
            was_lossy: false,
            bytes: samples
                .iter()
                .flat_map(|sample| sample.to_le_bytes())
                .collect(),
        }
    }

    fn samples(film: &FilmPixels) -> Vec<i16> {
        let pairs = film.bytes.chunks_exact(2);
        pairs
            .map(|pair| i16::from_le_bytes([pair[0], pair[1]]))
            .collect()
    }

    const BOX: MaskBox = MaskBox {
        left: 1,
        top: 0,
        width: 9,
        height: 1,
    };

    #[test]
    fn a_box_is_filled_with_the_darkest_grey_and_the_rest_is_untouched() {
        for (colours, is_signed, expected) in [
            ("MONOCHROME2", false, [5, 2, 2, 7, 2, 9]),
            ("MONOCHROME1", false, [5, 9, 9, 7, 2, 9]),
            ("MONOCHROME2", true, [5, 2, 2, 7, 2, 9]),
        ] {
            let mut film = film(colours, is_signed, &[5, 6, 8, 7, 2, 9]);
            mask(&mut film, &[BOX]).expect("on the film");
            assert_eq!(samples(&film), expected, "{colours}, signed {is_signed}");
        }
        let mut signed = film("MONOCHROME2", true, &[5, 6, 8, -7, 2, 9]);
        mask(&mut signed, &[BOX]).expect("on the film");
        assert_eq!(samples(&signed), [5, -7, -7, -7, 2, 9], "below 0 is darker");
    }

    #[test]
    fn a_box_covers_every_picture_of_a_file() {
        let mut run = film("MONOCHROME2", false, &[5, 6, 8, 7, 2, 9, 4, 4, 4, 4, 4, 4]);
        mask(&mut run, &[BOX]).expect("on the film");
        assert_eq!(
            samples(&run),
            [5, 2, 2, 7, 2, 9, 4, 2, 2, 4, 4, 4],
            "with the darkest of them all"
        );
    }

    #[test]
    fn bits_that_are_not_used_are_cleared_and_the_samples_stay() {
        let mut unsigned = film("MONOCHROME2", false, &[-0x8000 + 5, 6, 0x1008, 7, 2, 9]);
        clear_unused_bits(&mut unsigned);
        assert_eq!(samples(&unsigned), [5, 6, 8, 7, 2, 9], "unsigned");
        // Of 12 bits, 0xFFD is minus three, with or without graphics in the four bits above.
        let mut signed = film("MONOCHROME2", true, &[-3, 0x0FFD, 0x7FFD, 3, 0x1003, 9]);
        clear_unused_bits(&mut signed);
        assert_eq!(samples(&signed), [-3, -3, -3, 3, 3, 9], "signed");
        let mut shifted = film("MONOCHROME2", false, &[0x123F, 0, 0, 0, 0, 0x7FF1]);
        shifted.high_bit = 15;
        clear_unused_bits(&mut shifted);
        assert_eq!(
            samples(&shifted),
            [0x1230, 0, 0, 0, 0, 0x7FF0],
            "from the fifth bit up"
        );
    }

    #[test]
    fn a_box_beside_the_film_is_refused_with_what_to_do() {
        let mut film = film("MONOCHROME2", false, &[0; 6]);
        let beside = MaskBox { left: 3, ..BOX };
        let problem = mask(&mut film, &[beside]).expect_err("beside it");
        let words = problem.to_string();
        assert!(
            words.contains("3 by 2") && words.contains("left, top"),
            "{words}"
        );
    }
}
