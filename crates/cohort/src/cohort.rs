//! The whole way from a folder to its table.

use std::{ops::ControlFlow, path::Path};

use plumbray_compare::Recurrence;

use crate::{
    error::CohortError,
    feet::{Gatherer, SeriesFoot},
    filter::Filter,
    index::{Index, IndexError, IndexPlace},
    readings::LatestReadings,
    refresh::{Progress, Refreshed, refresh},
    summary::{Summary, SummingUp},
};

/// The series that a folder holds, by the name under which its index is kept: the whole path of the folder.
///
/// # Errors
/// When there is no such folder.
pub fn series_of(folder: &Path) -> Result<String, CohortError> {
    let whole = std::fs::canonicalize(folder).map_err(|cause| CohortError::Folder {
        folder: folder.to_owned(),
        cause,
    })?;
    Ok(whole.to_string_lossy().into_owned())
}

/// Opens the index of a series and brings it up to what lies in the folder. An index that turns out to be damaged on the
/// way is made anew, once: it is only a cache.
///
/// # Errors
/// When the folder cannot be read or the index refuses.
pub fn open_refreshed(
    place: &IndexPlace,
    series: &str,
    folder: &Path,
    rebuild: bool,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<(Index, Refreshed), CohortError> {
    let mut index = Index::open(place, series)?;
    if rebuild {
        index = index.made_anew(place, series)?;
    }
    match refresh(&mut index, folder, progress) {
        Err(CohortError::Index(IndexError::Damaged { .. })) => {
            index = index.made_anew(place, series)?;
            let refreshed = refresh(&mut index, folder, progress)?;
            Ok((index, refreshed))
        }
        refreshed => Ok((index, refreshed?)),
    }
}

/// What is done with a foot and the places of those of its visits that pass the filter.
pub type EachFoot<'a> = dyn FnMut(&SeriesFoot, &[usize]) -> Result<(), CohortError> + 'a;

/// Reads the series foot by foot, in the order of its time lines and folders, and sums it up. `each` gets every foot
/// with a visit that passes the filter, and the places of those visits. Feet are put together from all studies, whatever
/// the filter.
///
/// It is read twice: first for which of several readings of one film is the latest, which alone counts in the summary.
/// One foot is held at a time, and of each film when it was read last.
///
/// # Errors
/// When the index refuses, or `each` does.
pub fn read(
    index: &mut Index,
    filter: &Filter,
    limit: Recurrence,
    each: &mut EachFoot<'_>,
) -> Result<Summary, CohortError> {
    let mut latest = LatestReadings::default();
    each_foot(index, filter, &mut |foot, passing| {
        for place in passing {
            latest.add(&foot.visits[*place].row);
        }
        Ok(())
    })?;
    let mut summing = SummingUp::by(limit, latest);
    each_foot(index, filter, &mut |foot, passing| {
        summing.add(foot, passing);
        each(foot, passing)
    })?;
    Ok(summing.summary())
}

/// Gives every foot with a visit that passes the filter, and the places of those visits.
fn each_foot(
    index: &mut Index,
    filter: &Filter,
    each: &mut EachFoot<'_>,
) -> Result<(), CohortError> {
    let mut gatherer = Gatherer::default();
    let mut problem = None;
    let mut give = |foot: SeriesFoot| {
        let passing: Vec<usize> = (0..foot.visits.len())
            .filter(|place| filter.passes(&foot.visits[*place]))
            .collect();
        if passing.is_empty() || problem.is_some() {
            return;
        }
        if let Err(refused) = each(&foot, &passing) {
            problem = Some(refused);
        }
    };
    index.each_row(&mut |row| {
        gatherer.add(row, &mut give);
        ControlFlow::Continue(())
    })?;
    gatherer.finish(&mut give);
    problem.map_or(Ok(()), Err)
}
