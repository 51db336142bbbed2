//! What is kept of a resident: the progress over all attempts, and the attempt that was put by.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_practise::{
    Lesson, NextFoot, PastAttempt, PracticeSet, Progress, add_attempt, load_progress, next_foot,
    progress_path,
};

use super::attempt::{self, AttemptRecord, plain_name};

/// The file of the attempt that is under way.
const PUT_BY: &str = "put-by.ron";
/// The folder of the attempts' studies.
const ATTEMPTS: &str = "attempts";
/// Which of several equally good feet comes next follows from this number and the attempts.
const SEED: u64 = 1;

/// A resident, with what is kept in a folder of the resident's own.
#[derive(Debug)]
pub struct ResidentProgress {
    folder: PathBuf,
    progress: Progress,
    put_by: Vec<AttemptRecord>,
}

impl ResidentProgress {
    /// What is kept of the resident of this name; nothing yet where there is no folder.
    ///
    /// # Errors
    /// When something kept cannot be read: what to do about it. It is left as it is.
    pub(super) fn of(practice: &Path, name: &str) -> Result<Self, String> {
        let name = name.trim();
        let folder = practice.join(plain_name(name));
        let kept = load_progress(&progress_path(&folder, name));
        let progress = kept.map_err(|problem| problem.to_string())?;
        let record = folder.join(PUT_BY);
        let put_by = attempt::read(&record).map_err(|problem| {
            format!(
                "What was put by cannot be read ({problem}). The tracings are kept; delete this \
                 file to go on without them: {}",
                record.display()
            )
        })?;
        Ok(Self {
            folder,
            progress: progress.unwrap_or_else(|| Progress {
                resident: name.to_owned(),
                attempts: Vec::new(),
            }),
            put_by,
        })
    }

    /// Every attempt that was handed in.
    #[must_use]
    pub const fn progress(&self) -> &Progress {
        &self.progress
    }

    /// The foot to practise next in a set and why it is that one; nothing where the set is empty.
    #[must_use]
    pub fn next(&self, set: &PracticeSet) -> Option<(String, String)> {
        let NextFoot { foot, why } = next_foot(set, &self.progress, SEED)?;
        Some((foot, why.sentence()))
    }

    /// The folder of everything that is kept.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The attempts that are under way and not handed in, the latest last.
    pub(super) fn put_by(&self) -> &[AttemptRecord] {
        &self.put_by
    }

    pub(super) fn attempts(&self) -> PathBuf {
        self.folder.join(ATTEMPTS)
    }

    /// Remembers an attempt that is under way.
    pub(super) fn remember(&mut self, record: AttemptRecord) -> Result<(), String> {
        self.put_by.retain(|own| !own.is_of_same_foot(&record));
        self.put_by.push(record);
        self.write_put_by()
    }

    /// Forgets the attempt at a foot that is under way no longer.
    fn forget(&mut self, record: &AttemptRecord) -> Result<(), String> {
        self.put_by.retain(|own| !own.is_of_same_foot(record));
        self.write_put_by()
    }

    fn write_put_by(&self) -> Result<(), String> {
        let kept = attempt::write(&self.folder.join(PUT_BY), &self.put_by);
        kept.map_err(|problem| {
            format!(
                "It cannot be remembered that this foot is being traced ({problem:#}). The tracing \
                 itself is kept: {}",
                self.attempts().display()
            )
        })
    }

    /// Keeps what an attempt that was handed in taught; it is then no longer under way.
    pub(super) fn keep(
        &mut self,
        set: &PracticeSet,
        record: &AttemptRecord,
        lesson: &Lesson,
    ) -> Result<(), String> {
        let past = PastAttempt::of(lesson, &set.name, jiff::Zoned::now().datetime());
        let path = progress_path(&self.folder, &self.progress.resident);
        let kept = add_attempt(&path, &self.progress.resident, past.clone());
        match kept {
            Ok(progress) => self.progress = progress,
            Err(problem) => {
                self.progress.attempts.push(past);
                return Err(problem.to_string());
            }
        }
        self.forget(record)
    }

    /// Deletes everything that is kept of the resident.
    pub(super) fn delete(&mut self) -> Result<(), String> {
        let deleted = match fs::remove_dir_all(&self.folder) {
            Err(problem) if problem.kind() != std::io::ErrorKind::NotFound => Err(problem),
            _ => Ok(()),
        };
        deleted.map_err(|problem| {
            format!(
                "Not everything could be deleted ({problem}). Delete this folder yourself: {}",
                self.folder.display()
            )
        })?;
        self.progress.attempts.clear();
        self.put_by.clear();
        Ok(())
    }
}
