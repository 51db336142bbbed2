//! What every object says of itself: its patient and study, a series of its own, the program, the moment.

use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use dicom_object::{FileMetaTableBuilder, InMemDicomObject, mem::InMemElement};
use jiff::Zoned;
use plumbray_anatomy::Side;
use plumbray_film::{PROGRAM_NAME, PROGRAM_UID};

use super::{
    elements::{day, sequence, text, time, uid, word},
    error::DicomError,
    subject::Subject,
    uid::new_uid,
};

/// The kind of an object, and the series in which it stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Kind {
    pub(super) class_uid: &'static str,
    pub(super) modality: &'static str,
    /// The number of its series, far from those that a machine gives (ours).
    pub(super) series_number: &'static str,
    pub(super) series_description: &'static str,
}

/// What all objects of one export share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Export<'a> {
    pub(super) subject: &'a Subject,
    pub(super) side: Option<Side>,
    pub(super) moment: &'a Zoned,
    /// "0.1.0".
    pub(super) version: &'a str,
    /// Whether the identity of the films was left on them.
    pub(super) is_named: bool,
}

/// One object on its way to a file.
#[derive(Clone, Debug)]
pub(super) struct Instance {
    pub(super) class_uid: &'static str,
    pub(super) instance_uid: String,
    elements: Vec<InMemElement>,
}

impl Export<'_> {
    /// An object in a series of its own, number `instance_number` there.
    pub(super) fn instance(&self, kind: &Kind, instance_number: u16) -> Instance {
        self.instance_in(kind, &new_uid(), instance_number)
    }

    /// The same in a series that is known already.
    pub(super) fn instance_in(
        &self,
        kind: &Kind,
        series_uid: &str,
        instance_number: u16,
    ) -> Instance {
        let instance_uid = new_uid();
        let mut elements = self.subject.elements.clone();
        elements.extend([
            word(tags::SPECIFIC_CHARACTER_SET, self.subject.characters.name()),
            uid(tags::SOP_CLASS_UID, kind.class_uid),
            uid(tags::SOP_INSTANCE_UID, &instance_uid),
            text(tags::INSTANCE_CREATION_DATE, VR::DA, day(self.moment)),
            text(tags::INSTANCE_CREATION_TIME, VR::TM, time(self.moment)),
            uid(tags::INSTANCE_CREATOR_UID, PROGRAM_UID),
            word(tags::MODALITY, kind.modality),
            text(tags::SERIES_DESCRIPTION, VR::LO, kind.series_description),
            uid(tags::SERIES_INSTANCE_UID, series_uid),
            text(tags::SERIES_NUMBER, VR::IS, kind.series_number),
            text(tags::INSTANCE_NUMBER, VR::IS, instance_number.to_string()),
            text(tags::MANUFACTURER, VR::LO, "Plumbray"),
            text(tags::MANUFACTURER_MODEL_NAME, VR::LO, "Plumbray"),
            text(tags::DEVICE_SERIAL_NUMBER, VR::LO, "0"),
            text(tags::SOFTWARE_VERSIONS, VR::LO, self.version),
        ]);
        Instance {
            class_uid: kind.class_uid,
            instance_uid,
            elements,
        }
    }

    /// The side as one letter; empty where nobody knows.
    pub(super) const fn side_letter(&self) -> &'static str {
        match self.side {
            Some(Side::Left) => "L",
            Some(Side::Right) => "R",
            None => "",
        }
    }

    /// The bytes of an object as a file: Explicit VR Little Endian.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn file(&self, instance: Instance) -> Result<Vec<u8>, DicomError> {
        let object = InMemDicomObject::from_element_iter(instance.elements);
        let object = self.subject.characters.fitting(object);
        file_of(object, instance.class_uid, &instance.instance_uid)
    }
}

impl Instance {
    /// The object with more of what it holds.
    pub(super) fn with(mut self, elements: impl IntoIterator<Item = InMemElement>) -> Self {
        self.elements.extend(elements);
        self
    }

    /// When its content was made, for kinds that say so.
    pub(super) fn made_at(self, moment: &Zoned) -> Self {
        self.with([
            text(tags::CONTENT_DATE, VR::DA, day(moment)),
            text(tags::CONTENT_TIME, VR::TM, time(moment)),
        ])
    }

    /// Which part of the body it shows, for kinds whose series may say so.
    pub(super) fn of_foot(self) -> Self {
        self.with([word(tags::BODY_PART_EXAMINED, "FOOT")])
    }
}

/// An empty sequence, where one must be there and nothing is known.
pub(super) fn nothing(tag: dicom_core::Tag) -> InMemElement {
    sequence(tag, Vec::new())
}

/// An object as a file with a header of its own.
pub(crate) fn file_of(
    object: InMemDicomObject,
    class_uid: &str,
    instance_uid: &str,
) -> Result<Vec<u8>, DicomError> {
    let written = |problem: &dyn std::error::Error| DicomError::Written(problem.to_string());
    let file = object
        .with_meta(
            FileMetaTableBuilder::new()
                .transfer_syntax(uids::EXPLICIT_VR_LITTLE_ENDIAN)
                .media_storage_sop_class_uid(class_uid)
                .media_storage_sop_instance_uid(instance_uid)
                .implementation_class_uid(PROGRAM_UID)
                .implementation_version_name(PROGRAM_NAME),
        )
        .map_err(|problem| written(&problem))?;
    let mut bytes = Vec::new();
    file.write_all(&mut bytes)
        .map_err(|problem| written(&problem))?;
    Ok(bytes)
}
