//! What a process that was killed while saving left behind.
//!
//! Such a file is either cut off, and then less than the study beside it, or it is a whole study that
//! only lacked its name. A whole one that is newer than the study takes its place; the others go.

use std::{
    ffi::{OsStr, OsString},
    fs::{self, File, TryLockError},
    path::{Path, PathBuf},
};

use super::{
    atomic_write::{SAVING, saving_prefix, sync_folder},
    reading::read,
};

/// No more names than this are looked at in one folder.
const MAX_LISTED_NAMES: usize = 100_000;

/// Settles what was left behind for one study. Call it while holding the study's lock. Problems are
/// passed over: a leftover does no harm and is settled another time.
pub(super) fn settle(study: &Path) {
    let (Some(folder), Some(name)) = (study.parent(), study.file_name()) else {
        return;
    };
    let prefix = saving_prefix(name);
    for leftover in names_in(folder) {
        if leftover
            .as_encoded_bytes()
            .starts_with(prefix.as_encoded_bytes())
        {
            settle_one(&folder.join(leftover), study);
        }
    }
}

/// Settles what was left behind for any study in a folder that only this program writes to.
pub(super) fn settle_all(folder: &Path) {
    for leftover in names_in(folder) {
        if let Some((study_name, _)) = leftover.to_str().and_then(|name| name.split_once(SAVING)) {
            settle_one(&folder.join(&leftover), &folder.join(study_name));
        }
    }
}

fn names_in(folder: &Path) -> Vec<OsString> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .take(MAX_LISTED_NAMES)
        .filter_map(Result::ok)
        .filter(|entry| entry.file_type().is_ok_and(|kind| kind.is_file()))
        .map(|entry| entry.file_name())
        .collect()
}

fn settle_one(leftover: &PathBuf, study: &Path) {
    let Ok(file) = File::open(leftover) else {
        return;
    };
    if matches!(file.try_lock(), Err(TryLockError::WouldBlock)) {
        // It is being written at this moment.
        return;
    }
    // Whoever looks into a damaged study may need whatever lies beside it.
    let Ok(on_disk) = read(study) else {
        return;
    };
    let whole = read(leftover).ok().flatten();
    let is_newer = match (&whole, &on_disk) {
        (None, _) => false,
        (Some(_), None) => true,
        (Some(left), Some(kept)) => left.document.revision > kept.document.revision,
    };
    let settled = if is_newer {
        fs::rename(leftover, study)
    } else {
        fs::remove_file(leftover)
    };
    if settled.is_ok() {
        let folder = study.parent().unwrap_or(Path::new(OsStr::new(".")));
        drop(sync_folder(folder));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        format::{self, Document},
        study::Study,
    };

    fn text(revision: u64, label: &str) -> String {
        let mut study = Study::default();
        label.clone_into(&mut study.visit.label);
        let document = Document {
            revision,
            study,
            ..Document::default()
        };
        format::write(&document).expect("storable")
    }

    /// The label of the study after a leftover of this text was settled, and whether the leftover
    /// is still there.
    fn after(study: Option<&str>, leftover: &str) -> (Option<String>, bool) {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("ap.png.study.ron");
        let left = folder.path().join("ap.png.study.ron.saving-x7Yz");
        if let Some(text) = study {
            fs::write(&path, text).expect("written");
        }
        fs::write(&left, leftover).expect("written");
        settle(&path);
        let label = read(&path)
            .ok()
            .flatten()
            .map(|on_disk| on_disk.document.study.visit.label);
        (label, left.exists())
    }

    #[test]
    fn a_whole_leftover_that_is_newer_takes_the_place_of_the_study() {
        let settled = after(Some(&text(7, "old")), &text(8, "new"));
        assert_eq!(settled, (Some("new".to_owned()), false), "newer");
        let settled = after(None, &text(1, "new"));
        assert_eq!(settled, (Some("new".to_owned()), false), "first save");
    }

    #[test]
    fn a_leftover_that_is_cut_off_or_older_goes() {
        let kept = (Some("old".to_owned()), false);
        let whole = text(8, "new");
        let cut_off = &whole[..whole.len() / 2];
        assert_eq!(after(Some(&text(7, "old")), cut_off), kept, "cut off");
        assert_eq!(after(Some(&text(7, "old")), ""), kept, "empty");
        assert_eq!(after(Some(&text(8, "old")), &whole), kept, "no newer");
        assert_eq!(after(None, cut_off), (None, false), "nothing to keep");
    }

    #[test]
    fn nothing_is_touched_beside_a_damaged_study() {
        assert_eq!(
            after(Some("damaged"), &text(8, "new")),
            (None, true),
            "kept"
        );
    }

    #[test]
    fn a_file_that_is_being_written_is_left_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("ap.png.study.ron");
        let left = folder.path().join("ap.png.study.ron.saving-x7Yz");
        fs::write(&left, text(1, "new")).expect("written");
        let writer = File::open(&left).expect("opened");
        writer.lock().expect("locked");
        settle(&path);
        assert!(left.exists() && !path.exists(), "left alone");
    }
}
