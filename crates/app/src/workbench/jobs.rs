//! Work of more than a few milliseconds, off the window's thread.

use std::{
    fmt,
    panic::{AssertUnwindSafe, catch_unwind},
    sync::{
        Arc,
        mpsc::{Receiver, Sender, channel},
    },
    thread,
    time::Duration,
};

/// Called on a worker's thread when a result is waiting, so that the window wakes up.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// A job ended without a result, by a fault of the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct JobFailed {
    /// What the job was doing, as a person reads it: "Opening foot.png".
    pub name: String,
}

/// The jobs that run and the results that wait.
pub(crate) struct Jobs<T> {
    sender: Sender<(String, Result<T, JobFailed>)>,
    receiver: Receiver<(String, Result<T, JobFailed>)>,
    running: Vec<String>,
    wake: Wake,
}

impl<T> fmt::Debug for Jobs<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Jobs")
            .field("running", &self.running)
            .finish_non_exhaustive()
    }
}

impl<T: Send + 'static> Jobs<T> {
    /// No jobs yet; `wake` is called whenever one ends.
    #[must_use]
    pub(crate) fn new(wake: Wake) -> Self {
        let (sender, receiver) = channel();
        Self {
            sender,
            receiver,
            running: Vec::new(),
            wake,
        }
    }

    /// Starts a job under a name that a person can read.
    pub(crate) fn start(&mut self, name: &str, work: impl FnOnce() -> T + Send + 'static) {
        self.running.push(name.to_owned());
        let (sender, wake, name) = (self.sender.clone(), Arc::clone(&self.wake), name.to_owned());
        thread::spawn(move || {
            let result = catch_unwind(AssertUnwindSafe(work))
                .map_err(|_panic| JobFailed { name: name.clone() });
            // The receiver is gone only when the program ends; then nobody waits for the result.
            if sender.send((name, result)).is_ok() {
                wake();
            }
        });
    }

    /// The names of the jobs that have not ended.
    #[must_use]
    pub(crate) fn running(&self) -> &[String] {
        &self.running
    }

    /// The results that have arrived since the last call.
    pub(crate) fn take_finished(&mut self) -> Vec<Result<T, JobFailed>> {
        let arrived: Vec<_> = self.receiver.try_iter().collect();
        arrived
            .into_iter()
            .map(|(name, result)| self.ended(&name, result))
            .collect()
    }

    /// Waits for the next result; nothing when no job runs or none ends within the time.
    pub(crate) fn wait_for_one(&mut self, at_most: Duration) -> Option<Result<T, JobFailed>> {
        if self.running.is_empty() {
            return None;
        }
        let (name, result) = self.receiver.recv_timeout(at_most).ok()?;
        Some(self.ended(&name, result))
    }

    fn ended(&mut self, name: &str, result: Result<T, JobFailed>) -> Result<T, JobFailed> {
        if let Some(at) = self.running.iter().position(|running| running == name) {
            self.running.remove(at);
        }
        result
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_job_gives_its_result_and_is_no_longer_running() {
        let mut jobs = Jobs::new(Arc::new(|| {}));
        jobs.start("Counting", || 7);
        assert_eq!(jobs.running(), ["Counting"], "started");
        assert_eq!(
            jobs.wait_for_one(Duration::from_secs(10)),
            Some(Ok(7)),
            "result"
        );
        assert!(jobs.running().is_empty(), "ended");
    }

    #[test]
    fn a_job_that_fails_names_itself_and_harms_nothing() {
        let mut jobs: Jobs<u8> = Jobs::new(Arc::new(|| {}));
        jobs.start("Opening a.png", || panic!("as a fault would"));
        let failed = jobs.wait_for_one(Duration::from_secs(10));
        assert_eq!(
            failed,
            Some(Err(JobFailed {
                name: "Opening a.png".to_owned()
            })),
            "named"
        );
    }
}
