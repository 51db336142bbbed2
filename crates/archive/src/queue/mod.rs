//! Sending that survives being killed at any moment: nothing is lost, and nothing is sent twice that an archive
//! can be asked for.
//!
//! A queue is a folder. `objects` holds a copy of each object that is to be sent, `jobs` how far each is,
//! `receipts` the proof of each that is done with, `requests` what people want of jobs, `damaged` what could not
//! be read. Every file is written under another name, brought to disk and renamed. Before an object goes out its
//! job says so; a job leaves only when its receipt is on disk. So whatever a killed process left behind, the next
//! one can tell what the archive surely lacks from what it may have, and asks for the latter.

mod disk;
mod job;
mod state;
#[cfg(test)]
mod tests;
mod work;

use std::{
    fmt::Display,
    fs::{self, File, OpenOptions},
    path::{Path, PathBuf},
};

use jiff::Timestamp;

pub use self::{
    job::{Job, JobId, JobState, Receipt, Settled},
    state::{Action, Delays, next_action},
    work::{OpenArchive, Until, Worked},
};
use crate::object::StoredObject;

/// A queue of objects that are to be sent, in a folder.
#[derive(Clone, Debug)]
pub struct Queue {
    folder: PathBuf,
}

/// What went wrong with a queue.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum QueueError {
    /// Another process is sending what is in this queue.
    #[error("another window or command is sending from this queue already; let it finish")]
    Busy,
    /// No such job.
    #[error("there is no job {0} in the queue; it may have been sent meanwhile")]
    Unknown(JobId),
    /// The folder cannot be read or written.
    #[error("the queue cannot be read or written ({reason}): {}", path.display())]
    Disk {
        /// What is wrong.
        reason: String,
        /// Which file or folder.
        path: PathBuf,
    },
}

impl QueueError {
    fn disk(path: &Path, reason: impl Display) -> Self {
        Self::Disk {
            reason: reason.to_string(),
            path: path.to_owned(),
        }
    }
}

/// A file of the queue that cannot be read. It is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Where it lies now.
    pub path: PathBuf,
    /// What is wrong with it.
    pub reason: String,
}

/// What a queue holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Listing {
    /// The jobs, the oldest first.
    pub jobs: Vec<Job>,
    /// Files that cannot be read.
    pub damaged: Vec<Damage>,
}

/// What a person wants of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Request {
    /// Take it back. What the archive may have already stays there.
    Cancel,
    /// Try it at once, also when the archive refused it before.
    TryNow,
}

/// A lock on a file. It is given up by name when it is dropped: a program that is being started by another thread has the
/// file open until it begins, and closing it here alone would leave the lock with it.
#[derive(Debug)]
struct Lock(File);

impl Drop for Lock {
    fn drop(&mut self) {
        // Closing the file, which follows, gives it up as well.
        let _given_up = self.0.unlock();
    }
}

impl Request {
    const fn suffix(self) -> &'static str {
        match self {
            Self::Cancel => "cancel",
            Self::TryNow => "try-now",
        }
    }
}

impl Queue {
    /// The queue in a folder, which is made if need be.
    ///
    /// # Errors
    /// When the folder cannot be made.
    pub fn open(folder: &Path) -> Result<Self, QueueError> {
        let queue = Self {
            folder: folder.to_owned(),
        };
        for part in ["objects", "jobs", "receipts", "requests", "damaged"] {
            let path = queue.folder.join(part);
            fs::create_dir_all(&path).map_err(|error| QueueError::disk(&path, error))?;
        }
        Ok(queue)
    }

    /// Adds an object for an archive, by the archive's name in the settings. When this returns, a copy of the
    /// object and its job are on disk. The same object that is waiting for the same archive is not added again.
    ///
    /// # Errors
    /// When the disk does not take it.
    pub fn add(
        &self,
        archive: &str,
        object: &StoredObject,
        now: Timestamp,
    ) -> Result<JobId, QueueError> {
        let _adding = self.lock_adding()?;
        let hash = blake3::hash(object.file_bytes()).to_hex().to_string();
        let same = |job: &Job| {
            job.archive == archive && job.hash == hash && job.object == *object.identity()
        };
        if let Some(waiting) = self.listing()?.jobs.into_iter().find(same) {
            return Ok(waiting.id);
        }
        let job = Job {
            id: JobId::new(now),
            archive: archive.to_owned(),
            object: object.identity().clone(),
            hash,
            added: now,
            state: JobState::Waiting { not_before: now },
            tries: 0,
            last_reason: None,
        };
        disk::write(&self.object_path(&job.id), object.file_bytes())?;
        self.write_job(&job)?;
        Ok(job.id)
    }

    /// What the queue holds. Nothing is changed, so anybody may look at any time.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn listing(&self) -> Result<Listing, QueueError> {
        let mut listing = Listing::default();
        for path in disk::files(&self.folder.join("jobs"))? {
            match self.read_job(&path) {
                Ok(Ok(job)) => listing.jobs.push(job),
                Ok(Err(reason)) => listing.damaged.push(Damage { path, reason }),
                // It left the queue between being listed and being read.
                Err(_gone) if !path.exists() => {}
                Err(problem) => return Err(problem),
            }
        }
        for path in disk::files(&self.folder.join("damaged"))? {
            listing.damaged.push(Damage {
                path,
                reason: "it was put aside because it could not be read".to_owned(),
            });
        }
        Ok(listing)
    }

    /// The receipts of all jobs that are done with, the oldest first; those that cannot be read are left out.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn receipts(&self) -> Result<Vec<Receipt>, QueueError> {
        let mut receipts = Vec::new();
        for path in disk::files(&self.folder.join("receipts"))? {
            if let Ok(receipt) = disk::read_value(&path)? {
                receipts.push(receipt);
            }
        }
        Ok(receipts)
    }

    /// How a job ended; nothing while it is not done with, or where its receipt cannot be read.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn settled(&self, id: &JobId) -> Result<Option<Settled>, QueueError> {
        let path = self.receipt_path(id);
        if !path.is_file() {
            return Ok(None);
        }
        let receipt: Result<Receipt, _> = disk::read_value(&path)?;
        Ok(receipt.ok().map(|receipt| receipt.settled))
    }

    /// Whether people asked for something that nobody has done yet.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn is_asked(&self) -> Result<bool, QueueError> {
        Ok(!disk::files(&self.folder.join("requests"))?.is_empty())
    }

    /// How many receipts there are, also of those that cannot be read.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn receipt_count(&self) -> Result<usize, QueueError> {
        Ok(disk::files(&self.folder.join("receipts"))?.len())
    }

    /// Asks for something to be done with a job: at once when nobody works the queue, or else by whoever does.
    ///
    /// # Errors
    /// When there is no such job.
    pub fn request(&self, id: &JobId, request: Request, now: Timestamp) -> Result<(), QueueError> {
        if !self.job_path(id).exists() {
            return Err(QueueError::Unknown(id.clone()));
        }
        let name = format!("{id}.{}", request.suffix());
        disk::write(&self.folder.join("requests").join(name), b"")?;
        match self.lock_working() {
            Ok(_working) => self.heed_requests(now),
            Err(QueueError::Busy) => Ok(()),
            Err(problem) => Err(problem),
        }
    }

    fn job_path(&self, id: &JobId) -> PathBuf {
        self.folder.join("jobs").join(format!("{id}.ron"))
    }

    fn object_path(&self, id: &JobId) -> PathBuf {
        self.folder.join("objects").join(format!("{id}.dcm"))
    }

    fn receipt_path(&self, id: &JobId) -> PathBuf {
        self.folder.join("receipts").join(format!("{id}.ron"))
    }

    fn write_job(&self, job: &Job) -> Result<(), QueueError> {
        disk::write_value(&self.job_path(&job.id), job)
    }

    /// The job in a file; the inner error says why it is damaged.
    fn read_job(&self, path: &Path) -> Result<Result<Job, String>, QueueError> {
        let read = disk::read_value::<Job>(path)?;
        Ok(read.and_then(|job| {
            if self.job_path(&job.id) == path {
                Ok(job)
            } else {
                Err("it says that it is another job".to_owned())
            }
        }))
    }

    fn lock_file(&self, name: &str) -> Result<File, QueueError> {
        let path = self.folder.join(name);
        OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .open(&path)
            .map_err(|error| QueueError::disk(&path, error))
    }

    /// Keeps others from working the queue, until the lock is dropped.
    fn lock_working(&self) -> Result<Lock, QueueError> {
        let file = self.lock_file("working.lock")?;
        match file.try_lock() {
            Ok(()) => Ok(Lock(file)),
            Err(fs::TryLockError::WouldBlock) => Err(QueueError::Busy),
            Err(fs::TryLockError::Error(error)) => Err(QueueError::disk(&self.folder, error)),
        }
    }

    /// Waits until nobody adds anything, and keeps others from it, until the lock is dropped.
    fn lock_adding(&self) -> Result<Lock, QueueError> {
        let file = self.lock_file("adding.lock")?;
        file.lock()
            .map_err(|error| QueueError::disk(&self.folder, error))?;
        Ok(Lock(file))
    }
}
