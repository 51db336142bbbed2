//! All elements of a DICOM file and its pixels, for whoever writes them again.
//!
//! Read only when asked for, apart from the film itself: nothing that handles films holds names of people.

use dicom_core::{Tag, VR};
use dicom_dictionary_std::{tags, uids};

use super::{
    Asked,
    compressed::Compression,
    element::{DataSet, Element, Encoding},
    header::{self, Located},
    image_header::{Colours, ImageHeader},
    ybr_422,
};
use crate::{
    error::FilmProblem,
    limits,
    object::{FilmElement, FilmObject, FilmPixels, FilmValue},
};

/// Sequences nested deeper than this are an attack on the stack.
const DEEPEST_NESTING: usize = 16;

/// Reads every element of a DICOM file but its pixels.
pub(crate) fn read(bytes: &[u8]) -> Result<FilmObject, FilmProblem> {
    let located = header::locate(bytes)?;
    let data_set = DataSet::read(&located.data_set, located.encoding)?;
    Ok(FilmObject {
        elements: elements_of(&data_set, 0)?,
        transfer_syntax: located.transfer_syntax,
    })
}

fn elements_of(data_set: &DataSet<'_>, depth: usize) -> Result<Vec<FilmElement>, FilmProblem> {
    if depth > DEEPEST_NESTING {
        return Err(FilmProblem::damaged(
            "DICOM",
            "sequences are nested too deeply",
        ));
    }
    let kept = |element: &&Element<'_>| {
        !matches!(
            element.tag,
            tags::PIXEL_DATA | tags::FLOAT_PIXEL_DATA | tags::DOUBLE_FLOAT_PIXEL_DATA
        ) && element.tag.element() != 0
    };
    let elements = data_set.elements.iter().filter(kept);
    elements
        .map(|element| {
            let is_sequence =
                element.vr == VR::SQ || (element.vr == VR::UN && element.is_delimited);
            let (vr, value) = if is_sequence {
                let items: Result<Vec<_>, FilmProblem> = data_set
                    .items(element.tag)
                    .map(|item| elements_of(&item, depth + 1))
                    .collect();
                (VR::SQ, FilmValue::Items(items?))
            } else {
                let bytes = little_endian(element, data_set.encoding);
                (element.vr, FilmValue::Bytes(bytes))
            };
            Ok(FilmElement {
                tag: element.tag,
                vr,
                value,
            })
        })
        .collect()
}

/// The bytes of a value in little endian.
fn little_endian(element: &Element<'_>, encoding: Encoding) -> Vec<u8> {
    let size = match element.vr {
        _ if !encoding.big_endian => 1,
        VR::US | VR::SS | VR::OW | VR::AT => 2,
        VR::UL | VR::SL | VR::FL | VR::OL | VR::OF => 4,
        VR::FD | VR::OD | VR::OV | VR::SV | VR::UV => 8,
        _ => 1,
    };
    let groups = element.bytes.chunks(size);
    groups
        .flat_map(|group| group.iter().rev())
        .copied()
        .collect()
}

/// Decodes the pixels of every frame of a DICOM file as they are stored, those in YBR_FULL_422 to red, green and blue.
pub(crate) fn pixels(bytes: &[u8]) -> Result<FilmPixels, FilmProblem> {
    let located = header::locate(bytes)?;
    let data_set = DataSet::read(&located.data_set, located.encoding)?;
    let header = ImageHeader::read(&data_set)?;
    let compression = Compression::of(&located.transfer_syntax)?;
    let header = compression.as_decoded(&header);
    let frames = frames(&located, &data_set, &header, compression)?;
    let is_rgb_now = header.colours == Colours::Ybr422
        || (compression.decodes_to_rgb() && !header.colours.is_grey());
    let is_by_pixel = is_rgb_now || !header.is_planar;
    let bits = u16::try_from(frames.bytes_per_sample * 8).unwrap_or(u16::MAX);
    Ok(FilmPixels {
        columns: usize::from(header.columns),
        rows: usize::from(header.rows),
        samples_per_pixel: usize::from(header.colours.samples_per_pixel()),
        bits_allocated: bits,
        bits_stored: header.bits_stored.min(bits),
        high_bit: header.high_bit.min(bits.saturating_sub(1)),
        is_signed: header.is_signed,
        colours: if is_rgb_now {
            "RGB"
        } else {
            name_of(header.colours)
        },
        is_planar: !is_by_pixel,
        was_lossy: is_lossy(&located.transfer_syntax),
        bytes: frames.bytes,
    })
}

/// Every frame of a file, one after the other.
struct Frames {
    bytes_per_sample: usize,
    bytes: Vec<u8>,
}

fn frames(
    located: &Located<'_>,
    data_set: &DataSet<'_>,
    header: &ImageHeader,
    compression: Compression,
) -> Result<Frames, FilmProblem> {
    let shares_colours = header.colours == Colours::Ybr422 && !compression.decodes_to_rgb();
    let is_stored_so = matches!(compression, Compression::None | Compression::Encapsulated);
    if shares_colours && !is_stored_so {
        return Err(FilmProblem::unsupported(
            "writing YBR_FULL_422 anew that is compressed in a way that has no such colours",
        ));
    }
    // Of one bit allocated there is a byte for each sample.
    let of_one = header.samples() * usize::from(header.bits_allocated.div_ceil(8));
    let count = usize::try_from(header.frames).unwrap_or(usize::MAX);
    let together = count.saturating_mul(of_one);
    if header.frames > 1 && together > limits::DECODED_BYTES {
        return Err(FilmProblem::unsupported(
            "writing a DICOM file anew whose pictures are larger together than 1 GiB",
        ));
    }
    let mut all = Frames {
        bytes_per_sample: 1,
        bytes: Vec::new(),
    };
    for index in 0..count {
        let asked = Asked {
            located,
            data_set,
            header,
            frame: index,
        };
        let frame = super::frame_of(&asked, compression)?;
        all.bytes_per_sample = frame.bytes_per_sample;
        let bytes = if shares_colours {
            ybr_422::to_rgb(&frame, header)?
        } else {
            frame.bytes.into_owned()
        };
        if index == 0 {
            all.bytes = bytes;
        } else {
            all.bytes.extend_from_slice(&bytes);
        }
    }
    Ok(all)
}

const fn name_of(colours: Colours) -> &'static str {
    match colours {
        Colours::Monochrome1 => "MONOCHROME1",
        Colours::Monochrome2 => "MONOCHROME2",
        Colours::Palette => "PALETTE COLOR",
        Colours::Rgb => "RGB",
        Colours::Ybr => "YBR_FULL",
        Colours::Ybr422 => "YBR_FULL_422",
    }
}

/// Whether a transfer syntax may have lost detail (PS3.5 8.2). JPEG 2000, its high-throughput kind and JPEG XL name
/// may-be-lossy syntaxes of their own.
fn is_lossy(transfer_syntax: &str) -> bool {
    matches!(
        transfer_syntax,
        uids::JPEG_BASELINE8_BIT
            | uids::JPEG_EXTENDED12_BIT
            | uids::JPEGLS_NEAR_LOSSLESS
            | uids::JPEG2000
            | uids::HTJ2K
            | uids::JPEGXLJPEG_RECOMPRESSION
            | uids::JPEGXL
    )
}

impl FilmObject {
    /// The element of the highest level with this tag.
    #[must_use]
    pub fn element(&self, tag: Tag) -> Option<&FilmElement> {
        self.elements.iter().find(|element| element.tag == tag)
    }
}
