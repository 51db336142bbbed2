//! A resident's progress on disk: one plain file, theirs to read, copy and delete.

use std::{
    fs::File,
    io::{self, Read as _},
    path::{Path, PathBuf},
};

use plumbray_study::{ContentHash, write_whole};

use super::{
    PastAttempt, Progress,
    text::{PROGRESS_FORMAT_VERSION, from_text, to_text},
};
use crate::set::Damage;

/// The end of the name of every resident's file.
pub const PROGRESS_ENDING: &str = ".progress.ron";

/// The largest file that is read, in bytes: some four thousand attempts of about 8 kB.
const MOST_BYTES: u64 = 32 << 20;

/// The most letters of a resident's name in the name of the file.
const LONGEST_STEM: usize = 40;

/// Why a resident's progress could not be read or kept. The file was left as it is.
#[derive(Debug, thiserror::Error)]
pub enum ProgressError {
    /// The file system refused to read the file.
    #[error("the progress cannot be read ({cause}); check the folder's permissions: {}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file system refused to write the file.
    #[error("the attempt is NOT kept: the progress cannot be written ({cause}); make room or choose another folder: {}", path.display())]
    NotWritten {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file is damaged.
    #[error(
        "the progress is damaged at line {line}, column {column}: {what}. Correct it there, take it from a backup, \
         or move it elsewhere to begin anew: {}",
        path.display()
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// The line, counted from 1.
        line: usize,
        /// The character in that line, counted from 1.
        column: usize,
        /// What is wrong.
        what: String,
    },
    /// The file is something else, or larger than any progress.
    #[error("this is not the progress of a resident; choose another file or move it elsewhere: {}", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
    },
    /// A newer program wrote it.
    #[error(
        "a newer Plumbray wrote this progress (format {found}, this program knows up to {PROGRESS_FORMAT_VERSION}); \
         update Plumbray to go on: {}",
        path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// The format that it names.
        found: u32,
    },
    /// The file is another resident's.
    #[error("this is the progress of “{found}”; choose your own name or another folder: {}", path.display())]
    OtherResident {
        /// The file.
        path: PathBuf,
        /// Whose it is.
        found: String,
    },
    /// The attempt holds something that could not be read back.
    #[error("the attempt is NOT kept, since it could not be read again: {what}")]
    NotStorable {
        /// What it is.
        what: String,
    },
}

/// The file of a resident in a folder: the letters and digits of the name, with a mark that tells apart names which
/// would look alike.
#[must_use]
pub fn progress_path(folder: &Path, resident: &str) -> PathBuf {
    let stem: String = resident
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() {
                letter
            } else {
                '-'
            }
        })
        .take(LONGEST_STEM)
        .collect();
    let mark: String = ContentHash::of_bytes(resident.as_bytes())
        .to_string()
        .chars()
        .take(8)
        .collect();
    folder.join(format!("{stem}-{mark}{PROGRESS_ENDING}"))
}

/// Reads a resident's progress; nothing where there is no file.
///
/// # Errors
/// [`ProgressError`] when the file cannot be read, is damaged, foreign or newer than this program.
pub fn load_progress(path: &Path) -> Result<Option<Progress>, ProgressError> {
    let unreadable = |cause| ProgressError::Unreadable {
        path: path.to_owned(),
        cause,
    };
    let foreign = || ProgressError::Foreign {
        path: path.to_owned(),
    };
    match std::fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(unreadable(error)),
        // A pipe or a device may never end.
        Ok(metadata) if !metadata.is_file() => return Err(foreign()),
        Ok(_) => {}
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes))
        .map_err(unreadable)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(foreign());
    }
    let text = std::str::from_utf8(&bytes).map_err(|_not_text| foreign())?;
    from_text(text)
        .map(Some)
        .map_err(|damage| explained(damage, path))
}

fn explained(damage: Damage, path: &Path) -> ProgressError {
    let path = path.to_owned();
    match damage {
        Damage::Newer { found, .. } => ProgressError::Newer { path, found },
        Damage::Malformed { line, column, what } => ProgressError::Damaged {
            path,
            line,
            column,
            what,
        },
        Damage::Contradiction { what } => ProgressError::Damaged {
            path,
            line: 1,
            column: 1,
            what,
        },
        Damage::Foreign { .. }
        | Damage::TooLarge { .. }
        | Damage::Unsealable
        | Damage::OfAnotherFoot { .. } => ProgressError::Foreign { path },
    }
}

/// Keeps a resident's progress: at every moment either the old or the new content is on the disk, whole.
///
/// # Errors
/// [`ProgressError`] when it could not be read back or the file system refuses; the old content is then still there.
pub fn save_progress(path: &Path, progress: &Progress) -> Result<(), ProgressError> {
    let text = to_text(progress).map_err(|what| ProgressError::NotStorable { what })?;
    if text.len() as u64 > MOST_BYTES {
        return Err(ProgressError::NotStorable {
            what: "the file is full; move it elsewhere to begin anew".to_owned(),
        });
    }
    write_whole(path, text.as_bytes()).map_err(|cause| ProgressError::NotWritten {
        path: path.to_owned(),
        cause,
    })
}

/// Adds an attempt to what is on the disk, and gives the whole. A file that cannot be read is never overwritten.
///
/// # Errors
/// [`ProgressError`] as reading and writing; also where the file is another resident's.
pub fn add_attempt(
    path: &Path,
    resident: &str,
    attempt: PastAttempt,
) -> Result<Progress, ProgressError> {
    let mut progress = load_progress(path)?.unwrap_or_else(|| Progress {
        resident: resident.to_owned(),
        attempts: Vec::new(),
    });
    if progress.resident != resident {
        return Err(ProgressError::OtherResident {
            path: path.to_owned(),
            found: progress.resident,
        });
    }
    progress.attempts.push(attempt);
    save_progress(path, &progress)?;
    Ok(progress)
}
