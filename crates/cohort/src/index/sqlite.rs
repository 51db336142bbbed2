//! The index of one workstation, in an SQLite file.

mod index_file;

use std::{
    collections::BTreeMap,
    fs::File,
    ops::ControlFlow,
    path::{Path, PathBuf},
    time::Duration,
};

use rusqlite::{Connection, ErrorCode, OptionalExtension as _, TransactionBehavior, params};

use self::index_file::{Found, beside, found, make, make_private, take_away};
use super::{
    Batch, Columns, IndexError, IndexedRow, Known, PROGRAM, SCHEMA_VERSION, Table, content_columns,
    occasion_word,
};
use crate::row::{FileStamp, folder_of};

/// How long another process that is writing is waited for.
const PATIENCE: Duration = Duration::from_secs(30);

/// Rows with the first time line, by its path, that names each. Those of one foot follow each other.
const ROWS: &str = "
SELECT study.path, study.size, study.modified, study.hash, study.facts, study.problem,
       visit.time_line, visit.occasion, visit.name, study.seal
FROM study
LEFT JOIN visit ON visit.study = study.path
    AND visit.time_line = (SELECT MIN(other.time_line) FROM visit AS other WHERE other.study = study.path)
ORDER BY COALESCE(visit.time_line, study.folder),
    CASE WHEN visit.time_line IS NULL THEN study.side ELSE '' END,
    COALESCE(visit.place, 0), study.path
";

/// An open SQLite index.
#[derive(Debug)]
pub(super) struct SqliteStore {
    connection: Connection,
    file: PathBuf,
}

impl SqliteStore {
    /// The index of a series among those of a cache folder, which is made if there is none. Whatever else lies under
    /// its name is replaced.
    pub(super) fn in_cache(folder: &Path, series: &str) -> Result<Self, IndexError> {
        make_private(folder).map_err(|cause| IndexError::FileSystem {
            path: folder.to_owned(),
            cause,
        })?;
        let name = blake3::hash(series.as_bytes()).to_hex();
        let file = folder.join(format!("{}-{SCHEMA_VERSION}.sqlite", &name[..32]));
        Self::open(&file, series, true)
    }

    /// The index in a file that the user named. A file that is no index is left alone.
    pub(super) fn in_file(file: &Path, series: &str) -> Result<Self, IndexError> {
        Self::open(file, series, false)
    }

    fn open(file: &Path, series: &str, is_ours: bool) -> Result<Self, IndexError> {
        let refused = |cause| IndexError::FileSystem {
            path: file.to_owned(),
            cause,
        };
        // Two programs that both find a damaged index must not throw away each other's new one.
        let lock = File::create(beside(file, ".lock")).map_err(refused)?;
        // Where the file system knows no locks, one program at a time is the user's care.
        let _unsupported = lock.lock();
        match found(file).map_err(refused)? {
            Found::Nothing => {}
            Found::Index => {
                if let Some(store) = Self::existing(file, series)? {
                    return Ok(store);
                }
            }
            Found::SomethingElse if is_ours => {}
            Found::SomethingElse => {
                return Err(IndexError::NotAnIndex {
                    path: file.to_owned(),
                });
            }
        }
        make(file, series)?;
        Self::existing(file, series)?.ok_or_else(|| IndexError::Damaged {
            place: file.display().to_string(),
            what: "just made, and cannot be read".to_owned(),
        })
    }

    /// The index that is there; nothing where it is damaged, of another version or of another series.
    fn existing(file: &Path, series: &str) -> Result<Option<Self>, IndexError> {
        let opened = || -> rusqlite::Result<Option<Connection>> {
            let connection = Connection::open(file)?;
            connection.busy_timeout(PATIENCE)?;
            let version: u32 =
                connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
            if version != SCHEMA_VERSION {
                return Ok(None);
            }
            let found: Option<String> = connection
                .query_row("SELECT series FROM about", [], |row| row.get(0))
                .optional()?;
            if found.as_deref() != Some(series) {
                return Ok(None);
            }
            let whole: String =
                connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
            if whole != "ok" || !has_whole_rows(&connection)? {
                return Ok(None);
            }
            connection.pragma_update(None, "journal_mode", "WAL")?;
            // A plugged-out machine may lose the last batches, which are then read again; never the whole.
            connection.pragma_update(None, "synchronous", "NORMAL")?;
            Ok(Some(connection))
        };
        match opened() {
            Ok(connection) => Ok(connection.map(|connection| Self {
                connection,
                file: file.to_owned(),
            })),
            Err(cause) if is_damage(&cause) => Ok(None),
            Err(cause) => Err(IndexError::Sqlite {
                path: file.to_owned(),
                cause,
            }),
        }
    }

    pub(super) fn file(&self) -> &Path {
        &self.file
    }

    /// Closes the index and takes its file away.
    pub(super) fn take_away(self) -> Result<(), IndexError> {
        let Self { connection, file } = self;
        // What a damaged file makes of closing does not matter any more.
        drop(connection);
        take_away(&file).map_err(|cause| IndexError::FileSystem { path: file, cause })
    }

    fn told(&self, cause: rusqlite::Error) -> IndexError {
        told(&self.file, cause)
    }

    pub(super) fn clear(&mut self) -> Result<(), IndexError> {
        self.connection
            .execute_batch("BEGIN IMMEDIATE; DELETE FROM visit; DELETE FROM time_line; DELETE FROM study; COMMIT;")
            .map_err(|cause| told(&self.file, cause))
    }

    pub(super) fn known(
        &mut self,
        table: Table,
        paths: &[&str],
    ) -> Result<BTreeMap<String, Known>, IndexError> {
        let find = || -> rusqlite::Result<BTreeMap<String, Known>> {
            let mut statement = self.connection.prepare(&format!(
                "SELECT size, modified, read_at, hash, program FROM {} WHERE path = ?1",
                table.name()
            ))?;
            let mut known = BTreeMap::new();
            for path in paths {
                let found = statement
                    .query_row([path], |row| {
                        let size: i64 = row.get(0)?;
                        Ok(Known {
                            stamp: FileStamp {
                                size_bytes: size.unsigned_abs(),
                                modified_nanoseconds: row.get(1)?,
                            },
                            read_at: row.get(2)?,
                            hash: row.get(3)?,
                            program: row.get(4)?,
                        })
                    })
                    .optional()?;
                if let Some(found) = found {
                    known.insert((*path).to_owned(), found);
                }
            }
            Ok(known)
        };
        find().map_err(|cause| self.told(cause))
    }

    pub(super) fn write(&mut self, batch: &Batch) -> Result<(), IndexError> {
        let facts: Vec<(Option<String>, Option<&str>)> = batch
            .studies
            .iter()
            .map(|row| content_columns(&row.content))
            .collect::<Result<_, _>>()?;
        write(&mut self.connection, batch, &facts).map_err(|cause| told(&self.file, cause))
    }

    pub(super) fn paths_after(
        &mut self,
        table: Table,
        after: Option<&str>,
        most: u32,
    ) -> Result<Vec<String>, IndexError> {
        let name = table.name();
        let find = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(&format!(
                "SELECT path FROM {name} WHERE ?1 IS NULL OR path > ?1 ORDER BY path LIMIT ?2"
            ))?;
            statement
                .query_map(params![after, most], |row| row.get(0))?
                .collect()
        };
        find().map_err(|cause| self.told(cause))
    }

    pub(super) fn remove(&mut self, table: Table, paths: &[String]) -> Result<(), IndexError> {
        let mut remove = || -> rusqlite::Result<()> {
            let transaction = self
                .connection
                .transaction_with_behavior(TransactionBehavior::Immediate)?;
            for path in paths {
                let name = table.name();
                transaction.execute(&format!("DELETE FROM {name} WHERE path = ?1"), [path])?;
                if table == Table::TimeLine {
                    transaction.execute("DELETE FROM visit WHERE time_line = ?1", [path])?;
                }
            }
            transaction.commit()
        };
        remove().map_err(|cause| told(&self.file, cause))
    }

    pub(super) fn time_line_problems(&mut self, most: u32) -> Result<Vec<String>, IndexError> {
        let find = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(
                "SELECT problem FROM time_line WHERE problem IS NOT NULL ORDER BY path LIMIT ?1",
            )?;
            statement.query_map([most], |row| row.get(0))?.collect()
        };
        find().map_err(|cause| self.told(cause))
    }

    pub(super) fn each_row(
        &mut self,
        each: &mut dyn FnMut(IndexedRow) -> ControlFlow<()>,
    ) -> Result<(), IndexError> {
        let sqlite = |cause| told(&self.file, cause);
        let mut statement = self.connection.prepare(ROWS).map_err(sqlite)?;
        let mut rows = statement.query([]).map_err(sqlite)?;
        while let Some(row) = rows.next().map_err(sqlite)? {
            let columns = columns_of(row).map_err(sqlite)?;
            let sealed: String = row.get(9).map_err(sqlite)?;
            let row = if sealed == seal_of(sealed_texts(&columns)) {
                columns.into_row()
            } else {
                Err("a row is not what was written".to_owned())
            };
            let row = row.map_err(|what| IndexError::Damaged {
                place: self.file.display().to_string(),
                what,
            })?;
            if each(row).is_break() {
                break;
            }
        }
        Ok(())
    }
}

/// Whether every row of a study is what was written. SQLite looks at how its pages hang together, not at what stands
/// in them.
fn has_whole_rows(connection: &Connection) -> rusqlite::Result<bool> {
    let mut statement = connection.prepare(
        "SELECT path, size, modified, hash, facts, problem, NULL, NULL, NULL, seal FROM study",
    )?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let sealed: String = row.get(9)?;
        if sealed != seal_of(sealed_texts(&columns_of(row)?)) {
            return Ok(false);
        }
    }
    Ok(true)
}

fn sealed_texts(columns: &Columns) -> [Option<&str>; 4] {
    [
        Some(&columns.path),
        columns.hash.as_deref(),
        columns.facts.as_deref(),
        columns.problem.as_deref(),
    ]
}

/// A fingerprint of what a row says of its study: its path, its hash, its facts and its problem.
fn seal_of(texts: [Option<&str>; 4]) -> String {
    let mut hasher = blake3::Hasher::new();
    for text in texts {
        let length = text.map_or(u64::MAX, |text| text.len() as u64);
        hasher.update(&length.to_le_bytes());
        hasher.update(text.unwrap_or_default().as_bytes());
    }
    hasher.finalize().to_hex()[..32].to_owned()
}

fn columns_of(row: &rusqlite::Row<'_>) -> rusqlite::Result<Columns> {
    Ok(Columns {
        path: row.get(0)?,
        size: row.get(1)?,
        modified: row.get(2)?,
        hash: row.get(3)?,
        facts: row.get(4)?,
        problem: row.get(5)?,
        time_line: row.get(6)?,
        occasion: row.get(7)?,
        name: row.get(8)?,
    })
}

fn write(
    connection: &mut Connection,
    batch: &Batch,
    facts: &[(Option<String>, Option<&str>)],
) -> rusqlite::Result<()> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    {
        let mut put = transaction.prepare(
            "INSERT OR REPLACE INTO study
                 (path, folder, side, size, modified, read_at, hash, program, facts, problem, seal)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
        )?;
        for (row, (facts, problem)) in batch.studies.iter().zip(facts) {
            let seal = seal_of([
                Some(&row.path),
                row.hash.as_deref(),
                facts.as_deref(),
                *problem,
            ]);
            put.execute(params![
                row.path,
                folder_of(&row.path),
                row.facts()
                    .and_then(|facts| facts.side)
                    .map_or("", |side| side.identifier()),
                size(row.stamp),
                row.stamp.modified_nanoseconds,
                batch.read_at,
                row.hash,
                PROGRAM,
                facts,
                problem,
                seal,
            ])?;
        }
        let mut put = transaction.prepare(
            "INSERT OR REPLACE INTO time_line (path, size, modified, read_at, hash, program, problem)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?;
        let mut forget = transaction.prepare("DELETE FROM visit WHERE time_line = ?1")?;
        let mut name = transaction.prepare(
            "INSERT INTO visit (time_line, place, study, occasion, name) VALUES (?1, ?2, ?3, ?4, ?5)",
        )?;
        for line in &batch.time_lines {
            put.execute(params![
                line.path,
                size(line.stamp),
                line.stamp.modified_nanoseconds,
                batch.read_at,
                line.hash,
                PROGRAM,
                line.problem,
            ])?;
            forget.execute([&line.path])?;
            for (place, visit) in (0_i64..).zip(&line.visits) {
                let occasion = visit.occasion.map(occasion_word);
                name.execute(params![line.path, place, visit.study, occasion, visit.name])?;
            }
        }
        for (table, path, stamp) in &batch.touched {
            transaction.execute(
                &format!(
                    "UPDATE {} SET size = ?2, modified = ?3, read_at = ?4 WHERE path = ?1",
                    table.name()
                ),
                params![
                    path,
                    size(*stamp),
                    stamp.modified_nanoseconds,
                    batch.read_at
                ],
            )?;
        }
    }
    transaction.commit()
}

/// A size as the store has it, which no file exceeds.
pub(super) fn size(stamp: FileStamp) -> i64 {
    i64::try_from(stamp.size_bytes).unwrap_or(i64::MAX)
}

fn told(file: &Path, cause: rusqlite::Error) -> IndexError {
    if is_damage(&cause) {
        IndexError::Damaged {
            place: file.display().to_string(),
            what: cause.to_string(),
        }
    } else {
        IndexError::Sqlite {
            path: file.to_owned(),
            cause,
        }
    }
}

/// Whether an error means that the file does not hold what it should, rather than that it cannot be reached.
fn is_damage(cause: &rusqlite::Error) -> bool {
    match cause {
        rusqlite::Error::SqliteFailure(failure, said) => match failure.code {
            ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt => true,
            // A table that should be there is not.
            ErrorCode::Unknown => said.as_deref().is_some_and(|said| said.contains("no such")),
            _ => false,
        },
        rusqlite::Error::SqlInputError { .. }
        | rusqlite::Error::InvalidColumnType(..)
        | rusqlite::Error::FromSqlConversionFailure(..)
        | rusqlite::Error::IntegralValueOutOfRange(..)
        | rusqlite::Error::QueryReturnedNoRows
        | rusqlite::Error::Utf8Error(..) => true,
        _ => false,
    }
}
