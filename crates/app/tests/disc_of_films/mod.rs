//! A disc as a clinic burns it: nameless files of two patients, with a directory.

use std::{
    fs,
    path::{Path, PathBuf},
};

use dicom_core::{DataElement, PrimitiveValue, VR, value::DataSetSequence, value::Value};
use dicom_dictionary_std::{tags, uids};
use dicom_object::{FileMetaTableBuilder, InMemDicomObject, open_file};

/// A film of the disc: its sample, its patient and number, its study and its file on the disc.
struct Burnt {
    sample: &'static str,
    patient: [&'static str; 2],
    study: [&'static str; 3],
    file: [&'static str; 3],
}

const ALDER: [&str; 2] = ["Alder^Anna", "A-17"];
const BIRCH: [&str; 2] = ["Birch^Bernd", "B-4"];
const BEFORE: [&str; 3] = ["2.25.11", "20260105", "Feet standing"];
const AFTER: [&str; 3] = ["2.25.12", "20260720", "Feet after surgery"];
const OTHER: [&str; 3] = ["2.25.13", "20251130", "Feet standing"];

const FILMS: [Burnt; 5] = [
    Burnt {
        sample: "sample-foot-ap.dcm",
        patient: ALDER,
        study: BEFORE,
        file: ["DICOM", "ST01", "IM0001"],
    },
    Burnt {
        sample: "sample-foot-lateral.dcm",
        patient: ALDER,
        study: BEFORE,
        file: ["DICOM", "ST01", "IM0002"],
    },
    Burnt {
        sample: "oak-half-a-year-ap.dcm",
        patient: ALDER,
        study: AFTER,
        file: ["DICOM", "ST02", "IM0001"],
    },
    Burnt {
        sample: "birch-ap.dcm",
        patient: BIRCH,
        study: OTHER,
        file: ["DICOM", "ST03", "IM0001"],
    },
    Burnt {
        sample: "birch-lateral.dcm",
        patient: BIRCH,
        study: OTHER,
        file: ["DICOM", "ST03", "IM0002"],
    },
];

/// Writes a disc into a folder: five films of two patients, and a text beside them.
pub(crate) fn burn(folder: &Path) {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images");
    let mut records = Vec::new();
    for film in &FILMS {
        let mut object = open_file(samples.join(film.sample)).expect("a sample");
        let mut say = |tag, vr, text: &str| {
            object.put(DataElement::new(tag, vr, PrimitiveValue::from(text)));
        };
        say(tags::PATIENT_NAME, VR::PN, film.patient[0]);
        say(tags::PATIENT_ID, VR::LO, film.patient[1]);
        say(tags::STUDY_INSTANCE_UID, VR::UI, film.study[0]);
        say(tags::STUDY_DATE, VR::DA, film.study[1]);
        say(tags::STUDY_DESCRIPTION, VR::LO, film.study[2]);
        let series = format!("{}.1", film.study[0]);
        say(tags::SERIES_INSTANCE_UID, VR::UI, &series);
        let path: PathBuf = film
            .file
            .iter()
            .fold(folder.to_owned(), |path, part| path.join(part));
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        object.write_to_file(&path).expect("written");
        records.push(record(film.file));
    }
    fs::write(folder.join("README.TXT"), "Open with any viewer").expect("written");
    directory(records)
        .write_to_file(folder.join("DICOMDIR"))
        .expect("written");
}

/// The record of an image (PS3.3 F.5.4), as far as a reader of files needs it.
fn record(file: [&str; 3]) -> InMemDicomObject {
    let text = |tag, vr, text: &str| DataElement::new(tag, vr, PrimitiveValue::from(text));
    InMemDicomObject::from_element_iter([
        text(tags::DIRECTORY_RECORD_TYPE, VR::CS, "IMAGE"),
        text(tags::REFERENCED_FILE_ID, VR::CS, &file.join("\\")),
    ])
}

/// A directory whose offsets lead nowhere, as some discs have it: its records count in their order.
fn directory(records: Vec<InMemDicomObject>) -> dicom_object::FileDicomObject<InMemDicomObject> {
    let offset = |tag| DataElement::new(tag, VR::UL, PrimitiveValue::from(0_u32));
    InMemDicomObject::from_element_iter([
        offset(tags::OFFSET_OF_THE_FIRST_DIRECTORY_RECORD_OF_THE_ROOT_DIRECTORY_ENTITY),
        offset(tags::OFFSET_OF_THE_LAST_DIRECTORY_RECORD_OF_THE_ROOT_DIRECTORY_ENTITY),
        DataElement::new(
            tags::DIRECTORY_RECORD_SEQUENCE,
            VR::SQ,
            Value::from(DataSetSequence::from(records)),
        ),
    ])
    .with_meta(
        FileMetaTableBuilder::new()
            .transfer_syntax(uids::EXPLICIT_VR_LITTLE_ENDIAN)
            .media_storage_sop_class_uid(uids::MEDIA_STORAGE_DIRECTORY_STORAGE)
            .media_storage_sop_instance_uid("2.25.10"),
    )
    .expect("a directory")
}
