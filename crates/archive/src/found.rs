//! What an archive has, as it answers a query.

use std::time::{Duration, Instant};

use dicom_dictionary_std::tags;
use jiff::civil::Date;

use crate::{attributes::Attributes, error::ArchiveError, limits, uid::Uid, wanted::Wanted};

/// The studies that an archive has of what was wanted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FoundStudies {
    /// The studies, the newest first.
    pub studies: Vec<FoundStudy>,
    /// Whether these are all: an archive may have more than is read.
    pub is_complete: bool,
}

/// One study in an archive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundStudy {
    /// Study Instance UID (0020,000D).
    pub study: Uid,
    /// The patient's name, family name first.
    pub patient_name: Option<String>,
    /// Patient ID (0010,0020).
    pub patient_id: Option<String>,
    /// The patient's day of birth.
    pub birth_date: Option<Date>,
    /// The day of the study.
    pub date: Option<Date>,
    /// The time of day of the study: `14:05`.
    pub time: Option<String>,
    /// Study Description (0008,1030).
    pub description: Option<String>,
    /// Accession Number (0008,0050).
    pub accession_number: Option<String>,
    /// Modalities in Study (0008,0061).
    pub modalities: Vec<String>,
    /// How many objects the study has, where the archive says so.
    pub objects: Option<u32>,
}

/// One series of a study in an archive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundSeries {
    /// Series Instance UID (0020,000E).
    pub series: Uid,
    /// Modality (0008,0060).
    pub modality: Option<String>,
    /// Body Part Examined (0018,0015).
    pub body_part: Option<String>,
    /// Laterality (0020,0060).
    pub laterality: Option<String>,
    /// Series Description (0008,103E).
    pub description: Option<String>,
    /// Series Number (0020,0011).
    pub number: Option<u32>,
    /// Its objects, by their number.
    pub films: Vec<FoundFilm>,
}

/// One film or other object of a series in an archive.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundFilm {
    /// SOP Instance UID (0008,0018).
    pub instance: Uid,
    /// SOP Class UID (0008,0016), where the archive says it.
    pub class: Option<Uid>,
    /// Instance Number (0020,0013).
    pub number: Option<u32>,
    /// Rows and columns, where the archive says them.
    pub size: Option<(u32, u32)>,
}

impl FoundStudies {
    /// Keeps those studies of which a series shows a body part, in whatever letters it is written. Each is asked for its
    /// series, so that no more than a limit are looked into.
    ///
    /// # Errors
    /// When the archive does not answer, or takes longer than `whole` for all of them.
    pub(crate) fn keep_body_part(
        &mut self,
        part: &str,
        whole: Duration,
        mut series_of: impl FnMut(&Uid) -> Result<Vec<FoundSeries>, ArchiveError>,
    ) -> Result<(), ArchiveError> {
        if self.studies.len() > limits::STUDIES_LOOKED_INTO {
            self.studies.truncate(limits::STUDIES_LOOKED_INTO);
            self.is_complete = false;
        }
        let begun = Instant::now();
        let mut kept = Vec::new();
        for study in std::mem::take(&mut self.studies) {
            if begun.elapsed() > whole {
                let seconds = whole.as_secs();
                return Err(ArchiveError::TooSlow { seconds });
            }
            let series = series_of(&study.study)?;
            let shown = series.iter().filter_map(|one| one.body_part.as_deref());
            if shown
                .into_iter()
                .any(|shown| shown.eq_ignore_ascii_case(part))
            {
                kept.push(study);
            }
        }
        self.studies = kept;
        Ok(())
    }
}

impl FoundStudy {
    /// The study of an answer; nothing when it names none.
    pub(crate) fn of(answer: &Attributes) -> Option<Self> {
        let modality = || answer.texts(tags::MODALITY);
        let modalities = answer.texts(tags::MODALITIES_IN_STUDY);
        Some(Self {
            study: answer.uid(tags::STUDY_INSTANCE_UID)?,
            patient_name: answer.name(tags::PATIENT_NAME),
            patient_id: answer.text(tags::PATIENT_ID),
            birth_date: answer.date(tags::PATIENT_BIRTH_DATE),
            date: answer.date(tags::STUDY_DATE),
            time: answer.time(tags::STUDY_TIME),
            description: answer.text(tags::STUDY_DESCRIPTION),
            accession_number: answer.text(tags::ACCESSION_NUMBER),
            modalities: if modalities.is_empty() {
                modality()
            } else {
                modalities
            },
            objects: answer.number(tags::NUMBER_OF_STUDY_RELATED_INSTANCES),
        })
    }
}

impl FoundSeries {
    /// The series of an answer, without its films; nothing when it names none.
    pub(crate) fn of(answer: &Attributes) -> Option<Self> {
        Some(Self {
            series: answer.uid(tags::SERIES_INSTANCE_UID)?,
            modality: answer.text(tags::MODALITY),
            body_part: answer.text(tags::BODY_PART_EXAMINED),
            laterality: answer.text(tags::LATERALITY),
            description: answer.text(tags::SERIES_DESCRIPTION),
            number: answer.number(tags::SERIES_NUMBER),
            films: Vec::new(),
        })
    }
}

impl FoundFilm {
    /// The film of an answer; nothing when it names none.
    pub(crate) fn of(answer: &Attributes) -> Option<Self> {
        Some(Self {
            instance: answer.uid(tags::SOP_INSTANCE_UID)?,
            class: answer.uid(tags::SOP_CLASS_UID),
            number: answer.number(tags::INSTANCE_NUMBER),
            size: answer.number(tags::ROWS).zip(answer.number(tags::COLUMNS)),
        })
    }
}

/// The studies of an archive's answers that are what was wanted.
pub(crate) fn studies_of(
    answers: &[Attributes],
    wanted: &Wanted,
    is_complete: bool,
) -> FoundStudies {
    let studies = answers.iter().filter_map(FoundStudy::of);
    FoundStudies {
        studies: in_order(studies.filter(|study| wanted.allows(study)).collect()),
        is_complete,
    }
}

/// Puts studies in order, the newest first, those without date last.
fn in_order(mut studies: Vec<FoundStudy>) -> Vec<FoundStudy> {
    studies.sort_by(|a, b| (b.date, &b.time, &a.study).cmp(&(a.date, &a.time, &b.study)));
    studies.dedup_by(|a, b| a.study == b.study);
    studies
}

/// Puts series and their films in order of their numbers.
pub(crate) fn series_in_order(mut series: Vec<FoundSeries>) -> Vec<FoundSeries> {
    series.sort_by(|a, b| (a.number, &a.series).cmp(&(b.number, &b.series)));
    for one in &mut series {
        one.films
            .sort_by(|a, b| (a.number, &a.instance).cmp(&(b.number, &b.instance)));
    }
    series
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_study_comes_first_and_none_twice() {
        let study = |uid: &str, date: Option<Date>| FoundStudy {
            study: Uid::new(uid).expect("one"),
            patient_name: None,
            patient_id: None,
            birth_date: None,
            date,
            time: None,
            description: None,
            accession_number: None,
            modalities: Vec::new(),
            objects: None,
        };
        let day = |day| Some(jiff::civil::date(2026, 1, day));
        let found = in_order(vec![
            study("1.1", None),
            study("1.2", day(3)),
            study("1.3", day(5)),
            study("1.2", day(3)),
        ]);
        let order: Vec<&str> = found.iter().map(|one| one.study.as_str()).collect();
        assert_eq!(order, ["1.3", "1.2", "1.1"], "newest first");
    }
}
