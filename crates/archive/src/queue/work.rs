//! Working a queue: one process at a time, one object after the other.

use std::{fs, ops::ControlFlow, thread, time::Duration};

use jiff::Timestamp;
use rand::Rng as _;

use super::{
    Damage, Job, JobId, JobState, Queue, QueueError, Receipt, Request, Settled, disk,
    state::{self, Action, Delays, Setback, next_action},
};
use crate::{archive::Archive, error::ArchiveError, object::StoredObject};

/// How often a worker that waits looks for new jobs and requests.
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// Gives the archive with a certain name in the settings.
pub type OpenArchive<'a> = dyn Fn(&str) -> Result<Box<dyn Archive>, ArchiveError> + 'a;

/// When a worker stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// When nothing is due now.
    NothingDue,
    /// When nothing is left that will be tried by itself; it waits for what is due later.
    Empty,
}

/// What a worker did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Worked {
    /// The receipts that it wrote.
    pub receipts: Vec<Receipt>,
    /// Files that it put aside because they could not be read.
    pub damaged: Vec<Damage>,
}

/// What a worker needs to know beside the queue.
struct Worker<'a> {
    queue: &'a Queue,
    open: &'a OpenArchive<'a>,
    clock: &'a dyn Fn() -> Timestamp,
    delays: Delays,
}

impl Queue {
    /// Sends what is due, until there is nothing to do or `watch`, which is told of each job before it
    /// is tried, wants no more.
    ///
    /// # Errors
    /// [`QueueError::Busy`] when another process works this queue, or when the disk fails. Whatever went wrong
    /// with an archive stands in its jobs instead.
    pub fn work(
        &self,
        open: &OpenArchive<'_>,
        clock: &dyn Fn() -> Timestamp,
        delays: Delays,
        until: Until,
        watch: &mut dyn FnMut(&Job) -> ControlFlow<()>,
    ) -> Result<Worked, QueueError> {
        let _working = self.lock_working()?;
        let worker = Worker {
            queue: self,
            open,
            clock,
            delays,
        };
        let mut worked = Worked::default();
        self.tidy()?;
        loop {
            self.heed_requests(clock())?;
            let jobs = self.readable_jobs(&mut worked.damaged)?;
            let now = clock();
            let due = jobs
                .iter()
                .find(|job| matches!(next_action(job, now), Action::Ask | Action::Send));
            if let Some(job) = due {
                if watch(job).is_break() {
                    return Ok(worked);
                }
                worked.receipts.extend(worker.try_once(job)?);
                continue;
            }
            let is_waiting = |job: &Job| matches!(next_action(job, now), Action::WaitUntil(_));
            if until == Until::NothingDue || !jobs.iter().any(is_waiting) {
                return Ok(worked);
            }
            thread::sleep(LOOK_EVERY);
        }
    }

    /// Finishes what a killed process left half done. Only for who works the queue.
    fn tidy(&self) -> Result<(), QueueError> {
        let _adding = self.lock_adding()?;
        for part in ["objects", "jobs", "receipts", "requests"] {
            disk::sweep(&self.folder.join(part))?;
        }
        for path in disk::files(&self.folder.join("jobs"))? {
            if id_of(&path).is_some_and(|id| self.receipt_path(&id).exists()) {
                disk::remove(&path)?;
            }
        }
        // A copy without job was never promised to be sent, or has been. One whose job is damaged stays.
        let damaged = disk::files(&self.folder.join("damaged"))?;
        for path in disk::files(&self.folder.join("objects"))? {
            let Some(id) = id_of(&path) else {
                continue;
            };
            let is_of = |path: &std::path::PathBuf| id_of(path).as_ref() == Some(&id);
            if !self.job_path(&id).exists() && !damaged.iter().any(is_of) {
                disk::remove(&path)?;
            }
        }
        Ok(())
    }

    /// The jobs, those that cannot be read put aside.
    fn readable_jobs(&self, damaged: &mut Vec<Damage>) -> Result<Vec<Job>, QueueError> {
        let mut jobs = Vec::new();
        for path in disk::files(&self.folder.join("jobs"))? {
            match self.read_job(&path)? {
                Ok(job) => jobs.push(job),
                Err(reason) => damaged.push(Damage {
                    path: disk::put_aside(&path, &self.folder.join("damaged"))?,
                    reason,
                }),
            }
        }
        Ok(jobs)
    }

    /// Does what people asked for. Only for who works the queue.
    pub(super) fn heed_requests(&self, now: Timestamp) -> Result<(), QueueError> {
        for path in disk::files(&self.folder.join("requests"))? {
            let extension = path.extension().unwrap_or_default().to_string_lossy();
            let known = [Request::Cancel, Request::TryNow];
            let request = known.into_iter().find(|known| known.suffix() == extension);
            if let (Some(id), Some(request)) = (id_of(&path), request)
                && self.job_path(&id).exists()
                && let Ok(job) = self.read_job(&self.job_path(&id))?
            {
                match request {
                    Request::TryNow => self.write_job(&state::hurried(job, now))?,
                    Request::Cancel => {
                        self.settle(&job, Settled::Cancelled, now)?;
                    }
                }
            }
            disk::remove(&path)?;
        }
        Ok(())
    }

    /// Ends a job: first its receipt, then the job itself, then the copy.
    fn settle(&self, job: &Job, settled: Settled, now: Timestamp) -> Result<Receipt, QueueError> {
        let receipt = Receipt {
            job: job.id.clone(),
            archive: job.archive.clone(),
            object: job.object.clone(),
            hash: job.hash.clone(),
            at: now,
            settled,
        };
        disk::write_value(&self.receipt_path(&job.id), &receipt)?;
        disk::remove(&self.job_path(&job.id))?;
        disk::remove(&self.object_path(&job.id))?;
        Ok(receipt)
    }
}

/// The job whose file this is, by its name.
fn id_of(path: &std::path::Path) -> Option<JobId> {
    let name = path.file_name()?.to_str()?;
    JobId::parse(name.split('.').next()?)
}

impl Worker<'_> {
    /// Asks for an object or sends it, and notes what came of it. Gives the receipt when the job is done with.
    fn try_once(&self, job: &Job) -> Result<Option<Receipt>, QueueError> {
        let archive = match (self.open)(&job.archive) {
            Ok(archive) => archive,
            Err(problem) => {
                let setback = Setback::NotTried(problem.to_string());
                return self.note(job.clone(), setback).map(|()| None);
            }
        };
        if !matches!(job.state, JobState::Waiting { .. }) {
            match archive.holds(&job.object) {
                Ok(Some(true)) => {
                    let receipt = self.queue.settle(job, Settled::FoundThere, (self.clock)());
                    return receipt.map(Some);
                }
                // It is not there; or the archive cannot be asked, and keeps one object under one identifier.
                Ok(Some(false) | None) => {}
                Err(problem) => {
                    let mut job = job.clone();
                    job.tries = job.tries.saturating_add(1);
                    let setback = Setback::InDoubt(problem.to_string());
                    return self.note(job, setback).map(|()| None);
                }
            }
        }
        self.send(&*archive, job)
    }

    fn send(&self, archive: &dyn Archive, job: &Job) -> Result<Option<Receipt>, QueueError> {
        let object = match self.copy_of(job) {
            Ok(object) => object,
            Err(reason) => {
                let setback = Setback::Never(reason);
                return self.note(job.clone(), setback).map(|()| None);
            }
        };
        let job = state::sending(job.clone(), (self.clock)());
        self.queue.write_job(&job)?;
        let setback = match archive.send(&object) {
            Ok(accepted) => {
                let settled = Settled::Accepted {
                    warning: accepted.warning,
                };
                let receipt = self.queue.settle(&job, settled, (self.clock)());
                return receipt.map(Some);
            }
            Err(failed) => {
                let reason = failed.to_string();
                match (failed.is_in_doubt, failed.error.may_pass()) {
                    (true, _) => Setback::InDoubt(reason),
                    (false, true) => Setback::Later(reason),
                    (false, false) => Setback::Never(reason),
                }
            }
        };
        self.note(job, setback).map(|()| None)
    }

    /// The object's copy in the queue, if it is still what was added.
    fn copy_of(&self, job: &Job) -> Result<StoredObject, String> {
        let damaged = |detail: String| {
            format!("the queue's copy of the object is damaged ({detail}); add the film again")
        };
        let path = self.queue.object_path(&job.id);
        let bytes = fs::read(path).map_err(|error| damaged(error.to_string()))?;
        if blake3::hash(&bytes).to_hex().as_str() != job.hash {
            return Err(damaged("it was changed".to_owned()));
        }
        StoredObject::of_bytes(bytes).map_err(damaged)
    }

    fn note(&self, job: Job, setback: Setback) -> Result<(), QueueError> {
        let chance = rand::rng().random_range(0.0..1.0);
        let job = state::set_back(job, setback, (self.clock)(), self.delays, chance);
        self.queue.write_job(&job)
    }
}
