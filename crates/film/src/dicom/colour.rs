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
use crate::{
    error::FilmProblem,
    film::ValueScale,
    limits::with_room,
    luminance::luminance,
    sixteen_bits::{self, Coded},
};

/// How the components of a decoded colour frame lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Arrangement {
    /// Red, green and blue of each pixel together.
    RgbByPixel,
    /// As the image's header says.
    AsStored,
}

/// The luminance of each pixel of a colour frame, at the depth of its components, or scaled to 16 bits
/// where they are deeper.
///
/// # Errors
/// When the frame has fewer components than its header announces.
pub(super) fn luminances(
    frame: Frame<'_>,
    header: &ImageHeader,
    arrangement: Arrangement,
) -> Result<Coded, FilmProblem> {
    if frame.bytes_per_sample == 4 {
        deep_luminances(&frame, header)
    } else {
        let greys = shallow_luminances(frame, header, arrangement)?;
        Ok(Coded::plain(greys, ValueScale::IDENTITY))
    }
}

/// The luminance of red, green and blue of 32 bits each.
fn deep_luminances(frame: &Frame<'_>, header: &ImageHeader) -> Result<Coded, FilmProblem> {
    if header.colours != Colours::Rgb {
        return Err(FilmProblem::unsupported(
            "a DICOM image of luminance and colour differences of 32 bits each",
        ));
    }
    let pixels = header.pixels();
    let component = |pixel: usize, colour: usize| {
        let index = if header.is_planar {
            colour * pixels + pixel
        } else {
            3 * pixel + colour
        };
        i64::from(stored::deep_component(frame, header, index))
    };
    sixteen_bits::scaled(pixels, |pixel| {
        let thousandfold =
            299 * component(pixel, 0) + 587 * component(pixel, 1) + 114 * component(pixel, 2);
        (thousandfold + 500) / 1000
    })
}

fn shallow_luminances(
    frame: Frame<'_>,
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
/// When the palette is missing or damaged.
pub(super) fn palette_luminances(
    frame: Frame<'_>,
    header: &ImageHeader,
    data_set: &DataSet<'_>,
) -> Result<(Vec<u16>, u16), FilmProblem> {
    let table = |channel: &Channel| {
        channel
            .read(data_set, header.is_signed)
            .ok_or_else(|| FilmProblem::damaged("DICOM", "its palette is missing or damaged"))
    };
    let [red, green, blue] = &CHANNELS;
    let (red, green, blue) = (table(red)?, table(green)?, table(blue)?);
    let mut greys = stored::components(frame, header)?;
    for grey in &mut greys {
        let index = i32::from(*grey);
        *grey = luminance(red.entry(index), green.entry(index), blue.entry(index));
    }
    Ok((filled(greys, header.pixels())?, red.bits()))
}

/// Where the table of one colour is kept.
struct Channel {
    descriptor: Tag,
    data: Tag,
    segmented_data: Tag,
}

const CHANNELS: [Channel; 3] = [
    Channel {
        descriptor: tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        data: tags::RED_PALETTE_COLOR_LOOKUP_TABLE_DATA,
        segmented_data: tags::SEGMENTED_RED_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    },
    Channel {
        descriptor: tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        data: tags::GREEN_PALETTE_COLOR_LOOKUP_TABLE_DATA,
        segmented_data: tags::SEGMENTED_GREEN_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    },
    Channel {
        descriptor: tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DESCRIPTOR,
        data: tags::BLUE_PALETTE_COLOR_LOOKUP_TABLE_DATA,
        segmented_data: tags::SEGMENTED_BLUE_PALETTE_COLOR_LOOKUP_TABLE_DATA,
    },
];

impl Channel {
    fn read(&self, data_set: &DataSet<'_>, signed: bool) -> Option<LookupTable> {
        LookupTable::read(data_set, self.descriptor, self.data, signed).or_else(|| {
            LookupTable::read_segmented(data_set, self.descriptor, self.segmented_data, signed)
        })
    }
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
