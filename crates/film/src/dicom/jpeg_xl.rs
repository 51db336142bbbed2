//! JPEG XL (ISO/IEC 18181) by a decoder in plain Rust.

use jxl_oxide::{AllocTracker, JxlImage};

use super::{compressed::DecodedFrame, image_header::ImageHeader};
use crate::{error::FilmProblem, foreign::fenced, limits::with_room};

/// The decoder may allocate so many bytes for each pixel, planes of 32 bits and their copies.
const BYTES_PER_SAMPLE: usize = 24;
/// And so many beside them.
const BYTES_BESIDE: usize = 64 << 20;

/// Decodes one picture.
///
/// # Errors
/// When it is damaged, when its size, colours or depth contradict the image's header, or when it needs more
/// memory than such a picture should.
pub(super) fn decoded(stream: &[u8], header: &ImageHeader) -> Result<DecodedFrame, FilmProblem> {
    fenced("JPEG XL", || decoded_unfenced(stream, header))
}

fn decoded_unfenced(stream: &[u8], header: &ImageHeader) -> Result<DecodedFrame, FilmProblem> {
    let damaged = |problem: &dyn std::fmt::Display| FilmProblem::damaged("JPEG XL", problem);
    let most = header.samples() * BYTES_PER_SAMPLE + BYTES_BESIDE;
    let mut image = JxlImage::builder()
        .alloc_tracker(AllocTracker::with_limit(most))
        .read(stream)
        .map_err(|problem| damaged(&problem))?;
    image.set_render_spot_color(false);
    let bits = image.image_header().metadata.bit_depth.bits_per_sample();
    let agrees = image.width() == u32::from(header.columns)
        && image.height() == u32::from(header.rows)
        && bits <= 16;
    if !agrees {
        return Err(damaged(&format!(
            "the stream says {} by {} pixels of {bits} bits; the image says {} by {}",
            image.width(),
            image.height(),
            header.columns,
            header.rows
        )));
    }
    let render = image.render_frame(0).map_err(|problem| damaged(&problem))?;
    let mut stream = render.stream_no_alpha();
    if stream.channels() != u32::from(header.colours.samples_per_pixel()) {
        return Err(damaged(&format!(
            "the stream has {} components",
            stream.channels()
        )));
    }
    let bytes_per_sample = if bits > 8 { 2 } else { 1 };
    let highest = (1_u32 << bits) - 1;
    let mut bytes = with_room(header.samples() * bytes_per_sample)?;
    let mut row = vec![0.0; header.samples() / usize::from(header.rows)];
    for _ in 0..header.rows {
        let written = stream.write_to_buffer(&mut row);
        if written != row.len() {
            return Err(damaged(&"the picture ends early"));
        }
        for share in &row {
            let sample = from_share(*share, highest).to_le_bytes();
            bytes.extend_from_slice(&sample[..bytes_per_sample]);
        }
    }
    Ok(DecodedFrame {
        bytes,
        bytes_per_sample,
    })
}

/// A sample that the decoder gives as a share of the highest, exactly: a share of 24 bits tells samples of 16 apart.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "limited to 0 up to the highest sample of at most 16 bits"
)]
fn from_share(share: f32, highest: u32) -> u16 {
    let highest = highest as f32;
    (share * highest).round().clamp(0.0, highest) as u16
}
