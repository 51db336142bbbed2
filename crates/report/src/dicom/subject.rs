//! Whom and which study an object is about, copied from the films.

use dicom_core::{Tag, VR};
use dicom_dictionary_std::tags;
use dicom_object::mem::InMemElement;
use plumbray_film::FilmObject;

use super::{
    characters::{Characters, plain_text},
    code::{self, Code},
    elements::{sequence, text, uid, word},
    error::DicomError,
    uid::new_uid,
};

/// What an object must say even where nothing is known (type 2 of the Patient and General Study modules, PS3.3
/// C.7.1.1 and C.7.2.1).
const EVEN_IF_EMPTY: [(Tag, VR); 9] = [
    (tags::PATIENT_NAME, VR::PN),
    (tags::PATIENT_ID, VR::LO),
    (tags::PATIENT_BIRTH_DATE, VR::DA),
    (tags::PATIENT_SEX, VR::CS),
    (tags::STUDY_DATE, VR::DA),
    (tags::STUDY_TIME, VR::TM),
    (tags::REFERRING_PHYSICIAN_NAME, VR::PN),
    (tags::STUDY_ID, VR::SH),
    (tags::ACCESSION_NUMBER, VR::SH),
];

/// What else of the patient and the study is copied where the film has it (the same modules, and Patient Study,
/// C.7.2.2).
const COPIED: [Tag; 25] = [
    tags::ISSUER_OF_PATIENT_ID,
    tags::ISSUER_OF_PATIENT_ID_QUALIFIERS_SEQUENCE,
    tags::TYPE_OF_PATIENT_ID,
    tags::PATIENT_BIRTH_TIME,
    tags::OTHER_PATIENT_I_DS_SEQUENCE,
    tags::OTHER_PATIENT_NAMES,
    tags::PATIENT_COMMENTS,
    tags::PATIENT_SPECIES_DESCRIPTION,
    tags::PATIENT_SPECIES_CODE_SEQUENCE,
    tags::PATIENT_BREED_DESCRIPTION,
    tags::PATIENT_BREED_CODE_SEQUENCE,
    tags::BREED_REGISTRATION_SEQUENCE,
    tags::RESPONSIBLE_PERSON,
    tags::RESPONSIBLE_PERSON_ROLE,
    tags::RESPONSIBLE_ORGANIZATION,
    tags::PATIENT_IDENTITY_REMOVED,
    tags::DEIDENTIFICATION_METHOD,
    tags::DEIDENTIFICATION_METHOD_CODE_SEQUENCE,
    tags::LONGITUDINAL_TEMPORAL_INFORMATION_MODIFIED,
    tags::STUDY_DESCRIPTION,
    tags::ISSUER_OF_ACCESSION_NUMBER_SEQUENCE,
    tags::PROCEDURE_CODE_SEQUENCE,
    tags::PATIENT_AGE,
    tags::PATIENT_SIZE,
    tags::PATIENT_WEIGHT,
];

/// That the identity was removed, and how.
pub(crate) fn identity_removed(methods: &[Code]) -> Vec<InMemElement> {
    vec![
        word(tags::PATIENT_IDENTITY_REMOVED, "YES"),
        text(
            tags::DEIDENTIFICATION_METHOD,
            VR::LO,
            "PS3.15 E.1 Basic Profile, edition 2026c, by Plumbray",
        ),
        sequence(
            tags::DEIDENTIFICATION_METHOD_CODE_SEQUENCE,
            methods.iter().map(Code::item).collect(),
        ),
        word(tags::LONGITUDINAL_TEMPORAL_INFORMATION_MODIFIED, "REMOVED"),
    ]
}

/// The patient and the study of an object.
#[derive(Clone, Debug)]
pub(super) struct Subject {
    /// The letters that the object is written in.
    pub(super) characters: Characters,
    /// The elements of patient and study, the study's identifier among them.
    pub(super) elements: Vec<InMemElement>,
    /// The study's identifier.
    pub(super) study_uid: String,
}

impl Subject {
    /// The patient and the study of the first of these films that is DICOM; an unknown patient and a new study
    /// where none is.
    ///
    /// # Errors
    /// When two films name different patients.
    pub(super) fn of(films: &[&FilmObject]) -> Result<Self, DicomError> {
        let names_other = |one: &FilmObject, other: &FilmObject, tag: Tag| {
            let [one, other] = [one, other].map(|film| film.element(tag).map(plain_text));
            matches!((one, other), (Some(one), Some(other)) if !one.is_empty() && !other.is_empty() && one != other)
        };
        let Some((first, others)) = films.split_first() else {
            return Ok(Self::unknown());
        };
        let identifying = [tags::PATIENT_ID, tags::PATIENT_BIRTH_DATE];
        for other in others {
            if identifying
                .iter()
                .any(|tag| names_other(first, other, *tag))
            {
                return Err(DicomError::TwoPatients);
            }
        }
        Ok(Self::of_film(first))
    }

    fn of_film(film: &FilmObject) -> Self {
        let characters = Characters::of(film);
        let mut elements: Vec<InMemElement> = EVEN_IF_EMPTY
            .into_iter()
            .map(|(tag, vr)| {
                let copied = film.element(tag).map(|element| characters.copied(element));
                copied.unwrap_or_else(|| text(tag, vr, ""))
            })
            .collect();
        let further = COPIED.iter().filter_map(|tag| film.element(*tag));
        elements.extend(further.map(|element| characters.copied(element)));
        let study_uid = film
            .element(tags::STUDY_INSTANCE_UID)
            .map(plain_text)
            .filter(|uid| !uid.is_empty())
            .unwrap_or_else(new_uid);
        elements.push(uid(tags::STUDY_INSTANCE_UID, &study_uid));
        Self {
            characters,
            elements,
            study_uid,
        }
    }

    /// The same, marked as one whose identity was removed (PS3.15 E.1.1, steps 7 and 8).
    pub(super) fn without_identity(mut self) -> Self {
        let says_so = self
            .elements
            .iter()
            .any(|element| element.header().tag == tags::PATIENT_IDENTITY_REMOVED);
        // A film whose identity was removed says it already, with all that was done.
        if !says_so {
            self.elements
                .extend(identity_removed(&[code::BASIC_PROFILE]));
        }
        self
    }

    fn unknown() -> Self {
        let study_uid = new_uid();
        let mut elements: Vec<InMemElement> = EVEN_IF_EMPTY
            .into_iter()
            .map(|(tag, vr)| text(tag, vr, ""))
            .collect();
        elements.push(uid(tags::STUDY_INSTANCE_UID, &study_uid));
        Self {
            characters: Characters::OWN,
            elements,
            study_uid,
        }
    }
}
