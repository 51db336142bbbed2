//! The printed sheet as an Encapsulated PDF (PS3.3 A.45.1).

use dicom_core::{DataElement, PrimitiveValue, VR};
use dicom_dictionary_std::{tags, uids};

use super::{
    elements::{bytes, item, sequence, text, word},
    error::DicomError,
    film_reference::FilmReference,
    instance::{Export, Kind, nothing},
    objects::ExportSheet,
};

const KIND: Kind = Kind {
    class_uid: uids::ENCAPSULATED_PDF_STORAGE,
    modality: "DOC",
    series_number: "9903",
    series_description: "Plumbray printed sheet",
};

/// The sheet as a file; the PDF stands in it byte by byte.
///
/// # Errors
/// When it cannot be written.
pub(super) fn encapsulated(
    export: &Export<'_>,
    sheet: &ExportSheet<'_>,
    films: &[&FilmReference],
) -> Result<Vec<u8>, DicomError> {
    // A value has an even length; Encapsulated Document Length tells what of it is the document.
    let length = u32::try_from(sheet.pdf.len()).unwrap_or(u32::MAX);
    let sources = films.iter().map(|film| item(film.instance())).collect();
    let instance = export.instance(&KIND, 1).made_at(export.moment).with([
        word(tags::CONVERSION_TYPE, "WSD"),
        text(tags::ACQUISITION_DATE_TIME, VR::DT, ""),
        word(tags::IMAGE_LATERALITY, export.side_letter()),
        word(
            tags::BURNED_IN_ANNOTATION,
            if sheet.names_patient { "YES" } else { "NO" },
        ),
        text(
            tags::DOCUMENT_TITLE,
            VR::ST,
            "Plumbray: measurements of the foot",
        ),
        nothing(tags::CONCEPT_NAME_CODE_SEQUENCE),
        sequence(tags::SOURCE_INSTANCE_SEQUENCE, sources),
        text(
            tags::MIME_TYPE_OF_ENCAPSULATED_DOCUMENT,
            VR::LO,
            "application/pdf",
        ),
        bytes(tags::ENCAPSULATED_DOCUMENT, VR::OB, sheet.pdf.to_vec()),
        DataElement::new(
            tags::ENCAPSULATED_DOCUMENT_LENGTH,
            VR::UL,
            PrimitiveValue::from(length),
        ),
    ]);
    export.file(instance)
}
