//! JPEG 2000 (ITU-T T.800) and its high-throughput kind (T.814) by the decoder of dicom-rs, asked directly: through
//! dicom-rs the bytes of the samples are there before the decoder begins.

use jpeg2k::Image;

use super::{codestream::StreamHeader, compressed::DecodedFrame, image_header::ImageHeader};
use crate::{error::FilmProblem, foreign::fenced, limits::with_room};

/// Decodes a stream whose header was checked.
///
/// # Errors
/// When it is damaged, or when the pixels that come out contradict the image's header.
pub(super) fn decoded(
    stream: &[u8],
    header: &ImageHeader,
    about: StreamHeader,
) -> Result<DecodedFrame, FilmProblem> {
    fenced("JPEG 2000", || {
        let image = Image::from_bytes(stream).map_err(|problem| damaged(&problem))?;
        let components = image.components();
        let count = usize::from(header.colours.samples_per_pixel());
        let is_whole = |component: &jpeg2k::ImageComponent| {
            (component.width(), component.height()) == (header.columns.into(), header.rows.into())
        };
        if components.len() < count || !components.iter().all(is_whole) {
            return Err(damaged(&"the picture is not of the size that it says"));
        }
        let bytes_per_sample = if about.bits > 8 { 2 } else { 1 };
        let stride = count * bytes_per_sample;
        let length = header.pixels() * stride;
        let mut bytes = with_room(length)?;
        bytes.resize(length, 0);
        for (place, component) in components.iter().take(count).enumerate() {
            let first = place * bytes_per_sample;
            let pixels = bytes.chunks_exact_mut(stride);
            for (pixel, sample) in pixels.zip(component.data()) {
                let sample = &sample.to_le_bytes()[..bytes_per_sample];
                pixel[first..first + bytes_per_sample].copy_from_slice(sample);
            }
        }
        Ok(DecodedFrame {
            bytes,
            bytes_per_sample,
        })
    })
}

fn damaged(problem: &dyn std::fmt::Display) -> FilmProblem {
    FilmProblem::damaged("JPEG 2000", problem)
}
