//! Why a film cannot be opened.

use std::path::{Path, PathBuf};

/// A film that could not be opened: what is wrong, what to do, and which file.
#[derive(Debug, thiserror::Error)]
#[error("{problem}: {}", path.display())]
pub struct FilmError {
    /// What is wrong.
    #[source]
    pub problem: FilmProblem,
    /// The file.
    pub path: PathBuf,
}

impl FilmError {
    pub(crate) fn new(problem: FilmProblem, path: &Path) -> Self {
        Self {
            problem,
            path: path.to_owned(),
        }
    }
}

/// What is wrong with a file that should be a film.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FilmProblem {
    /// The operating system did not let the file be read.
    #[error("the film cannot be read ({0}); check that it exists and that you may read it")]
    Unreadable(#[source] std::io::Error),
    /// A folder, a pipe or a device.
    #[error("this is not a file but a folder or a device; choose the film itself")]
    NotAFile,
    /// A file of no bytes.
    #[error("the file is empty; copy the film again")]
    Empty,
    /// A file beyond the size that is read.
    #[error(
        "the file has {bytes} bytes, more than the {limit} that are read; \
         export one film as a file of its own"
    )]
    FileTooLarge {
        /// The size of the file.
        bytes: u64,
        /// The largest size that is read.
        limit: u64,
    },
    /// The content starts like none of the formats that are read.
    #[error("the content is none of the formats that are read: PNG, TIFF, JPEG, BMP or DICOM")]
    NotAFilm,
    /// A picture without width or without height.
    #[error(
        "the header says {width} by {height} pixels; a film needs at least one pixel each way, \
         so the file is damaged"
    )]
    NoArea {
        /// The number of columns that the header says.
        width: u64,
        /// The number of rows that the header says.
        height: u64,
    },
    /// More pixels than any foot film has.
    #[error(
        "the header says {width} by {height} pixels, more than the {limit_megapixels} million \
         that are read; export a smaller picture"
    )]
    TooManyPixels {
        /// The number of columns that the header says.
        width: u64,
        /// The number of rows that the header says.
        height: u64,
        /// The largest number of pixels that is read, in millions.
        limit_megapixels: u64,
    },
    /// Fewer bytes in the file than its header needs.
    #[error(
        "the header announces {announced} bytes of {what}, but the file has only {present} for \
         them; it is cut short or damaged, so copy it again"
    )]
    CutShort {
        /// What the bytes are: "pixels", "the element (0010,0010)".
        what: String,
        /// How many bytes the header announces.
        announced: u64,
        /// How many the file has.
        present: u64,
    },
    /// The content contradicts its format.
    #[error("the {format} content is damaged ({detail}); copy or export the film again")]
    Damaged {
        /// The format: "PNG", "DICOM", …
        format: &'static str,
        /// What contradicts the format.
        detail: String,
    },
    /// A part of the format that is not read.
    #[error(
        "{what} is not supported; export the film as an uncompressed DICOM file or a 16-bit PNG"
    )]
    Unsupported {
        /// The unsupported thing by its name in its standard.
        what: String,
    },
    /// A DICOM transfer syntax whose pixels cannot be decoded here.
    #[error(
        "the DICOM transfer syntax {name} ({uid}) is not supported; export the film \
         uncompressed, or with JPEG lossless or JPEG 2000"
    )]
    UnsupportedTransferSyntax {
        /// Its name in the standard.
        name: String,
        /// Its unique identifier.
        uid: String,
    },
    /// A picture that the file does not hold.
    #[error("the file holds {frames} pictures, so there is no number {number}; choose another")]
    NoSuchFrame {
        /// The number that was asked for, from 1.
        number: u64,
        /// How many there are.
        frames: u64,
    },
    /// A DICOM object that is not an image.
    #[error("this DICOM object has no pixels ({what}); choose an image")]
    NoPixels {
        /// What kind of object it is.
        what: String,
    },
    /// The machine refused the memory.
    #[error(
        "the film needs {bytes} bytes of memory, which this machine refused; close other programs"
    )]
    OutOfMemory {
        /// How many bytes were asked for at once.
        bytes: usize,
    },
}

impl FilmProblem {
    pub(crate) fn damaged(format: &'static str, detail: impl std::fmt::Display) -> Self {
        Self::Damaged {
            format,
            detail: detail.to_string(),
        }
    }

    pub(crate) fn unsupported(what: impl Into<String>) -> Self {
        Self::Unsupported { what: what.into() }
    }
}
