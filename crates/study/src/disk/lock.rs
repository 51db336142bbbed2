//! A lock on a study, by which a second window is noticed.
//!
//! The lock is a file in the user's own folders, named after the study's full path, so that nothing
//! lies beside the film and a read-only folder can be guarded too. The operating system releases it
//! when the process ends, however it ends. Other users, and other machines that share the folder,
//! do not see it; they are noticed when a study is written, by its content.

use std::{
    fs::{File, OpenOptions, TryLockError},
    io::{self, Read, Seek, Write},
    path::{Path, PathBuf},
};

use super::user_folders::UserFolders;

/// A held lock; released when dropped.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    // Held open for the lock on it.
    _file: File,
}

/// What came of asking for a lock.
#[derive(Debug)]
pub(super) enum Taken {
    /// The lock is ours.
    Ours(Lock),
    /// Another window holds it; its process, where that can be told.
    Elsewhere(Option<String>),
    /// No lock can be made here.
    Impossible,
}

/// Another window may remove the lock's file between its being opened and locked.
const ATTEMPTS: usize = 20;

/// No more of a lock's file is read than this.
const LONGEST_HOLDER_BYTES: u64 = 100;

impl Lock {
    /// Asks for the lock on the study whose full path this is.
    pub(super) fn take(folders: &UserFolders, study: &Path) -> Taken {
        let Some(folder) = &folders.locks else {
            return Taken::Impossible;
        };
        let hash = blake3::hash(study.as_os_str().as_encoded_bytes());
        let path = folder.join(format!("{hash}.lock"));
        Self::take_file(folder, &path).unwrap_or(Taken::Impossible)
    }

    fn take_file(folder: &Path, path: &Path) -> io::Result<Taken> {
        std::fs::create_dir_all(folder)?;
        for _ in 0..ATTEMPTS {
            let mut file = OpenOptions::new()
                .read(true)
                .write(true)
                .create(true)
                .truncate(false)
                .open(path)?;
            match file.try_lock() {
                Ok(()) if is_still_at(&file, path) => {
                    file.set_len(0)?;
                    file.rewind()?;
                    write!(file, "process {}", std::process::id())?;
                    return Ok(Taken::Ours(Self {
                        path: path.to_owned(),
                        _file: file,
                    }));
                }
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Ok(Taken::Elsewhere(holder(file))),
                Err(TryLockError::Error(error)) => return Err(error),
            }
        }
        Ok(Taken::Elsewhere(None))
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Removed while still locked, so that nobody else's lock is taken away; a file that stays
        // does no harm.
        #[cfg(unix)]
        drop(std::fs::remove_file(&self.path));
    }
}

fn holder(file: File) -> Option<String> {
    let mut text = String::new();
    file.take(LONGEST_HOLDER_BYTES)
        .read_to_string(&mut text)
        .ok()?;
    (!text.is_empty()).then_some(text)
}

/// Whether the opened file is the one that the path now leads to.
#[cfg(unix)]
fn is_still_at(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    let identity = |metadata: std::fs::Metadata| (metadata.dev(), metadata.ino());
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(opened), Ok(named)) => identity(opened) == identity(named),
        _ => false,
    }
}

/// Whether the opened file is the one that the path now leads to: always, since locks are never
/// removed here.
#[cfg(not(unix))]
fn is_still_at(_file: &File, _path: &Path) -> bool {
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lock_is_held_once_and_free_after_it_is_dropped() {
        let root = tempfile::tempdir().expect("a folder");
        let folders = UserFolders::below(root.path());
        let study = Path::new("/films/ap.png.study.ron");
        let first = Lock::take(&folders, study);
        assert!(matches!(first, Taken::Ours(_)), "free: {first:?}");
        let second = Lock::take(&folders, study);
        let process = format!("process {}", std::process::id());
        assert!(
            matches!(&second, Taken::Elsewhere(Some(holder)) if *holder == process),
            "held: {second:?}"
        );
        let other = Lock::take(&folders, Path::new("/films/other.png.study.ron"));
        assert!(matches!(other, Taken::Ours(_)), "another study: {other:?}");
        drop((first, other));
        let again = Lock::take(&folders, study);
        assert!(matches!(again, Taken::Ours(_)), "free again: {again:?}");
        drop(again);
        let left = std::fs::read_dir(root.path().join("locks"))
            .expect("listed")
            .count();
        assert_eq!(left, 0, "no litter");
    }

    #[test]
    fn of_many_that_ask_at_once_exactly_one_gets_the_lock() {
        let root = tempfile::tempdir().expect("a folder");
        let folders = UserFolders::below(root.path());
        let study = Path::new("/films/ap.png.study.ron");
        let held = std::sync::atomic::AtomicUsize::new(0);
        let most = std::sync::atomic::AtomicUsize::new(0);
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    use std::sync::atomic::Ordering::SeqCst;
                    for _ in 0..200 {
                        if let Taken::Ours(lock) = Lock::take(&folders, study) {
                            most.fetch_max(held.fetch_add(1, SeqCst) + 1, SeqCst);
                            held.fetch_sub(1, SeqCst);
                            drop(lock);
                        }
                    }
                });
            }
        });
        assert_eq!(most.into_inner(), 1, "holders at once");
    }

    #[test]
    fn without_a_folder_there_is_no_lock_and_no_failure() {
        let folders = UserFolders {
            locks: Some("/proc/no such folder".into()),
            recovery: Vec::new(),
        };
        let taken = Lock::take(&folders, Path::new("/films/ap.png.study.ron"));
        assert!(matches!(taken, Taken::Impossible), "{taken:?}");
    }
}
