//! A film as other objects point at it.

use std::collections::{BTreeMap, BTreeSet};

use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use dicom_object::{InMemDicomObject, mem::InMemElement};
use plumbray_anatomy::View;
use plumbray_film::{Film, FilmObject};

use super::{
    characters::plain_text,
    elements::{item, sequence, text, uid},
};

/// A film as other objects point at it.
#[derive(Clone, Debug)]
pub(super) struct FilmReference {
    pub(super) view: View,
    pub(super) class_uid: String,
    pub(super) instance_uid: String,
    pub(super) series_uid: String,
    pub(super) study_uid: String,
    /// Which of its frames the film is, from 1; nothing where it has only one.
    pub(super) frame: Option<u32>,
    pub(super) columns: u16,
    pub(super) rows: u16,
    /// `DX`, `CR`, …; `OT` where the file does not say.
    pub(super) modality: String,
}

impl FilmReference {
    /// A film that is DICOM itself.
    pub(super) fn of(view: View, object: &FilmObject, film: &Film) -> Self {
        let said = |tag| object.element(tag).map(plain_text).unwrap_or_default();
        let frame = film.frame();
        let modality = said(tags::MODALITY);
        Self {
            view,
            class_uid: said(tags::SOP_CLASS_UID),
            instance_uid: said(tags::SOP_INSTANCE_UID),
            series_uid: said(tags::SERIES_INSTANCE_UID),
            study_uid: said(tags::STUDY_INSTANCE_UID),
            frame: (frame.count > 1).then_some(frame.number),
            columns: u16::try_from(film.width()).unwrap_or(u16::MAX),
            rows: u16::try_from(film.height()).unwrap_or(u16::MAX),
            modality: if modality.is_empty() {
                "OT".to_owned()
            } else {
                modality
            },
        }
    }

    /// A plain picture, by the secondary capture that is written of it.
    pub(super) fn of_capture(
        view: View,
        instance_uid: String,
        series_uid: String,
        study_uid: String,
        size: (usize, usize),
    ) -> Self {
        Self {
            view,
            class_uid: uids::SECONDARY_CAPTURE_IMAGE_STORAGE.to_owned(),
            instance_uid,
            series_uid,
            study_uid,
            frame: None,
            columns: u16::try_from(size.0).unwrap_or(u16::MAX),
            rows: u16::try_from(size.1).unwrap_or(u16::MAX),
            modality: "OT".to_owned(),
        }
    }

    /// Referenced SOP Class and Instance, and the frame where there are several.
    pub(super) fn item(&self) -> InMemDicomObject {
        let mut elements = self.instance().to_vec();
        if let Some(number) = self.frame {
            elements.push(text(
                tags::REFERENCED_FRAME_NUMBER,
                VR::IS,
                number.to_string(),
            ));
        }
        item(elements)
    }

    /// Referenced SOP Class and Instance alone, where a sequence knows no frames (PS3.3 table 10-11).
    pub(super) fn instance(&self) -> [InMemElement; 2] {
        [
            uid(tags::REFERENCED_SOP_CLASS_UID, &self.class_uid),
            uid(tags::REFERENCED_SOP_INSTANCE_UID, &self.instance_uid),
        ]
    }
}

/// Studies, their series, their instances, as an evidence sequence has them (PS3.3 C.17.2.1).
pub(super) fn evidence(films: &[&FilmReference]) -> Vec<InMemDicomObject> {
    let studies: BTreeSet<&str> = films.iter().map(|film| film.study_uid.as_str()).collect();
    let of_study = |study: &&str| {
        item([
            uid(tags::STUDY_INSTANCE_UID, study),
            sequence(
                tags::REFERENCED_SERIES_SEQUENCE,
                series_of(films.iter().filter(|film| film.study_uid == **study)),
            ),
        ])
    };
    studies.iter().map(of_study).collect()
}

fn series_of<'a>(films: impl Iterator<Item = &'a &'a FilmReference>) -> Vec<InMemDicomObject> {
    let mut series: BTreeMap<&str, Vec<InMemDicomObject>> = BTreeMap::new();
    for film in films {
        let instances = series.entry(&film.series_uid).or_default();
        instances.push(item(film.instance()));
    }
    series
        .into_iter()
        .map(|(identifier, instances)| {
            item([
                uid(tags::SERIES_INSTANCE_UID, identifier),
                sequence(tags::REFERENCED_SOP_SEQUENCE, instances),
            ])
        })
        .collect()
}
