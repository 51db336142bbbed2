//! The study as text: which versions of the format there are, and reading and writing them.
//!
//! Each version has a module of its own with its own structures, so that the vocabulary can change
//! without changing what lies on disk. Every version ever written stays readable.

mod bounded;
mod version_1;

use std::fmt::Write as _;

use serde::Deserialize;

use crate::{content_hash::ContentHash, study::Study};

/// The version of the format that this program writes, and the newest that it reads.
pub const FORMAT_VERSION: u32 = 1;

/// The largest study that is read, in bytes. A study with every bone traced is below 0.2 MB.
pub const MAX_FILE_BYTES: u64 = 16 << 20;

/// How deep the text is laid out on lines of its own: a traced point still fits on one line.
const LINES_TO_DEPTH: usize = 4;

const HEADING: &str = "\
// A Plumbray study: the films of one foot, what was traced on them, and by whom.
// docs/study-file.md of the program explains every field. Comments are not kept.
";

/// Why a text is no study that this program can read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FormatError {
    /// The file is larger than any study.
    #[error(
        "a file of {bytes} bytes is too large to be a study (at most {MAX_FILE_BYTES}); check that \
         it is the right file"
    )]
    TooLarge {
        /// The file's size.
        bytes: u64,
    },
    /// The file is not UTF-8 text.
    #[error(
        "the study is damaged: from line {line} on it is not text. Take it from a backup, or move \
         it elsewhere to start again"
    )]
    NotText {
        /// The line of the first bad byte, counted from 1.
        line: usize,
    },
    /// A newer program wrote it.
    #[error(
        "a newer Plumbray wrote this study (format version {found}, this program knows up to \
         {FORMAT_VERSION}); update Plumbray to open it"
    )]
    Newer {
        /// The version that the file names.
        found: u32,
    },
    /// The text is cut off, malformed, or says something impossible.
    #[error(
        "the study is damaged at line {line}, column {column}: {what}. Correct it there, take it \
         from a backup, or move it elsewhere to start again"
    )]
    Damaged {
        /// The line, counted from 1.
        line: usize,
        /// The character in that line, counted from 1.
        column: usize,
        /// What is wrong.
        what: String,
    },
    /// The study would come back changed.
    #[error("its {part} would not come back as it is")]
    NotTheSame {
        /// The part of the study that would differ.
        part: &'static str,
    },
}

/// What a study's file holds: the study, and what only its keeping needs.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct Document {
    /// How many times the study was written.
    pub(crate) revision: u64,
    /// Only in a recovery copy.
    pub(crate) recovery: Option<Recovery>,
    /// The study.
    pub(crate) study: Study,
}

/// What a recovery copy remembers of the study's own place.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Recovery {
    /// Where the study belongs.
    pub(crate) original: String,
    /// The hash of the file there that the work goes on from; nothing when there was none.
    pub(crate) based_on: Option<ContentHash>,
}

/// A study from the text of its file, of any version up to [`FORMAT_VERSION`].
///
/// # Errors
/// When the text is no study, is of a newer version, or says something impossible, with the line.
pub fn study_from_text(text: &str) -> Result<Study, FormatError> {
    read(text).map(|document| document.study)
}

/// The text of a study's file, in the current version.
///
/// # Errors
/// When the study holds something that could not be read back, such as a coordinate that is not a
/// number.
pub fn study_to_text(study: &Study) -> Result<String, FormatError> {
    write(&Document {
        study: study.clone(),
        ..Document::default()
    })
}

pub(crate) fn read_bytes(bytes: &[u8]) -> Result<Document, FormatError> {
    let size = bytes.len() as u64;
    if size > MAX_FILE_BYTES {
        return Err(FormatError::TooLarge { bytes: size });
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => read(text),
        Err(error) => {
            let good = &bytes[..error.valid_up_to()];
            Err(FormatError::NotText {
                line: 1 + good.iter().filter(|byte| **byte == b'\n').count(),
            })
        }
    }
}

fn read(text: &str) -> Result<Document, FormatError> {
    let bytes = text.len() as u64;
    if bytes > MAX_FILE_BYTES {
        return Err(FormatError::TooLarge { bytes });
    }
    match version(text)? {
        1 => parse::<version_1::Document>(text).map(Document::from),
        found if found > FORMAT_VERSION => Err(FormatError::Newer { found }),
        never_written => Err(FormatError::Damaged {
            line: 1,
            column: 1,
            what: format!("there is no format version {never_written}"),
        }),
    }
}

/// The version that a study names, whatever else stands in it.
fn version(text: &str) -> Result<u32, FormatError> {
    #[derive(Deserialize)]
    struct OnlyVersion {
        format_version: u32,
    }
    parse::<OnlyVersion>(text).map(|only| only.format_version)
}

fn parse<'a, T: Deserialize<'a>>(text: &'a str) -> Result<T, FormatError> {
    ron::from_str(text).map_err(|error| FormatError::Damaged {
        line: error.span.end.line,
        column: error.span.end.col,
        what: error.code.to_string(),
    })
}

/// The document's text, which was read back and found to say the same.
pub(crate) fn write(document: &Document) -> Result<String, FormatError> {
    let layout = ron::ser::PrettyConfig::new()
        .depth_limit(LINES_TO_DEPTH)
        .new_line("\n");
    let mut text = HEADING.to_owned();
    let unwritable = |what: String| FormatError::Damaged {
        line: 1,
        column: 1,
        what,
    };
    let body = ron::ser::to_string_pretty(&version_1::Document::from(document), layout)
        .map_err(|error| unwritable(error.to_string()))?;
    writeln!(text, "{body}").map_err(|error| unwritable(error.to_string()))?;

    let read_back = read(&text)?;
    match difference(&read_back.study, &document.study) {
        Some(part) => Err(FormatError::NotTheSame { part }),
        None => Ok(text),
    }
}

/// The first part in which two studies differ.
fn difference(one: &Study, other: &Study) -> Option<&'static str> {
    [
        ("side", one.side == other.side),
        ("AP film", one.ap == other.ap),
        ("lateral film", one.lateral == other.lateral),
        ("visit", one.visit == other.visit),
        ("tracing", one.tracing == other.tracing),
        ("plans", one.plans == other.plans),
        ("choices", one.choices == other.choices),
        ("reader", one.reader == other.reader),
        ("history", one.history == other.history),
    ]
    .into_iter()
    .find_map(|(part, same)| (!same).then_some(part))
}

#[cfg(test)]
mod tests;
