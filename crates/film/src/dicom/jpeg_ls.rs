//! JPEG-LS (ITU-T T.87) by a decoder in plain Rust, which reads streams of one component.

use super::{
    codestream::{StreamHeader, bytes_per_sample},
    compressed::DecodedFrame,
    image_header::ImageHeader,
};
use crate::{error::FilmProblem, foreign::fenced, limits::with_room};

/// Decodes a stream whose header was checked.
///
/// # Errors
/// For a stream of several components, and for one that is damaged.
pub(super) fn decoded(
    stream: &[u8],
    header: &ImageHeader,
    about: StreamHeader,
) -> Result<DecodedFrame, FilmProblem> {
    if about.components != 1 {
        return Err(FilmProblem::unsupported("a JPEG-LS picture in colour"));
    }
    let samples = fenced("JPEG-LS", || {
        let (samples, ..) = jpegls::decode(stream, about.width, about.height)
            .map_err(|problem| FilmProblem::damaged("JPEG-LS", problem))?;
        Ok(samples)
    })?;
    if samples.len() != header.pixels() {
        return Err(FilmProblem::damaged(
            "JPEG-LS",
            format!("{} samples instead of {}", samples.len(), header.pixels()),
        ));
    }
    let bytes_per_sample = bytes_per_sample(about.bits);
    let mut bytes = with_room(samples.len() * bytes_per_sample)?;
    if bytes_per_sample == 2 {
        bytes.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
    } else {
        bytes.extend(samples.iter().map(|sample| sample.to_le_bytes()[0]));
    }
    Ok(DecodedFrame {
        bytes,
        bytes_per_sample,
    })
}
