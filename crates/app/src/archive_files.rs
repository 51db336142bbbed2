//! Where this user keeps what belongs to archives: the same for the window and the command line.

use std::path::{Path, PathBuf};

use crate::user_folders::{data_folder, settings_file};

/// The file in which the archives are kept; nothing where the system has no place for settings.
#[must_use]
pub(crate) fn book() -> Option<PathBuf> {
    settings_file("archives.ron")
}

/// The file that remembers from which archive films were fetched, beside that of the archives.
#[must_use]
pub(crate) fn origins(book: &Path) -> PathBuf {
    book.with_file_name("fetched-from.ron")
}

/// The folder in which objects wait until an archive has them; nothing where the system has no place for it.
#[must_use]
pub(crate) fn queue() -> Option<PathBuf> {
    data_folder("queue")
}
