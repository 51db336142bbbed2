//! Writing the table of the visits that are listed.

use std::path::{Path, PathBuf};

use plumbray_cohort::{Filter, cells, read};
use plumbray_compare::Recurrence;

use super::listing::{Source, open};
use crate::{
    series::files::{SeriesFiles, beside_the_rows},
    workbench::{Finished, Workbench, state::Request},
};

impl Workbench {
    pub(super) fn ask_where_to_write_series(&mut self) {
        let Some(series) = &self.series else { return };
        let proposal = series.folder.join("series.csv");
        self.requests.push(Request::AskWhereToPutSeries(proposal));
    }

    pub(super) fn start_writing_series(&mut self, path: PathBuf) {
        let Some((source, filter)) = self.series_source() else {
            return;
        };
        self.jobs.start("Writing the table", move || {
            let written = write(&source, &filter, &path);
            let written = written.map_err(|problem| format!("{problem:#}"));
            Finished::SeriesWritten(written.map(|visits| (path, visits)))
        });
    }

    pub(in super::super) fn series_was_written(&mut self, written: Result<(PathBuf, u64), String>) {
        match written {
            Ok((path, visits)) => self.note(format!(
                "The table of {visits} visits is written: {}",
                path.display()
            )),
            Err(problem) => self.warn(format!("No table was written: {problem}")),
        }
    }
}

/// Writes what passes; how many visits that are.
fn write(source: &Source, filter: &Filter, path: &Path) -> anyhow::Result<u64> {
    let limit = Recurrence::default();
    let mut opened = open(source)?;
    let mut table = SeriesFiles::begin_by_ending(path)?;
    let mut visits = 0;
    let summary = read(&mut opened.index, filter, limit, &mut |foot, passing| {
        for place in passing {
            visits += 1;
            table.add(&cells(foot, *place, limit))?;
        }
        Ok(())
    })?;
    let filter: Vec<&str> = source.filter.split_whitespace().collect();
    let rest = beside_the_rows(
        &opened.series,
        &opened.index.place(),
        &opened.refreshed,
        &filter,
        &summary,
    );
    table.finish(rest)?;
    Ok(visits)
}
