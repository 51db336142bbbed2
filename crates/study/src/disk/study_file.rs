//! The place of one study on disk, opened for writing.

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use super::{
    atomic_write::{Readers, replace, sync_folder},
    leftover,
    lock::{Lock, Taken},
    reading::{OnDisk, bytes, load, read},
    recovery::{self, RecoveredCopy},
    user_folders::UserFolders,
};
use crate::{
    content_hash::ContentHash,
    error::{SaveProblem, StudyError},
    film_record::FilmRecord,
    format::{self, Document},
    study::Study,
};

/// What a save did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Saved {
    /// The study was written and is on the disk.
    Written,
    /// The disk held the same study already.
    Unchanged,
}

/// The place of one study on disk, opened for writing. Other windows of this user are kept from
/// opening it until this value is dropped.
///
/// ```
/// use plumbray_study::{Saved, Study, StudyFile, UserFolders, load, study_path};
///
/// let folder = tempfile::tempdir()?;
/// let path = study_path(&folder.path().join("ap.png"), None);
/// let folders = UserFolders::below(folder.path());
///
/// let (mut file, found) = StudyFile::open_with(&path, &folders)?;
/// assert!(found.is_none(), "a new study");
/// let mut study = Study::default();
/// study.visit.label = "before surgery".to_owned();
/// assert_eq!(file.save(&study)?, Saved::Written, "saved");
/// assert_eq!(load(&path)?, study, "read again");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug)]
pub struct StudyFile {
    /// As it was opened.
    path: PathBuf,
    /// The full path with links followed: what is read and written.
    place: PathBuf,
    folders: UserFolders,
    lock: Option<Lock>,
    /// What this window read or wrote last.
    known: Option<OnDisk>,
    /// The recovery copy, while the work is not in its place.
    copy: Option<PathBuf>,
    /// The lock of the place from which that copy was taken over, so that nobody else goes on from it.
    lock_of_copy: Option<Lock>,
}

impl StudyFile {
    /// Opens a study's place for writing, and reads the study if there is one. Settles what a
    /// killed process left behind there.
    ///
    /// # Errors
    /// When another window has it open, or the file there cannot be read, is damaged, or is of a
    /// newer version. Nothing is changed then.
    pub fn open(path: &Path) -> Result<(Self, Option<Study>), StudyError> {
        Self::open_with(path, &UserFolders::of_this_user())
    }

    /// The same with locks and recovery copies in folders of the caller's choice.
    ///
    /// # Errors
    /// As for [`open`](Self::open).
    pub fn open_with(
        path: &Path,
        folders: &UserFolders,
    ) -> Result<(Self, Option<Study>), StudyError> {
        let place = full_path(path);
        let lock = taken(folders, &place, path)?;
        if lock.is_some() {
            leftover::settle(&place);
        }
        let known = read(&place)?;
        let study = known.as_ref().map(|known| known.document.study.clone());
        let file = Self {
            path: path.to_owned(),
            place,
            folders: folders.clone(),
            lock,
            known,
            copy: None,
            lock_of_copy: None,
        };
        Ok((file, study))
    }

    /// Where the study lies, as it was opened or moved.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Whether other windows of this user are kept from opening the study. They are not where the
    /// user has no folder for locks; they are noticed when a study is written even then.
    #[must_use]
    pub const fn is_guarded(&self) -> bool {
        self.lock.is_some()
    }

    /// Writes the study so that at every moment either the old or the new one is on the disk, whole.
    /// When this returns without an error, the new one is there even if the power fails.
    ///
    /// # Errors
    /// When the file on disk is not the one that this window read or wrote last, or when the file
    /// system refuses. The file is left as it was then, and the study goes to a recovery copy that
    /// the error names. The next save tries the study's own place again, and removes the copy once
    /// the work is there.
    pub fn save(&mut self, study: &Study) -> Result<Saved, SaveProblem> {
        let document = Document {
            revision: self.revision() + 1,
            recovery: None,
            study: study.clone(),
        };
        let text = format::write(&document).map_err(|problem| SaveProblem::NotStorable {
            path: self.path.clone(),
            problem,
        })?;
        match self.hash_on_disk() {
            Err(cause) => return Err(self.keep_elsewhere(&document, Refusal::FileSystem(cause))),
            Ok(Some(found)) if Some(found) != self.known_hash() => {
                return Err(self.keep_elsewhere(&document, Refusal::ChangedElsewhere));
            }
            Ok(Some(_)) if self.known_study() == Some(study) => {
                self.remove_copy();
                return Ok(Saved::Unchanged);
            }
            Ok(_) => {}
        }
        let written = replace(&self.place, text.as_bytes(), Readers::AsUsual);
        let hash = ContentHash::of_bytes(text.as_bytes());
        if let Err(cause) = written {
            // The new name may be there although the folder could not be put on the disk.
            if matches!(self.hash_on_disk(), Ok(Some(found)) if found == hash) {
                self.known = Some(OnDisk {
                    hash,
                    document: document.clone(),
                });
            }
            return Err(self.keep_elsewhere(&document, Refusal::FileSystem(cause)));
        }
        self.known = Some(OnDisk { hash, document });
        self.remove_copy();
        Ok(Saved::Written)
    }

    /// Where the work lies while it could not be written in its place; nothing once it is there.
    #[must_use]
    pub fn kept_at(&self) -> Option<&Path> {
        self.copy.as_deref()
    }

    /// Goes on from work that was kept elsewhere, of this place or of another one with the same films, and gives it.
    /// Each save then tries this place, or else writes over that copy, and removes the copy once the work is here.
    /// Nothing where there is a study here already: the work does not go on from it.
    ///
    /// # Errors
    /// When another window has the place of the work open, or the copy cannot be read any more; nothing is changed then.
    pub fn go_on_from(&mut self, kept: &RecoveredCopy) -> Result<Option<Study>, StudyError> {
        if self.known.is_some() {
            return Ok(None);
        }
        let lock = if kept.original == self.place {
            None
        } else {
            taken(&self.folders, &kept.original, &kept.original)?
        };
        let study = load(&kept.copy)?;
        self.copy = Some(kept.copy.clone());
        self.lock_of_copy = lock;
        Ok(Some(study))
    }

    /// The work that was kept because it could not be written here, the latest; nothing where none was.
    #[must_use]
    pub fn kept_work(&self) -> Option<RecoveredCopy> {
        self.latest_kept(|copy| copy.original == self.place)
    }

    /// The work on this film that was kept because it could not be written here, or in another place that has no study
    /// now, such as a disc of which these are copies; the latest.
    #[must_use]
    pub fn kept_work_on(&self, film: &FilmRecord) -> Option<RecoveredCopy> {
        self.latest_kept(|copy| {
            copy.is_on(film) && (copy.original == self.place || !copy.original.is_file())
        })
    }

    fn latest_kept(&self, fits: impl Fn(&RecoveredCopy) -> bool) -> Option<RecoveredCopy> {
        let copies = recovery::recovered_copies(&self.folders);
        copies.into_iter().rev().find(fits)
    }

    /// Gives the study another name, such as that of its AP film once there is one. The names of
    /// its films stay as they are, so stay in the folder or change them too.
    ///
    /// # Errors
    /// When another study has the name, or the file system refuses; the study keeps its old name
    /// then.
    pub fn move_to(&mut self, path: &Path) -> Result<(), SaveProblem> {
        let place = full_path(path);
        if place == self.place {
            return Ok(());
        }
        let taken = || SaveProblem::NameTaken {
            path: path.to_owned(),
        };
        let lock = match Lock::take(&self.folders, &place) {
            Taken::Ours(lock) => Some(lock),
            Taken::Impossible => None,
            Taken::Elsewhere(_) => return Err(taken()),
        };
        if fs::symlink_metadata(&place).is_ok() {
            return Err(taken());
        }
        if self.known.is_some() {
            let folder = place.parent().unwrap_or(Path::new("."));
            fs::rename(&self.place, &place)
                .and_then(|()| sync_folder(folder))
                .map_err(|cause| SaveProblem::NotRenamed {
                    from: self.path.clone(),
                    to: path.to_owned(),
                    cause,
                })?;
        }
        self.path = path.to_owned();
        self.place = place;
        self.lock = lock;
        Ok(())
    }

    /// Writes the study of a recovery copy here, if this is still the file that it goes on from, and
    /// removes the copy.
    pub(super) fn take_home(
        &mut self,
        copy: &Path,
        based_on: Option<ContentHash>,
        study: &Study,
    ) -> Result<Saved, SaveProblem> {
        if self.known_hash() != based_on && self.known_study() != Some(study) {
            return Err(SaveProblem::ChangedElsewhere {
                path: self.path.clone(),
                copy: copy.to_owned(),
            });
        }
        self.copy = Some(copy.to_owned());
        self.save(study)
    }

    fn revision(&self) -> u64 {
        self.known
            .as_ref()
            .map_or(0, |known| known.document.revision)
    }

    fn known_hash(&self) -> Option<ContentHash> {
        self.known.as_ref().map(|known| known.hash)
    }

    fn known_study(&self) -> Option<&Study> {
        self.known.as_ref().map(|known| &known.document.study)
    }

    fn hash_on_disk(&self) -> io::Result<Option<ContentHash>> {
        Ok(bytes(&self.place)?.map(|bytes| ContentHash::of_bytes(&bytes)))
    }

    fn keep_elsewhere(&mut self, document: &Document, refusal: Refusal) -> SaveProblem {
        let path = self.path.clone();
        let kept = recovery::keep(
            &self.folders,
            &self.place,
            self.known_hash(),
            document,
            self.copy.as_deref(),
        );
        match kept {
            Ok(copy) => {
                self.copy = Some(copy.clone());
                match refusal {
                    Refusal::ChangedElsewhere => SaveProblem::ChangedElsewhere { path, copy },
                    Refusal::FileSystem(cause) => SaveProblem::KeptElsewhere { path, copy, cause },
                }
            }
            Err(copy_cause) => SaveProblem::NotKept {
                path,
                cause: match refusal {
                    Refusal::ChangedElsewhere => {
                        io::Error::other("it was changed by another program or window")
                    }
                    Refusal::FileSystem(cause) => cause,
                },
                copy_cause,
            },
        }
    }

    /// The work is in its place. A copy that cannot be removed is offered once more at the next
    /// start, where it is seen to hold nothing new.
    fn remove_copy(&mut self) {
        if let Some(copy) = self.copy.take() {
            drop(fs::remove_file(copy));
        }
        self.lock_of_copy = None;
    }
}

/// The lock of a place, opened by this path; nothing where no lock can be made.
fn taken(folders: &UserFolders, place: &Path, path: &Path) -> Result<Option<Lock>, StudyError> {
    match Lock::take(folders, place) {
        Taken::Ours(lock) => Ok(Some(lock)),
        Taken::Impossible => Ok(None),
        Taken::Elsewhere(holder) => Err(StudyError::OpenElsewhere {
            path: path.to_owned(),
            holder,
        }),
    }
}

/// Why the study was not written in its place.
#[derive(Debug)]
enum Refusal {
    ChangedElsewhere,
    FileSystem(io::Error),
}

/// The full path with links followed, whether or not there is a file.
fn full_path(path: &Path) -> PathBuf {
    if let Ok(full) = fs::canonicalize(path) {
        return full;
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    match (fs::canonicalize(folder), path.file_name()) {
        (Ok(folder), Some(name)) => folder.join(name),
        _ => std::path::absolute(path).unwrap_or_else(|_| path.to_owned()),
    }
}

#[cfg(test)]
mod tests;
