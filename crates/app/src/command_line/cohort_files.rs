//! The files that `plumbray cohort` writes: the table as CSV, Parquet and JSON.

use std::path::Path;

use anyhow::{bail, ensure};
use plumbray_cohort::{Cell, JsonFile, TableError, TableFile, columns};
use plumbray_compare::TIMELINE_ENDING;
use plumbray_study::STUDY_ENDING;
use serde_json::Value;

use super::CohortArguments;

/// The files that are being written; each gets its name when it is whole.
#[derive(Default)]
pub(super) struct CohortFiles {
    tables: Vec<TableFile>,
    document: Option<JsonFile>,
}

impl CohortFiles {
    pub(super) fn begin(arguments: &CohortArguments) -> anyhow::Result<Self> {
        let columns = columns();
        let mut files = Self::default();
        if let Some(path) = &arguments.csv {
            check(path)?;
            files.tables.push(TableFile::csv(path, &columns)?);
        }
        if let Some(path) = &arguments.parquet {
            check(path)?;
            files.tables.push(TableFile::parquet(path, &columns, None)?);
        }
        if let Some(path) = &arguments.json {
            check(path)?;
            files.document = Some(JsonFile::begin(path, &columns)?);
        }
        Ok(files)
    }

    pub(super) fn add(&mut self, row: &[Cell]) -> Result<(), TableError> {
        for table in &mut self.tables {
            table.add(row)?;
        }
        match &mut self.document {
            Some(document) => document.add(row),
            None => Ok(()),
        }
    }

    /// Ends the files; `rest` is what stands in the JSON document beside the rows.
    pub(super) fn finish(self, rest: Value) -> anyhow::Result<()> {
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
