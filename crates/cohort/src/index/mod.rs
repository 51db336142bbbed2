//! The index: a cache of rows beside the files, which are the truth.
//!
//! There are two stores, SQLite for one workstation and PostgreSQL for many. Either holds nothing that reading the
//! files again would not give.

mod error;
mod place;
mod postgres;
mod sqlite;

use std::{collections::BTreeMap, ops::ControlFlow};

use plumbray_compare::Occasion;

pub use error::IndexError;
pub use place::{IndexPlace, NotAnIndexPlace};

use self::{postgres::PostgresStore, sqlite::SqliteStore};
use crate::row::{Content, FileStamp, StudyFacts, StudyRow};

/// The version of the tables. A change to what a row holds needs a new one.
pub(crate) const SCHEMA_VERSION: u32 = 3;

/// Which program measured a row; rows of another are measured again.
pub(crate) const PROGRAM: &str = concat!("plumbray ", env!("CARGO_PKG_VERSION"));

/// Which table a file stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Table {
    Study,
    TimeLine,
}

impl Table {
    const fn name(self) -> &'static str {
        match self {
            Self::Study => "study",
            Self::TimeLine => "time_line",
        }
    }
}

/// What the index knows of a file without reading it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Known {
    pub(crate) stamp: FileStamp,
    /// When it was read, in nanoseconds since 1970.
    pub(crate) read_at: i64,
    pub(crate) hash: Option<String>,
    /// Which program measured it.
    pub(crate) program: String,
}

/// A visit that a time line names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct NamedVisit {
    /// The study's path relative to the series' folder.
    pub(crate) study: String,
    pub(crate) occasion: Option<Occasion>,
    pub(crate) name: Option<String>,
}

/// A time line of the series.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct TimeLineRow {
    pub(crate) path: String,
    pub(crate) stamp: FileStamp,
    pub(crate) hash: Option<String>,
    pub(crate) visits: Vec<NamedVisit>,
    /// Why it could not be read, where it could not.
    pub(crate) problem: Option<String>,
}

/// What is written at once.
#[derive(Debug, Default)]
pub(crate) struct Batch {
    /// When their files were read, in nanoseconds since 1970.
    pub(crate) read_at: i64,
    pub(crate) studies: Vec<StudyRow>,
    pub(crate) time_lines: Vec<TimeLineRow>,
    /// Files whose content is what it was, by table and path, with their new stamps.
    pub(crate) touched: Vec<(Table, String, FileStamp)>,
}

impl Batch {
    pub(crate) fn is_empty(&self) -> bool {
        self.studies.is_empty() && self.time_lines.is_empty() && self.touched.is_empty()
    }
}

/// A row with the visit under which a time line names it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct IndexedRow {
    pub(crate) row: StudyRow,
    /// The time line and what it says of the visit.
    pub(crate) visit: Option<(String, NamedVisit)>,
}

/// What the columns of a study row in either store say.
pub(crate) struct Columns {
    pub(crate) path: String,
    pub(crate) size: i64,
    pub(crate) modified: i64,
    pub(crate) hash: Option<String>,
    pub(crate) facts: Option<String>,
    pub(crate) problem: Option<String>,
    pub(crate) time_line: Option<String>,
    pub(crate) occasion: Option<String>,
    pub(crate) name: Option<String>,
}

impl Columns {
    /// The row, or what is wrong with it.
    fn into_row(self) -> Result<IndexedRow, String> {
        let content = match (self.facts, self.problem) {
            (Some(facts), None) => {
                let facts: StudyFacts =
                    serde_json::from_str(&facts).map_err(|error| error.to_string())?;
                Content::Read(Box::new(facts))
            }
            (None, Some(problem)) => Content::Unreadable(problem),
            _ => return Err("a row is neither read nor unreadable".to_owned()),
        };
        let visit = self.time_line.map(|time_line| {
            let visit = NamedVisit {
                study: self.path.clone(),
                occasion: self.occasion.as_deref().and_then(occasion_of),
                name: self.name,
            };
            (time_line, visit)
        });
        Ok(IndexedRow {
            row: StudyRow {
                path: self.path,
                stamp: FileStamp {
                    size_bytes: u64::try_from(self.size).map_err(|error| error.to_string())?,
                    modified_nanoseconds: self.modified,
                },
                hash: self.hash,
                content,
            },
            visit,
        })
    }
}

pub(crate) const fn occasion_word(occasion: Occasion) -> &'static str {
    match occasion {
        Occasion::Before => "before",
        Occasion::InTheatre => "in_theatre",
        Occasion::After => "after",
    }
}

fn occasion_of(word: &str) -> Option<Occasion> {
    Occasion::ALL
        .into_iter()
        .find(|occasion| occasion_word(*occasion) == word)
}

/// A row's facts and problem as the stores keep them.
pub(crate) fn content_columns(
    content: &Content,
) -> Result<(Option<String>, Option<&str>), IndexError> {
    match content {
        Content::Read(facts) => Ok((
            Some(
                serde_json::to_string(facts).map_err(|error| IndexError::NotStorable {
                    what: error.to_string(),
                })?,
            ),
            None,
        )),
        Content::Unreadable(problem) => Ok((None, Some(problem))),
    }
}

/// The index of one series.
#[derive(Debug)]
pub struct Index {
    store: Store,
}

#[derive(Debug)]
enum Store {
    Sqlite(SqliteStore),
    Postgres(Box<PostgresStore>),
}

/// Does the same with whichever store it is.
macro_rules! with_store {
    ($index:expr, $store:ident => $does:expr) => {
        match &mut $index.store {
            Store::Sqlite($store) => $does,
            Store::Postgres($store) => $does,
        }
    };
}

impl Index {
    /// Opens the index of a series, and makes it where there is none. An SQLite index that is damaged, of another
    /// version or of another series is made anew; files that are no index of Plumbray are left alone.
    ///
    /// `series` is the name under which many workstations share rows in PostgreSQL; an SQLite index belongs to one.
    ///
    /// # Errors
    /// When it cannot be opened or made; the message says what to do.
    pub fn open(place: &IndexPlace, series: &str) -> Result<Self, IndexError> {
        let store = match place {
            IndexPlace::CacheFolder(folder) => {
                Store::Sqlite(SqliteStore::in_cache(folder, series)?)
            }
            IndexPlace::File(file) => Store::Sqlite(SqliteStore::in_file(file, series)?),
            IndexPlace::Postgres(url) => {
                Store::Postgres(Box::new(PostgresStore::connect(url, series)?))
            }
        };
        Ok(Self { store })
    }

    /// Where it lies, as a person may read it: never with a password.
    #[must_use]
    pub fn place(&self) -> String {
        match &self.store {
            Store::Sqlite(store) => store.file().display().to_string(),
            Store::Postgres(store) => store.place().to_owned(),
        }
    }

    /// The same index, empty: an SQLite file is made again, from a series in PostgreSQL every row is taken.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn made_anew(self, place: &IndexPlace, series: &str) -> Result<Self, IndexError> {
        match self.store {
            Store::Sqlite(store) => {
                store.take_away()?;
                Self::open(place, series)
            }
            Store::Postgres(_) => {
                let mut index = self;
                index.clear()?;
                Ok(index)
            }
        }
    }

    /// Forgets every row of the series.
    ///
    /// # Errors
    /// When the store refuses.
    pub fn clear(&mut self) -> Result<(), IndexError> {
        with_store!(self, store => store.clear())
    }

    /// What is known of these files.
    pub(crate) fn known(
        &mut self,
        table: Table,
        paths: &[&str],
    ) -> Result<BTreeMap<String, Known>, IndexError> {
        with_store!(self, store => store.known(table, paths))
    }

    /// Writes all of a batch or nothing of it.
    pub(crate) fn write(&mut self, batch: &Batch) -> Result<(), IndexError> {
        with_store!(self, store => store.write(batch))
    }

    /// The next paths of a table, at most so many, after this one in the order of bytes; all of them come after
    /// nothing.
    pub(crate) fn paths_after(
        &mut self,
        table: Table,
        after: Option<&str>,
        most: u32,
    ) -> Result<Vec<String>, IndexError> {
        with_store!(self, store => store.paths_after(table, after, most))
    }

    /// Forgets these files.
    pub(crate) fn remove(&mut self, table: Table, paths: &[String]) -> Result<(), IndexError> {
        with_store!(self, store => store.remove(table, paths))
    }

    /// The time lines that could not be read, at most so many: why, with the path.
    pub(crate) fn time_line_problems(&mut self, most: u32) -> Result<Vec<String>, IndexError> {
        with_store!(self, store => store.time_line_problems(most))
    }

    /// Hands over every row, those of one foot's visits together: by time line or else folder, then by side. Stops
    /// where it is told to.
    pub(crate) fn each_row(
        &mut self,
        each: &mut dyn FnMut(IndexedRow) -> ControlFlow<()>,
    ) -> Result<(), IndexError> {
        with_store!(self, store => store.each_row(each))
    }
}
