//! The series of a clinic: every study below a folder as one table, kept in an index, summed up and shared out.
//!
//! * [`open_refreshed`] brings the index of a folder up to its files; [`read`] hands the series over foot by foot, as
//!   far as a [`Filter`] lets it, and sums it up.
//! * [`Index`] is a cache in SQLite or PostgreSQL; the files are the truth.
//! * [`columns`] and [`cells`] make rows of the table; [`TableFile`] writes them as CSV or Parquet.
//! * [`Shard`] shares a series out among jobs, and [`PartsFolder`] puts together what they make.
//!
//! No patient's name is read or kept. A study that cannot be read is a row that says why. `docs/cohort.md` explains all
//! of it.
#![deny(missing_docs)]

mod cohort;
mod columns;
mod error;
mod feet;
mod filter;
mod index;
mod parts;
mod reading;
mod readings;
mod refresh;
mod row;
mod shard;
mod statistics;
mod summary;
mod table;
mod walk;
mod words;

pub use cohort::{EachFoot, open_refreshed, read, series_of};
pub use columns::{cells, columns};
pub use error::CohortError;
pub use feet::{
    FootVisit, Grouping, MOST_VISITS_OF_A_FOLDER, SeriesFoot, change_between, changes_between,
};
pub use filter::{Condition, FIELDS, Filter, FilterError, Relation, TextField};
pub use index::{Index, IndexError, IndexPlace, NotAnIndexPlace};
pub use parts::{Ingredient, PartsError, PartsFolder, PartsWritten, RowsOf};
pub use reading::{SHARED_CONVENTION, facts_of};
pub use refresh::{Progress, Refreshed, refresh};
pub use row::{COMPARED, Content, FileStamp, HEADLINES, Number, StudyFacts, StudyRow, Value};
pub use shard::{NotAShard, Shard};
pub use statistics::{Mean, Share};
pub use summary::{
    ChangeSummary, NumberSummary, RecurrenceSummary, SeverityShares, Summary,
    shared_convention_name,
};
pub use table::{Cell, Column, ColumnKind, JsonFile, TableError, TableFile};
pub use walk::{FoundFile, Kind, UnreadableFolder, Walk};
