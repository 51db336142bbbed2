//! What is asked of an archive, as it is typed.

use std::fmt;

use plumbray_archive::{DateRange, Wanted, WantedError};

use crate::workbench::{NotADay, study_change::day_of};

/// What is asked of an archive, as it is typed. It may name a patient: it is kept nowhere and printed nowhere.
#[derive(Clone, Default, PartialEq, Eq)]
pub struct Question {
    /// The patient's number.
    pub patient_id: String,
    /// The patient's name as `Family, Given`; `*` stands for any letters.
    pub patient_name: String,
    /// The accession number.
    pub accession_number: String,
    /// The first day, as `2026-01-31`.
    pub from: String,
    /// The last day.
    pub to: String,
    /// A modality: `DX`, `CR`.
    pub modality: String,
}

/// Why a question cannot be asked.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnfitQuestion {
    /// It would ask for everything, or for no day.
    #[error(transparent)]
    Unfit(#[from] WantedError),
    /// A day that is none.
    #[error(transparent)]
    NotADay(#[from] NotADay),
}

impl fmt::Debug for Question {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("Question(…)")
    }
}

impl Question {
    /// The question as an archive is asked it.
    ///
    /// # Errors
    /// [`UnfitQuestion`] when nothing but a modality is asked for, or a day is none.
    pub fn wanted(&self) -> Result<Wanted, UnfitQuestion> {
        let dates = DateRange {
            first: day_of(&self.from)?,
            last: day_of(&self.to)?,
        };
        let wanted = Wanted {
            patient_id: said(&self.patient_id),
            patient_name: said(&self.patient_name),
            accession_number: said(&self.accession_number),
            dates: (dates != DateRange::default()).then_some(dates),
            modality: said(&self.modality).map(|modality| modality.to_uppercase()),
            ..Wanted::default()
        };
        wanted.check()?;
        Ok(wanted)
    }
}

fn said(text: &str) -> Option<String> {
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_question_needs_more_than_a_modality_and_days_in_order() {
        let asked = |patient_id: &str, from: &str, to: &str| {
            let question = Question {
                patient_id: patient_id.to_owned(),
                from: from.to_owned(),
                to: to.to_owned(),
                modality: "dx".to_owned(),
                ..Question::default()
            };
            question.wanted()
        };
        assert_eq!(
            asked(" ", "", ""),
            Err(WantedError::Empty.into()),
            "everything"
        );
        assert_eq!(
            asked("", "yesterday", ""),
            Err(NotADay("yesterday".to_owned()).into()),
            "no day"
        );
        assert_eq!(
            asked("", "2026-02-01", "2026-01-01"),
            Err(WantedError::Backwards.into()),
            "the wrong way round"
        );
        let wanted = asked(" 12 ", "2026-01-01", "").expect("a question");
        assert_eq!(wanted.patient_id.as_deref(), Some("12"), "trimmed");
        assert_eq!(
            wanted.modality.as_deref(),
            Some("DX"),
            "as archives write it"
        );
    }

    #[test]
    fn a_question_is_not_printed() {
        let question = Question {
            patient_name: "Sample".to_owned(),
            ..Question::default()
        };
        assert!(!format!("{question:?}").contains("Sample"), "{question:?}");
    }
}
