//! What the beginning of a DICOM file says of its object, without its pixels.

use dicom_dictionary_std::{tags, uids};

use super::{
    element::{Beginning, DataSet},
    facts, header, patient,
};
use crate::{
    error::FilmProblem,
    summary::{FilmSummary, SeriesSummary, StudySummary},
};

/// What is needed of a file to sum it up.
pub(crate) enum Summed {
    /// It is summed up.
    Whole(Box<FilmSummary>),
    /// More of the file is needed.
    NeedsMore,
}

/// Sums up a file of which `bytes` is the beginning; `is_whole` where it is all of it.
///
/// # Errors
/// When it is no DICOM file, or damaged before anything useful was said.
pub(crate) fn read(bytes: &[u8], is_whole: bool) -> Result<Summed, FilmProblem> {
    let located = match header::locate(bytes) {
        Ok(located) => located,
        Err(FilmProblem::NotAFilm) => return Err(FilmProblem::NotAFilm),
        Err(_cut_short) if !is_whole => return Ok(Summed::NeedsMore),
        Err(problem) => return Err(problem),
    };
    let is_deflated = located.transfer_syntax == uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN;
    if is_deflated && !is_whole {
        return Ok(Summed::NeedsMore);
    }
    let Beginning {
        data_set,
        reaches_pixels,
    } = DataSet::read_beginning(&located.data_set, located.encoding);
    if !reaches_pixels && !is_whole {
        return Ok(Summed::NeedsMore);
    }
    if data_set.element(tags::SOP_CLASS_UID).is_none() && data_set.element(tags::ROWS).is_none() {
        return Err(FilmProblem::NotAFilm);
    }
    let mut summary = summary_of(&data_set, &located.transfer_syntax);
    summary.has_pixels = reaches_pixels && summary.rows > 0 && summary.columns > 0;
    Ok(Summed::Whole(Box::new(summary)))
}

fn summary_of(data_set: &DataSet<'_>, transfer_syntax: &str) -> FilmSummary {
    let text = |tag| data_set.text(tag).unwrap_or_default();
    let readable = |tag| data_set.readable(tag).unwrap_or_default();
    FilmSummary {
        patient: patient::identity(data_set),
        study: StudySummary {
            uid: text(tags::STUDY_INSTANCE_UID),
            date: data_set
                .text(tags::STUDY_DATE)
                .and_then(|date| facts::iso_date(&date)),
            description: readable(tags::STUDY_DESCRIPTION),
            accession_number: readable(tags::ACCESSION_NUMBER),
        },
        series: SeriesSummary {
            uid: text(tags::SERIES_INSTANCE_UID),
            number: whole_number(data_set, tags::SERIES_NUMBER),
            modality: text(tags::MODALITY),
            description: readable(tags::SERIES_DESCRIPTION),
            body_part: text(tags::BODY_PART_EXAMINED),
        },
        class_uid: text(tags::SOP_CLASS_UID),
        instance_uid: text(tags::SOP_INSTANCE_UID),
        transfer_syntax_uid: transfer_syntax.to_owned(),
        number: whole_number(data_set, tags::INSTANCE_NUMBER),
        side: facts::side(data_set),
        view: facts::view(data_set),
        rows: data_set.word(tags::ROWS).unwrap_or(0),
        columns: data_set.word(tags::COLUMNS).unwrap_or(0),
        frames: whole_number(data_set, tags::NUMBER_OF_FRAMES)
            .and_then(|frames| u32::try_from(frames).ok())
            .unwrap_or(1)
            .max(1),
        has_pixels: false,
    }
}

fn whole_number(data_set: &DataSet<'_>, tag: dicom_core::Tag) -> Option<i64> {
    data_set.text(tag)?.parse().ok()
}
