//! `plumbray cohort`: every study below a folder as one table, with its summary.

use std::{
    io::{IsTerminal as _, Write},
    ops::ControlFlow,
};

use anyhow::Context as _;
use plumbray_cohort::{
    FIELDS, Filter, IndexPlace, Progress, SeriesFoot, cells, open_refreshed, read, series_of,
};
use plumbray_compare::Recurrence;

use super::{CohortArguments, compare::recurrence_limit};
use crate::user_folders::cache_folder;
use crate::{
    series::{
        files::{SeriesFiles, beside_the_rows},
        words::{row_heading, row_line, summary_lines, write_refreshed},
    },
    window::CAUTION,
};

pub(super) fn cohort(arguments: &CohortArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let filter = Filter::parse(&arguments.filter)?;
    let limit = recurrence_limit(arguments.recurrence.as_deref())?;
    let series = match &arguments.series {
        Some(series) => series.clone(),
        None => series_of(&arguments.folder)?,
    };
    let place = index_place(arguments)?;
    let (mut index, refreshed) = open_refreshed(
        &place,
        &series,
        &arguments.folder,
        arguments.rebuild,
        &mut progress_line(),
    )?;
    let mut tables = SeriesFiles::begin(
        arguments.csv.as_deref(),
        arguments.parquet.as_deref(),
        arguments.json.as_deref(),
    )?;
    let mut listed = Listed {
        most: arguments.rows,
        rows: Vec::new(),
        passed: 0,
    };
    let summary = read(&mut index, &filter, limit, &mut |foot, passing| {
        for place in passing {
            tables.add(&cells(foot, *place, limit))?;
            listed.add(foot, *place, limit);
        }
        Ok(())
    })?;
    tables.finish(beside_the_rows(
        &series,
        &index.place(),
        &refreshed,
        &arguments.filter,
        &summary,
    ))?;
    write_refreshed(&refreshed, &index.place(), output)?;
    listed.write(output)?;
    write!(output, "Summary: ")?;
    for line in summary_lines(&summary, limit) {
        writeln!(output, "{line}")?;
    }
    writeln!(output, "  {CAUTION}")?;
    Ok(())
}

/// What `--filter` takes.
pub(super) fn filter_help() -> String {
    format!("Only studies of which this holds; repeatable, all must hold: {FIELDS}")
}

/// Where the index lies: where the caller says, else in this user's cache.
fn index_place(arguments: &CohortArguments) -> anyhow::Result<IndexPlace> {
    if let Some(place) = &arguments.index {
        return Ok(place.parse()?);
    }
    let folder = cache_folder("cohorts").context(
        "this user has no folder for caches; say where the index goes with --index FILE",
    )?;
    Ok(IndexPlace::CacheFolder(folder))
}

/// Says on a terminal how far the reading is.
fn progress_line() -> impl FnMut(Progress) -> ControlFlow<()> {
    let is_watched = std::io::stderr().is_terminal();
    move |progress| {
        if is_watched {
            eprint!(
                "\r{} studies, {} of them new or changed",
                progress.studies, progress.measured
            );
        }
        ControlFlow::Continue(())
    }
}

/// The rows that are printed, and how many there are.
struct Listed {
    most: usize,
    rows: Vec<String>,
    passed: usize,
}

impl Listed {
    fn add(&mut self, foot: &SeriesFoot, place: usize, limit: Recurrence) {
        self.passed += 1;
        if self.rows.len() < self.most {
            self.rows.push(row_line(foot, place, limit));
        }
    }

    fn write(&self, output: &mut dyn Write) -> anyhow::Result<()> {
        if !self.rows.is_empty() {
            writeln!(output, "{}", row_heading())?;
        }
        for row in &self.rows {
            writeln!(output, "{row}")?;
        }
        let more = self.passed - self.rows.len();
        if more > 0 {
            writeln!(
                output,
                "  and {more} more; --rows prints more of them, --csv writes all"
            )?;
        }
        Ok(())
    }
}
