//! Lengths of a plan, with and without a calibration.

use serde::{Deserialize, Serialize};

/// A length that a surgeon states.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// In millimetres; needs a calibration of the AP film.
    Millimetres(f64),
    /// As a share, 1 being the whole, of what the field that holds it says: the length of the first
    /// metatarsal or the width of its shaft at the cut.
    Share(f64),
}

impl Extent {
    /// The number, whatever its unit.
    #[must_use]
    pub const fn number(self) -> f64 {
        match self {
            Self::Millimetres(number) | Self::Share(number) => number,
        }
    }
}

/// A length on the bone that was worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Length {
    /// In pixel widths of the AP film.
    pub pixel_widths: f64,
    /// As a share of the width of the shaft at the cut, which needs no calibration.
    pub of_width: f64,
    /// In millimetres; nothing where the AP film is not calibrated.
    pub mm: Option<f64>,
}

impl Length {
    /// The same without its sign.
    #[must_use]
    pub fn abs(self) -> Self {
        Self {
            pixel_widths: self.pixel_widths.abs(),
            of_width: self.of_width.abs(),
            mm: self.mm.map(f64::abs),
        }
    }
}

/// Makes lengths of a plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ruler {
    /// Millimetres of one pixel width.
    pub(crate) mm_per_pixel_width: Option<f64>,
    /// Width of the shaft at the cut, in pixel widths.
    pub(crate) width: f64,
}

impl Ruler {
    /// A length of so many pixel widths.
    pub(crate) fn length(&self, pixel_widths: f64) -> Length {
        Length {
            pixel_widths,
            of_width: pixel_widths / self.width,
            mm: self.mm_per_pixel_width.map(|size| pixel_widths * size),
        }
    }
}
