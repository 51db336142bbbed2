//! What a DICOM file says about side, view, spacing and date reaches the reader with its source.

use crate::made::DicomFile;
use plumbray_anatomy::{CalibrationBasis, Side, View};
use plumbray_film::{
    BodyDirection, Correction, Film, FilmDirections, FilmFacts, Notice, Stated, StatedSpacing,
};

const PIXEL_SPACING: (u16, u16) = (0x0028, 0x0030);
const IMAGER_PIXEL_SPACING: (u16, u16) = (0x0018, 0x1164);
const CALIBRATION_TYPE: (u16, u16) = (0x0028, 0x0A02);
const MAGNIFICATION: (u16, u16) = (0x0018, 0x1114);

fn film(file: &DicomFile) -> Film {
    Film::from_bytes(&file.to_bytes()).expect("a film")
}

fn facts(file: &DicomFile) -> FilmFacts {
    film(file).facts().clone()
}

fn plain() -> DicomFile {
    DicomFile::new(1, 1, &[7])
}

#[test]
fn spacing_between_rows_comes_first() {
    let facts = facts(&plain().text(PIXEL_SPACING, b"DS", "0.2\\0.1"));
    let spacing = facts.spacing.spacing().expect("stated");
    assert_eq!(spacing.between_rows_mm(), 0.2, "down the film");
    assert_eq!(spacing.between_columns_mm(), 0.1, "across the film");
    assert_eq!(facts.proportions.height_over_width(), 2.0, "tall pixels");
}

#[test]
fn each_way_of_stating_the_spacing_is_told_apart() {
    let pixel = |file: DicomFile| file.text(PIXEL_SPACING, b"DS", "0.14\\0.14");
    let imager = |file: DicomFile, mm: &str| {
        file.text(IMAGER_PIXEL_SPACING, b"DS", &format!("{mm}\\{mm}"))
            .text(MAGNIFICATION, b"DS", "1.05")
    };
    let fiducial = facts(&imager(pixel(plain()), "0.15").text(CALIBRATION_TYPE, b"CS", "FIDUCIAL"));
    assert!(
        matches!(
            fiducial.spacing,
            StatedSpacing::Corrected {
                by: Correction::Fiducial,
                ..
            }
        ),
        "{fiducial:?}"
    );
    let unsaid = facts(&imager(pixel(plain()), "0.15")).spacing;
    assert!(
        matches!(unsaid, StatedSpacing::CorrectedOriginUnsaid { .. }),
        "{unsaid:?}"
    );
    assert_eq!(
        unsaid.calibration_on_request(),
        None,
        "never divided a second time"
    );
    let equal = facts(&imager(pixel(plain()), "0.140000")).spacing;
    assert!(
        matches!(equal, StatedSpacing::EqualToDetector { .. }),
        "{equal:?}"
    );
    let alone = facts(&pixel(plain())).spacing;
    assert!(
        matches!(alone, StatedSpacing::CannotBeTold { .. }),
        "{alone:?}"
    );
    let detector = facts(&imager(plain(), "0.15")).spacing;
    let estimate = detector.calibration_on_request().expect("an estimate");
    assert_eq!(
        estimate.basis,
        CalibrationBasis::EstimatedMagnification { factor: 1.05 },
        "{detector:?}"
    );
    assert_eq!(facts(&plain()).spacing, StatedSpacing::Nothing, "nothing");
}

#[test]
fn without_spacing_the_aspect_ratio_still_counts() {
    let facts = facts(&plain().text((0x0028, 0x0034), b"IS", "3\\2"));
    assert_eq!(facts.spacing, StatedSpacing::Nothing, "no millimetres");
    assert_eq!(facts.proportions.height_over_width(), 1.5, "but a shape");
}

#[test]
fn an_impossible_spacing_is_left_out_and_said_so() {
    for impossible in ["0\\0", "-1\\1", "NaN\\1", "wide\\1", "inf\\1"] {
        let film = film(&plain().text(PIXEL_SPACING, b"DS", impossible));
        assert_eq!(film.facts().spacing, StatedSpacing::Nothing, "{impossible}");
        assert!(
            matches!(film.notices(), [Notice::HeaderValueLeftOut { .. }]),
            "{impossible}: {:?}",
            film.notices()
        );
    }
}

#[test]
fn the_side_of_the_image_is_believed_before_that_of_the_series() {
    let both = plain()
        .text((0x0020, 0x0060), b"CS", "R")
        .text((0x0020, 0x0062), b"CS", "L");
    assert_eq!(
        facts(&both).side,
        Some(Stated {
            value: Side::Left,
            source: "Image Laterality"
        }),
        "both"
    );
    let series = plain().text((0x0020, 0x0060), b"CS", "R");
    assert_eq!(
        facts(&series).side,
        Some(Stated {
            value: Side::Right,
            source: "Laterality"
        }),
        "series alone"
    );
    let unpaired = plain().text((0x0020, 0x0062), b"CS", "U");
    assert_eq!(facts(&unpaired).side, None, "unpaired");
    let both_feet = plain()
        .text((0x0020, 0x0060), b"CS", "R")
        .text((0x0020, 0x0062), b"CS", "B");
    assert_eq!(facts(&both_feet).side, None, "an image of both feet");
}

#[test]
fn the_view_comes_from_the_code_then_the_position_then_the_orientation() {
    let position = plain().text((0x0018, 0x5101), b"CS", "LL");
    assert_eq!(
        facts(&position).view,
        Some(Stated {
            value: View::Lateral,
            source: "View Position"
        }),
        "position"
    );
    let coded = position.item(
        (0x0054, 0x0220),
        &[((0x0008, 0x0100), b"SH", b"399335002 ".to_vec())],
    );
    assert_eq!(
        facts(&coded).view,
        Some(Stated {
            value: View::Ap,
            source: "View Code Sequence"
        }),
        "code"
    );
    let oriented = plain().text((0x0020, 0x0020), b"CS", "A\\F");
    assert_eq!(
        facts(&oriented).view,
        Some(Stated {
            value: View::Lateral,
            source: "Patient Orientation"
        }),
        "orientation"
    );
}

#[test]
fn date_modality_body_part_and_standing_are_kept() {
    let facts = facts(
        &plain()
            .text((0x0008, 0x0022), b"DA", "20260301")
            .text((0x0018, 0x0015), b"CS", "FOOT")
            .text((0x0008, 0x103E), b"LO", "Foot AP weight-bearing"),
    );
    assert_eq!(
        facts.acquisition_date.as_deref(),
        Some("2026-03-01"),
        "date"
    );
    assert_eq!(facts.modality.as_deref(), Some("DX"), "modality");
    assert_eq!(facts.body_part.as_deref(), Some("FOOT"), "body part");
    assert_eq!(
        facts.weight_bearing,
        Some(Stated {
            value: true,
            source: "Series Description"
        }),
        "standing"
    );
}

#[test]
fn where_rows_and_columns_run_is_told_with_its_source_and_not_of_animals() {
    let oriented = plain().text((0x0020, 0x0020), b"CS", "RA\\PH");
    assert_eq!(
        facts(&oriented).directions,
        Some(Stated {
            value: FilmDirections {
                along_rows: BodyDirection::Right,
                down_columns: BodyDirection::Posterior,
            },
            source: "Patient Orientation"
        }),
        "the nearest directions"
    );
    let animal = oriented.text((0x0010, 0x2210), b"CS", "QUADRUPED");
    assert_eq!(facts(&animal).directions, None, "other letters");
    let unknown = plain().text((0x0020, 0x0020), b"CS", "R\\");
    assert_eq!(facts(&unknown).directions, None, "columns unsaid");
}
