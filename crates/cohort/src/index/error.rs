//! What can go wrong with an index, and what to do then.

use std::{io, path::PathBuf};

/// Why an index could not be used. Studies and time lines are never touched.
#[derive(Debug, thiserror::Error)]
pub enum IndexError {
    /// The file system refused.
    #[error("the index cannot be kept there ({cause}); choose another place with --index: {}", path.display())]
    FileSystem {
        /// The index's file or folder.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file is something else, and is left alone.
    #[error("this file is no index of Plumbray, and was left as it is; choose another name: {}", path.display())]
    NotAnIndex {
        /// The file.
        path: PathBuf,
    },
    /// The index is damaged; it is only a cache.
    #[error(
        "the index is damaged ({what}); run again with --rebuild. No study is touched: {place}"
    )]
    Damaged {
        /// The index.
        place: String,
        /// What is wrong.
        what: String,
    },
    /// SQLite refused.
    #[error("the index cannot be used ({cause}); close other programs that use it, or run again with --rebuild: {}", path.display())]
    Sqlite {
        /// The index's file.
        path: PathBuf,
        /// What SQLite said.
        #[source]
        cause: rusqlite::Error,
    },
    /// The address of a PostgreSQL index is none.
    #[error("this is no address of a PostgreSQL database; write postgresql://user@host/database")]
    NotAnAddress,
    /// The server cannot be reached or refuses.
    #[error("the index in PostgreSQL cannot be used ({what}); {advice}: {place}")]
    Postgres {
        /// The index, without a password.
        place: String,
        /// What the server or the connection said.
        what: String,
        /// What to do.
        advice: &'static str,
    },
    /// A newer program made the tables of a shared index.
    #[error(
        "a newer Plumbray made this index (version {found}, this program knows {known}); update Plumbray, or use another database: {place}"
    )]
    Newer {
        /// The index, without a password.
        place: String,
        /// Its version.
        found: i32,
        /// The version that this program knows.
        known: u32,
    },
    /// A row cannot be written down.
    #[error("a row cannot be written into the index ({what}); please report this")]
    NotStorable {
        /// Why.
        what: String,
    },
}
