//! What can go wrong with a series as a whole, and what to do then.

use std::{io, path::PathBuf};

use crate::{filter::FilterError, index::IndexError, parts::PartsError, table::TableError};

/// Why a series could not be read. A study that cannot be read is no such reason: it is a row that says why.
#[derive(Debug, thiserror::Error)]
pub enum CohortError {
    /// The folder cannot be read.
    #[error("the folder of the series cannot be read ({cause}); check its name and the right to read it: {}", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The index cannot be used.
    #[error(transparent)]
    Index(#[from] IndexError),
    /// A condition is none.
    #[error(transparent)]
    Filter(#[from] FilterError),
    /// A table cannot be written.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The parts of a table cannot be written.
    #[error(transparent)]
    Parts(#[from] PartsError),
}
