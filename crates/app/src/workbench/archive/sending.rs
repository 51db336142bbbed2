//! What became of what was sent: told where it was sent from, when it is known.

use plumbray_archive::{Job, JobId, JobState, Settled};

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
    /// So many of it are not there yet, and why; whether the archive refused one, which is not tried again by itself.
    Waits {
        left: usize,
        why: String,
        is_refused: bool,
    },
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
        let left = queue.jobs.iter().filter(|job| self.jobs.contains(&job.id));
        let left: Vec<&Job> = left.collect();
        match left.iter().find_map(|job| job.last_reason.clone()) {
            Some(why) if queue.sending.is_none() => Course::Waits {
                left: left.len(),
                why,
                is_refused: left.iter().any(|job| job.state == JobState::Refused),
            },
            _ => Course::UnderWay,
        }
    }

    /// What is told of it at first.
    pub(crate) fn begun(&self) -> String {
        format!("On its way to {}: {}.", self.archive, self.objects())
    }

    fn objects(&self) -> String {
        objects(self.jobs.len())
    }

    /// What is told of it now, and whether it is nothing good; nothing where there is nothing new.
    fn told(&self, course: &Course) -> Option<(Urgency, String)> {
        let archive = &self.archive;
        match course {
            Course::UnderWay => None,
            Course::Waits {
                left,
                why,
                is_refused,
            } => {
                let how = if *is_refused {
                    "Refused by"
                } else {
                    "Not yet at"
                };
                Some((
                    Urgency::Warning,
                    format!(
                        "{how} {archive}, {}: {}. What can be done stands on the page “Films of an archive…”.",
                        objects(*left),
                        why.trim_end_matches('.')
                    ),
                ))
            }
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

fn objects(count: usize) -> String {
    counted(count, "object", "objects")
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
