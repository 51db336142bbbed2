//! A plain picture without whom it is about.

use image::{ImageBuffer, ImageFormat, Luma};
use plumbray_film::Film;

use super::pixels::MaskBox;
use crate::DicomError;

/// Writes a picture that is no DICOM file anew as a grey PNG at its full depth: nothing of what cameras, scanners and
/// programs note beside the pixels is in it. The boxes are filled with what the picture shows darkest.
///
/// # Errors
/// When the picture cannot be read or written, or a box lies beside it.
pub fn picture_without_identity(bytes: &[u8], boxes: &[MaskBox]) -> Result<Vec<u8>, DicomError> {
    let film = Film::from_bytes(bytes)?;
    let (width, height) = (film.width(), film.height());
    let is_small = film.bits() <= 8 && film.samples().iter().all(|sample| *sample <= 0xFF);
    let brightest = if is_small { 0xFF } else { u16::MAX };
    let is_inverted = film.grey().shown_inverted;
    let mut samples: Vec<u16> = film
        .samples()
        .iter()
        .map(|sample| {
            if is_inverted {
                brightest - sample
            } else {
                *sample
            }
        })
        .collect();
    let darkest = samples.iter().copied().min().unwrap_or_default();
    for masked in boxes {
        let [columns, rows] = masked.on(width, height)?;
        for row in rows {
            samples[row * width..][columns.clone()].fill(darkest);
        }
    }
    written(samples, width, height, is_small)
}

fn written(
    samples: Vec<u16>,
    width: usize,
    height: usize,
    is_small: bool,
) -> Result<Vec<u8>, DicomError> {
    let [width, height] = [width, height].map(|pixels| u32::try_from(pixels).unwrap_or(u32::MAX));
    let mut png = std::io::Cursor::new(Vec::new());
    let too_few = || DicomError::Written("a picture with too few samples".to_owned());
    if is_small {
        let low_bytes = samples.iter().map(|sample| sample.to_le_bytes()[0]);
        let picture: ImageBuffer<Luma<u8>, Vec<u8>> =
            ImageBuffer::from_raw(width, height, low_bytes.collect()).ok_or_else(too_few)?;
        picture.write_to(&mut png, ImageFormat::Png)?;
    } else {
        let picture: ImageBuffer<Luma<u16>, Vec<u16>> =
            ImageBuffer::from_raw(width, height, samples).ok_or_else(too_few)?;
        picture.write_to(&mut png, ImageFormat::Png)?;
    }
    Ok(png.into_inner())
}
