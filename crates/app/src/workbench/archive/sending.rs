//! What became of what was sent: told where it was sent from, when it is known.

use plumbray_archive::{JobId, Settled};

use super::QueueShown;
use crate::{
    words::counted,
    workbench::{Urgency, Workbench},
};

/// Objects that were put into the queue together, of which it is told what becomes of them.
#[derive(Clone, Debug)]
pub(crate) struct Sending {
    /// The name of the archive.
    pub(crate) archive: String,
    /// Their jobs.
    pub(crate) jobs: Vec<JobId>,
}

/// What is told of a sending.
#[derive(Debug)]
pub(super) struct TellingOfSending {
    sending: Sending,
    /// The notice that stands for it.
    told: String,
}

/// How far a sending is.
#[derive(Debug, PartialEq, Eq)]
enum Course {
    /// Nothing new.
    UnderWay,
    /// It is tried again by itself, and why it is not there yet.
    Waits(String),
    /// All of it is done with; so many of it were taken back.
    Done { taken_back: usize },
}

impl Sending {
    fn course(&self, queue: &QueueShown) -> Course {
        let ends = self.jobs.iter().filter_map(|job| {
            let ended = queue.settled.iter().find(|(settled, _)| settled == job);
            ended.map(|(_, how)| how)
        });
        let ends: Vec<&Settled> = ends.collect();
        if ends.len() == self.jobs.len() {
            let taken_back = ends.iter().filter(|how| ***how == Settled::Cancelled);
            return Course::Done {
                taken_back: taken_back.count(),
            };
        }
        let mut left = queue.jobs.iter().filter(|job| self.jobs.contains(&job.id));
        match left.find_map(|job| job.last_reason.clone()) {
            Some(reason) if queue.sending.is_none() => Course::Waits(reason),
            _ => Course::UnderWay,
        }
    }

    /// What is told of it at first.
    pub(crate) fn begun(&self) -> String {
        format!("On its way to {}: {}.", self.archive, self.objects())
    }

    fn objects(&self) -> String {
        counted(self.jobs.len(), "object", "objects")
    }

    /// What is told of it now, and whether it is nothing good; nothing where there is nothing new.
    fn told(&self, course: &Course) -> Option<(Urgency, String)> {
        let archive = &self.archive;
        match course {
            Course::UnderWay => None,
            Course::Waits(reason) => Some((
                Urgency::Warning,
                format!(
                    "Not at {archive} yet, {}: {}. What can be done stands on the page “Films of an archive…”.",
                    self.objects(),
                    reason.trim_end_matches('.')
                ),
            )),
            Course::Done { taken_back: 0 } => Some((
                Urgency::Note,
                format!("{archive} has them: {}.", self.objects()),
            )),
            Course::Done { taken_back } => Some((
                Urgency::Note,
                format!(
                    "Sent to {archive}: {}; taken back: {taken_back}.",
                    self.objects()
                ),
            )),
        }
    }
}

impl Workbench {
    /// Something was put into the queue: it is told what becomes of it.
    pub(in crate::workbench) fn tell_of_sending(&mut self, sending: Sending) {
        let told = sending.begun();
        self.note(told.clone());
        self.archives
            .sendings
            .push(TellingOfSending { sending, told });
        self.await_sendings();
    }

    /// Tells what is new of what was sent.
    pub(in crate::workbench) fn tell_what_became_of_sendings(&mut self) {
        if self.archives.sendings.is_empty() {
            return;
        }
        let queue = self.archives.queue.shown();
        let sendings = std::mem::take(&mut self.archives.sendings);
        let before = sendings.len();
        for mut telling in sendings {
            let course = telling.sending.course(&queue);
            let new = telling.sending.told(&course);
            if let Some((urgency, text)) = new.filter(|(_, text)| *text != telling.told) {
                self.notices.retain(|notice| notice.text != telling.told);
                self.tell(urgency, text.clone());
                telling.told = text;
            }
            if !matches!(course, Course::Done { .. }) {
                self.archives.sendings.push(telling);
            }
        }
        if self.archives.sendings.len() < before {
            self.await_sendings();
        }
    }

    fn await_sendings(&self) {
        let sendings = self.archives.sendings.iter();
        let jobs = sendings.flat_map(|telling| telling.sending.jobs.clone());
        self.archives.queue.await_jobs(jobs.collect());
    }
}
