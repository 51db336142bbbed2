//! Films and objects without whom they are about: the Basic Application Level Confidentiality Profile of PS3.15
//! Annex E, and boxes over letters that are part of the pixels. `docs/dicom.md` sums it up.

mod basic_profile;
mod elements;
mod object;
mod picture;
mod pixels;
mod study;
mod uids;

pub use basic_profile::{Action, BASIC_PROFILE, action};
pub use object::{TextInPicture, object_without_identity};
pub use picture::picture_without_identity;
pub use pixels::MaskBox;
pub use study::study_without_identity;
pub use uids::NewUids;

use plumbray_film::FilmObject;

use crate::DicomError;

/// A film of any format without whom it shows: DICOM stays DICOM, any other picture becomes a PNG.
///
/// # Errors
/// When the film cannot be read or written, or a box lies beside it.
pub fn film_without_identity(
    bytes: &[u8],
    boxes: &[MaskBox],
    letters: TextInPicture,
    uids: &mut NewUids,
) -> Result<Vec<u8>, DicomError> {
    if FilmObject::read(bytes)?.is_some() {
        object_without_identity(bytes, boxes, letters, uids)
    } else {
        picture_without_identity(bytes, boxes)
    }
}
