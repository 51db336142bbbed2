//! The queue of what is to be sent, worked beside the window.
//!
//! One thread looks at the queue while its page is shown or something in it will be tried by itself. The queue's own
//! lock decides whether this program or a command works it.

use std::{
    fs,
    ops::ControlFlow,
    path::{Path, PathBuf},
    sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError},
    thread,
    time::Duration,
};

use jiff::Timestamp;
use plumbray_archive::{
    Action, AddressBook, Delays, Job, JobId, Queue, QueueError, Settled, Until, next_action, open,
};

use super::asking::Secrets;
use crate::workbench::Wake;

/// How often the queue is looked at, which others may add to.
const LOOK_EVERY: Duration = Duration::from_secs(2);

/// The queue as the page shows it. Nothing in it names a patient.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct QueueShown {
    /// What waits, the oldest first.
    pub jobs: Vec<Job>,
    /// What is being sent by this program.
    pub sending: Option<JobId>,
    /// Files of the queue that cannot be read, a sentence each.
    pub damaged: Vec<String>,
    /// How many receipts there are: of what was sent, was there already, or was taken back.
    pub receipts: usize,
    /// Why the queue cannot be used.
    pub problem: Option<String>,
    /// How jobs ended that this window waits for.
    pub(super) settled: Vec<(JobId, Settled)>,
}

/// Looks after the queue.
#[derive(Clone)]
pub(super) struct QueueKeeper {
    folder: PathBuf,
    book: Option<PathBuf>,
    wake: Wake,
    shared: Arc<Shared>,
}

#[derive(Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

#[derive(Default)]
struct State {
    shown: Arc<QueueShown>,
    /// Whether a thread looks after the queue.
    is_kept: bool,
    /// Whether the page is shown.
    is_watched: bool,
    /// The jobs of which this window wants to know how they end.
    awaited: Vec<JobId>,
    secrets: Secrets,
}

/// Says that nobody looks after the queue any more when the thread ends by a fault of the program.
struct Keeping<'a> {
    keeper: &'a QueueKeeper,
    /// Whether it was said already, and another thread may have begun since.
    is_said: bool,
}

impl Drop for Keeping<'_> {
    fn drop(&mut self) {
        if !self.is_said {
            self.keeper.state().is_kept = false;
        }
    }
}

impl QueueKeeper {
    /// Looks after the queue in this folder, for the archives of this address book, from now on if something is in it.
    pub(super) fn new(
        folder: PathBuf,
        book: Option<PathBuf>,
        secrets: Secrets,
        wake: Wake,
    ) -> Self {
        let keeper = Self {
            folder,
            book,
            wake,
            shared: Arc::default(),
        };
        keeper.state().secrets = secrets;
        if has_files(&keeper.folder.join("jobs")) {
            keeper.start();
        }
        keeper
    }

    /// What the queue holds.
    pub(super) fn shown(&self) -> Arc<QueueShown> {
        Arc::clone(&self.state().shown)
    }

    /// The page is shown, or no longer.
    pub(super) fn watch(&self, is_watched: bool) {
        self.state().is_watched = is_watched;
        if is_watched {
            self.start();
        }
    }

    /// Secrets that a person gave serve the queue, too.
    pub(super) fn use_secrets(&self, secrets: Secrets) {
        self.state().secrets = secrets;
    }

    /// Looks at once, because something was asked of the queue.
    pub(super) fn look_now(&self) {
        self.start();
        self.shared.changed.notify_all();
    }

    /// From now on it is shown how these jobs end, too, and no others.
    pub(super) fn await_jobs(&self, jobs: Vec<JobId>) {
        self.state().awaited = jobs;
        self.look_now();
    }

    /// The queue's folder.
    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // What the lock guards is whole at any moment.
        let state = self.shared.state.lock();
        state.unwrap_or_else(PoisonError::into_inner)
    }

    fn start(&self) {
        let mut state = self.state();
        if !state.is_kept {
            state.is_kept = true;
            let keeper = self.clone();
            thread::spawn(move || keeper.keep());
        }
    }

    /// Looks, and sends what is due, until nobody watches and nothing will be tried by itself.
    fn keep(&self) {
        let mut keeping = Keeping {
            keeper: self,
            is_said: false,
        };
        loop {
            let is_left = match self.look_and_send() {
                Ok(is_left) => is_left,
                Err(problem) => {
                    let problem = Some(problem.to_string());
                    self.show(QueueShown {
                        problem,
                        ..QueueShown::default()
                    });
                    false
                }
            };
            let mut state = self.state();
            if !is_left && !state.is_watched {
                state.is_kept = false;
                keeping.is_said = true;
                return;
            }
            let waited = self.shared.changed.wait_timeout(state, LOOK_EVERY);
            drop(waited.unwrap_or_else(PoisonError::into_inner));
        }
    }

    /// Whether something is left that will be tried by itself.
    fn look_and_send(&self) -> Result<bool, QueueError> {
        if !self.folder.is_dir() {
            self.show(QueueShown::default());
            return Ok(false);
        }
        let queue = Queue::open(&self.folder)?;
        let mut jobs = self.look(&queue, None)?;
        let now = Timestamp::now();
        let is_due = |job: &Job| matches!(next_action(job, now), Action::Ask | Action::Send);
        // What was asked while somebody worked the queue, and came too late for him, waits there.
        if queue.is_asked()? || jobs.iter().any(is_due) {
            match self.send(&queue) {
                // Who works it shows in the jobs.
                Ok(()) | Err(QueueError::Busy) => {}
                Err(problem) => return Err(problem),
            }
            jobs = self.look(&queue, None)?;
        }
        let rests = |job: &Job| next_action(job, now) == Action::Rest;
        Ok(!jobs.iter().all(rests))
    }

    fn send(&self, queue: &Queue) -> Result<(), QueueError> {
        let book = self.book.as_deref();
        let open_archive = |name: &str| {
            let book = book.map_or_else(|| Ok(AddressBook::default()), AddressBook::read)?;
            let address = book.named(name)?;
            let secrets = self.state().secrets.clone();
            open(address, secrets.of(address).as_deref())
        };
        let worked = queue.work(
            &open_archive,
            &Timestamp::now,
            Delays::default(),
            Until::NothingDue,
            &mut |job| match self.look(queue, Some(&job.id)) {
                Ok(_jobs) => ControlFlow::Continue(()),
                Err(_told_by_the_next_look) => ControlFlow::Break(()),
            },
        );
        worked.map(|_worked| ())
    }

    /// Shows what the queue holds.
    fn look(&self, queue: &Queue, sending: Option<&JobId>) -> Result<Vec<Job>, QueueError> {
        let listing = queue.listing()?;
        let damaged = listing.damaged.into_iter().map(|damage| {
            let path = damage.path.display();
            format!("{}: {path}", damage.reason)
        });
        let mut settled = Vec::new();
        let awaited = self.state().awaited.clone();
        for job in awaited {
            settled.extend(queue.settled(&job)?.map(|how| (job, how)));
        }
        self.show(QueueShown {
            jobs: listing.jobs.clone(),
            sending: sending.cloned(),
            damaged: damaged.collect(),
            receipts: queue.receipt_count()?,
            problem: None,
            settled,
        });
        Ok(listing.jobs)
    }

    fn show(&self, shown: QueueShown) {
        let mut state = self.state();
        if *state.shown != shown {
            state.shown = Arc::new(shown);
            drop(state);
            (self.wake)();
        }
    }
}

/// Whether a folder is there and not empty.
fn has_files(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut files| files.next().is_some())
}
