//! Where the program keeps and finds things besides the films.

use std::path::PathBuf;

use plumbray_study::UserFolders;

use super::{
    Settings,
    sample_foot::{sample_folder, shipped_practice_set},
};
use crate::{
    archive_files,
    own_spread::KeptSpreads,
    user_folders::{cache_folder, data_folder},
};

/// Where the program keeps and finds things besides the films.
#[derive(Clone, Debug)]
pub struct Places {
    /// The settings file, if the system has a place for one.
    pub settings: Option<PathBuf>,
    /// The file of readers' own spreads, if the system has a place for one.
    pub own_spreads: Option<PathBuf>,
    /// The folders for locks and recovery copies.
    pub folders: UserFolders,
    /// The sample films, which stay as they are.
    pub samples: Option<PathBuf>,
    /// Where the sample films are copied to before they are opened: their study is saved there.
    pub sample_copies: PathBuf,
    /// The practice set that comes with the program.
    pub practice_set: Option<PathBuf>,
    /// Where what residents practise is kept, a folder for each.
    pub practice: PathBuf,
    /// Where the indexes of series are kept, which can be made again.
    pub indexes: PathBuf,
    /// The file of archives' addresses, if the system has a place for one.
    pub archives: Option<PathBuf>,
    /// The queue of what is to be sent to archives, which commands use as well.
    pub queue: PathBuf,
    /// Where fetched films go on a desktop without dialogs.
    pub fetched: PathBuf,
    /// Whether the system's keyring is asked for secrets and may keep them.
    pub asks_keyring: bool,
}

impl Places {
    /// This user's usual places.
    #[must_use]
    pub fn usual() -> Self {
        let samples = sample_folder();
        Self {
            settings: Settings::usual_path(),
            own_spreads: KeptSpreads::usual_path(),
            folders: UserFolders::of_this_user(),
            practice_set: samples.as_deref().and_then(shipped_practice_set),
            samples,
            sample_copies: own("sample-foot"),
            practice: own("practice"),
            indexes: or_passing(cache_folder("cohorts"), "cohorts"),
            archives: archive_files::book(),
            queue: or_passing(archive_files::queue(), "queue"),
            fetched: own("fetched-films"),
            asks_keyring: true,
        }
    }
}

/// A folder with this user's data.
fn own(name: &str) -> PathBuf {
    or_passing(data_folder(name), name)
}

/// A folder, or one in the system's folder for passing files for users who have none of their own.
fn or_passing(folder: Option<PathBuf>, name: &str) -> PathBuf {
    folder.unwrap_or_else(|| std::env::temp_dir().join(format!("plumbray-{name}")))
}
