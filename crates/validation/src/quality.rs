//! How good the films are: from a good one to the poor ones that a clinic also gets.

use anyhow::{Context, Result};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use plumbray_phantom::{Exposure, SimulatedFilm};

/// What is wrong with a film.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quality {
    /// Nothing.
    Good,
    /// A fifth of the usual dose: more noise.
    LowDose,
    /// Underexposed: a twentieth of the usual dose, and the densest bone runs into white.
    Underexposed,
    /// Overexposed: what is thin runs into black, so that soft tissue and the toes' edges are lost.
    Overexposed,
    /// Blurred by movement or a large focus.
    Blurred,
    /// Saved as a lossy copy of 8 bits: JPEG at quality 60.
    LossyCopy,
}

/// Below this share of the grey scale an overexposed film is black.
const BLACK_BELOW: f64 = 0.22;
/// Above this share of the grey scale an underexposed film is white.
const WHITE_ABOVE: f64 = 0.75;
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
            Self::LowDose => "a fifth of the photons",
            Self::Underexposed => {
                "a twentieth of the photons, and the brightest quarter of the grey scale runs into white"
            }
            Self::Overexposed => "the darkest 22 % of the grey scale run into black",
            Self::Blurred => "blur of 0.45 mm (standard deviation) instead of 0.13 mm",
            Self::LossyCopy => "8 bits, JPEG at quality 60",
        }
    }

    /// An exposure changed to this quality.
    #[must_use]
    pub fn exposure(self, usual: Exposure) -> Exposure {
        match self {
            Self::Good | Self::Overexposed | Self::LossyCopy => usual,
            Self::LowDose => Exposure {
                photons_per_pixel: usual.photons_per_pixel / 5.0,
                ..usual
            },
            Self::Underexposed => Exposure {
                photons_per_pixel: usual.photons_per_pixel / 20.0,
                ..usual
            },
            Self::Blurred => Exposure {
                blur_mm: 0.45,
                ..usual
            },
        }
    }

    /// A film's samples as this quality leaves them.
    ///
    /// # Errors
    /// When the lossy copy cannot be written or read back.
    pub fn samples(self, film: &SimulatedFilm) -> Result<Vec<u16>> {
        match self {
            Self::Good | Self::LowDose | Self::Blurred => Ok(film.samples.clone()),
            Self::Underexposed => Ok(stretched(&film.samples, 0.0, WHITE_ABOVE)),
            Self::Overexposed => Ok(stretched(&film.samples, BLACK_BELOW, 1.0)),
            Self::LossyCopy => lossy_copy(film),
        }
    }
}

/// The part of the grey scale between two shares, spread over the whole of it.
fn stretched(samples: &[u16], low: f64, high: f64) -> Vec<u16> {
    let full = f64::from(u16::MAX);
    samples
        .iter()
        .map(|sample| {
            let share = (f64::from(*sample) / full - low) / (high - low);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between 0 and the full scale"
            )]
            let stretched = (share.clamp(0.0, 1.0) * full).round() as u16;
            stretched
        })
        .collect()
}

fn lossy_copy(film: &SimulatedFilm) -> Result<Vec<u16>> {
    let size = |pixels: usize| u32::try_from(pixels).context("a film of that size has no copy");
    let eight_bits: Vec<u8> = film
        .samples
        .iter()
        .map(|sample| u8::try_from(sample >> 8).unwrap_or(u8::MAX))
        .collect();
    let mut file = Vec::new();
    JpegEncoder::new_with_quality(&mut file, JPEG_QUALITY).write_image(
        &eight_bits,
        size(film.width)?,
        size(film.height)?,
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
    fn stretching_keeps_the_ends_and_loses_what_lies_beyond() {
        let samples = [0, 16_384, 32_768, 49_152, u16::MAX];
        assert_eq!(
            stretched(&samples, 0.25, 0.75),
            [0, 0, 32_768, u16::MAX, u16::MAX],
            "the middle half"
        );
    }
}
