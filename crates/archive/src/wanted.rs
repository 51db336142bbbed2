//! What is looked for in an archive, and how both ways of asking write it.

use dicom_core::Tag;
use dicom_dictionary_std::tags;
use jiff::civil::Date;

use crate::{found::FoundStudy, uid::Uid};

/// What is looked for. What is empty is no condition; without any condition an archive gives all it has.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wanted {
    /// Patient ID, exactly.
    pub patient_id: Option<String>,
    /// The patient's name as `Family^Given` or `Family, Given`; `*` stands for any letters, `?` for one.
    pub patient_name: Option<String>,
    /// Accession number, exactly.
    pub accession_number: Option<String>,
    /// The day of the study, or the days between which it lies.
    pub dates: Option<DateRange>,
    /// A modality that the study has: `DX`, `CR`.
    pub modality: Option<String>,
    /// The study itself.
    pub study: Option<Uid>,
    /// A body part that one of the study's series has: `FOOT`.
    pub body_part: Option<String>,
}

/// Days from the first to the last, both included; an open end has no limit.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DateRange {
    /// The first day.
    pub first: Option<Date>,
    /// The last day.
    pub last: Option<Date>,
}

impl DateRange {
    /// One day.
    #[must_use]
    pub const fn on(day: Date) -> Self {
        Self {
            first: Some(day),
            last: Some(day),
        }
    }

    /// As queries write it (PS3.4 C.2.2.2.5): `20260101-20260131`, `20260101-`, `-20260131` or one day.
    /// Nothing when both ends are open.
    fn written(&self) -> Option<String> {
        let digits = |day: Date| day.strftime("%Y%m%d").to_string();
        match (self.first.map(digits), self.last.map(digits)) {
            (None, None) => None,
            (Some(first), Some(last)) if first == last => Some(first),
            (first, last) => Some(format!(
                "{}-{}",
                first.unwrap_or_default(),
                last.unwrap_or_default()
            )),
        }
    }
}

/// Why a question is not asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WantedError {
    /// It would ask for everything.
    #[error("Say at least a number, a name or a day: nobody needs all that the archive has.")]
    Empty,
    /// No day can lie between them.
    #[error("The last day lies before the first one.")]
    Backwards,
}

impl Wanted {
    /// Checks that a question is one that a person has: about somebody, a number, a study or some days. A modality or a
    /// body part alone would ask for all that the archive has. Letters that stand for any letters say nothing.
    ///
    /// # Errors
    /// When it asks for everything, or its days run backwards.
    pub fn check(&self) -> Result<(), WantedError> {
        let says = |text: &Option<String>| {
            let text = text.as_deref().unwrap_or_default();
            text.contains(|letter: char| letter.is_alphanumeric())
        };
        let days = self.dates.unwrap_or_default();
        if days
            .first
            .zip(days.last)
            .is_some_and(|(first, last)| last < first)
        {
            return Err(WantedError::Backwards);
        }
        let is_narrow = says(&self.patient_id)
            || says(&self.patient_name)
            || says(&self.accession_number)
            || self.study.is_some()
            || days != DateRange::default();
        if is_narrow {
            Ok(())
        } else {
            Err(WantedError::Empty)
        }
    }

    /// The conditions on a study as keys and their values.
    pub(crate) fn study_keys(&self) -> Vec<(Tag, String)> {
        let plain = |text: &Option<String>| {
            let text = text.as_deref()?.trim().replace('\\', "");
            (!text.is_empty()).then_some(text)
        };
        [
            (tags::PATIENT_ID, plain(&self.patient_id)),
            (tags::PATIENT_NAME, self.name_key()),
            (tags::ACCESSION_NUMBER, plain(&self.accession_number)),
            (
                tags::STUDY_DATE,
                self.dates.and_then(|dates| dates.written()),
            ),
            (tags::MODALITIES_IN_STUDY, plain(&self.modality)),
            (
                tags::STUDY_INSTANCE_UID,
                self.study.as_ref().map(Uid::to_string),
            ),
        ]
        .into_iter()
        .filter_map(|(tag, value)| Some((tag, value?)))
        .collect()
    }

    /// The patient's name as a query writes it.
    fn name_key(&self) -> Option<String> {
        let name = self.patient_name.as_deref()?.trim().replace('\\', "");
        let written = match name.split_once(',') {
            Some((family, given)) => format!("{}^{}", family.trim(), given.trim()),
            None => name,
        };
        (!written.is_empty()).then_some(written)
    }

    /// Whether a study may be what is wanted, as far as its answer says; some archives answer with more than
    /// was asked for.
    pub(crate) fn allows(&self, study: &FoundStudy) -> bool {
        let modality = self.modality.as_deref().map(str::trim);
        let has_modality = modality.is_none_or(|wanted| {
            wanted.is_empty()
                || study.modalities.is_empty()
                || study
                    .modalities
                    .iter()
                    .any(|one| one.eq_ignore_ascii_case(wanted))
        });
        let is_in_time = self.dates.zip(study.date).is_none_or(|(dates, day)| {
            dates.first.is_none_or(|first| first <= day)
                && dates.last.is_none_or(|last| day <= last)
        });
        has_modality && is_in_time
    }

    /// The body part in the form that series have, if one is asked for.
    pub(crate) fn wanted_body_part(&self) -> Option<&str> {
        let part = self.body_part.as_deref()?.trim();
        (!part.is_empty()).then_some(part)
    }
}

/// The attributes of a study that are asked for beside the conditions.
pub(crate) const STUDY_ANSWERS: [Tag; 10] = [
    tags::STUDY_DATE,
    tags::STUDY_TIME,
    tags::ACCESSION_NUMBER,
    tags::MODALITIES_IN_STUDY,
    tags::STUDY_DESCRIPTION,
    tags::PATIENT_NAME,
    tags::PATIENT_ID,
    tags::PATIENT_BIRTH_DATE,
    tags::STUDY_INSTANCE_UID,
    tags::NUMBER_OF_STUDY_RELATED_INSTANCES,
];

/// The attributes of a series that are asked for.
pub(crate) const SERIES_ANSWERS: [Tag; 6] = [
    tags::MODALITY,
    tags::SERIES_DESCRIPTION,
    tags::BODY_PART_EXAMINED,
    tags::SERIES_INSTANCE_UID,
    tags::SERIES_NUMBER,
    tags::LATERALITY,
];

/// The attributes of an object that are asked for.
pub(crate) const FILM_ANSWERS: [Tag; 5] = [
    tags::SOP_CLASS_UID,
    tags::SOP_INSTANCE_UID,
    tags::INSTANCE_NUMBER,
    tags::ROWS,
    tags::COLUMNS,
];

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    fn key(wanted: &Wanted, tag: Tag) -> Option<String> {
        let keys = wanted.study_keys();
        keys.into_iter().find(|key| key.0 == tag).map(|key| key.1)
    }

    #[test]
    fn days_are_written_as_queries_want_them() {
        let (first, last) = (Some(date(2026, 1, 1)), Some(date(2026, 1, 31)));
        for (dates, expected) in [
            (DateRange { first, last }, Some("20260101-20260131")),
            (DateRange { first, last: None }, Some("20260101-")),
            (DateRange { first: None, last }, Some("-20260131")),
            (DateRange::on(date(2026, 1, 1)), Some("20260101")),
            (DateRange::default(), None),
        ] {
            assert_eq!(dates.written().as_deref(), expected, "{dates:?}");
        }
    }

    #[test]
    fn a_question_is_about_somebody_or_some_days() {
        let numbered = |patient_id: &str| Wanted {
            patient_id: Some(patient_id.to_owned()),
            modality: Some("DX".to_owned()),
            ..Wanted::default()
        };
        let (early, late) = (Some(date(2026, 1, 1)), Some(date(2026, 2, 1)));
        let dated = |first, last| Wanted {
            dates: Some(DateRange { first, last }),
            ..Wanted::default()
        };
        assert_eq!(numbered("12").check(), Ok(()), "a number");
        assert_eq!(
            numbered(" * ").check(),
            Err(WantedError::Empty),
            "any number"
        );
        assert_eq!(dated(early, None).check(), Ok(()), "an open end");
        assert_eq!(dated(early, early).check(), Ok(()), "one day");
        assert_eq!(
            dated(late, early).check(),
            Err(WantedError::Backwards),
            "backwards"
        );
        assert_eq!(dated(None, None).check(), Err(WantedError::Empty), "no day");
    }

    #[test]
    fn a_name_may_be_written_either_way_and_a_backslash_asks_for_nothing_more() {
        let named = |name: &str| Wanted {
            patient_name: Some(name.to_owned()),
            ..Wanted::default()
        };
        for (name, expected) in [
            ("Sample, Fo*", Some("Sample^Fo*")),
            ("Sample^Foot", Some("Sample^Foot")),
            ("Sam\\*", Some("Sam*")),
            ("  ", None),
        ] {
            assert_eq!(
                key(&named(name), tags::PATIENT_NAME).as_deref(),
                expected,
                "{name}"
            );
        }
    }
}
