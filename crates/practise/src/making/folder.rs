//! A set's folder while it is made: it gets its name when everything in it is on the disk.

use std::{
    fs::{self, File},
    path::{Path, PathBuf},
};

use plumbray_study::write_whole;
use tempfile::TempDir;

use super::MakingError;
use crate::set::{PracticeSet, Reference, SET_FILE, reference_to_bytes, set_to_text};

/// A set's folder on its way: a hidden folder beside the place that it will have.
#[derive(Debug)]
pub(super) struct SetFolder {
    target: PathBuf,
    draft: TempDir,
}

impl SetFolder {
    /// Begins a set that is to lie at `target`, where nothing or an empty folder may be.
    pub(super) fn begin(target: &Path) -> Result<Self, MakingError> {
        let taken = match fs::read_dir(target) {
            Ok(mut entries) => entries.next().is_some(),
            Err(error) => error.kind() != std::io::ErrorKind::NotFound,
        };
        let name = target.file_name();
        let (false, Some(name)) = (taken, name) else {
            return Err(MakingError::PlaceTaken {
                path: target.to_owned(),
            });
        };
        let parent = target
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty())
            .unwrap_or(Path::new("."));
        let draft = tempfile::Builder::new()
            .prefix(&format!(".{}.making-", name.to_string_lossy()))
            .tempdir_in(parent)
            .map_err(|cause| MakingError::File {
                path: parent.to_owned(),
                cause,
            })?;
        Ok(Self {
            target: target.to_owned(),
            draft,
        })
    }

    /// Where a file of this name is to be written.
    pub(super) fn path(&self, name: &str) -> PathBuf {
        self.draft.path().join(name)
    }

    /// Writes the sealed reference of a foot.
    pub(super) fn add_reference(
        &self,
        name: &str,
        reference: &Reference,
    ) -> Result<(), MakingError> {
        self.write(name, &reference_to_bytes(reference)?)
    }

    /// Writes the set's own file last, has everything put on the disk, and gives the folder its name.
    pub(super) fn finish(self, set: &PracticeSet) -> Result<(), MakingError> {
        let folder = self.draft.path().to_owned();
        let refused = |path: &Path| {
            let path = path.to_owned();
            move |cause| MakingError::File { path, cause }
        };
        for entry in fs::read_dir(&folder).map_err(refused(&folder))? {
            let path = entry.map_err(refused(&folder))?.path();
            // Some systems put nothing on the disk through a handle that only reads.
            File::options()
                .write(true)
                .open(&path)
                .and_then(|file| file.sync_all())
                .map_err(refused(&path))?;
        }
        self.write(SET_FILE, set_to_text(set)?.as_bytes())?;
        open_to_others(&folder).map_err(refused(&folder))?;
        if self.target.exists() {
            fs::remove_dir(&self.target).map_err(refused(&self.target))?;
        }
        fs::rename(&folder, &self.target).map_err(refused(&self.target))?;
        // It lies elsewhere now, and must not be taken away when this value goes.
        drop(self.draft.keep());
        Ok(())
    }

    fn write(&self, name: &str, bytes: &[u8]) -> Result<(), MakingError> {
        let path = self.path(name);
        write_whole(&path, bytes).map_err(|cause| MakingError::File { path, cause })
    }
}

/// A folder made for the moment is its maker's alone; a set is for residents too, as far as its maker lets others
/// read: the folder takes the permissions of the one that it lies in.
#[cfg(unix)]
fn open_to_others(folder: &Path) -> std::io::Result<()> {
    let parent = folder.parent().unwrap_or(Path::new("."));
    let permissions = fs::metadata(parent)?.permissions();
    let readable = {
        use std::os::unix::fs::PermissionsExt as _;
        fs::Permissions::from_mode((permissions.mode() & 0o055) | 0o700)
    };
    fs::set_permissions(folder, readable)
}

#[cfg(not(unix))]
fn open_to_others(_folder: &Path) -> std::io::Result<()> {
    Ok(())
}
