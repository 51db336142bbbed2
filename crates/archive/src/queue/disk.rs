//! Files of a queue: each written as a whole or not at all, and on disk before anybody relies on it.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use serde::{Serialize, de::DeserializeOwned};

use super::QueueError;
use crate::folder::{sync_folder, write_whole};

/// The beginning of the names of files that are still being written.
const UNFINISHED: &str = ".writing-";

/// The largest job, receipt or request that is read, in bytes.
const LARGEST_NOTE: u64 = 1 << 16;

/// Writes a file under its name, whatever stood there before, and waits until it is on disk.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), QueueError> {
    write_whole(path, bytes, UNFINISHED).map_err(|error| QueueError::disk(path, error))
}

/// Writes a value as text.
pub(crate) fn write_value(path: &Path, value: &impl Serialize) -> Result<(), QueueError> {
    let text = ron::ser::to_string_pretty(value, ron::ser::PrettyConfig::default())
        .map_err(|error| QueueError::disk(path, error))?;
    write(path, text.as_bytes())
}

/// What a file holds; the inner error says why it is damaged.
pub(crate) fn read_value<T: DeserializeOwned>(
    path: &Path,
) -> Result<Result<T, String>, QueueError> {
    let metadata = fs::metadata(path).map_err(|error| QueueError::disk(path, error))?;
    if metadata.len() > LARGEST_NOTE {
        return Ok(Err("it is too large".to_owned()));
    }
    let bytes = fs::read(path).map_err(|error| QueueError::disk(path, error))?;
    Ok(ron::de::from_bytes(&bytes).map_err(|error| error.to_string()))
}

/// Removes a file, and waits until that is on disk; one that is not there is no error.
pub(crate) fn remove(path: &Path) -> Result<(), QueueError> {
    match fs::remove_file(path) {
        Ok(()) => synced(path.parent().unwrap_or(Path::new("."))),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(QueueError::disk(path, error)),
    }
}

/// The files of a folder by name, those left out that are still being written.
pub(crate) fn files(folder: &Path) -> Result<Vec<PathBuf>, QueueError> {
    let mut found: Vec<PathBuf> = all(folder)?
        .into_iter()
        .filter(|path| !is_unfinished(path))
        .collect();
    found.sort();
    Ok(found)
}

/// Removes what a killed process left half written. Only for who knows that nobody is writing.
pub(crate) fn sweep(folder: &Path) -> Result<(), QueueError> {
    for path in all(folder)?.iter().filter(|path| is_unfinished(path)) {
        remove(path)?;
    }
    Ok(())
}

/// Puts a file into another folder under a name that is free there.
pub(crate) fn put_aside(path: &Path, into: &Path) -> Result<PathBuf, QueueError> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let target = (1..)
        .map(|number| into.join(format!("{name}.{number}")))
        .find(|target| !target.exists())
        .unwrap_or_else(|| into.join("file"));
    fs::rename(path, &target).map_err(|error| QueueError::disk(path, error))?;
    synced(into)?;
    Ok(target)
}

fn all(folder: &Path) -> Result<Vec<PathBuf>, QueueError> {
    let trouble = |error: io::Error| QueueError::disk(folder, error);
    let entries = fs::read_dir(folder).map_err(trouble)?;
    entries
        .map(|entry| entry.map(|entry| entry.path()).map_err(trouble))
        .collect()
}

fn is_unfinished(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    name.to_string_lossy().starts_with(UNFINISHED)
}

fn synced(folder: &Path) -> Result<(), QueueError> {
    sync_folder(folder).map_err(|error| QueueError::disk(folder, error))
}
