//! The bounds within which a file is believed, checked before anything is allocated.

use crate::error::FilmProblem;

/// The largest number of pixels of a film, in millions. The largest radiography plates give about
/// 20; a mosaic of a whole leg stays below 60.
pub(crate) const MEGAPIXELS: u64 = 100;

/// The largest file that is read, in bytes.
pub(crate) const FILE_BYTES: u64 = 1 << 30;

/// The most that the pictures of one file may be together when they are written anew, in bytes.
pub(crate) const DECODED_BYTES: usize = 1 << 30;

/// No lossless or lossy picture compression gains more than this in practice; deflate's own ceiling
/// is 1032 to 1.
const LARGEST_COMPRESSION: u64 = 2000;

/// The number of pixels of a picture of this size.
///
/// # Errors
/// When a side is zero or the picture has more than [`MEGAPIXELS`].
pub(crate) fn checked_pixel_count(width: u64, height: u64) -> Result<usize, FilmProblem> {
    if width == 0 || height == 0 {
        return Err(FilmProblem::NoArea { width, height });
    }
    width
        .checked_mul(height)
        .filter(|count| *count <= MEGAPIXELS * 1_000_000)
        .and_then(|count| usize::try_from(count).ok())
        .ok_or(FilmProblem::TooManyPixels {
            width,
            height,
            limit_megapixels: MEGAPIXELS,
        })
}

/// Refuses a header whose picture could not come from a file of so few bytes by any compression.
pub(crate) fn check_against_file(pixels: usize, file_bytes: usize) -> Result<(), FilmProblem> {
    let announced = pixels as u64;
    let present = file_bytes as u64;
    if announced / LARGEST_COMPRESSION > present {
        return Err(FilmProblem::CutShort {
            what: "pixels".to_owned(),
            announced,
            present,
        });
    }
    Ok(())
}

/// An empty vector with room for `count` entries.
///
/// # Errors
/// When the machine refuses the memory, where `Vec::with_capacity` would end the program.
pub(crate) fn with_room<T>(count: usize) -> Result<Vec<T>, FilmProblem> {
    let mut room = Vec::new();
    room.try_reserve_exact(count)
        .map_err(|_refused| FilmProblem::OutOfMemory {
            bytes: count.saturating_mul(size_of::<T>()),
        })?;
    Ok(room)
}

/// So many zeros.
///
/// # Errors
/// As for [`with_room`].
pub(crate) fn zeroed(bytes: usize) -> Result<Vec<u8>, FilmProblem> {
    let mut zeros = with_room(bytes)?;
    zeros.resize(bytes, 0);
    Ok(zeros)
}
