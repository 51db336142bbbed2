//! What a millimetre on a film means, and how far to trust it.

use serde::{Deserialize, Serialize};

use crate::{
    geometry::Proportions,
    unit::{PixelSpacing, SpacingError},
};

/// Where the millimetres of a film come from. Every length is shown with this name beside it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationBasis {
    /// The file says that its spacing is corrected to the patient by known geometry (DICOM Pixel
    /// Spacing Calibration Type GEOMETRY).
    FileByGeometry,
    /// The file says that its spacing is corrected to the patient by an object of known size (DICOM
    /// Pixel Spacing Calibration Type FIDUCIAL).
    FileByFiducial,
    /// The file's spacing differs from the detector's, without saying what corrected it.
    FileOriginUnsaid,
    /// The file gives a spacing that cannot be told to be the patient's or the detector's, and the
    /// user accepted it.
    FileAcceptedByUser,
    /// Spacing at the detector; a foot is typically 2 to 5 % smaller.
    AtDetector,
    /// Spacing at the detector divided by the file's Estimated Radiographic Magnification Factor.
    EstimatedMagnification {
        /// The factor by which the detector's image is larger than the patient, above 0.
        factor: f64,
    },
    /// A ball or coin of known diameter was fitted on the film.
    RoundObject {
        /// The true diameter in millimetres.
        diameter_mm: f64,
    },
    /// Two points a known distance apart were placed on the film.
    KnownDistance {
        /// The true distance in millimetres.
        distance_mm: f64,
    },
}

impl CalibrationBasis {
    /// A short name that stands beside each length: "by a 25 mm ball or coin", "at the detector".
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::FileByGeometry => "calibrated by geometry".to_owned(),
            Self::FileByFiducial => "calibrated by an object on the film".to_owned(),
            Self::FileOriginUnsaid => "calibrated, origin unsaid".to_owned(),
            Self::FileAcceptedByUser => "spacing of the file, accepted by the reader".to_owned(),
            Self::AtDetector => "at the detector".to_owned(),
            Self::EstimatedMagnification { factor } => {
                let factor = format!("{factor:.3}");
                let factor = factor.trim_end_matches('0').trim_end_matches('.');
                format!("estimated, detector ÷ {factor}")
            }
            Self::RoundObject { diameter_mm } => format!("by a {diameter_mm} mm ball or coin"),
            Self::KnownDistance { distance_mm } => format!("by a distance of {distance_mm} mm"),
        }
    }

    /// Whether lengths are sizes of the patient, rather than of the shadow on the detector or of
    /// something that cannot be told.
    #[must_use]
    pub const fn is_at_patient(self) -> bool {
        match self {
            Self::FileByGeometry
            | Self::FileByFiducial
            | Self::FileOriginUnsaid
            | Self::EstimatedMagnification { .. }
            | Self::RoundObject { .. }
            | Self::KnownDistance { .. } => true,
            Self::FileAcceptedByUser | Self::AtDetector => false,
        }
    }
}

/// The size of a film's pixels in millimetres, with where it comes from and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// The size of a pixel.
    pub spacing: PixelSpacing,
    /// Where it comes from.
    pub basis: CalibrationBasis,
    /// Standard deviation of the spacing as a share of it (0.01 is one per cent): from the fit where
    /// the film was calibrated by hand, 0 where the file does not say.
    pub relative_sd: f64,
}

impl Calibration {
    /// The calibration by something of known size in mm that measures `size_px` pixel widths on the film,
    /// with the standard deviation of that measure:
    ///
    /// ```text
    /// spacing between columns = known size / size in pixel widths
    /// relative SD = SD of the size / size
    /// ```
    ///
    /// # Errors
    /// [`SpacingError`] where the sizes give no possible spacing.
    pub fn by_known_size(
        basis: CalibrationBasis,
        known_size_mm: f64,
        size_px: f64,
        sd_px: f64,
        proportions: Proportions,
    ) -> Result<Self, SpacingError> {
        let between_columns_mm = known_size_mm / size_px;
        let between_rows_mm = between_columns_mm * proportions.height_over_width();
        Ok(Self {
            spacing: PixelSpacing::new(between_rows_mm, between_columns_mm)?,
            basis,
            relative_sd: sd_px / size_px,
        })
    }

    /// The shape of the pixels that this calibration implies.
    #[must_use]
    pub fn proportions(&self) -> Proportions {
        Proportions::from(self.spacing)
    }

    /// Millimetres in one pixel width, the unit of a [`PhysicalPoint`](crate::PhysicalPoint).
    #[must_use]
    pub const fn mm_per_pixel_width(&self) -> f64 {
        self.spacing.between_columns_mm()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_of_known_size_gives_the_spacing_of_pixels_of_any_shape() {
        let basis = CalibrationBasis::RoundObject { diameter_mm: 25.0 };
        let proportions = Proportions::from(PixelSpacing::new(0.3, 0.2).expect("possible"));
        let calibration = Calibration::by_known_size(basis, 25.0, 125.0, 0.5, proportions)
            .expect("a possible spacing");
        let spacing = calibration.spacing;
        for (value, expected) in [
            (spacing.between_columns_mm(), 0.2),
            (spacing.between_rows_mm(), 0.3),
            (calibration.relative_sd, 0.004),
        ] {
            assert!((value - expected).abs() < 1e-12, "{value} for {expected}");
        }
    }

    #[test]
    fn something_of_no_size_calibrates_nothing() {
        let basis = CalibrationBasis::KnownDistance { distance_mm: 10.0 };
        let refused = Calibration::by_known_size(basis, 10.0, 0.0, 0.1, Proportions::SQUARE);
        assert!(refused.is_err(), "{refused:?}");
    }
}
