//! A long table in Parquet parts that a cluster of jobs writes together, and that goes on where it was killed.
//!
//! Each job has a [`Shard`] of the files and cuts it into pieces, in the order of their paths. A piece is one file,
//! `part-0003-of-0016-0007.parquet`, which appears whole or not at all. In its footer stands a fingerprint of what it
//! was made from; a run that starts again passes over pieces whose fingerprint still fits, makes the others anew, and
//! takes away those that no file falls into any more.

use std::{
    fs::{self, File, TryLockError},
    io,
    path::{Path, PathBuf},
};

use crate::{
    shard::Shard,
    table::{Cell, Column, TableError, TableFile, WRITING, note_of},
};

/// Under which name the fingerprint stands in a part's footer.
const FINGERPRINT: &str = "plumbray.made_from";

/// Why parts were not written.
#[derive(Debug, thiserror::Error)]
pub enum PartsError {
    /// The folder refuses.
    #[error("the folder for the parts cannot be used ({cause}); check it, or choose another: {}", folder.display())]
    Folder {
        /// The folder.
        folder: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// Another run shared the series out otherwise.
    #[error("the folder holds parts of a run in another number of shards, which would be counted twice; choose an empty folder: {}", part.display())]
    OtherShards {
        /// One of those parts.
        part: PathBuf,
    },
    /// Another process writes the same shard.
    #[error("another process is writing shard {shard} into this folder; wait for it: {}", folder.display())]
    Busy {
        /// Which shard.
        shard: String,
        /// The folder.
        folder: PathBuf,
    },
    /// A part cannot be written.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// One file of the series as a part is made from it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ingredient {
    /// Its path relative to the folder that was named.
    pub relative: String,
    /// Its size in bytes and the time of its last change: a file that was changed is read again.
    pub stamp: crate::row::FileStamp,
    /// Where it lies.
    pub path: PathBuf,
}

/// The rows of a piece, each a cell for every column.
pub type RowsOf<'a, E> = dyn FnMut(&[Ingredient]) -> Result<Vec<Vec<Cell>>, E> + 'a;

/// The parts of one shard in a folder.
#[derive(Debug)]
pub struct PartsFolder {
    folder: PathBuf,
    shard: Shard,
    /// Held while the shard is written.
    _lock: File,
}

/// What became of the pieces of a shard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct PartsWritten {
    /// Pieces that were there already.
    pub kept: usize,
    /// Pieces that were made.
    pub made: usize,
}

impl PartsFolder {
    /// Opens a folder for the parts of a shard, and makes it where there is none. What a killed run of this shard left
    /// half written is taken away.
    ///
    /// # Errors
    /// When the folder cannot be used, holds parts of another number of shards, or another process writes this shard.
    pub fn open(folder: &Path, shard: Shard) -> Result<Self, PartsError> {
        let refused = |cause| PartsError::Folder {
            folder: folder.to_owned(),
            cause,
        };
        fs::create_dir_all(folder).map_err(refused)?;
        let lock = File::create(folder.join(format!(".lock-{}", stem(shard)))).map_err(refused)?;
        // Where the file system knows no locks, one process a shard is the caller's care.
        if let Err(TryLockError::WouldBlock) = lock.try_lock() {
            return Err(PartsError::Busy {
                shard: shard.to_string(),
                folder: folder.to_owned(),
            });
        }
        let own = stem(shard);
        let of_all = format!("-of-{:06}-", shard.of());
        for entry in fs::read_dir(folder).map_err(refused)? {
            let entry = entry.map_err(refused)?;
            let name = entry.file_name().to_string_lossy().into_owned();
            if name.starts_with(&format!("{WRITING}{own}")) {
                fs::remove_file(entry.path()).map_err(refused)?;
            }
            if is_part(&name) && !name.contains(&of_all) {
                return Err(PartsError::OtherShards { part: entry.path() });
            }
        }
        Ok(Self {
            folder: folder.to_owned(),
            shard,
            _lock: lock,
        })
    }

    /// Writes the pieces of the shard. `files` are all files of the series: those of other shards are passed over here.
    /// A piece holds at most `in_piece` files, in the order of their paths, and `rows_of` gives its rows. `settings` is
    /// all else that the rows depend on.
    ///
    /// # Errors
    /// When a part cannot be written, or `rows_of` fails; finished pieces stay.
    pub fn write<E: From<PartsError>>(
        &self,
        columns: &[Column],
        settings: &str,
        files: Vec<Ingredient>,
        in_piece: usize,
        rows_of: &mut RowsOf<'_, E>,
    ) -> Result<PartsWritten, E> {
        let mut own: Vec<Ingredient> = files
            .into_iter()
            .filter(|file| self.shard.has(&file.relative))
            .collect();
        own.sort_by(|one, other| (&one.relative, &one.path).cmp(&(&other.relative, &other.path)));
        own.dedup_by(|one, other| one.path == other.path);
        let mut written = PartsWritten::default();
        let mut pieces = 0;
        for piece in own.chunks(in_piece.max(1)) {
            let part = self.part(pieces);
            pieces += 1;
            let made_from = fingerprint(columns, settings, piece);
            if note_of(&part, FINGERPRINT).as_deref() == Some(&made_from) {
                written.kept += 1;
                continue;
            }
            let rows = rows_of(piece)?;
            write_part(&part, columns, &made_from, &rows).map_err(PartsError::Table)?;
            written.made += 1;
        }
        self.take_away_from(pieces)?;
        Ok(written)
    }

    fn part(&self, piece: usize) -> PathBuf {
        let name = format!("{}{piece:06}.parquet", stem(self.shard));
        self.folder.join(name)
    }

    /// Takes away pieces that a longer run left.
    fn take_away_from(&self, first: usize) -> Result<(), PartsError> {
        for piece in first.. {
            match fs::remove_file(self.part(piece)) {
                Ok(()) => {}
                Err(problem) if problem.kind() == io::ErrorKind::NotFound => break,
                Err(cause) => {
                    return Err(PartsError::Folder {
                        folder: self.folder.clone(),
                        cause,
                    });
                }
            }
        }
        Ok(())
    }
}

fn stem(shard: Shard) -> String {
    format!("part-{:06}-of-{:06}-", shard.number(), shard.of())
}

fn is_part(name: &str) -> bool {
    name.starts_with("part-")
        && Path::new(name)
            .extension()
            .is_some_and(|ending| ending == "parquet")
}

fn write_part(
    part: &Path,
    columns: &[Column],
    made_from: &str,
    rows: &[Vec<Cell>],
) -> Result<(), TableError> {
    let mut table = TableFile::parquet(part, columns, Some((FINGERPRINT, made_from)))?;
    for row in rows {
        table.add(row)?;
    }
    table.finish()
}

/// A fingerprint of everything that a piece's rows depend on.
fn fingerprint(columns: &[Column], settings: &str, files: &[Ingredient]) -> String {
    let mut hasher = blake3::Hasher::new();
    // The length before each text keeps two texts from being taken for two others.
    let mut add = |text: &str| {
        hasher.update(&(text.len() as u64).to_le_bytes());
        hasher.update(text.as_bytes());
    };
    add(crate::index::PROGRAM);
    add(settings);
    for column in columns {
        add(&column.name);
    }
    for file in files {
        add(&file.relative);
        add(&file.path.to_string_lossy());
        add(&format!(
            "{} {}",
            file.stamp.size_bytes, file.stamp.modified_nanoseconds
        ));
    }
    hasher.finalize().to_hex().to_string()
}
