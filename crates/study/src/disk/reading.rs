//! Reading a study's file.

use std::{
    fs::File,
    io::{self, Read},
    path::Path,
};

use crate::{
    content_hash::ContentHash,
    error::StudyError,
    format::{self, Document, FormatError, MAX_FILE_BYTES},
    study::Study,
};

/// A study as it lies on disk.
#[derive(Debug)]
pub(super) struct OnDisk {
    /// The hash of the file's bytes.
    pub(super) hash: ContentHash,
    /// What the file says.
    pub(super) document: Document,
}

/// Reads a study without opening it for writing; works while another window has it open.
///
/// # Errors
/// When there is no study at the path, it cannot be read, is damaged, or is of a newer version.
pub fn load(path: &Path) -> Result<Study, StudyError> {
    match read(path)? {
        Some(on_disk) => Ok(on_disk.document.study),
        None => Err(StudyError::Missing {
            path: path.to_owned(),
        }),
    }
}

/// The study at the path; nothing when there is no file.
pub(super) fn read(path: &Path) -> Result<Option<OnDisk>, StudyError> {
    let unreadable = |cause| StudyError::Unreadable {
        path: path.to_owned(),
        cause,
    };
    let content = |problem| StudyError::Content {
        path: path.to_owned(),
        problem,
    };
    let Some(bytes) = bytes(path).map_err(unreadable)? else {
        return Ok(None);
    };
    if bytes.len() as u64 > MAX_FILE_BYTES {
        // The file may have more bytes than were read.
        let bytes = std::fs::metadata(path).map_err(unreadable)?.len();
        return Err(content(FormatError::TooLarge { bytes }));
    }
    let document = format::read_bytes(&bytes).map_err(content)?;
    Ok(Some(OnDisk {
        hash: ContentHash::of_bytes(&bytes),
        document,
    }))
}

/// The file's bytes, or one byte more than a study may have; nothing when there is no file.
pub(super) fn bytes(path: &Path) -> io::Result<Option<Vec<u8>>> {
    let metadata = match std::fs::metadata(path) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        metadata => metadata?,
    };
    // A pipe or a device may never end.
    if !metadata.is_file() {
        return Err(io::Error::new(
            io::ErrorKind::InvalidInput,
            "this is not an ordinary file",
        ));
    }
    let mut bytes = Vec::new();
    File::open(path)?
        .take(MAX_FILE_BYTES + 1)
        .read_to_end(&mut bytes)?;
    Ok(Some(bytes))
}
