//! Films that come as DICOM files.
//!
//! The structure of the file is read by our own bounded reader ([`element`]); vocabulary comes from the
//! dicom-rs project, decoders of compressed pixels from several ([`compressed`]). The grey-scale stage is our own, in
//! the order of PS3.4 N.2: mask and sign ([`stored`]), padding, modality transformation, values of
//! interest ([`values_of_interest`]), presentation shape.

mod character_set;
mod codestream;
mod colour;
mod compressed;
mod directory;
mod element;
mod facts;
mod frames;
mod functional_groups;
mod header;
mod image_header;
mod jpeg_2000;
mod jpeg_lossless;
mod jpeg_ls;
mod jpeg_xl;
mod lookup_table;
mod native;
mod overlay;
mod patient;
mod rle;
mod spacing;
mod stored;
mod summary;
mod value;
mod values_of_interest;
mod whole;
mod ybr_422;

use std::borrow::Cow;

use dicom_dictionary_std::tags;

use self::{
    colour::Arrangement,
    compressed::Compression,
    functional_groups::FunctionalGroups,
    image_header::{Colours, ImageHeader},
    native::Frame,
};
use crate::{
    appearance,
    error::FilmProblem,
    film::{Content, FrameOf, ValueScale},
    grey_scale::GreyScale,
    notice::Notice,
    sixteen_bits::Coded,
};

pub use self::{
    character_set::decoded as text_in_character_sets,
    directory::films as directory_films,
    element::{DataSet, Element, Encoding},
    header::{Located, locate},
    patient::name_in_words,
};
pub(crate) use self::{
    patient::read as patient,
    summary::{Summed, read as summed},
    whole::{pixels as whole_pixels, read as whole_object},
};

/// Reads one frame of a DICOM file, counted from 0.
pub(crate) fn read(bytes: &[u8], frame: usize) -> Result<Content, FilmProblem> {
    let located = header::locate(bytes)?;
    let data_set = DataSet::read(&located.data_set, located.encoding)?;
    let header = ImageHeader::read(&data_set)?;
    if frame as u64 >= header.frames {
        return Err(FilmProblem::NoSuchFrame {
            number: frame as u64 + 1,
            frames: header.frames,
        });
    }
    let groups = FunctionalGroups::read(&data_set, frame);
    let mut notices = notices(&located, &data_set, &header, frame);
    let shown_inverted = shown_inverted(&header, &data_set);
    let asked = Asked {
        located: &located,
        data_set: &data_set,
        header: &header,
        frame,
    };
    let pixels = pixels(&asked, &groups, shown_inverted)?;
    notices.extend(pixels.grey.notices);

    let (width, height) = (usize::from(header.columns), usize::from(header.rows));
    let Coded { samples, scale, .. } = pixels.grey.coded;
    let padding = pixels.grey.padding;
    let judged = appearance::judge(&samples, width, height, padding.as_ref(), scale);
    let mut windows = Vec::new();
    if header.colours.is_grey() {
        let (offered, left_out) = values_of_interest::read(&data_set, &groups, scale);
        windows.extend(offered);
        notices.extend(left_out);
    }
    windows.push(judged.window);
    let facts = facts::read(&data_set, &groups, &mut notices);
    let overlays = overlay::read(&asked, &mut notices);
    Ok(Content {
        width,
        height,
        samples,
        bits: u8::try_from(pixels.bits).unwrap_or(u8::MAX),
        bone_is_bright: bone_is_bright(&data_set, shown_inverted).unwrap_or(judged.bone_is_bright),
        grey: GreyScale {
            windows,
            shown_inverted,
            padding,
            scale,
        },
        facts,
        notices,
        frame: FrameOf {
            number: u32::try_from(frame + 1).unwrap_or(u32::MAX),
            count: u32::try_from(header.frames).unwrap_or(u32::MAX),
        },
        overlays,
        content_hash: String::new(),
    })
}

/// Which frame of which file is read.
#[derive(Clone, Copy)]
struct Asked<'a, 'file> {
    located: &'a Located<'file>,
    data_set: &'a DataSet<'file>,
    header: &'a ImageHeader,
    /// Counted from 0.
    frame: usize,
}

/// The pixels of a frame as grey.
struct Pixels {
    grey: stored::ModalitySamples,
    /// The depth of the grey in the file.
    bits: u16,
}

fn pixels(
    asked: &Asked<'_, '_>,
    groups: &FunctionalGroups<'_>,
    shown_inverted: bool,
) -> Result<Pixels, FilmProblem> {
    let Asked {
        located,
        data_set,
        header,
        ..
    } = *asked;
    let compression = Compression::of(&located.transfer_syntax)?;
    let header = &compression.as_decoded(header);
    let frame = frame_of(&Asked { header, ..*asked }, compression)?;
    let (grey, bits) = match header.colours {
        Colours::Monochrome1 | Colours::Monochrome2 => {
            let dark_code = if shown_inverted { u16::MAX } else { 0 };
            let grey = stored::modality_samples(frame, header, data_set, groups, dark_code)?;
            (grey, header.bits_stored)
        }
        Colours::Palette => {
            let (samples, bits) = colour::palette_luminances(frame, header, data_set)?;
            let coded = Coded::plain(samples, ValueScale::IDENTITY);
            (of_colour(coded, bits), bits)
        }
        Colours::Rgb | Colours::Ybr | Colours::Ybr422 => {
            let arrangement = if compression.decodes_to_rgb() {
                Arrangement::RgbByPixel
            } else {
                Arrangement::AsStored
            };
            let coded = colour::luminances(frame, header, arrangement)?;
            (of_colour(coded, header.bits_stored), header.bits_stored)
        }
    };
    if grey.coded.samples.len() != header.pixels() {
        return Err(FilmProblem::CutShort {
            what: "pixels".to_owned(),
            announced: header.pixels() as u64,
            present: grey.coded.samples.len() as u64,
        });
    }
    Ok(Pixels { grey, bits })
}

fn frame_of<'file>(
    asked: &Asked<'_, 'file>,
    compression: Compression,
) -> Result<Frame<'file>, FilmProblem> {
    if compression == Compression::None {
        return native::frame(asked.data_set, asked.header, asked.frame);
    }
    let transfer_syntax = &asked.located.transfer_syntax;
    let (data_set, header) = (asked.data_set, asked.header);
    let decoded = compressed::frame(data_set, header, asked.frame, transfer_syntax, compression)?;
    Ok(Frame {
        bytes: Cow::Owned(decoded.bytes),
        bytes_per_sample: decoded.bytes_per_sample,
    })
}

fn of_colour(coded: Coded, bits: u16) -> stored::ModalitySamples {
    let mut notices = vec![Notice::ColourReducedToGrey];
    if coded.was_scaled {
        notices.push(Notice::ScaledToSixteenBits {
            bits: u8::try_from(bits).unwrap_or(u8::MAX),
        });
    }
    stored::ModalitySamples {
        coded,
        padding: None,
        notices,
    }
}

fn notices(
    located: &Located<'_>,
    data_set: &DataSet<'_>,
    header: &ImageHeader,
    frame: usize,
) -> Vec<Notice> {
    let mut notices = Vec::new();
    if located.was_recognised {
        notices.push(Notice::DicomHeaderRecognised);
    }
    if header.frames > 1 {
        notices.push(Notice::OneOfSeveral {
            number: frame as u64 + 1,
            pictures: header.frames,
        });
    }
    if data_set.text(tags::LOSSY_IMAGE_COMPRESSION).as_deref() == Some("01") {
        notices.push(Notice::LossyCompression);
    }
    notices
}

/// Whether large values are dark. MONOCHROME1 and a Presentation LUT Shape of INVERSE say the same
/// thing in two places (PS3.3 C.8.11.3.1.2), so both together invert once.
fn shown_inverted(header: &ImageHeader, data_set: &DataSet<'_>) -> bool {
    let has_inverse_shape =
        || data_set.text(tags::PRESENTATION_LUT_SHAPE).as_deref() == Some("INVERSE");
    match header.colours {
        Colours::Monochrome1 => true,
        Colours::Monochrome2 => has_inverse_shape(),
        _ => false,
    }
}

/// Whether bone has the larger values, as far as the file says; where it does not, the pixels tell.
///
/// Pixel Intensity Relationship Sign (0028,1041) says whether less X-ray intensity, as behind bone,
/// gives larger stored values. Without it a radiograph is taken to be shown the usual way, bone bright.
fn bone_is_bright(data_set: &DataSet<'_>, shown_inverted: bool) -> Option<bool> {
    let slope_falls = data_set
        .number(tags::RESCALE_SLOPE)
        .is_some_and(|slope| slope < 0.0);
    match data_set
        .word(tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN)
        .map(u16::cast_signed)
    {
        Some(-1) => return Some(!slope_falls),
        Some(1) => return Some(slope_falls),
        _ => {}
    }
    let modality = data_set.text(tags::MODALITY);
    let is_radiograph = matches!(modality.as_deref(), Some("CR" | "DX" | "PX" | "RG"));
    is_radiograph.then_some(!shown_inverted)
}
