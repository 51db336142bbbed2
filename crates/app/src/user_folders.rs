//! Where the system keeps what is this user's: the same for the window and the command line.

use std::path::PathBuf;

use directories::ProjectDirs;

/// A file of settings; nothing where the system has no place for them.
#[must_use]
pub(crate) fn settings_file(name: &str) -> Option<PathBuf> {
    Some(folders()?.config_dir().join(name))
}

/// A folder with this user's data; nothing where the system has no place for it.
#[must_use]
pub(crate) fn data_folder(name: &str) -> Option<PathBuf> {
    Some(folders()?.data_local_dir().join(name))
}

/// A folder with what can be made again; nothing where the system has no place for it.
#[must_use]
pub(crate) fn cache_folder(name: &str) -> Option<PathBuf> {
    Some(folders()?.cache_dir().join(name))
}

fn folders() -> Option<ProjectDirs> {
    ProjectDirs::from("", "", "plumbray")
}
