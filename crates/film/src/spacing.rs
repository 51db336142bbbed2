//! What a file says about the size of its pixels, and what that size measures.

use plumbray_anatomy::{Calibration, CalibrationBasis, PixelSpacing};

/// What a file says about the size of its pixels (DICOM PS3.3 10.7.1 and C.8.11.7).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum StatedSpacing {
    /// Pixel Spacing with a Calibration Type: corrected to the patient.
    Corrected {
        /// The spacing at the patient.
        spacing: PixelSpacing,
        /// What corrected it.
        by: Correction,
    },
    /// Pixel Spacing that differs from the detector's, without a Calibration Type: corrected by
    /// something unsaid.
    CorrectedOriginUnsaid {
        /// The corrected spacing.
        spacing: PixelSpacing,
        /// The spacing at the detector.
        at_detector: PixelSpacing,
    },
    /// Pixel Spacing that equals the detector's: not corrected.
    EqualToDetector {
        /// The spacing at the detector.
        spacing: PixelSpacing,
        /// By how much the detector's image is larger than the patient, by the file's estimate.
        estimated_magnification: Option<f64>,
    },
    /// Pixel Spacing alone: it cannot be told whether it is the patient's or the detector's. Ask.
    CannotBeTold {
        /// The spacing.
        spacing: PixelSpacing,
    },
    /// Only the detector's own spacing.
    DetectorAlone {
        /// The spacing at the detector.
        spacing: PixelSpacing,
        /// By how much the detector's image is larger than the patient, by the file's estimate.
        estimated_magnification: Option<f64>,
    },
    /// Nothing: angles and ratios only.
    #[default]
    Nothing,
}

/// What corrected a spacing to the patient (Pixel Spacing Calibration Type, 0028,0A02).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Correction {
    /// Known or assumed geometry.
    Geometry,
    /// An object of known size on the film.
    Fiducial,
}

impl StatedSpacing {
    /// The spacing that is said, whatever it measures.
    #[must_use]
    pub const fn spacing(self) -> Option<PixelSpacing> {
        match self {
            Self::Corrected { spacing, .. }
            | Self::CorrectedOriginUnsaid { spacing, .. }
            | Self::EqualToDetector { spacing, .. }
            | Self::CannotBeTold { spacing }
            | Self::DetectorAlone { spacing, .. } => Some(spacing),
            Self::Nothing => None,
        }
    }

    /// The calibration that holds without asking anybody; nothing where the file says nothing or its
    /// spacing cannot be told to be the patient's or the detector's.
    #[must_use]
    pub fn calibration(self) -> Option<Calibration> {
        let (spacing, basis) = match self {
            Self::Corrected { spacing, by } => (
                spacing,
                match by {
                    Correction::Geometry => CalibrationBasis::FileByGeometry,
                    Correction::Fiducial => CalibrationBasis::FileByFiducial,
                },
            ),
            Self::CorrectedOriginUnsaid { spacing, .. } => {
                (spacing, CalibrationBasis::FileOriginUnsaid)
            }
            Self::EqualToDetector { spacing, .. } | Self::DetectorAlone { spacing, .. } => {
                (spacing, CalibrationBasis::AtDetector)
            }
            Self::CannotBeTold { .. } | Self::Nothing => return None,
        };
        Some(exact(spacing, basis))
    }

    /// What a reader may choose instead: the detector's spacing divided by the file's estimated
    /// magnification, or a spacing that cannot be told once the reader vouches for it. A spacing that
    /// is already corrected is never divided again.
    #[must_use]
    pub fn calibration_on_request(self) -> Option<Calibration> {
        match self {
            Self::EqualToDetector {
                spacing,
                estimated_magnification: Some(factor),
            }
            | Self::DetectorAlone {
                spacing,
                estimated_magnification: Some(factor),
            } => {
                let at_patient = spacing.divided_by(factor).ok()?;
                Some(exact(
                    at_patient,
                    CalibrationBasis::EstimatedMagnification { factor },
                ))
            }
            Self::CannotBeTold { spacing } => {
                Some(exact(spacing, CalibrationBasis::FileAcceptedByUser))
            }
            _ => None,
        }
    }
}

/// A calibration from a file, which never says how sure it is.
const fn exact(spacing: PixelSpacing, basis: CalibrationBasis) -> Calibration {
    Calibration {
        spacing,
        basis,
        relative_sd: 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spacing(mm: f64) -> PixelSpacing {
        PixelSpacing::new(mm, mm).expect("possible")
    }

    #[test]
    fn a_corrected_spacing_is_never_divided_by_the_magnification() {
        let corrected = [
            StatedSpacing::Corrected {
                spacing: spacing(0.14),
                by: Correction::Geometry,
            },
            StatedSpacing::CorrectedOriginUnsaid {
                spacing: spacing(0.14),
                at_detector: spacing(0.15),
            },
        ];
        for stated in corrected {
            assert_eq!(stated.calibration_on_request(), None, "{stated:?}");
            let calibration = stated.calibration().expect("calibrated");
            assert!(calibration.basis.is_at_patient(), "{stated:?}");
        }
    }

    #[test]
    fn the_detectors_spacing_is_divided_only_on_request() {
        let stated = StatedSpacing::DetectorAlone {
            spacing: spacing(0.15),
            estimated_magnification: Some(1.05),
        };
        let at_once = stated.calibration().expect("a size at the detector");
        assert_eq!(at_once.basis, CalibrationBasis::AtDetector, "at once");
        let asked = stated.calibration_on_request().expect("an estimate");
        let mm = asked.spacing.between_columns_mm();
        assert!((mm - 0.15 / 1.05).abs() < 1e-15, "{mm}");
    }

    #[test]
    fn a_spacing_that_cannot_be_told_needs_the_reader() {
        let stated = StatedSpacing::CannotBeTold {
            spacing: spacing(0.15),
        };
        assert_eq!(stated.calibration(), None, "not at once");
        assert_eq!(
            stated
                .calibration_on_request()
                .map(|calibration| calibration.basis),
            Some(CalibrationBasis::FileAcceptedByUser),
            "by the reader"
        );
    }
}
