//! Decoding one compressed frame: lossy JPEG through the decoder that dicom-rs uses (asked directly, because only the
//! image's header knows whether its colours are RGB), JPEG 2000 ([`jpeg_2000`]), JPEG-LS ([`jpeg_ls`]) and JPEG XL
//! ([`jpeg_xl`]) through decoders of others, lossless JPEG ([`jpeg_lossless`]) and RLE ([`rle`]) by our own.

use std::borrow::Cow;

use dicom_dictionary_std::{tags, uids};
use dicom_encoding::transfer_syntax::TransferSyntaxIndex;
use dicom_transfer_syntax_registry::TransferSyntaxRegistry;
use jpeg_decoder::{ColorTransform, Decoder};

use super::{
    codestream::{self, StreamHeader},
    element::{self, DataSet},
    frames,
    header::EXPLICIT_VR_BIG_ENDIAN,
    image_header::{Colours, ImageHeader},
    jpeg_2000, jpeg_lossless, jpeg_ls, jpeg_xl, rle,
};
use crate::{error::FilmProblem, foreign::fenced, limits};

/// How the pixels of a transfer syntax are stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Compression {
    /// Not compressed.
    None,
    /// Not compressed, but in fragments.
    Encapsulated,
    /// RLE Lossless.
    Rle,
    /// JPEG baseline, extended and lossless.
    Jpeg,
    /// JPEG-LS, lossless or not.
    JpegLs,
    /// JPEG 2000, lossless or not, and its high-throughput kind.
    Jpeg2000,
    /// JPEG XL, lossless or not.
    JpegXl,
}

impl Compression {
    /// The compression of a transfer syntax.
    ///
    /// # Errors
    /// When its pixels cannot be decoded here; the error names it.
    pub(super) fn of(transfer_syntax: &str) -> Result<Self, FilmProblem> {
        match transfer_syntax {
            uids::IMPLICIT_VR_LITTLE_ENDIAN
            | uids::EXPLICIT_VR_LITTLE_ENDIAN
            | EXPLICIT_VR_BIG_ENDIAN
            | uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN => Ok(Self::None),
            uids::ENCAPSULATED_UNCOMPRESSED_EXPLICIT_VR_LITTLE_ENDIAN => Ok(Self::Encapsulated),
            uids::RLE_LOSSLESS => Ok(Self::Rle),
            uids::JPEG_BASELINE8_BIT
            | uids::JPEG_EXTENDED12_BIT
            | uids::JPEG_LOSSLESS
            | uids::JPEG_LOSSLESS_SV1 => Ok(Self::Jpeg),
            uids::JPEG2000_LOSSLESS
            | uids::JPEG2000
            | uids::HTJ2K_LOSSLESS
            | uids::HTJ2K_LOSSLESS_RPCL
            | uids::HTJ2K => Ok(Self::Jpeg2000),
            uids::JPEGLS_LOSSLESS | uids::JPEGLS_NEAR_LOSSLESS => Ok(Self::JpegLs),
            uids::JPEGXL_LOSSLESS | uids::JPEGXLJPEG_RECOMPRESSION | uids::JPEGXL => {
                Ok(Self::JpegXl)
            }
            other => Err(unsupported(other)),
        }
    }

    /// The image's header for decoded pixels: those of RLE come colour by pixel, though their planes are stored
    /// apart and Planar Configuration may say so (PS3.5 G.2).
    pub(super) fn as_decoded(self, header: &ImageHeader) -> ImageHeader {
        ImageHeader {
            is_planar: header.is_planar && self != Self::Rle,
            ..*header
        }
    }

    /// Whether decoded colour is red, green and blue, whatever the file stores.
    pub(super) const fn decodes_to_rgb(self) -> bool {
        matches!(self, Self::Jpeg | Self::Jpeg2000 | Self::JpegXl)
    }
}

fn unsupported(transfer_syntax: &str) -> FilmProblem {
    FilmProblem::UnsupportedTransferSyntax {
        name: TransferSyntaxRegistry
            .get(transfer_syntax)
            .map_or("of an unknown name", |entry| entry.name())
            .to_owned(),
        uid: transfer_syntax.to_owned(),
    }
}

/// The samples of a decoded frame, little endian, colour by pixel.
pub(super) struct DecodedFrame {
    pub(super) bytes: Vec<u8>,
    /// 1, 2 or 4.
    pub(super) bytes_per_sample: usize,
}

/// Decodes a frame of encapsulated pixels, counted from 0.
///
/// # Errors
/// When the frame is damaged, contradicts the image's header, or cannot be decoded here.
pub(super) fn frame(
    data_set: &DataSet<'_>,
    header: &ImageHeader,
    index: usize,
    transfer_syntax: &str,
    compression: Compression,
) -> Result<DecodedFrame, FilmProblem> {
    let frame = encoded_frame(data_set, header, index, compression)?;
    limits::check_against_file(header.pixels(), frame.len())?;
    match compression {
        Compression::None | Compression::Encapsulated => Ok(DecodedFrame {
            bytes: frame.into_owned(),
            bytes_per_sample: usize::from(header.bits_allocated / 8).max(1),
        }),
        Compression::Rle => {
            let bytes_per_sample = usize::from(header.bits_allocated.div_ceil(8));
            let samples_per_pixel = usize::from(header.colours.samples_per_pixel());
            Ok(DecodedFrame {
                bytes: rle::decoded(&frame, header.pixels(), samples_per_pixel, bytes_per_sample)?,
                bytes_per_sample,
            })
        }
        Compression::Jpeg => {
            let stream = checked(codestream::jpeg_header(&frame), header, "JPEG")?;
            if stream.bits > 8 && transfer_syntax == uids::JPEG_EXTENDED12_BIT {
                return Err(unsupported(transfer_syntax));
            }
            if codestream::is_lossless_jpeg(&frame) {
                return jpeg_lossless::decoded(&frame, header, stream);
            }
            decoded_jpeg(&frame, header)
        }
        Compression::JpegLs => {
            let stream = checked(codestream::jpeg_ls_header(&frame), header, "JPEG-LS")?;
            jpeg_ls::decoded(&frame, header, stream)
        }
        Compression::JpegXl => jpeg_xl::decoded(&frame, header),
        Compression::Jpeg2000 => {
            let stream = checked(codestream::jpeg_2000_header(&frame), header, "JPEG 2000")?;
            jpeg_2000::decoded(&frame, header, stream)
        }
    }
}

/// The stream's own header, if it agrees with the image's.
fn checked(
    stream: Option<StreamHeader>,
    header: &ImageHeader,
    format: &'static str,
) -> Result<StreamHeader, FilmProblem> {
    let stream =
        stream.ok_or_else(|| FilmProblem::damaged(format, "the stream has no usable header"))?;
    let agrees = stream.width == u32::from(header.columns)
        && stream.height == u32::from(header.rows)
        && stream.components == header.colours.samples_per_pixel();
    if !agrees || stream.bits > 16 {
        return Err(FilmProblem::damaged(
            format,
            format!(
                "the stream says {} by {} pixels, {} components of {} bits; the image says {} by {} \
                 pixels, {} components",
                stream.width,
                stream.height,
                stream.components,
                stream.bits,
                header.columns,
                header.rows,
                header.colours.samples_per_pixel()
            ),
        ));
    }
    Ok(stream)
}

/// The bytes of a frame, which may be spread over fragments (PS3.5 A.4).
fn encoded_frame<'a>(
    data_set: &DataSet<'a>,
    header: &ImageHeader,
    index: usize,
    compression: Compression,
) -> Result<Cow<'a, [u8]>, FilmProblem> {
    let element = data_set
        .element(tags::PIXEL_DATA)
        .ok_or_else(|| FilmProblem::damaged("DICOM", "it has no pixels"))?;
    if !element.is_delimited {
        return Err(FilmProblem::damaged(
            "DICOM",
            "its transfer syntax is compressed, but its pixels are not encapsulated",
        ));
    }
    let (offset_table, fragments) = element::fragments(element)?;
    let frames = header.frames;
    let range = frames::fragments_of_frame(offset_table, &fragments, index, frames, compression);
    match fragments.get(range).unwrap_or_default() {
        [] => Err(FilmProblem::damaged(
            "DICOM",
            format!("its pixels have no fragment for frame {}", index + 1),
        )),
        [single] => Ok(Cow::Borrowed(single)),
        several => Ok(Cow::Owned(several.concat())),
    }
}

/// Decodes a JPEG stream whose header was checked, baseline or extended, of 8 bits.
fn decoded_jpeg(frame: &[u8], header: &ImageHeader) -> Result<DecodedFrame, FilmProblem> {
    let length = header.samples();
    let bytes = fenced("JPEG", || {
        let mut decoder = Decoder::new(frame);
        decoder.set_max_decoding_buffer_size(length);
        if header.colours == Colours::Rgb && !codestream::names_its_jpeg_colours(frame) {
            decoder.set_color_transform(ColorTransform::RGB);
        }
        decoder.decode().map_err(|error| match error {
            jpeg_decoder::Error::Unsupported(what) => {
                FilmProblem::unsupported(format!("a JPEG stream with {what:?}"))
            }
            other => FilmProblem::damaged("JPEG", other),
        })
    })?;
    if bytes.len() != length {
        return Err(FilmProblem::damaged(
            "JPEG",
            format!("{} bytes of pixels instead of {length}", bytes.len()),
        ));
    }
    Ok(DecodedFrame {
        bytes,
        bytes_per_sample: 1,
    })
}
