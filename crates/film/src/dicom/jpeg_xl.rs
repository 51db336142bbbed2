//! JPEG XL (ISO/IEC 18181) by a decoder in plain Rust, which writes each part of the picture when it has it.

use jxl::api::{
    Endianness, Event, JxlColorType, JxlDataFormat, JxlDecoder, JxlDecoderOptions, JxlOutputBuffer,
    JxlPixelFormat, ProfileLevel,
};

use super::{codestream::bytes_per_sample, compressed::DecodedFrame, image_header::ImageHeader};
use crate::{error::FilmProblem, foreign::fenced, limits::zeroed};

/// The decoder counts three colours for each pixel, whatever the picture has, and one of transparency may come beside
/// them. No part of a stream may be larger than its picture.
const CHANNELS: usize = 4;

fn damaged(problem: impl std::fmt::Display) -> FilmProblem {
    FilmProblem::damaged("JPEG XL", problem)
}

/// Decodes one picture.
///
/// # Errors
/// When it is damaged, or when its size, colours or depth contradict the image's header.
pub(super) fn decoded(stream: &[u8], header: &ImageHeader) -> Result<DecodedFrame, FilmProblem> {
    fenced("JPEG XL", || decoded_unfenced(stream, header))
}

fn decoded_unfenced(mut stream: &[u8], header: &ImageHeader) -> Result<DecodedFrame, FilmProblem> {
    let mut options = JxlDecoderOptions::default();
    options.render_spot_colors = false;
    options.sample_limit = Some(header.pixels() * CHANNELS + 1);
    options.max_profile_level = ProfileLevel::Main10;
    let mut decoder = JxlDecoder::new(options);
    let event = decoder.process(&mut stream, None, None).map_err(damaged)?;
    if event != Event::BasicInfo {
        return Err(damaged("the stream has no usable header"));
    }
    let bits = set_format(&mut decoder, header)?;

    let bytes_per_sample = bytes_per_sample(bits);
    let length = header.samples() * bytes_per_sample;
    let mut bytes = zeroed(length + 1)?;
    // The decoder writes words of 16 bits and wants them at even addresses.
    let start = bytes.as_ptr().align_offset(bytes_per_sample).min(1);
    let rows = usize::from(header.rows);
    loop {
        let picture = &mut bytes[start..start + length];
        let mut buffers = [JxlOutputBuffer::new(picture, rows, length / rows)];
        let event = decoder.process(&mut stream, Some(&mut buffers), None);
        match event.map_err(damaged)? {
            Event::FrameComplete { .. } => break,
            Event::BasicInfo | Event::FrameHeader => {}
            Event::NeedMoreInput { .. } | Event::Complete => {
                return Err(damaged("the picture ends early"));
            }
        }
    }
    bytes.drain(..start);
    bytes.truncate(length);
    Ok(DecodedFrame {
        bytes,
        bytes_per_sample,
    })
}

/// Asks for samples as the image's header describes them; the depth of the stream, in bits.
fn set_format(decoder: &mut JxlDecoder, header: &ImageHeader) -> Result<u8, FilmProblem> {
    let (Some(about), Some(profile)) = (decoder.basic_info(), decoder.embedded_color_profile())
    else {
        return Err(damaged("the stream has no usable header"));
    };
    let (columns, rows) = about.size;
    let bits = about.bit_depth.bits_per_sample();
    let components = profile.channels();
    let agrees = columns == usize::from(header.columns)
        && rows == usize::from(header.rows)
        && components == usize::from(header.colours.samples_per_pixel());
    let (Ok(bit_depth @ 1..=16), true) = (u8::try_from(bits), agrees) else {
        return Err(damaged(format!(
            "the stream says {columns} by {rows} pixels, {components} components of {bits} bits; the \
             image says {} by {} pixels, {} components",
            header.columns,
            header.rows,
            header.colours.samples_per_pixel()
        )));
    };
    let beside = about.extra_channels.len();
    let format = JxlPixelFormat {
        color_type: if components == 1 {
            JxlColorType::Grayscale
        } else {
            JxlColorType::Rgb
        },
        color_data_format: Some(if bit_depth > 8 {
            JxlDataFormat::U16 {
                endianness: Endianness::LittleEndian,
                bit_depth,
            }
        } else {
            JxlDataFormat::U8 { bit_depth }
        }),
        extra_channel_format: vec![None; beside],
    };
    decoder.set_pixel_format(format).map_err(damaged)?;
    Ok(bit_depth)
}
