//! How good the films are: from a good one to the poor ones that a clinic also gets.

use anyhow::{Context, Result};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use plumbray_phantom::{Exposure, PoorFilm, SimulatedFilm};

/// What is wrong with a film.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// Nothing.
    Good,
    /// A quarter of the usual dose: more noise.
    LowDose,
    /// Underexposed: a twelfth of the usual dose.
    Underexposed,
    /// Overexposed: the detector saturates behind thin soft tissue.
    Overexposed,
    /// Blurred: the foot moved.
    Blurred,
    /// Saved as a lossy copy of 8 bits: JPEG at quality 60.
    LossyCopy,
}

/// Quality of the lossy copy, as encoders count it.
const JPEG_QUALITY: u8 = 60;

impl Quality {
    /// Every quality, the good one first.
    pub const ALL: [Self; 6] = [
        Self::Good,
        Self::LowDose,
        Self::Underexposed,
        Self::Overexposed,
        Self::Blurred,
        Self::LossyCopy,
    ];

    /// The quality of the film with this number: every second one is good, the others take turns.
    #[must_use]
    pub const fn of_film(number: usize) -> Self {
        if number.is_multiple_of(2) {
            Self::Good
        } else {
            Self::ALL[1 + (number / 2) % 5]
        }
    }

    /// The name as a table has it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::LowDose => "low dose",
            Self::Underexposed => "underexposed",
            Self::Overexposed => "overexposed",
            Self::Blurred => "blurred",
            Self::LossyCopy => "lossy copy",
        }
    }

    /// How it was made, in a few words.
    #[must_use]
    pub const fn recipe(self) -> &'static str {
        match self {
            Self::Good => "the phantom's usual exposure",
            Self::LowDose => "a quarter of the photons",
            Self::Underexposed => "a twelfth of the photons",
            Self::Overexposed => {
                "twelve times the photons, and the detector saturates behind thin soft tissue"
            }
            Self::Blurred => "the foot moved by 0.9 mm across and 0.6 mm along",
            Self::LossyCopy => "8 bits, JPEG at quality 60",
        }
    }

    /// An exposure changed to this quality.
    #[must_use]
    pub fn exposure(self, usual: Exposure) -> Exposure {
        match self {
            Self::Good | Self::LossyCopy => usual,
            Self::LowDose => Exposure {
                photons_per_pixel: usual.photons_per_pixel / 4.0,
                ..usual
            },
            Self::Underexposed => PoorFilm::UnderExposed.exposure(usual),
            Self::Overexposed => PoorFilm::OverExposed.exposure(usual),
            Self::Blurred => PoorFilm::Moved.exposure(usual),
        }
    }

    /// A film's samples as this quality leaves them.
    ///
    /// # Errors
    /// When the lossy copy cannot be written or read back.
    pub fn samples(self, film: &SimulatedFilm) -> Result<Vec<u16>> {
        match self {
            Self::LossyCopy => lossy_copy(&film.in_8_bits(), film.width, film.height),
            _ => Ok(film.samples.clone()),
        }
    }
}

/// A picture of 8 bits as JPEG leaves it.
///
/// # Errors
/// When the copy cannot be written or read back.
pub fn lossy_copy(bytes: &[u8], width: usize, height: usize) -> Result<Vec<u16>> {
    let size = |pixels: usize| u32::try_from(pixels).context("a film of that size has no copy");
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, JPEG_QUALITY).write_image(
        bytes,
        size(width)?,
        size(height)?,
        ExtendedColorType::L8,
    )?;
    Ok(image::load_from_memory(&file)?.into_luma16().into_raw())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_second_film_is_good_and_the_others_take_turns() {
        let count = |quality| {
            (0..200)
                .filter(|number| Quality::of_film(*number) == quality)
                .count()
        };
        assert_eq!(Quality::ALL.map(count), [100, 20, 20, 20, 20, 20], "of 200");
    }

    #[test]
    fn every_quality_is_an_exposure_that_can_be_taken() {
        for quality in Quality::ALL {
            let exposure = quality.exposure(Exposure::default());
            assert_eq!(exposure.validate(), Ok(()), "{quality:?}");
            let is_changed = exposure != Exposure::default();
            let spoils_the_copy = matches!(quality, Quality::Good | Quality::LossyCopy);
            assert_eq!(is_changed, !spoils_the_copy, "{quality:?}");
        }
    }
}
