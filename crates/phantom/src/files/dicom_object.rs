//! The DICOM object of a simulated film (Digital X-Ray Image for Presentation, PS3.3 A.26).

use dicom_core::{
    DataElement, PrimitiveValue, Tag, VR,
    value::{DataSetSequence, PixelFragmentSequence, Value},
};
use dicom_dictionary_std::{tags, uids};
use dicom_object::{
    DefaultDicomObject, FileMetaTableBuilder, InMemDicomObject, WithMetaError, mem::InMemElement,
};
use plumbray_anatomy::{Side, View};

use super::lossless_jpeg::lossless_jpeg;
use crate::radiograph::SimulatedFilm;

/// The DICOM object of a film. The same film gives the same object, identifiers included.
pub(crate) fn to_dicom(film: &SimulatedFilm) -> Result<DefaultDicomObject, WithMetaError> {
    let instance = identifier(film, "image");
    let mut elements = who_and_when(film, &instance);
    elements.extend(what_it_shows(film));
    elements.extend(how_large(film));
    elements.extend(how_it_was_made());
    elements.extend(pixels(film));
    InMemDicomObject::from_element_iter(elements).with_meta(
        FileMetaTableBuilder::new()
            .transfer_syntax(uids::JPEG_LOSSLESS_SV1)
            .media_storage_sop_class_uid(uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION)
            .media_storage_sop_instance_uid(instance),
    )
}

fn text(tag: Tag, vr: VR, value: &str) -> InMemElement {
    DataElement::new(tag, vr, PrimitiveValue::from(value))
}

fn number(tag: Tag, value: u16) -> InMemElement {
    DataElement::new(tag, VR::US, PrimitiveValue::from(value))
}

/// The invented person, study and series. The dates are no one's.
fn who_and_when(film: &SimulatedFilm, instance: &str) -> Vec<InMemElement> {
    vec![
        text(tags::SPECIFIC_CHARACTER_SET, VR::CS, "ISO_IR 192"),
        text(tags::IMAGE_TYPE, VR::CS, "DERIVED\\PRIMARY"),
        text(
            tags::SOP_CLASS_UID,
            VR::UI,
            uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION,
        ),
        text(tags::SOP_INSTANCE_UID, VR::UI, instance),
        text(tags::STUDY_DATE, VR::DA, "20260105"),
        text(tags::CONTENT_DATE, VR::DA, "20260105"),
        text(tags::STUDY_TIME, VR::TM, "090000"),
        text(tags::CONTENT_TIME, VR::TM, "090000"),
        text(tags::ACCESSION_NUMBER, VR::SH, ""),
        text(tags::MODALITY, VR::CS, "DX"),
        text(tags::PRESENTATION_INTENT_TYPE, VR::CS, "FOR PRESENTATION"),
        text(tags::MANUFACTURER, VR::LO, ""),
        text(tags::REFERRING_PHYSICIAN_NAME, VR::PN, ""),
        text(tags::SERIES_DESCRIPTION, VR::LO, "Simulated film"),
        text(tags::PATIENT_NAME, VR::PN, "Sample^Foot"),
        text(tags::PATIENT_ID, VR::LO, "SAMPLE"),
        text(tags::PATIENT_BIRTH_DATE, VR::DA, ""),
        text(tags::PATIENT_SEX, VR::CS, ""),
        text(tags::STUDY_INSTANCE_UID, VR::UI, &identifier(film, "study")),
        text(
            tags::SERIES_INSTANCE_UID,
            VR::UI,
            &identifier(film, "series"),
        ),
        text(tags::STUDY_ID, VR::SH, "1"),
        text(tags::SERIES_NUMBER, VR::IS, "1"),
        text(tags::INSTANCE_NUMBER, VR::IS, "1"),
    ]
}

/// Body part, side and view.
fn what_it_shows(film: &SimulatedFilm) -> Vec<InMemElement> {
    let sides: Vec<Side> = film.truth.feet.iter().map(|foot| foot.side).collect();
    let laterality = match sides[..] {
        [Side::Left] => "L",
        [Side::Right] => "R",
        _ => "B",
    };
    // The directions of the rows and of the columns. An AP film is seen with the toes up.
    let (code, meaning, orientation) = match (film.truth.view, sides.first()) {
        (View::Ap, _) => ("399335002", "dorsoplantar", "R\\P"),
        (View::Lateral, Some(Side::Left)) => ("399067008", "lateral", "P\\F"),
        (View::Lateral, _) => ("399067008", "lateral", "A\\F"),
    };
    let view = coded(code, "SCT", meaning);
    let foot = coded("56459004", "SCT", "Foot");
    vec![
        text(tags::BODY_PART_EXAMINED, VR::CS, "FOOT"),
        text(tags::PATIENT_ORIENTATION, VR::CS, orientation),
        text(tags::IMAGE_LATERALITY, VR::CS, laterality),
        sequence(tags::ANATOMIC_REGION_SEQUENCE, foot),
        sequence(tags::VIEW_CODE_SEQUENCE, view),
    ]
}

fn coded(value: &str, scheme: &str, meaning: &str) -> InMemDicomObject {
    InMemDicomObject::from_element_iter([
        text(tags::CODE_VALUE, VR::SH, value),
        text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, scheme),
        text(tags::CODE_MEANING, VR::LO, meaning),
    ])
}

fn sequence(tag: Tag, item: InMemDicomObject) -> InMemElement {
    DataElement::new(tag, VR::SQ, Value::from(DataSetSequence::from(vec![item])))
}

/// What a digital radiograph must have, and what of a simulated one nothing can be said (type 2, PS3.3 C.8.11.4, C.8.11.5
/// and C.7.6.14): the kind of detector, the kind of stand, and the circumstances of the exposure.
fn how_it_was_made() -> [InMemElement; 3] {
    let nothing = Value::from(DataSetSequence::<InMemDicomObject>::from(Vec::new()));
    [
        text(tags::POSITIONER_TYPE, VR::CS, ""),
        text(tags::DETECTOR_TYPE, VR::CS, ""),
        DataElement::new(tags::ACQUISITION_CONTEXT_SEQUENCE, VR::SQ, nothing),
    ]
}

/// The size of a pixel. On an AP film of one foot it is also given at the height of the first
/// metatarsal head, by the known geometry; a lateral film has it at the detector only; a film of both
/// feet repeats the detector's.
fn how_large(film: &SimulatedFilm) -> Vec<InMemElement> {
    let truth = &film.truth;
    let detector = truth.exposure.pixel_mm;
    let spacing = |mm: f64| format!("{mm:.6}\\{mm:.6}");
    let magnification = truth.magnification_at_first_metatarsal_head;
    let mut elements = vec![
        text(
            tags::DISTANCE_SOURCE_TO_DETECTOR,
            VR::DS,
            &format!("{:.1}", truth.exposure.source_detector_distance_mm),
        ),
        text(tags::IMAGER_PIXEL_SPACING, VR::DS, &spacing(detector)),
    ];
    match (truth.view, truth.feet.len()) {
        (View::Ap, 1) => elements.extend([
            text(
                tags::PIXEL_SPACING,
                VR::DS,
                &spacing(detector / magnification),
            ),
            text(tags::PIXEL_SPACING_CALIBRATION_TYPE, VR::CS, "GEOMETRY"),
            text(
                tags::PIXEL_SPACING_CALIBRATION_DESCRIPTION,
                VR::LO,
                "At the height of the first metatarsal head",
            ),
        ]),
        (View::Ap, _) => elements.push(text(tags::PIXEL_SPACING, VR::DS, &spacing(detector))),
        (View::Lateral, _) => elements.push(text(
            tags::ESTIMATED_RADIOGRAPHIC_MAGNIFICATION_FACTOR,
            VR::DS,
            &format!("{magnification:.5}"),
        )),
    }
    elements
}

fn pixels(film: &SimulatedFilm) -> Vec<InMemElement> {
    let bits = film.bits_stored;
    let steps = 1_u32 << bits;
    let samples: Vec<u16> = film
        .samples
        .iter()
        .map(|sample| sample >> (16 - bits))
        .collect();
    let [width, height] =
        [film.width, film.height].map(|pixels| u16::try_from(pixels).unwrap_or(u16::MAX));
    let mut fragment = lossless_jpeg(&samples, width, height, bits);
    // A fragment has an even length.
    if fragment.len() % 2 == 1 {
        fragment.push(0);
    }
    vec![
        number(tags::SAMPLES_PER_PIXEL, 1),
        text(tags::PHOTOMETRIC_INTERPRETATION, VR::CS, "MONOCHROME2"),
        number(tags::ROWS, height),
        number(tags::COLUMNS, width),
        number(tags::BITS_ALLOCATED, 16),
        number(tags::BITS_STORED, bits),
        number(tags::HIGH_BIT, bits - 1),
        number(tags::PIXEL_REPRESENTATION, 0),
        text(tags::PIXEL_INTENSITY_RELATIONSHIP, VR::CS, "LOG"),
        DataElement::new(
            tags::PIXEL_INTENSITY_RELATIONSHIP_SIGN,
            VR::SS,
            PrimitiveValue::from(-1_i16),
        ),
        text(tags::BURNED_IN_ANNOTATION, VR::CS, "NO"),
        text(tags::WINDOW_CENTER, VR::DS, &(steps / 2).to_string()),
        text(tags::WINDOW_WIDTH, VR::DS, &steps.to_string()),
        text(tags::RESCALE_INTERCEPT, VR::DS, "0"),
        text(tags::RESCALE_SLOPE, VR::DS, "1"),
        text(tags::RESCALE_TYPE, VR::LO, "US"),
        text(tags::LOSSY_IMAGE_COMPRESSION, VR::CS, "00"),
        text(tags::PRESENTATION_LUT_SHAPE, VR::CS, "IDENTITY"),
        DataElement::new(
            tags::PIXEL_DATA,
            VR::OB,
            Value::from(PixelFragmentSequence::new_fragments(vec![fragment])),
        ),
    ]
}

/// An identifier under 2.25 (PS3.5 B.2) that depends on nothing but the film and its own purpose.
fn identifier(film: &SimulatedFilm, purpose: &str) -> String {
    // Fowler, Noll and Vo's hash of 128 bits.
    const OFFSET: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    let bytes = film
        .samples
        .iter()
        .flat_map(|sample| sample.to_le_bytes())
        .chain(purpose.bytes());
    let hash = bytes.fold(OFFSET, |hash, byte| {
        (hash ^ u128::from(byte)).wrapping_mul(PRIME)
    });
    format!("2.25.{hash}")
}
