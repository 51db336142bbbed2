//! What can go wrong with a study on disk, and what to do then.

use std::{
    io,
    path::{Path, PathBuf},
};

use crate::format::FormatError;

/// Why a study could not be opened. Nothing on disk was changed.
#[derive(Debug, thiserror::Error)]
pub enum StudyError {
    /// There is no file at the path.
    #[error("there is no study here; open the film to start one: {}", path.display())]
    Missing {
        /// Where the study was looked for.
        path: PathBuf,
    },
    /// The file system refused to read the file.
    #[error("the study cannot be read ({cause}); {}: {}", advice_on_reading(cause), path.display())]
    Unreadable {
        /// The study's file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file's content is no study that this program can read.
    #[error("{problem}. The file was left as it is: {}", path.display())]
    Content {
        /// The study's file.
        path: PathBuf,
        /// What is wrong with it, and where.
        #[source]
        problem: FormatError,
    },
    /// Another window of this user has the study open for writing.
    #[error(
        "the study is already open in another window ({}). Continue there, or close that window and \
         open the study again; until then it can be looked at with `load`: {}",
        holder.as_deref().unwrap_or("process unknown"),
        path.display()
    )]
    OpenElsewhere {
        /// The study's file.
        path: PathBuf,
        /// Which process has it, where that is known: "process 1234".
        holder: Option<String>,
    },
}

/// Why a study was not written beside its film. The file beside the film was left as it was.
#[derive(Debug, thiserror::Error)]
pub enum SaveProblem {
    /// The file on disk is not the one that this window read or wrote last.
    #[error(
        "the study on disk was changed by another program or window, and was left as it is. Your \
         version is kept in {}; open the study again to see the other one: {}",
        copy.display(), path.display()
    )]
    ChangedElsewhere {
        /// The study's file.
        path: PathBuf,
        /// Where this window's version was put.
        copy: PathBuf,
    },
    /// The file system refused, and the work was put elsewhere.
    #[error(
        "the study cannot be written beside its film ({cause}); {}. Your work is kept in {} until \
         then. The study's place: {}",
        advice_on_writing(cause), copy.display(), path.display()
    )]
    KeptElsewhere {
        /// The study's file.
        path: PathBuf,
        /// Where the work was put.
        copy: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// Neither the study nor a recovery copy could be written: the work exists only in the window.
    #[error(
        "your work is NOT on disk: the study cannot be written ({cause}), nor can a recovery copy \
         ({copy_cause}). Do not close the window; {}, then change something to save again: {}",
        advice_on_writing(cause), path.display()
    )]
    NotKept {
        /// The study's file.
        path: PathBuf,
        /// What the file system said about it.
        #[source]
        cause: io::Error,
        /// What the file system said about the recovery copy.
        copy_cause: io::Error,
    },
    /// The study holds something that could not be read back, such as a coordinate that is not a
    /// number.
    #[error(
        "the study holds something that could not be read again, so it was not written: {problem}. \
         Undo the last change: {}",
        path.display()
    )]
    NotStorable {
        /// The study's file.
        path: PathBuf,
        /// What it is.
        #[source]
        problem: FormatError,
    },
    /// The study should take another name, and the file system refused.
    #[error(
        "the study keeps its name, since it cannot be renamed ({cause}); {}: {} to {}",
        advice_on_writing(cause), from.display(), to.display()
    )]
    NotRenamed {
        /// The name that it has and keeps.
        from: PathBuf,
        /// The name that it should have.
        to: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The study should move to a name that is taken.
    #[error(
        "the study cannot take the name of its AP film, since another study has it; open that one \
         instead: {}",
        path.display()
    )]
    NameTaken {
        /// The name that is taken.
        path: PathBuf,
    },
}

/// Why the work of a recovery copy was not put back. The copy stays where it is.
#[derive(Debug, thiserror::Error)]
pub enum PutBackProblem {
    /// The copy, or the study in its place, could not be opened.
    #[error(transparent)]
    Opening(#[from] StudyError),
    /// The study could not be written.
    #[error(transparent)]
    Saving(#[from] SaveProblem),
    /// In the folder that was chosen lies a study of that name.
    #[error("a study of this name lies in that folder, and nothing is written over; choose another folder: {}", path.display())]
    StudyThere {
        /// The study that is there.
        path: PathBuf,
    },
    /// A film of the work could not be copied.
    #[error(
        "a film of the kept work cannot be copied ({cause}); put in the disc on which it lies, or choose another folder: {}",
        film.display()
    )]
    FilmNotCopied {
        /// The film.
        film: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
}

impl SaveProblem {
    /// Where the work was put instead, if it was.
    #[must_use]
    pub fn copy(&self) -> Option<&Path> {
        match self {
            Self::ChangedElsewhere { copy, .. } | Self::KeptElsewhere { copy, .. } => Some(copy),
            Self::NotKept { .. }
            | Self::NotStorable { .. }
            | Self::NotRenamed { .. }
            | Self::NameTaken { .. } => None,
        }
    }
}

/// Why a film could not be taken into a study.
#[derive(Debug, thiserror::Error)]
pub enum FilmError {
    /// The film's file, or the study's folder, cannot be read.
    #[error("the film cannot be read ({cause}); {}: {}", advice_on_reading(cause), path.display())]
    Unreadable {
        /// The film's file, or the folder.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The film's name is not text.
    #[error(
        "the film's name has characters that cannot be written into a study; rename the film: {}",
        path.display()
    )]
    NameNotText {
        /// The film's file.
        path: PathBuf,
    },
}

fn advice_on_reading(cause: &io::Error) -> &'static str {
    match cause.kind() {
        io::ErrorKind::NotFound => "check that it was not moved or renamed",
        io::ErrorKind::PermissionDenied => "ask its owner for the right to read it",
        io::ErrorKind::InvalidInput | io::ErrorKind::IsADirectory => "choose an ordinary file",
        _ => "check the disk or the network, then try again",
    }
}

fn advice_on_writing(cause: &io::Error) -> &'static str {
    match cause.kind() {
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            "copy the films to a folder that you may write to, or ask for the right to write here"
        }
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::FileTooLarge => {
            "make room on the disk"
        }
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            "put the folder back that was moved, renamed or unplugged"
        }
        io::ErrorKind::InvalidFilename => "give the film a shorter name",
        _ => "check the disk or the network",
    }
}
