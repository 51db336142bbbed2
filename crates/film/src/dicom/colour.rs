//! Grey from the colours of a DICOM image.

use dicom_core::Tag;
use dicom_dictionary_std::tags;

use super::{
    element::DataSet,
    image_header::{Colours, ImageHeader},
    lookup_table::LookupTable,
    native::Frame,
    stored,
};
use crate::{error::FilmProblem, limits::with_room, luminance::luminance};

/// How the components of a decoded colour frame lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Arrangement {
    /// Red, green and blue of each pixel together.
    RgbByPixel,
    /// As the image's header says.
    AsStored,
}

/// The luminance of each pixel of a colour frame, at the depth of its components.
///
/// # Errors
/// When the frame has fewer components than its header announces.
pub(super) fn luminances(
    frame: &Frame<'_>,
    header: &ImageHeader,
    arrangement: Arrangement,
) -> Result<Vec<u16>, FilmProblem> {
    let components = stored::components(frame, header)?;
    let pixels = header.pixels();
    let colours = match arrangement {
        Arrangement::RgbByPixel => Colours::Rgb,
        Arrangement::AsStored => header.colours,
    };
    let is_planar = header.is_planar && arrangement == Arrangement::AsStored;
    let mut greys = with_room(pixels)?;
    match colours {
        Colours::Ybr422 => {
            // Two luminances and the two differences that they share, again and again.
            let pairs = components
                .chunks_exact(4)
                .flat_map(|group| [group[0], group[1]]);
            greys.extend(pairs.take(pixels));
        }
        Colours::Ybr if is_planar => greys.extend(components.iter().take(pixels)),
        Colours::Ybr => greys.extend(components.iter().step_by(3).take(pixels)),
        _ if is_planar && components.len() >= 3 * pixels => {
            let (red, rest) = components.split_at(pixels);
            let (green, blue) = rest.split_at(pixels);
            let planes = red.iter().zip(green).zip(blue);
            greys.extend(planes.map(|((red, green), blue)| luminance(*red, *green, *blue)));
        }
        _ => greys.extend(
            components
                .chunks_exact(3)
                .map(|pixel| luminance(pixel[0], pixel[1], pixel[2])),
        ),
    }
    filled(greys, pixels)
}

/// The luminance of each pixel of a palette image, and its depth in bits.
///
/// # Errors
/// When the palette is missing, damaged or segmented.
pub(super) fn palette_luminances(
    frame: &Frame<'_>,
    header: &ImageHeader,
    data_set: &DataSet<'_>,
) -> Result<(Vec<u16>, u16), FilmProblem> {
    if data_set
        .element(tags::SEGMENTED_RED_PALETTE_COLOR_LOOKUP_TABLE_DATA)
        .is_some()
    {
        return Err(FilmProblem::unsupported(
            "a segmented palette (0028,1221) in DICOM",
        ));
    }
    let table = |descriptor: Tag, data: Tag| {
        LookupTable::read(data_set, descriptor, data, header.is_signed)
            .ok_or_else(|| FilmProblem::damaged("DICOM", "its palette is missing or damaged"))
    };
    let red = table(
        tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    )?;
    let green = table(
        tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    )?;
    let blue = table(
        tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    )?;
    let mut greys = stored::components(frame, header)?;
    for grey in &mut greys {
        let index = i32::from(*grey);
        *grey = luminance(red.entry(index), green.entry(index), blue.entry(index));
    }
    Ok((filled(greys, header.pixels())?, red.bits()))
}

fn filled(greys: Vec<u16>, pixels: usize) -> Result<Vec<u16>, FilmProblem> {
    if greys.len() == pixels {
        Ok(greys)
    } else {
        Err(FilmProblem::CutShort {
            what: "pixels".to_owned(),
            announced: pixels as u64,
            present: greys.len() as u64,
        })
    }
}
