//! What a series holds, read from its index.

use std::{
    ops::ControlFlow,
    path::{Path, PathBuf},
};

use plumbray_cohort::{CohortError, Filter, IndexPlace, open_refreshed, read, series_of};
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
}

/// Brings the index of a folder up to its files and lists what passes.
pub(super) fn read_listing(
    folder: &Path,
    index: &IndexPlace,
    filter: &Filter,
) -> Result<Listing, CohortError> {
    let series = series_of(folder)?;
    let limit = Recurrence::default();
    let go_on = &mut |_| ControlFlow::Continue(());
    let (mut index, refreshed) = open_refreshed(index, &series, folder, false, go_on)?;
    let (mut visits, mut more) = (Vec::new(), 0);
    let summary = read(&mut index, filter, limit, &mut |foot, passing| {
        for place in passing {
            if visits.len() == MOST_LISTED {
                more += 1;
                continue;
            }
            let name = foot.visits[*place].row.path.clone();
            visits.push(ListedVisit {
                study: folder.join(&name),
                name,
                words: visit_words(foot, *place, limit),
            });
        }
        Ok(())
    })?;
    let problems = refreshed.problems.into_iter();
    Ok(Listing {
        visits,
        more,
        studies: refreshed.studies,
        summary: summary_lines(&summary, limit),
        problems: problems.chain(refreshed.time_line_problems).collect(),
    })
}
