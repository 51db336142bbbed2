//! What a DICOM file says about the size of its pixels (PS3.3 10.7.1 and C.8.11.7).

use dicom_core::Tag;
use dicom_dictionary_std::tags;
use plumbray_anatomy::{PixelSpacing, Proportions};

use super::{element::DataSet, functional_groups::FunctionalGroups};
use crate::{
    notice::Notice,
    spacing::{Correction, StatedSpacing},
};

/// Magnification factors outside this range are not of this world: the patient lies between the tube
/// and the detector, and not close to the tube.
const POSSIBLE_MAGNIFICATION: std::ops::RangeInclusive<f64> = 1.0..=10.0;

/// Two spacings that differ by less than this share are the same number, written twice.
const SAME: f64 = 1e-5;

/// What the file says about spacing and about the shape of its pixels.
pub(super) fn read(
    data_set: &DataSet<'_>,
    groups: &FunctionalGroups<'_>,
    notices: &mut Vec<Notice>,
) -> (StatedSpacing, Proportions) {
    let measures = groups.first(tags::PIXEL_MEASURES_SEQUENCE);
    let holder = measures.as_ref().unwrap_or(data_set);
    let pixel = spacing(holder, tags::PIXEL_SPACING, "Pixel Spacing", notices);
    let at_detector = spacing(
        data_set,
        tags::IMAGER_PIXEL_SPACING,
        "Imager Pixel Spacing",
        notices,
    )
    .or_else(|| {
        spacing(
            data_set,
            tags::NOMINAL_SCANNED_PIXEL_SPACING,
            "Nominal Scanned Pixel Spacing",
            notices,
        )
    });
    let correction = match holder.text(tags::PIXEL_SPACING_CALIBRATION_TYPE).as_deref() {
        Some("GEOMETRY") => Some(Correction::Geometry),
        Some("FIDUCIAL") => Some(Correction::Fiducial),
        _ => None,
    };
    let stated = stated(
        pixel,
        at_detector,
        correction,
        magnification(data_set, notices),
    );
    let proportions = stated
        .spacing()
        .map(Proportions::from)
        .or_else(|| aspect_ratio(data_set))
        .unwrap_or_default();
    (stated, proportions)
}

fn stated(
    pixel: Option<PixelSpacing>,
    at_detector: Option<PixelSpacing>,
    correction: Option<Correction>,
    estimated_magnification: Option<f64>,
) -> StatedSpacing {
    match (pixel, at_detector, correction) {
        (Some(spacing), _, Some(by)) => StatedSpacing::Corrected { spacing, by },
        (Some(spacing), Some(detector), None) if is_same(spacing, detector) => {
            StatedSpacing::EqualToDetector {
                spacing,
                estimated_magnification,
            }
        }
        (Some(spacing), Some(at_detector), None) => StatedSpacing::CorrectedOriginUnsaid {
            spacing,
            at_detector,
        },
        (Some(spacing), None, None) => StatedSpacing::CannotBeTold { spacing },
        (None, Some(spacing), _) => StatedSpacing::DetectorAlone {
            spacing,
            estimated_magnification,
        },
        (None, None, _) => StatedSpacing::Nothing,
    }
}

fn is_same(one: PixelSpacing, other: PixelSpacing) -> bool {
    let close = |a: f64, b: f64| (a - b).abs() <= SAME * b;
    close(one.between_rows_mm(), other.between_rows_mm())
        && close(one.between_columns_mm(), other.between_columns_mm())
}

fn spacing(
    holder: &DataSet<'_>,
    tag: Tag,
    name: &str,
    notices: &mut Vec<Notice>,
) -> Option<PixelSpacing> {
    let numbers = holder.numbers(tag);
    // An element without value is as good as absent.
    holder.text(tag)?;
    let rows = numbers.first().copied().unwrap_or(f64::NAN);
    // Some writers give one number for both directions.
    let columns = numbers.get(1).copied().unwrap_or(rows);
    PixelSpacing::new(rows, columns)
        .inspect_err(|_impossible| {
            notices.push(Notice::HeaderValueLeftOut {
                what: format!("{name} {rows} by {columns}"),
            });
        })
        .ok()
}

fn magnification(data_set: &DataSet<'_>, notices: &mut Vec<Notice>) -> Option<f64> {
    let tag = tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR;
    let factor = *data_set.numbers(tag).first()?;
    if POSSIBLE_MAGNIFICATION.contains(&factor) {
        return Some(factor);
    }
    if data_set.text(tag).is_some() {
        notices.push(Notice::HeaderValueLeftOut {
            what: format!("Estimated Radiographic Magnification Factor {factor}"),
        });
    }
    None
}

/// Pixel Aspect Ratio: the height of a pixel over its width, as two whole numbers (PS3.3 C.7.6.3.1.7).
fn aspect_ratio(data_set: &DataSet<'_>) -> Option<Proportions> {
    let numbers = data_set.numbers(tags::PIXEL_ASPECT_RATIO);
    Proportions::new(numbers.first()? / numbers.get(1)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(spacing: f64) -> Option<PixelSpacing> {
        Some(PixelSpacing::new(spacing, spacing).expect("possible"))
    }

    #[test]
    fn each_row_of_the_table_is_told_apart() {
        let fiducial = Some(Correction::Fiducial);
        let cases = [
            (mm(0.14), mm(0.15), fiducial, "Corrected"),
            (mm(0.14), None, fiducial, "Corrected"),
            (mm(0.15), mm(0.15), fiducial, "Corrected"),
            (mm(0.14), mm(0.15), None, "CorrectedOriginUnsaid"),
            (mm(0.15), mm(0.150_000_4), None, "EqualToDetector"),
            (mm(0.15), None, None, "CannotBeTold"),
            (None, mm(0.15), None, "DetectorAlone"),
            (None, None, None, "Nothing"),
            (None, None, fiducial, "Nothing"),
        ];
        for (pixel, detector, correction, expected) in cases {
            let stated = stated(pixel, detector, correction, Some(1.05));
            let name = format!("{stated:?}");
            assert!(
                name.split(' ').next() == Some(expected),
                "{name} instead of {expected}"
            );
        }
    }
}
