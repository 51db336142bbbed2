//! The numbers that describe a DICOM image's pixels, checked once before anything relies on them.

use dicom_core::Tag;
use dicom_dictionary_std::tags;

use super::element::DataSet;
use crate::{error::FilmProblem, limits};

/// The description of an image's pixels (PS3.3 C.7.6.3), checked.
#[derive(Clone, Copy, Debug)]
pub(super) struct ImageHeader {
    pub(super) rows: u16,
    pub(super) columns: u16,
    pub(super) frames: u64,
    pub(super) colours: Colours,
    /// 1, 8, 16 or 32.
    pub(super) bits_allocated: u16,
    /// 1 to `bits_allocated`.
    pub(super) bits_stored: u16,
    /// `bits_stored - 1` to `bits_allocated - 1`.
    pub(super) high_bit: u16,
    pub(super) is_signed: bool,
    /// Whether colour comes as whole planes instead of pixel by pixel.
    pub(super) is_planar: bool,
}

/// What the components of a pixel mean (Photometric Interpretation, 0028,0004).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Colours {
    /// Grey, the largest value dark.
    Monochrome1,
    /// Grey, the largest value bright.
    Monochrome2,
    /// Indexes into tables of red, green and blue.
    Palette,
    /// Red, green and blue.
    Rgb,
    /// Luminance and two colour differences.
    Ybr,
    /// The same with half as many colour differences in each row.
    Ybr422,
}

impl Colours {
    /// Whether there is nothing but grey.
    pub(super) const fn is_grey(self) -> bool {
        matches!(self, Self::Monochrome1 | Self::Monochrome2)
    }

    pub(super) const fn samples_per_pixel(self) -> u16 {
        match self {
            Self::Monochrome1 | Self::Monochrome2 | Self::Palette => 1,
            Self::Rgb | Self::Ybr | Self::Ybr422 => 3,
        }
    }
}

impl ImageHeader {
    pub(super) fn read(data_set: &DataSet<'_>) -> Result<Self, FilmProblem> {
        refuse_what_has_no_integer_pixels(data_set)?;
        let needed = |tag: Tag, name: &str| {
            data_set
                .word(tag)
                .ok_or_else(|| FilmProblem::damaged("DICOM", format!("it has no {name}")))
        };
        let rows = needed(tags::ROWS, "Rows")?;
        let columns = needed(tags::COLUMNS, "Columns")?;
        limits::checked_pixel_count(columns.into(), rows.into())?;
        let bits_allocated = needed(tags::BITS_ALLOCATED, "Bits Allocated")?;
        let bits_stored = data_set.word(tags::BITS_STORED).unwrap_or(bits_allocated);
        let high_bit = data_set
            .word(tags::HIGH_BIT)
            .unwrap_or_else(|| bits_stored.saturating_sub(1));
        let header = Self {
            rows,
            columns,
            frames: frames(data_set),
            colours: colours(data_set)?,
            bits_allocated,
            bits_stored,
            high_bit,
            is_signed: data_set.word(tags::PIXEL_REPRESENTATION) == Some(1),
            is_planar: data_set.word(tags::PLANAR_CONFIGURATION) == Some(1),
        };
        header.checked(data_set)
    }

    fn checked(self, data_set: &DataSet<'_>) -> Result<Self, FilmProblem> {
        let Self {
            bits_allocated,
            bits_stored,
            high_bit,
            ..
        } = self;
        if !matches!(bits_allocated, 1 | 8 | 16 | 32) {
            return Err(FilmProblem::unsupported(format!(
                "a DICOM image with Bits Allocated {bits_allocated}"
            )));
        }
        if bits_stored == 0 || bits_stored > bits_allocated {
            return Err(FilmProblem::damaged(
                "DICOM",
                format!("Bits Stored is {bits_stored} of {bits_allocated} allocated"),
            ));
        }
        if high_bit >= bits_allocated || high_bit + 1 < bits_stored {
            return Err(FilmProblem::damaged(
                "DICOM",
                format!("High Bit is {high_bit} for {bits_stored} stored bits of {bits_allocated}"),
            ));
        }
        let samples = data_set.word(tags::SAMPLES_PER_PIXEL);
        let needed = self.colours.samples_per_pixel();
        if samples.is_some_and(|samples| samples != needed) {
            return Err(FilmProblem::damaged(
                "DICOM",
                format!(
                    "Samples per Pixel is {}, but the photometric interpretation needs {needed}",
                    samples.unwrap_or_default()
                ),
            ));
        }
        if needed > 1 && !matches!(bits_allocated, 8 | 16 | 32) {
            return Err(FilmProblem::unsupported(format!(
                "a DICOM colour image with Bits Allocated {bits_allocated}"
            )));
        }
        Ok(self)
    }

    /// The number of pixels of a frame, within the limits.
    pub(super) fn pixels(&self) -> usize {
        usize::from(self.rows) * usize::from(self.columns)
    }

    /// The number of stored samples of a frame, as all but YBR_FULL_422 store them.
    pub(super) fn samples(&self) -> usize {
        self.pixels() * usize::from(self.colours.samples_per_pixel())
    }
}

fn refuse_what_has_no_integer_pixels(data_set: &DataSet<'_>) -> Result<(), FilmProblem> {
    for (tag, name) in [
        (tags::FLOAT_PIXEL_DATA, "Float Pixel Data"),
        (tags::DOUBLE_FLOAT_PIXEL_DATA, "Double Float Pixel Data"),
    ] {
        if data_set.element(tag).is_some() {
            return Err(FilmProblem::unsupported(name));
        }
    }
    if data_set.element(tags::PIXEL_DATA).is_none() {
        let modality = data_set.text(tags::MODALITY);
        return Err(FilmProblem::NoPixels {
            what: modality.map_or_else(
                || "it names no modality".to_owned(),
                |modality| format!("its modality is {modality}"),
            ),
        });
    }
    Ok(())
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the number is at least 1, and only its size as a text matters"
)]
fn frames(data_set: &DataSet<'_>) -> u64 {
    data_set
        .number(tags::NUMBER_OF_FRAMES)
        .map_or(1, |frames| frames.max(1.0) as u64)
}

fn colours(data_set: &DataSet<'_>) -> Result<Colours, FilmProblem> {
    let name = data_set.text(tags::PHOTOMETRIC_INTERPRETATION);
    match name.as_deref() {
        Some("MONOCHROME1") => Ok(Colours::Monochrome1),
        Some("MONOCHROME2") => Ok(Colours::Monochrome2),
        Some("PALETTE COLOR") => Ok(Colours::Palette),
        Some("RGB") => Ok(Colours::Rgb),
        Some("YBR_FULL" | "YBR_ICT" | "YBR_RCT") => Ok(Colours::Ybr),
        Some("YBR_FULL_422") => Ok(Colours::Ybr422),
        Some(other) => Err(FilmProblem::unsupported(format!(
            "the DICOM photometric interpretation {other}"
        ))),
        None if data_set.word(tags::SAMPLES_PER_PIXEL).unwrap_or(1) == 1 => {
            Ok(Colours::Monochrome2)
        }
        None => Err(FilmProblem::damaged(
            "DICOM",
            "it does not say what its colours mean",
        )),
    }
}
