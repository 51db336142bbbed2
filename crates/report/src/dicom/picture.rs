//! Pictures as secondary captures (PS3.3 A.8.1): a film with its tracing burnt in, and a film that is no DICOM file.

use dicom_core::{Tag, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::mem::InMemElement;
use plumbray_anatomy::View;
use plumbray_film::{Film, Pyramid};

use super::{
    code,
    elements::{
        aspect_in_numbers, bytes, linear_window, number, sequence, text, view_number, word,
    },
    error::DicomError,
    film_reference::FilmReference,
    instance::{Export, Kind},
};
use crate::{PictureRequest, annotated_picture};

const PICTURE: Kind = Kind {
    class_uid: uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
    modality: "OT",
    series_number: "9904",
    series_description: "Plumbray annotated picture",
};

const FILM: Kind = Kind {
    class_uid: uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
    modality: "OT",
    series_number: "9905",
    series_description: "Film, from a plain picture",
};

/// What is known of letters that are part of a film.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Letters {
    /// Nobody says anything.
    Unknown,
    /// The film's file says that they name the patient.
    NamePatient,
    /// They name nobody.
    NameNobody,
}

impl Letters {
    /// Burned In Annotation (0028,0301); nothing where nobody knows.
    fn element(self) -> Option<InMemElement> {
        let said = match self {
            Self::Unknown => return None,
            Self::NamePatient => "YES",
            Self::NameNobody => "NO",
        };
        Some(word(tags::BURNED_IN_ANNOTATION, said))
    }
}

/// One film with its tracing burnt in, in 8 bits of red, green and blue.
///
/// # Errors
/// When the picture cannot be made, or the object cannot be written.
pub(super) fn annotated(
    export: &Export<'_>,
    request: &PictureRequest<'_>,
    reference: &FilmReference,
    letters: Letters,
    was_lossy: bool,
) -> Result<Vec<u8>, DicomError> {
    let png = annotated_picture(request)?;
    let picture = image::load_from_memory_with_format(&png, image::ImageFormat::Png)?.into_rgb8();
    let (width, height) = picture.dimensions();
    let mut source = reference.item();
    source.put(sequence(
        tags::PURPOSE_OF_REFERENCE_CODE_SEQUENCE,
        vec![code::SOURCE_IMAGE.item()],
    ));
    let instance = export
        .instance(&PICTURE, view_number(request.view))
        .of_foot()
        .made_at(export.moment)
        .with(of_capture(
            export,
            "Shown through the film's own window, tracing, axes and angles burnt in, a strip of words below",
        ))
        .with([
            sequence(tags::SOURCE_IMAGE_SEQUENCE, vec![source]),
            word(tags::LOSSY_IMAGE_COMPRESSION, lossy(was_lossy)),
            word(tags::PHOTOMETRIC_INTERPRETATION, "RGB"),
            number(tags::PLANAR_CONFIGURATION, 0),
        ])
        .with(letters.element())
        .with(pixel_format(3, 8, width, height))
        .with([bytes(tags::PIXEL_DATA, VR::OB, picture.into_raw())]);
    export.file(instance)
}

/// What both kinds of capture say of themselves; `derivation` is how the picture came about.
fn of_capture(export: &Export<'_>, derivation: &str) -> [InMemElement; 5] {
    [
        word(tags::IMAGE_TYPE, "DERIVED\\SECONDARY"),
        word(tags::CONVERSION_TYPE, "WSD"),
        word(tags::IMAGE_LATERALITY, export.side_letter()),
        text(tags::PATIENT_ORIENTATION, VR::CS, ""),
        text(tags::DERIVATION_DESCRIPTION, VR::ST, derivation),
    ]
}

/// A film that is no DICOM file, at its full depth, with the identifiers by which other objects refer to it.
///
/// # Errors
/// When the object cannot be written.
pub(super) fn captured_film(
    export: &Export<'_>,
    view: View,
    film: &Pyramid,
    letters: Letters,
    series_uid: &str,
) -> Result<(FilmReference, Vec<u8>), DicomError> {
    let film = film.film();
    let instance = export
        .instance_in(&FILM, series_uid, view_number(view))
        .of_foot()
        .made_at(export.moment);
    let reference = FilmReference::of_capture(
        view,
        instance.instance_uid.clone(),
        series_uid.to_owned(),
        export.subject.study_uid.clone(),
        (film.width(), film.height()),
    );
    let (bits, samples) = stored(film);
    let window = film.grey().default_window().window;
    let [width, height] =
        [film.width(), film.height()].map(|pixels| u32::try_from(pixels).unwrap_or(u32::MAX));
    let instance = instance
        .with(of_capture(
            export,
            "From a picture that was no DICOM file; colour, if any, reduced to grey",
        ))
        .with([word(
            tags::PHOTOMETRIC_INTERPRETATION,
            if film.grey().shown_inverted {
                "MONOCHROME1"
            } else {
                "MONOCHROME2"
            },
        )])
        .with(linear_window(window))
        .with(aspect(film))
        .with(letters.element())
        .with(pixel_format(1, bits, width, height))
        .with([bytes(
            tags::PIXEL_DATA,
            if bits == 8 { VR::OB } else { VR::OW },
            samples,
        )]);
    Ok((reference, export.file(instance)?))
}

const fn lossy(was_lossy: bool) -> &'static str {
    if was_lossy { "01" } else { "00" }
}

/// The codes of a film as they are stored: in 8 bits where they fit.
fn stored(film: &Film) -> (u16, Vec<u8>) {
    let samples = film.samples();
    if film.bits() <= 8 && samples.iter().all(|sample| *sample <= 0xFF) {
        let low_bytes = samples.iter().map(|sample| sample.to_le_bytes()[0]);
        return (8, low_bytes.collect());
    }
    let bytes = samples.iter().flat_map(|sample| sample.to_le_bytes());
    (16, bytes.collect())
}

/// The shape of pixels that are not square. No size: a plain picture has none that could be believed.
fn aspect(film: &Film) -> Option<InMemElement> {
    let shape = aspect_in_numbers(film.proportions());
    shape.map(|shape| text(tags::PIXEL_ASPECT_RATIO, VR::IS, shape))
}

fn pixel_format(samples: u16, bits: u16, width: u32, height: u32) -> [InMemElement; 7] {
    let size = |tag: Tag, pixels: u32| number(tag, u16::try_from(pixels).unwrap_or(u16::MAX));
    [
        number(tags::SAMPLES_PER_PIXEL, samples),
        size(tags::ROWS, height),
        size(tags::COLUMNS, width),
        number(tags::BITS_ALLOCATED, bits),
        number(tags::BITS_STORED, bits),
        number(tags::HIGH_BIT, bits - 1),
        number(tags::PIXEL_REPRESENTATION, 0),
    ]
}
