//! The file of an SQLite index: what lies there, made anew, taken away.

use std::{
    ffi::OsString,
    fs::{self, File},
    io::{self, Read as _},
    path::{Path, PathBuf},
};

use rusqlite::Connection;

use super::super::{IndexError, SCHEMA_VERSION};

/// Marks an SQLite file as an index of Plumbray: "Plmb" in ASCII.
const APPLICATION: u32 = u32::from_be_bytes(*b"Plmb");

const TABLES: &str = "
CREATE TABLE about (series TEXT NOT NULL);
CREATE TABLE study (
    path TEXT NOT NULL PRIMARY KEY,
    folder TEXT NOT NULL,
    side TEXT NOT NULL,
    size INTEGER NOT NULL,
    modified INTEGER NOT NULL,
    read_at INTEGER NOT NULL,
    hash TEXT,
    program TEXT NOT NULL,
    facts TEXT,
    problem TEXT,
    seal TEXT NOT NULL
);
CREATE TABLE time_line (
    path TEXT NOT NULL PRIMARY KEY,
    size INTEGER NOT NULL,
    modified INTEGER NOT NULL,
    read_at INTEGER NOT NULL,
    hash TEXT,
    program TEXT NOT NULL,
    problem TEXT
) WITHOUT ROWID;
CREATE TABLE visit (
    time_line TEXT NOT NULL,
    place INTEGER NOT NULL,
    study TEXT NOT NULL,
    occasion TEXT,
    name TEXT,
    PRIMARY KEY (time_line, place)
) WITHOUT ROWID;
CREATE INDEX visit_by_study ON visit (study, time_line);
";

/// What lies where an index should be.
pub(super) enum Found {
    Nothing,
    Index,
    SomethingElse,
}

/// What a file is by its first bytes.
pub(super) fn found(file: &Path) -> io::Result<Found> {
    const APPLICATION_AT: usize = 68;
    let mut header = Vec::new();
    match File::open(file) {
        Err(problem) if problem.kind() == io::ErrorKind::NotFound => return Ok(Found::Nothing),
        opened => opened?.take(100).read_to_end(&mut header)?,
    };
    if header.is_empty() {
        return Ok(Found::Nothing);
    }
    let is_sqlite = header.starts_with(b"SQLite format 3\0");
    let application = header.get(APPLICATION_AT..APPLICATION_AT + 4);
    Ok(
        if is_sqlite && application == Some(&APPLICATION.to_be_bytes()[..]) {
            Found::Index
        } else {
            Found::SomethingElse
        },
    )
}

/// Makes an empty index under another name and gives it this one, so that a program that is killed leaves a whole
/// index or none.
pub(super) fn make(file: &Path, series: &str) -> Result<(), IndexError> {
    let refused = |cause| IndexError::FileSystem {
        path: file.to_owned(),
        cause,
    };
    let new = beside(file, ".new");
    take_away(&new).map_err(refused)?;
    let fill = || -> rusqlite::Result<()> {
        let connection = Connection::open(&new)?;
        connection.pragma_update(None, "application_id", APPLICATION)?;
        connection.pragma_update(None, "user_version", SCHEMA_VERSION)?;
        connection.execute_batch(TABLES)?;
        connection.execute("INSERT INTO about (series) VALUES (?1)", [series])?;
        connection.close().map_err(|(_, cause)| cause)
    };
    fill().map_err(|cause| IndexError::Sqlite {
        path: new.clone(),
        cause,
    })?;
    // What an old index left behind must not be taken for a part of the new one.
    take_away(file).map_err(refused)?;
    fs::rename(&new, file).map_err(refused)
}

/// Takes an index away with all that SQLite keeps beside it.
pub(super) fn take_away(file: &Path) -> io::Result<()> {
    for part in ["", "-journal", "-wal", "-shm"] {
        match fs::remove_file(beside(file, part)) {
            Err(problem) if problem.kind() != io::ErrorKind::NotFound => return Err(problem),
            _ => {}
        }
    }
    Ok(())
}

pub(super) fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(file);
    name.push(ending);
    PathBuf::from(name)
}

/// Makes a folder that only this user may look into, where there is none.
pub(super) fn make_private(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}
