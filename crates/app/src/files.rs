//! Files and folders as several parts of the program look for them and write them.

use std::{
    fs,
    io::{self, Write as _},
    path::{Path, PathBuf},
};

use anyhow::Context as _;
use plumbray_study::STUDY_ENDING;

/// The studies in a folder and in the folders within, by name; what lies in one of `but` is left out. What is hidden is
/// left alone, and no link to a folder is followed, so that the search ends.
///
/// # Errors
/// When a folder cannot be read; the message says which.
pub(crate) fn studies_below(folder: &Path, but: Option<&Path>) -> anyhow::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(here) = folders.pop() {
        let unreadable = || format!("the folder cannot be read: {}", here.display());
        for entry in fs::read_dir(&here).with_context(unreadable)? {
            let entry = entry.with_context(unreadable)?;
            let name = entry.file_name();
            let is_left_out = but.is_some_and(|but| entry.path().starts_with(but));
            if name.as_encoded_bytes().starts_with(b".") || is_left_out {
                continue;
            }
            if entry.file_type().with_context(unreadable)?.is_dir() {
                folders.push(entry.path());
            } else if name.to_string_lossy().ends_with(STUDY_ENDING) {
                found.push(entry.path());
            }
        }
    }
    found.sort();
    Ok(found)
}

/// Writes a file under a name that nothing has: whole and on disk, or not at all. Whom this user lets read new files can
/// read it.
///
/// # Errors
/// [`io::ErrorKind::AlreadyExists`] where something has the name, and what the file system refuses.
pub(crate) fn write_new_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".plumbray-new-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(path.parent().unwrap_or(Path::new(".")))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist_noclobber(path)?;
    Ok(())
}
