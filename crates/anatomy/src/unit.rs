//! Units as types, wherever mixing them would hurt a patient's number.

use serde::{Deserialize, Serialize};

/// An angle; radians inside, degrees at the border.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// An angle of so many radians.
    #[must_use]
    pub const fn from_radians(radians: f64) -> Self {
        Self(radians)
    }

    /// An angle of so many degrees.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        Self(degrees.to_radians())
    }

    /// The angle in radians.
    #[must_use]
    pub const fn radians(self) -> f64 {
        self.0
    }

    /// The angle in degrees.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0.to_degrees()
    }
}

/// A length on the patient or at the detector, as the film's calibration says. Needs a
/// [`Calibration`](crate::Calibration) to exist.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Millimetres(pub f64);

/// A length on the film, in pixels.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Pixels(pub f64);

/// The distance between the centres of neighbouring pixels, in millimetres.
///
/// DICOM lists the spacing between rows first (PS3.3 10.7.1.3), and so does this type.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PixelSpacing {
    between_rows_mm: f64,
    between_columns_mm: f64,
}

/// A pixel spacing that no film can have.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "a pixel spacing of {between_rows_mm} by {between_columns_mm} mm is not possible; \
     both numbers must lie between 0.0001 and 100 mm"
)]
pub struct SpacingError {
    /// The distance between rows that was given, in millimetres.
    pub between_rows_mm: f64,
    /// The distance between columns that was given, in millimetres.
    pub between_columns_mm: f64,
}

impl PixelSpacing {
    /// A spacing between rows (down the film) and between columns (across it), in millimetres.
    ///
    /// # Errors
    /// When either number is not finite or outside 0.0001 to 100 mm.
    pub fn new(between_rows_mm: f64, between_columns_mm: f64) -> Result<Self, SpacingError> {
        let possible = |mm: f64| (1e-4..=100.0).contains(&mm);
        if possible(between_rows_mm) && possible(between_columns_mm) {
            Ok(Self {
                between_rows_mm,
                between_columns_mm,
            })
        } else {
            Err(SpacingError {
                between_rows_mm,
                between_columns_mm,
            })
        }
    }

    /// The distance between rows, down the film, in millimetres.
    #[must_use]
    pub const fn between_rows_mm(self) -> f64 {
        self.between_rows_mm
    }

    /// The distance between columns, across the film, in millimetres.
    #[must_use]
    pub const fn between_columns_mm(self) -> f64 {
        self.between_columns_mm
    }

    /// The same spacing divided by a magnification factor above zero: the size at the patient of
    /// what the detector shows `factor` times as large.
    ///
    /// # Errors
    /// When the result is not a possible spacing.
    pub fn divided_by(self, factor: f64) -> Result<Self, SpacingError> {
        Self::new(
            self.between_rows_mm / factor,
            self.between_columns_mm / factor,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::assert_close;

    #[test]
    fn degrees_and_radians_are_the_same_angle() {
        let half_turn = Angle::from_degrees(180.0).radians();
        assert_close(half_turn, std::f64::consts::PI, 1e-15, "π");
        let one_radian = Angle::from_radians(1.0).degrees();
        assert_close(one_radian, 57.295_779_513_082_32, 1e-12, "1 rad");
    }

    #[test]
    fn an_impossible_spacing_is_refused() {
        for (rows, columns) in [
            (0.0, 0.1),
            (0.1, -0.1),
            (f64::NAN, 0.1),
            (0.1, f64::INFINITY),
        ] {
            assert!(
                PixelSpacing::new(rows, columns).is_err(),
                "{rows} by {columns}"
            );
        }
    }
}
