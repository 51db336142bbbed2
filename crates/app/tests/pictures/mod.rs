//! Made films, and pictures of them held against each other.

use std::{io::Cursor, sync::Arc};

use egui::{Color32, Pos2, vec2};
use image::{ImageBuffer, Luma, RgbaImage};
use plumbray_film::{Film, Pyramid};

/// What lies around a film.
pub(crate) const SURROUND: Color32 = Color32::from_rgb(0x0c, 0x0d, 0x0e);

/// A film of these samples, by way of a 16-bit PNG file.
pub(crate) fn film(width: u32, height: u32, sample: impl Fn(u32, u32) -> u16) -> Arc<Pyramid> {
    let pixels = ImageBuffer::from_fn(width, height, |x, y| Luma([sample(x, y)]));
    let mut file = Cursor::new(Vec::new());
    pixels
        .write_to(&mut file, image::ImageFormat::Png)
        .expect("a PNG file");
    let film = Film::from_bytes(file.get_ref()).expect("a film");
    assert_eq!(
        film.samples(),
        pixels.as_raw(),
        "the file holds the samples"
    );
    Arc::new(film.pyramid())
}

/// The largest difference of any channel of any pixel.
pub(crate) fn largest_difference(one: &RgbaImage, other: &RgbaImage) -> u8 {
    assert_eq!(one.dimensions(), other.dimensions(), "pictures of one size");
    one.iter()
        .zip(other.iter())
        .map(|(a, b)| a.abs_diff(*b))
        .max()
        .unwrap_or(0)
}

/// The centre of all white pixels.
pub(crate) fn bright_centre(picture: &RgbaImage) -> Option<Pos2> {
    let mut sum = vec2(0.0, 0.0);
    let mut count = 0.0;
    for (x, y, pixel) in picture.enumerate_pixels() {
        if pixel.0 == [255; 4] {
            sum += vec2(x as f32 + 0.5, y as f32 + 0.5);
            count += 1.0;
        }
    }
    (count > 0.0).then(|| (sum / count).to_pos2())
}
