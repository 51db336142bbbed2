//! Where this user's locks and recovery copies lie.

use std::path::{Path, PathBuf};

/// Where this user's locks and recovery copies lie: never beside the films.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UserFolders {
    /// Where the locks lie; nothing when this user has no folder for them.
    pub(super) locks: Option<PathBuf>,
    /// Where recovery copies go: the first that can be written.
    pub(super) recovery: Vec<PathBuf>,
}

impl UserFolders {
    /// The folders that the operating system sets aside for this user, such as
    /// `~/.local/share/plumbray/recovery`. They are made when they are first needed.
    ///
    /// Where the home folder cannot be written either, recovery copies go to the folder of the
    /// running session (`/run/user/…`), which lasts until the user logs out.
    #[must_use]
    pub fn of_this_user() -> Self {
        let Some(user) = directories::ProjectDirs::from("", "", "plumbray") else {
            return Self {
                locks: None,
                recovery: Vec::new(),
            };
        };
        let own = user.data_local_dir().join("recovery");
        let of_session = user.runtime_dir().map(|folder| folder.join("recovery"));
        Self {
            locks: Some(
                user.state_dir()
                    .unwrap_or_else(|| user.data_local_dir())
                    .join("locks"),
            ),
            recovery: [Some(own), of_session].into_iter().flatten().collect(),
        }
    }

    /// Folders below `root`, for a program that is to leave the user's own alone.
    #[must_use]
    pub fn below(root: &Path) -> Self {
        Self {
            locks: Some(root.join("locks")),
            recovery: vec![root.join("recovery")],
        }
    }
}
