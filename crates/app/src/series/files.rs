//! The table of a series as files: CSV, Parquet and JSON.

use std::path::Path;

use anyhow::{bail, ensure};
use plumbray_cohort::{Cell, JsonFile, Refreshed, Summary, TableError, TableFile, columns};
use plumbray_compare::TIMELINE_ENDING;
use plumbray_study::STUDY_ENDING;
use serde_json::{Value, json};

use crate::window::CAUTION;

/// The files that are being written; each gets its name when it is whole.
#[derive(Default)]
pub(crate) struct SeriesFiles {
    tables: Vec<TableFile>,
    document: Option<JsonFile>,
}

impl SeriesFiles {
    /// Begins the files that are asked for.
    pub(crate) fn begin(
        csv: Option<&Path>,
        parquet: Option<&Path>,
        json: Option<&Path>,
    ) -> anyhow::Result<Self> {
        let columns = columns();
        let mut files = Self::default();
        if let Some(path) = csv {
            check(path)?;
            files.tables.push(TableFile::csv(path, &columns)?);
        }
        if let Some(path) = parquet {
            check(path)?;
            files.tables.push(TableFile::parquet(path, &columns, None)?);
        }
        if let Some(path) = json {
            check(path)?;
            files.document = Some(JsonFile::begin(path, &columns)?);
        }
        Ok(files)
    }

    /// Begins the one file of this name; its ending says which kind.
    pub(crate) fn begin_by_ending(path: &Path) -> anyhow::Result<Self> {
        let ending = path.extension().unwrap_or_default().to_ascii_lowercase();
        match ending.to_str() {
            Some("csv") => Self::begin(Some(path), None, None),
            Some("parquet") => Self::begin(None, Some(path), None),
            Some("json") => Self::begin(None, None, Some(path)),
            _ => bail!(
                "a table of a series ends in .csv, .parquet or .json; give it one of these: {}",
                path.display()
            ),
        }
    }

    pub(crate) fn add(&mut self, row: &[Cell]) -> Result<(), TableError> {
        for table in &mut self.tables {
            table.add(row)?;
        }
        match &mut self.document {
            Some(document) => document.add(row),
            None => Ok(()),
        }
    }

    /// Ends the files; `rest` is what stands in the JSON document beside the rows.
    pub(crate) fn finish(self, rest: Value) -> anyhow::Result<()> {
        for table in self.tables {
            table.finish()?;
        }
        if let Some(document) = self.document {
            let Value::Object(rest) = rest else {
                bail!("what stands beside the rows is an object");
            };
            document.finish(&rest)?;
        }
        Ok(())
    }
}

/// What stands in the JSON document beside the rows.
pub(crate) fn beside_the_rows(
    series: &str,
    index: &str,
    refreshed: &Refreshed,
    filter: &[impl AsRef<str>],
    summary: &Summary,
) -> Value {
    let filter: Vec<&str> = filter.iter().map(AsRef::as_ref).collect();
    json!({
        "series": series,
        "index": index,
        "studies_in_folder": refreshed.studies,
        "problems": refreshed.problems,
        "time_line_problems": refreshed.time_line_problems,
        "filter": filter,
        "summary": summary,
        "caution": CAUTION,
    })
}

/// A table never takes the place of a study or a time line.
fn check(path: &Path) -> anyhow::Result<()> {
    let name = path.to_string_lossy();
    ensure!(
        !name.ends_with(STUDY_ENDING) && !name.ends_with(TIMELINE_ENDING),
        "a table does not take the name of a study or a time line; choose another: {}",
        path.display()
    );
    Ok(())
}
