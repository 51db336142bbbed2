//! What getting and moving films have in common (PS3.4 C.4.2 and C.4.3).

use dicom_dictionary_std::tags;

use super::{command::Command, find::Identifier, status::StatusKind};
use crate::{
    archive::{Fetched, WantedFilms},
    error::ArchiveError,
};

/// What is still to come.
pub(crate) enum Remaining {
    /// This many films, where the archive says so.
    Films(Option<usize>),
    /// Nothing: that was the last answer.
    Nothing {
        /// How many objects the archive could not send.
        failed: usize,
    },
}

/// What is asked for, at its level.
pub(crate) fn identifier(wanted: &WantedFilms) -> Identifier {
    let level = match (&wanted.series, &wanted.film) {
        (_, Some(_)) => "IMAGE",
        (Some(_), None) => "SERIES",
        (None, None) => "STUDY",
    };
    let mut identifier =
        Identifier::at(level).with(tags::STUDY_INSTANCE_UID, wanted.study.as_str());
    if let Some(series) = &wanted.series {
        identifier = identifier.with(tags::SERIES_INSTANCE_UID, series.as_str());
    }
    if let Some(film) = &wanted.film {
        identifier = identifier.with(tags::SOP_INSTANCE_UID, film.as_str());
    }
    identifier
}

/// What a response says.
///
/// # Errors
/// When the archive refuses.
pub(crate) fn judge(response: &Command, fetched: &mut Fetched) -> Result<Remaining, ArchiveError> {
    let status = response.status()?;
    let count = |tag| response.word(tag).map(usize::from);
    match status.kind() {
        StatusKind::Pending => Ok(Remaining::Films(count(
            tags::NUMBER_OF_REMAINING_SUBOPERATIONS,
        ))),
        StatusKind::Success | StatusKind::Warning => {
            let failed = count(tags::NUMBER_OF_FAILED_SUBOPERATIONS).unwrap_or_default();
            if status.kind() == StatusKind::Warning && failed == 0 {
                fetched.complaints.push(status.in_words());
            }
            Ok(Remaining::Nothing { failed })
        }
        StatusKind::Cancelled | StatusKind::Failure => Err(status.refused()),
    }
}

/// Tells that some of the objects did not come.
pub(crate) fn complain(fetched: &mut Fetched, missing: usize) {
    if missing > 0 {
        let complaint = format!("the archive could not send {missing} of the objects");
        fetched.complaints.push(complaint);
    }
}
