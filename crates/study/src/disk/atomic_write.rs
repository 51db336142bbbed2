//! Replaces a file so that at every moment either the old or the new content is there, whole.

use std::{
    ffi::{OsStr, OsString},
    fs::{self, File},
    io::{self, Write},
    path::Path,
};

/// What the name of a file being written has after the name of the study.
pub(super) const SAVING: &str = ".saving-";

/// Who may read a file that is newly made. An existing file keeps its permissions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Readers {
    /// Whoever the user lets read new files.
    AsUsual,
    /// The user alone.
    OnlyUser,
}

/// Writes the bytes beside the target under another name, has them put on the disk, and gives them
/// the target's name.
pub(super) fn replace(target: &Path, bytes: &[u8], readers: Readers) -> io::Result<()> {
    let name = target
        .file_name()
        .ok_or_else(|| io::Error::from(io::ErrorKind::InvalidFilename))?;
    let folder = target
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let existing = fs::metadata(target).ok();
    if let Some(metadata) = &existing
        && metadata.permissions().readonly()
    {
        // Renaming would get past the protection that somebody put on the file.
        return Err(io::Error::new(
            io::ErrorKind::PermissionDenied,
            "the file is write-protected",
        ));
    }

    let prefix = saving_prefix(name);
    let mut builder = tempfile::Builder::new();
    builder.prefix(&prefix);
    #[cfg(unix)]
    builder.permissions(permissions(readers));
    let mut temporary = builder.tempfile_in(folder)?;
    // Tells a window that opens the study that this file is no leftover. Where the file system knows
    // no locks, the lock on the study itself does.
    drop(temporary.as_file().try_lock());
    if let Some(metadata) = existing {
        temporary
            .as_file()
            .set_permissions(metadata.permissions())?;
    }
    temporary.write_all(bytes)?;
    temporary.as_file().sync_all()?;
    temporary.persist(target).map_err(|problem| problem.error)?;
    sync_folder(folder)
}

/// Writes a small file beside studies so that at every moment either the old or the new content is there,
/// whole.
///
/// # Errors
/// When the file system refuses; the old content is then still there.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    replace(path, bytes, Readers::AsUsual)
}

/// How the names of the files start that are written for the study of this name.
pub(super) fn saving_prefix(study_name: &OsStr) -> OsString {
    let mut prefix = study_name.to_owned();
    prefix.push(SAVING);
    prefix
}

#[cfg(unix)]
fn permissions(readers: Readers) -> fs::Permissions {
    use std::os::unix::fs::PermissionsExt as _;
    fs::Permissions::from_mode(match readers {
        // The user's mask takes away from this what the user does not grant.
        Readers::AsUsual => 0o666,
        Readers::OnlyUser => 0o600,
    })
}

/// Has a folder's names put on the disk; without it a file renamed just before the power failed may
/// be gone.
pub(super) fn sync_folder(folder: &Path) -> io::Result<()> {
    if cfg!(not(unix)) {
        return Ok(());
    }
    match File::open(folder)?.sync_all() {
        // Some network file systems know no such thing.
        Err(error)
            if matches!(
                error.kind(),
                io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported
            ) =>
        {
            Ok(())
        }
        result => result,
    }
}
