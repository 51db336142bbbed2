//! What leaves the program for an archive: DICOM objects of one measured foot. `docs/dicom.md` describes each.
//!
//! [`objects_of`] makes all that were chosen. Names and structures come from the DICOM standard and from nowhere
//! else; measurements, for which it has no codes, have codes of our own scheme [`OWN_SCHEME`].

mod characters;
pub(crate) mod code;
mod content;
mod drawing;
pub(crate) mod elements;
mod error;
mod film_reference;
mod instance;
mod measurements;
mod objects;
mod picture;
mod report;
mod sheet;
mod subject;
mod uid;

pub(crate) use characters::{copied_as_stored, plain_text};
pub use code::{Code, OWN_SCHEME, STANDARD_CODES};
pub use error::DicomError;
pub(crate) use instance::file_of;
pub use objects::{ChosenObjects, ExportFilm, ExportSheet, ObjectFile, ObjectsRequest, objects_of};
pub(crate) use subject::identity_removed;
pub(crate) use uid::new_uid;
