//! PNG, JPEG and BMP.

use std::io::Cursor;

use image::{DynamicImage, ExtendedColorType, ImageDecoder, ImageFormat, ImageReader, Limits};

use super::{GreySamples, PictureFormat};
use crate::{
    error::FilmProblem,
    film::ValueScale,
    foreign::fenced,
    limits::{self, with_room},
    luminance::luminance,
    notice::Notice,
};

/// The most that a decoder may allocate at once: 16-bit colour with transparency at the pixel limit.
const DECODER_BYTES: u64 = limits::MEGAPIXELS * 1_000_000 * 8;

pub(super) fn read(bytes: &[u8], format: PictureFormat) -> Result<GreySamples, FilmProblem> {
    let decoded = fenced(format.name(), || decode(bytes, format))?;
    let mut notices = decoded.notices;
    let (width, height) = (decoded.image.width(), decoded.image.height());
    let samples = to_grey(decoded.image, &mut notices)?;
    Ok(GreySamples {
        width: width as usize,
        height: height as usize,
        samples,
        bits: decoded.bits,
        scale: ValueScale::IDENTITY,
        notices,
    })
}

struct Decoded {
    image: DynamicImage,
    bits: u8,
    notices: Vec<Notice>,
}

fn decode(bytes: &[u8], format: PictureFormat) -> Result<Decoded, FilmProblem> {
    let damaged = |error: image::ImageError| match error {
        image::ImageError::Unsupported(what) => FilmProblem::unsupported(what.to_string()),
        other => FilmProblem::damaged(format.name(), other),
    };
    let library_format = match format {
        PictureFormat::Png => ImageFormat::Png,
        PictureFormat::Jpeg => ImageFormat::Jpeg,
        PictureFormat::Bmp => ImageFormat::Bmp,
        PictureFormat::Tiff => ImageFormat::Tiff,
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), library_format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(DECODER_BYTES);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(damaged)?;

    let (width, height) = decoder.dimensions();
    let pixels = limits::checked_pixel_count(width.into(), height.into())?;
    limits::check_against_file(pixels, bytes.len())?;

    let original = decoder.original_color_type();
    let mut notices = Vec::new();
    if format == PictureFormat::Jpeg {
        notices.push(Notice::LossyCompression);
    }
    let image = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    Ok(Decoded {
        bits: depth(original, &image),
        image,
        notices,
    })
}

/// The depth of one sample in the file.
fn depth(original: ExtendedColorType, decoded: &DynamicImage) -> u8 {
    match original {
        ExtendedColorType::L1 => 1,
        ExtendedColorType::L2 => 2,
        ExtendedColorType::L4 => 4,
        _ if decoded.color().bytes_per_pixel() / decoded.color().channel_count() == 1 => 8,
        _ => 16,
    }
}

fn to_grey(image: DynamicImage, notices: &mut Vec<Notice>) -> Result<Vec<u16>, FilmProblem> {
    let colour = image.color();
    if colour.has_color() {
        notices.push(Notice::ColourReducedToGrey);
    }
    if colour.has_alpha() {
        notices.push(Notice::TransparencyLeftOut);
    }
    match image {
        DynamicImage::ImageLuma16(grey) => Ok(grey.into_raw()),
        DynamicImage::ImageLuma8(grey) => gather(grey.as_raw(), 1, |p| u16::from(p[0])),
        DynamicImage::ImageLumaA8(grey) => gather(grey.as_raw(), 2, |p| u16::from(p[0])),
        DynamicImage::ImageLumaA16(grey) => gather(grey.as_raw(), 2, |p| p[0]),
        DynamicImage::ImageRgb8(rgb) => gather(rgb.as_raw(), 3, luminance_of_bytes),
        DynamicImage::ImageRgba8(rgb) => gather(rgb.as_raw(), 4, luminance_of_bytes),
        DynamicImage::ImageRgb16(rgb) => gather(rgb.as_raw(), 3, |p| luminance(p[0], p[1], p[2])),
        DynamicImage::ImageRgba16(rgb) => gather(rgb.as_raw(), 4, |p| luminance(p[0], p[1], p[2])),
        _ => Err(FilmProblem::unsupported(
            "a picture of floating-point numbers",
        )),
    }
}

fn luminance_of_bytes(pixel: &[u8]) -> u16 {
    luminance(pixel[0].into(), pixel[1].into(), pixel[2].into())
}

/// One grey for each pixel of `channels` components.
fn gather<T>(
    components: &[T],
    channels: usize,
    grey: impl Fn(&[T]) -> u16,
) -> Result<Vec<u16>, FilmProblem> {
    let mut greys = with_room(components.len() / channels)?;
    greys.extend(components.chunks_exact(channels).map(grey));
    Ok(greys)
}
