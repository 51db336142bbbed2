//! A film's grey picture alone, without a word of its file.

use std::{fs::File, io::BufWriter, path::Path};

use image::{
    ExtendedColorType, ImageEncoder as _,
    codecs::png::{CompressionType, FilterType, PngEncoder},
};
use plumbray_film::Film;

use super::MakingError;

/// Writes a film's grey picture as a 16-bit PNG, bone bright, spread over the whole range of greys. Only pixels are
/// written: no name, no date and nothing else of the film's file. What is burnt into the pixels stays.
///
/// Every grey keeps its place in the order of greys, and different greys stay different.
///
/// # Errors
/// [`MakingError`] when the file cannot be written.
pub fn write_grey_picture(film: &Film, path: &Path) -> Result<(), MakingError> {
    let (lowest, highest) = film
        .samples()
        .iter()
        .fold((u16::MAX, u16::MIN), |(low, high), sample| {
            (low.min(*sample), high.max(*sample))
        });
    let span = u32::from(highest.saturating_sub(lowest)).max(1);
    let bytes: Vec<u8> = film
        .samples()
        .iter()
        .flat_map(|sample| {
            let above = u32::from(sample.saturating_sub(lowest)) * u32::from(u16::MAX) / span;
            let spread = u16::try_from(above).unwrap_or(u16::MAX);
            let grey = if film.bone_is_bright() {
                spread
            } else {
                u16::MAX - spread
            };
            grey.to_ne_bytes()
        })
        .collect();
    let file = File::create(path).map_err(|cause| MakingError::File {
        path: path.to_owned(),
        cause,
    })?;
    let size = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
    PngEncoder::new_with_quality(
        BufWriter::new(file),
        CompressionType::Default,
        FilterType::Adaptive,
    )
    .write_image(
        &bytes,
        size(film.width()),
        size(film.height()),
        ExtendedColorType::L16,
    )
    .map_err(|source| MakingError::Picture {
        source,
        path: path.to_owned(),
    })
}
