//! The clinic's archives: asked for studies, films fetched from them, and the queue of what is sent to them.
//!
//! What archives answer names patients. It is held by the page alone: no settings, no log and no list of recent feet
//! gets it, and it is gone when the page is put away.

mod addresses;
mod asking;
mod command;
mod form;
mod page;
mod question;
mod queue;
mod sending;

use std::{
    fmt,
    path::{Path, PathBuf},
    sync::Arc,
};

use jiff::Timestamp;
use plumbray_anatomy::View;
use plumbray_archive::{AddressBook, JobId, Origins, Queue, Request as QueueRequest};

pub(crate) use asking::ArchiveOutcome;
use asking::{Asking, Course, Secrets, Task, ask};
pub use command::{ArchiveCommand, GivenSecret};
pub use form::{AddressForm, UnfitAddress, Way, WayIn};
pub use page::{ArchivePage, FetchedFilm, FetchedStudy, ListedSeries, Said};
use page::{Doing, Waiting};
pub use question::{Question, UnfitQuestion};
use queue::QueueKeeper;
pub use queue::QueueShown;
pub(super) use sending::Sending;
use sending::TellingOfSending;

use super::{Command, Finished, Places, Wake, Workbench, state::Request};
use crate::archive_files;

/// What the worker does, as a person reads it; the page itself says so.
pub(super) const ASKING: &str = "Asking the archive";

/// All that the program knows of archives.
pub(super) struct Archives {
    page: Option<ArchivePage>,
    /// Which asking came last: answers to others come too late.
    number: u64,
    /// The file that remembers from which archive films were fetched, if the system has a place for one.
    origins_file: Option<PathBuf>,
    /// What it remembers.
    origins: Origins,
    queue: QueueKeeper,
    /// What was sent from here and is not told to have arrived.
    sendings: Vec<TellingOfSending>,
    wake: Wake,
}

impl fmt::Debug for Archives {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Archives")
            .field("number", &self.number)
            .finish_non_exhaustive()
    }
}

impl Archives {
    /// No page yet; a queue that is not empty is worked.
    pub(super) fn new(places: &Places, wake: Wake) -> Self {
        let secrets = Secrets {
            given: None,
            asks_keyring: places.asks_keyring,
        };
        let (folder, book) = (places.queue.clone(), places.archives.clone());
        let origins_file = book.as_deref().map(archive_files::origins);
        Self {
            page: None,
            number: 0,
            origins: read_origins(origins_file.as_deref()),
            origins_file,
            sendings: Vec::new(),
            queue: QueueKeeper::new(folder, book, secrets, Arc::clone(&wake)),
            wake,
        }
    }

    /// Answers to what was asked before come too late from now on; gives the number of what is asked next.
    const fn drop_answers(&mut self) -> u64 {
        self.number += 1;
        self.number
    }

    /// Reads from which archive films came: commands fetch films as well.
    fn read_origins(&mut self) {
        self.origins = read_origins(self.origins_file.as_deref());
    }

    /// An archive is called otherwise from now on.
    fn rename_origin(&mut self, before: &str, name: &str) {
        if before == name {
            return;
        }
        if let Some(file) = &self.origins_file {
            // Not to remember it costs a choice later, and no film.
            let _remembered = Origins::rename(file, before, name);
        }
        self.read_origins();
    }
}

fn read_origins(file: Option<&Path>) -> Origins {
    file.map(Origins::read).unwrap_or_default()
}

impl Workbench {
    /// The name of the archive from which the films of the open foot were fetched; nothing where they came from several
    /// places.
    #[must_use]
    pub fn came_from(&self) -> Option<&str> {
        let films = View::ALL.into_iter().filter_map(|view| self.film(view));
        let mut origins =
            films.map(|open| self.archives.origins.archive_of(open.film.content_hash()));
        let first = origins.next()?;
        first.filter(|_| origins.all(|other| other == first))
    }

    /// The page on which archives are asked, if it is shown. It is seen while no foot is open.
    #[must_use]
    pub const fn archive_page(&self) -> Option<&ArchivePage> {
        self.archives.page.as_ref()
    }

    /// Whether the system's keyring may keep secrets.
    #[must_use]
    pub const fn keeps_secrets(&self) -> bool {
        self.places.asks_keyring
    }

    /// What waits to be sent to archives.
    #[must_use]
    pub fn queue_shown(&self) -> Arc<QueueShown> {
        self.archives.queue.shown()
    }

    /// Does what belongs to archives.
    pub(super) fn apply_to_archive(&mut self, command: ArchiveCommand) {
        match command {
            ArchiveCommand::Show => self.show_archives(),
            ArchiveCommand::Leave => self.leave_archives(),
            ArchiveCommand::Find(question) => match question.wanted() {
                Ok(wanted) => self.ask_archive(Task::Find(Box::new(wanted)), false),
                Err(unfit) => self.say_that_question_is_unfit(&unfit),
            },
            ArchiveCommand::Echo => self.ask_archive(Task::Echo, false),
            ArchiveCommand::GiveSecret(secret, keeps) => self.give_secret(secret, keeps),
            ArchiveCommand::ListSeries(study) => self.ask_archive(Task::Series(study), false),
            ArchiveCommand::AskWhereToFetch(films) => {
                self.requests.push(Request::AskWhereToFetch(films));
            }
            ArchiveCommand::Fetch(films, folder) => {
                self.ask_archive(Task::Fetch(films, folder), false);
            }
            ArchiveCommand::FetchWithoutDialog(films) => {
                // The folder is named by the study, never by the patient.
                let folder = self.places.fetched.join(films.study.as_str());
                self.ask_archive(Task::Fetch(films, folder), false);
                let text =
                    "This desktop has no file dialogs, so the films go into a folder of your own.";
                self.say_of_archive(Said::note(text.to_owned()));
            }
            ArchiveCommand::Stop => self.stop_asking(),
            ArchiveCommand::OpenTicked => self.open_fetched(),
            ArchiveCommand::OfQueue(job, request) => self.ask_of_queue(job, request),
            ArchiveCommand::KeepAddress(form) => self.keep_address(&form),
            ArchiveCommand::RemoveAddress => self.remove_address(),
            on_page => {
                if matches!(on_page, ArchiveCommand::Choose(_)) {
                    self.archives.drop_answers();
                }
                if let Some(page) = &mut self.archives.page {
                    page.apply(on_page);
                }
            }
        }
    }

    fn show_archives(&mut self) {
        self.close_foot();
        self.leave_disc();
        let book = match &self.places.archives {
            Some(path) => AddressBook::read(path).map_err(|problem| problem.to_string()),
            None => Err("this user has no folder for settings".to_owned()),
        };
        self.archives
            .page
            .get_or_insert_with(ArchivePage::default)
            .take_book(book);
        self.archives.queue.watch(true);
    }

    /// Puts the page away, with all that archives answered.
    pub(super) fn leave_archives(&mut self) {
        if let Some(mut page) = self.archives.page.take() {
            page.stop();
            self.archives.drop_answers();
            self.archives.queue.watch(false);
        }
    }

    fn say_that_question_is_unfit(&mut self, unfit: &UnfitQuestion) {
        let page = self.archives.page.as_ref();
        let has_answers = page.is_some_and(|page| page.found().is_some());
        let remark = if has_answers {
            " Nothing was asked; below stands what the question before gave."
        } else {
            ""
        };
        self.say_of_archive(Said::problem(format!("{unfit}{remark}")));
    }

    fn say_of_archive(&mut self, said: Said) {
        if let Some(page) = &mut self.archives.page {
            page.said = Some(said);
        }
    }

    /// Asks the chosen archive on a worker's thread.
    fn ask_archive(&mut self, task: Task, keeps_secret: bool) {
        let number = self.archives.drop_answers();
        let Archives {
            page: Some(page),
            wake,
            origins_file,
            ..
        } = &mut self.archives
        else {
            return;
        };
        let Some(address) = page.chosen().cloned() else {
            return;
        };
        page.stop();
        let course = Course::default();
        page.begin(Doing::of(&task, course.clone()), Waiting::of(&task));
        let asking = Asking {
            address,
            task,
            secrets: Secrets {
                given: page.given.clone(),
                asks_keyring: self.places.asks_keyring,
            },
            keeps_secret,
            course,
            origins: origins_file.clone(),
            wake: Arc::clone(wake),
        };
        self.jobs.start(ASKING, move || {
            Finished::ArchiveAnswered(number, Box::new(ask(&asking)))
        });
    }

    pub(super) fn archive_answered(&mut self, number: u64, outcome: ArchiveOutcome) {
        if number != self.archives.number {
            return;
        }
        let Some(page) = &mut self.archives.page else {
            return;
        };
        let has_fetched = matches!(outcome, ArchiveOutcome::Fetched(..));
        page.take_outcome(outcome);
        if page.given.is_some() && !page.wants_secret() {
            // What the archive took serves its queue as long as the program runs.
            self.archives.queue.use_secrets(Secrets {
                given: page.given.clone(),
                asks_keyring: self.places.asks_keyring,
            });
            self.archives.queue.look_now();
        }
        if has_fetched {
            self.archives.read_origins();
        }
    }

    /// Reads from which archive films came: commands may have fetched some meanwhile.
    pub(super) fn read_origins(&mut self) {
        self.archives.read_origins();
    }

    /// The worker failed by a fault of the program: nothing is waited for any more.
    pub(super) fn asking_failed(&mut self, name: &str) {
        if name == ASKING {
            self.stop_asking();
        }
    }

    fn stop_asking(&mut self) {
        self.archives.drop_answers();
        if let Some(page) = &mut self.archives.page {
            page.stop_and_say();
        }
    }

    fn give_secret(&mut self, secret: GivenSecret, keeps: bool) {
        let Some(page) = &mut self.archives.page else {
            return;
        };
        if let Some(task) = page.take_given(secret) {
            self.ask_archive(task, keeps);
        }
    }

    fn open_fetched(&mut self) {
        let ticked = self.archives.page.as_ref().map(ArchivePage::ticked);
        let ticked = ticked.unwrap_or_default();
        if !ticked.is_empty() {
            self.apply(Command::Open(ticked));
        }
    }

    fn ask_of_queue(&mut self, job: JobId, request: QueueRequest) {
        let folder = self.archives.queue.folder().to_owned();
        self.jobs.start(ASKING, move || {
            let asked = Queue::open(&folder)
                .and_then(|queue| queue.request(&job, request, Timestamp::now()));
            Finished::QueueAsked(asked.map_err(|problem| problem.to_string()))
        });
    }

    pub(super) fn queue_was_asked(&mut self, asked: Result<(), String>) {
        if let Err(problem) = asked {
            self.say_of_archive(Said::problem(problem));
        }
        self.archives.queue.look_now();
    }

    /// Whether what a command does can be done now.
    pub(super) fn can_ask_archive(&self, command: &ArchiveCommand) -> bool {
        let page = self.archives.page.as_ref();
        match command {
            ArchiveCommand::Show => page.is_none() || self.has_foot(),
            ArchiveCommand::Echo
            | ArchiveCommand::Find(_)
            | ArchiveCommand::ChangeAddress
            | ArchiveCommand::AskToRemove(_)
            | ArchiveCommand::ListSeries(_)
            | ArchiveCommand::AskWhereToFetch(_)
            | ArchiveCommand::Fetch(..)
            | ArchiveCommand::FetchWithoutDialog(_) => {
                page.is_some_and(|page| page.chosen().is_some())
            }
            ArchiveCommand::GiveSecret(..) => page.is_some_and(ArchivePage::wants_secret),
            ArchiveCommand::Stop => page.is_some_and(|page| page.waits_for().is_some()),
            ArchiveCommand::OpenTicked => page.is_some_and(|page| !page.ticked().is_empty()),
            ArchiveCommand::RemoveAddress => page.is_some_and(ArchivePage::is_removing),
            ArchiveCommand::Leave
            | ArchiveCommand::HideSeries
            | ArchiveCommand::Choose(_)
            | ArchiveCommand::AddAddress
            | ArchiveCommand::LeaveAddress
            | ArchiveCommand::KeepAddress(_)
            | ArchiveCommand::Tick(..)
            | ArchiveCommand::OfQueue(..) => page.is_some(),
        }
    }
}
