//! A JSON document of rows, with what is known of all of them behind.

use std::{
    io::{self, BufWriter, Write as _},
    path::{Path, PathBuf},
};

use serde_json::{Map, Value};
use tempfile::NamedTempFile;

use super::{Cell, Column, TableError, place, refused, temporary};

/// A JSON document that is being written: an object whose member `rows` is a list of objects by column. As any table, it
/// gets its name when it is whole.
#[derive(Debug)]
pub struct JsonFile {
    path: PathBuf,
    columns: Vec<Column>,
    writer: BufWriter<NamedTempFile>,
    has_rows: bool,
}

impl JsonFile {
    /// Begins a document.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn begin(path: &Path, columns: &[Column]) -> Result<Self, TableError> {
        let mut writer = BufWriter::new(temporary(path)?);
        writer
            .write_all(b"{\"rows\": [")
            .map_err(|cause| refused(path, cause))?;
        Ok(Self {
            path: path.to_owned(),
            columns: columns.to_vec(),
            writer,
            has_rows: false,
        })
    }

    /// Adds a row, a cell for each column.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn add(&mut self, row: &[Cell]) -> Result<(), TableError> {
        let members = self.columns.iter().zip(row);
        let object: Map<String, Value> = members
            .map(|(column, cell)| (column.name.clone(), cell.in_json()))
            .collect();
        let separator = if self.has_rows { ",\n" } else { "\n" };
        self.has_rows = true;
        self.write(separator.as_bytes())
            .and_then(|()| serde_json::to_writer(&mut self.writer, &object).map_err(Into::into))
            .map_err(|cause| refused(&self.path, cause))
    }

    /// Adds the other members of the document and gives it its name.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn finish(mut self, rest: &Map<String, Value>) -> Result<(), TableError> {
        let path = self.path.clone();
        self.end(rest)
            .and_then(|()| {
                self.writer
                    .into_inner()
                    .map_err(io::IntoInnerError::into_error)
            })
            .and_then(|temporary| place(temporary, &path))
            .map_err(|cause| refused(&path, cause))
    }

    fn end(&mut self, rest: &Map<String, Value>) -> io::Result<()> {
        self.write(b"\n]")?;
        for (name, value) in rest {
            self.write(b",\n")?;
            serde_json::to_writer(&mut self.writer, name)?;
            self.write(b": ")?;
            serde_json::to_writer(&mut self.writer, value)?;
        }
        self.write(b"}\n")
    }

    fn write(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.writer.write_all(bytes)
    }
}
