//! A table written row by row, as CSV or as Parquet, without holding it.

mod json_file;
mod parquet_file;

use std::{
    fs::File,
    io::{self, BufWriter, Write as _},
    path::{Path, PathBuf},
};

use tempfile::NamedTempFile;

use self::parquet_file::ParquetFile;

pub use json_file::JsonFile;
pub(crate) use parquet_file::note_of;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// Text.
    Text,
    /// Numbers.
    Number,
    /// Whole numbers.
    Integer,
}

/// A column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Its name, in small letters with `_` between words.
    pub name: String,
    /// What it holds.
    pub kind: ColumnKind,
}

impl Column {
    /// A column of this name.
    #[must_use]
    pub fn new(name: impl Into<String>, kind: ColumnKind) -> Self {
        Self {
            name: name.into(),
            kind,
        }
    }
}

/// What stands in one row and column; nothing where there is no value.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// In a column of text.
    Text(Option<String>),
    /// In a column of numbers.
    Number(Option<f64>),
    /// In a column of whole numbers.
    Integer(Option<i64>),
}

impl Cell {
    /// Some text.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(Some(text.into()))
    }

    /// Some text, unless it is empty.
    #[must_use]
    pub fn words(text: &str) -> Self {
        Self::Text((!text.is_empty()).then(|| text.to_owned()))
    }

    /// `yes` or `no`.
    #[must_use]
    pub fn yes(is_so: bool) -> Self {
        Self::text(if is_so { "yes" } else { "no" })
    }

    /// As CSV has it: empty where there is none; numbers with all their digits.
    #[must_use]
    pub fn in_csv(&self) -> String {
        match self {
            Self::Text(text) => text.clone().unwrap_or_default(),
            Self::Number(number) => number.map(|number| number.to_string()).unwrap_or_default(),
            Self::Integer(number) => number.map(|number| number.to_string()).unwrap_or_default(),
        }
    }

    /// As JSON has it.
    #[must_use]
    pub fn in_json(&self) -> serde_json::Value {
        match self {
            Self::Text(text) => text.as_deref().into(),
            Self::Number(number) => (*number).into(),
            Self::Integer(number) => (*number).into(),
        }
    }
}

/// Why a table was not written. Whatever lay under its name before is still there.
#[derive(Debug, thiserror::Error)]
pub enum TableError {
    /// The file system refused.
    #[error("the table cannot be written ({cause}); choose another folder, or make room: {}", path.display())]
    FileSystem {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The table cannot be made.
    #[error("the table cannot be made ({what}); please report this: {}", path.display())]
    Form {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        what: String,
    },
}

/// A file that is written beside its place under another name, and gets its name when it is whole: whoever reads it
/// finds the old table or the new one, and a program that is killed leaves none cut short.
#[derive(Debug)]
pub struct TableFile {
    path: PathBuf,
    form: Form,
}

#[derive(Debug)]
enum Form {
    Csv(Box<csv::Writer<BufWriter<NamedTempFile>>>),
    Parquet(Box<ParquetFile>),
}

impl TableFile {
    /// Begins a CSV file with a line of column names.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn csv(path: &Path, columns: &[Column]) -> Result<Self, TableError> {
        let mut writer = csv::Writer::from_writer(BufWriter::new(temporary(path)?));
        writer
            .write_record(columns.iter().map(|column| &column.name))
            .map_err(|problem| refused(path, problem.into()))?;
        Ok(Self {
            path: path.to_owned(),
            form: Form::Csv(Box::new(writer)),
        })
    }

    /// Begins a Parquet file, compressed by Snappy. `note` stays in its footer.
    ///
    /// # Errors
    /// When the file system refuses, or two columns have one name.
    pub fn parquet(
        path: &Path,
        columns: &[Column],
        note: Option<(&str, &str)>,
    ) -> Result<Self, TableError> {
        let file = ParquetFile::begin(temporary(path)?, columns, note)
            .map_err(|problem| malformed(path, &problem))?;
        Ok(Self {
            path: path.to_owned(),
            form: Form::Parquet(Box::new(file)),
        })
    }

    /// Adds a row, a cell for each column.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn add(&mut self, row: &[Cell]) -> Result<(), TableError> {
        match &mut self.form {
            Form::Csv(writer) => writer
                .write_record(row.iter().map(Cell::in_csv))
                .map_err(|problem| refused(&self.path, problem.into())),
            Form::Parquet(file) => file
                .add(row)
                .map_err(|problem| malformed(&self.path, &problem)),
        }
    }

    /// Puts the whole table on the disk and gives it its name.
    ///
    /// # Errors
    /// When the file system refuses.
    pub fn finish(self) -> Result<(), TableError> {
        let path = self.path;
        let temporary = match self.form {
            Form::Csv(writer) => writer
                .into_inner()
                .map_err(|problem| refused(&path, problem.into_error()))?
                .into_inner()
                .map_err(|problem| refused(&path, problem.into_error()))?,
            Form::Parquet(file) => file
                .finish()
                .map_err(|problem| malformed(&path, &problem))?,
        };
        place(temporary, &path).map_err(|cause| refused(&path, cause))
    }
}

/// The beginning of the names of files that are being written.
pub(crate) const WRITING: &str = ".writing-";

fn temporary(path: &Path) -> Result<NamedTempFile, TableError> {
    let folder = folder_of_file(path);
    let mut builder = tempfile::Builder::new();
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let prefix = format!("{WRITING}{name}-");
    builder.prefix(&prefix);
    // A table is read by whoever the user lets read new files, as any other file that is written.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder
        .tempfile_in(folder)
        .map_err(|cause| refused(path, cause))
}

fn folder_of_file(path: &Path) -> &Path {
    path.parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."))
}

fn place(mut temporary: NamedTempFile, path: &Path) -> io::Result<()> {
    temporary.flush()?;
    temporary.as_file().sync_all()?;
    temporary.persist(path).map_err(|problem| problem.error)?;
    // Some file systems cannot put a folder's names on the disk by themselves, and need not.
    if cfg!(unix)
        && let Ok(folder) = File::open(folder_of_file(path))
    {
        let _unsupported = folder.sync_all();
    }
    Ok(())
}

fn refused(path: &Path, cause: io::Error) -> TableError {
    TableError::FileSystem {
        path: path.to_owned(),
        cause,
    }
}

fn malformed(path: &Path, problem: &parquet::errors::ParquetError) -> TableError {
    TableError::Form {
        path: path.to_owned(),
        what: problem.to_string(),
    }
}
