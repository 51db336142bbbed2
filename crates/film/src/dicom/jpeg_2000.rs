//! JPEG 2000 (ITU-T T.800) and its high-throughput kind (T.814) by the decoder of dicom-rs, asked directly: through
//! dicom-rs the bytes of the samples are there before the decoder begins.

use jpeg2k::Image;

use super::{
    codestream::{StreamHeader, bytes_per_sample},
    compressed::DecodedFrame,
    image_header::ImageHeader,
};
use crate::{error::FilmProblem, foreign::fenced, limits::zeroed};

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
        let bytes_per_sample = bytes_per_sample(about.bits);
        let length = header.samples() * bytes_per_sample;
        let mut bytes = zeroed(length)?;
        for (place, component) in components.iter().take(count).enumerate() {
            if bytes_per_sample == 2 {
                put::<2>(&mut bytes, place, count, component.data());
            } else {
                put::<1>(&mut bytes, place, count, component.data());
            }
        }
        Ok(DecodedFrame {
            bytes,
            bytes_per_sample,
        })
    })
}

/// Writes the lowest bytes of each sample of a component, of which a pixel has `count`.
fn put<const BYTES: usize>(bytes: &mut [u8], place: usize, count: usize, samples: &[i32]) {
    let (places, _) = bytes.as_chunks_mut::<BYTES>();
    let places = places.iter_mut().skip(place).step_by(count);
    for (bytes, sample) in places.zip(samples) {
        bytes.copy_from_slice(&sample.to_le_bytes()[..BYTES]);
    }
}

fn damaged(problem: &dyn std::fmt::Display) -> FilmProblem {
    FilmProblem::damaged("JPEG 2000", problem)
}
