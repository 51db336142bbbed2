//! What can be wrong with a practice set, and what to do then.

use std::{io, path::PathBuf};

use plumbray_film::FilmError;

/// Why a practice set, a film of it or a reference could not be opened. Nothing on disk was changed.
#[derive(Debug, thiserror::Error)]
pub enum SetError {
    /// The file is not there.
    #[error("this is missing from the practice set; copy the whole folder again: {}", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// The file system refused to read the file.
    #[error("the practice set cannot be read ({cause}); check the folder's permissions: {}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the file system said.
        #[source]
        cause: io::Error,
    },
    /// The file's content is not what it should be.
    #[error("{damage}: {}", path.display())]
    Content {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        #[source]
        damage: Damage,
    },
    /// The film could not be opened.
    #[error(transparent)]
    Film(Box<FilmError>),
    /// The film is not the one that the reference was traced on.
    #[error(
        "this film was exchanged or changed since the practice set was made, so its reference does not fit; copy \
         the whole folder again: {}",
        path.display()
    )]
    FilmExchanged {
        /// The film.
        path: PathBuf,
    },
}

/// What is wrong with the content of a file of a practice set.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Damage {
    /// The file is larger than any such file.
    #[error(
        "this file is too large to belong to a practice set (more than {most} bytes); check that it is the right one"
    )]
    TooLarge {
        /// The most bytes that are read.
        most: u64,
    },
    /// The file is something else altogether.
    #[error("this is not {expected}; check that it is the right file")]
    Foreign {
        /// What it should be.
        expected: &'static str,
    },
    /// A newer program wrote it.
    #[error(
        "a newer Plumbray wrote this (format {found}, this program knows up to {known}); update Plumbray to open it"
    )]
    Newer {
        /// The format that the file names.
        found: u32,
        /// The newest that this program reads.
        known: u32,
    },
    /// The compressed part is cut off or altered.
    #[error("this reference is cut off or damaged; copy the whole folder again")]
    Unsealable,
    /// The text is malformed or says something impossible.
    #[error(
        "this file is damaged at line {line}, column {column}: {what}; copy the whole folder again"
    )]
    Malformed {
        /// The line, counted from 1.
        line: usize,
        /// The character in that line, counted from 1.
        column: usize,
        /// What is wrong.
        what: String,
    },
    /// The parts do not fit together.
    #[error("this file contradicts itself: {what}; copy the whole folder again")]
    Contradiction {
        /// What does not fit.
        what: String,
    },
    /// The reference belongs to another foot.
    #[error("this is the reference of “{found}”, not of “{expected}”; copy the whole folder again")]
    OfAnotherFoot {
        /// The foot that it names.
        found: String,
        /// The foot that was asked for.
        expected: String,
    },
}
