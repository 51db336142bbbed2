//! What a series holds, read from its index.

use std::{collections::BTreeMap, ops::ControlFlow, path::PathBuf};

use plumbray_cohort::{
    CohortError, Filter, Index, IndexPlace, Refreshed, open_refreshed, read, series_of,
};
use plumbray_compare::Recurrence;

use crate::series::words::{VisitWords, summary_lines, visit_words};

/// The most visits that are listed: a longer list is read in a table of its own.
const MOST_LISTED: usize = 10_000;

/// The visits of a series, with their summary.
#[derive(Debug)]
pub struct Listing {
    /// Those of which the filter holds, foot by foot.
    pub visits: Vec<ListedVisit>,
    /// How many more there are that are not listed.
    pub more: usize,
    /// How many studies lie below the folder, listed or not.
    pub studies: u64,
    /// The summary, a sentence each.
    pub summary: Vec<String>,
    /// What could not be read, a sentence each.
    pub problems: Vec<String>,
}

/// A visit in the list.
#[derive(Clone, Debug)]
pub struct ListedVisit {
    /// Its study.
    pub study: PathBuf,
    /// The study's path below the folder.
    pub name: String,
    /// What stands in its columns, or why it cannot be read.
    pub(crate) words: Result<VisitWords, String>,
    /// By which axes its numbers are, where most visits of the list are by others; else empty.
    pub other_axes: String,
}

/// What is read, and by which index.
#[derive(Clone, Debug)]
pub(super) struct Source {
    pub folder: PathBuf,
    pub index: IndexPlace,
    /// The name of the series in the index; empty for the folder's own.
    pub name: String,
    /// The filter as it was typed.
    pub filter: String,
}

/// An index that is up to its files.
pub(super) struct Opened {
    pub index: Index,
    pub series: String,
    pub refreshed: Refreshed,
}

/// Brings the index of a folder up to its files.
pub(super) fn open(source: &Source) -> Result<Opened, CohortError> {
    let series = match source.name.trim() {
        "" => series_of(&source.folder)?,
        name => name.to_owned(),
    };
    let go_on = &mut |_| ControlFlow::Continue(());
    let (index, refreshed) = open_refreshed(&source.index, &series, &source.folder, false, go_on)?;
    Ok(Opened {
        index,
        series,
        refreshed,
    })
}

/// Lists what passes.
pub(super) fn read_listing(source: &Source, filter: &Filter) -> Result<Listing, CohortError> {
    let limit = Recurrence::default();
    let Opened {
        mut index,
        refreshed,
        ..
    } = open(source)?;
    let (mut visits, mut more) = (Vec::new(), 0);
    let summary = read(&mut index, filter, limit, &mut |foot, passing| {
        for place in passing {
            if visits.len() == MOST_LISTED {
                more += 1;
                continue;
            }
            let name = foot.visits[*place].row.path.clone();
            visits.push(ListedVisit {
                study: source.folder.join(&name),
                name,
                words: visit_words(foot, *place, limit),
                other_axes: String::new(),
            });
        }
        Ok(())
    })?;
    say_other_axes(&mut visits);
    let problems = refreshed.problems.into_iter();
    Ok(Listing {
        visits,
        more,
        studies: refreshed.studies,
        summary: summary_lines(&summary, limit),
        problems: problems.chain(refreshed.time_line_problems).collect(),
    })
}

/// Numbers by different axes are not to be compared, so a visit says where it differs from most.
fn say_other_axes(visits: &mut [ListedVisit]) {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for words in visits.iter().filter_map(|visit| visit.words.as_ref().ok()) {
        if !words.conventions.is_empty() {
            *counts.entry(&words.conventions).or_default() += 1;
        }
    }
    let usual = counts.into_iter().max_by_key(|(_, count)| *count);
    let Some(usual) = usual.map(|(axes, _)| axes.to_owned()) else {
        return;
    };
    for visit in visits {
        if let Ok(words) = &visit.words
            && words.conventions != usual
        {
            visit.other_axes.clone_from(&words.conventions);
        }
    }
}
