//! The study of one foot: films, tracing and history, kept on disk so that no work is lost.
//!
//! * [`Study`] is the document itself, a plain value that can be cloned and compared.
//! * [`StudyFile`] is its place on disk: it guards against a second window, writes atomically,
//!   notices that something else changed the file, and falls back to a recovery copy.
//! * [`load`] reads a study without opening it for writing.
//! * [`study_path`] and [`studies_of`] lead from a film to its studies.
//! * [`landmark_table`] writes and reads the landmarks of one film as CSV.
//!
//! The file itself is described in `docs/study-file.md`, the landmarks in `docs/landmarks.md`.
#![deny(missing_docs)]

#[cfg(test)]
mod arbitrary;
mod content_hash;
mod disk;
mod error;
mod film_record;
mod format;
mod history;
pub mod landmark_table;
mod location;
mod study;

pub use content_hash::{ContentHash, NotAContentHash};
pub use disk::{RecoveredCopy, Saved, StudyFile, UserFolders, load, recovered_copies, write_whole};
pub use error::{FilmError, PutBackProblem, SaveProblem, StudyError};
pub use film_record::{FilmChange, FilmRecord, FilmState, verify_films};
pub use format::{FORMAT_VERSION, FormatError, MAX_FILE_BYTES, study_from_text, study_to_text};
pub use history::{History, HistoryEntry};
pub use location::{STUDY_ENDING, files_ending, is_same_file, studies_of, study_path, study_stem};
pub use study::{
    AxisLevels, Choices, EarlierTracing, Judged, LateralHeadEdge, Operation, Reader, SideChoice,
    SideSource, Stance, Study, Visit,
};
