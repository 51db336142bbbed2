//! The page on which archives are asked: what was asked, what was answered, what is waited for.

use std::{fmt, path::PathBuf, sync::Arc, sync::atomic::Ordering};

use plumbray_anatomy::View;
use plumbray_archive::{
    Address, AddressBook, FoundSeries, FoundStudies, FoundStudy, Secret, SecretPlace, Uid,
};

use super::{
    ArchiveCommand, ArchiveOutcome, GivenSecret,
    asking::{Course, Task},
    form::AddressForm,
};

/// The page on which archives are asked. It names patients and holds a secret, so it has no text of its own.
#[derive(Default)]
pub struct ArchivePage {
    book: AddressBook,
    book_problem: Option<String>,
    chosen: Option<String>,
    /// The address that is being written: how its form begins.
    address: Option<AddressForm>,
    /// The archive whose address that is; nothing for a new one.
    changed: Option<String>,
    /// Whether somebody wants to take the chosen archive out of the list, and was asked whether that is meant.
    is_removing: bool,
    pub(super) given: Option<(SecretPlace, Arc<Secret>)>,
    /// What is done once a secret is given.
    waiting: Option<Waiting>,
    wants_secret: bool,
    found: Option<FoundStudies>,
    series: Option<ListedSeries>,
    /// What was fetched, the latest first.
    fetched: Vec<FetchedStudy>,
    doing: Option<Doing>,
    pub(super) said: Option<Said>,
}

/// What is said on the page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Said {
    /// A sentence.
    pub text: String,
    /// Whether something did not work.
    pub is_problem: bool,
}

/// The series of a study that an archive listed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListedSeries {
    /// Study Instance UID.
    pub study: Uid,
    /// Its series, each with its films.
    pub series: Vec<FoundSeries>,
}

/// The films of a study that were fetched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FetchedStudy {
    /// Study Instance UID.
    pub study: Uid,
    /// Where they lie.
    pub folder: PathBuf,
    /// The films.
    pub films: Vec<FetchedFilm>,
    /// How many objects came that are no films.
    pub others: usize,
    /// What did not come, or cannot be read.
    pub complaints: Vec<String>,
}

impl FetchedStudy {
    fn has_ticks(&self) -> bool {
        self.films.iter().any(|film| film.is_ticked)
    }

    fn untick(&mut self) {
        for film in &mut self.films {
            film.is_ticked = false;
        }
    }
}

/// A film that was fetched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FetchedFilm {
    /// Its file.
    pub path: PathBuf,
    /// From where it was taken, where its file says so.
    pub view: Option<View>,
    /// View, side, day, modality and description, without its patient.
    pub words: String,
    /// Whether it is to be opened.
    pub is_ticked: bool,
}

/// What is waited for.
pub(super) struct Doing {
    words: &'static str,
    course: Course,
    folder: Option<PathBuf>,
}

/// What is done again once a secret is given.
pub(super) struct Waiting(Task);

impl fmt::Debug for ArchivePage {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("ArchivePage(…)")
    }
}

impl Said {
    pub(super) const fn problem(text: String) -> Self {
        Self {
            text,
            is_problem: true,
        }
    }

    pub(super) const fn note(text: String) -> Self {
        Self {
            text,
            is_problem: false,
        }
    }
}

impl Doing {
    pub(super) fn of(task: &Task, course: Course) -> Self {
        let (words, folder) = match task {
            Task::Echo => ("Asking whether the archive is there", None),
            Task::Find(_) => ("Asking for studies", None),
            Task::Series(_) => ("Asking for the series", None),
            Task::Fetch(_, folder) => ("Fetching films", Some(folder.clone())),
        };
        Self {
            words,
            course,
            folder,
        }
    }
}

impl Waiting {
    pub(super) fn of(task: &Task) -> Self {
        Self(task.clone())
    }
}

impl ArchivePage {
    /// All archives, in the order in which they were added.
    #[must_use]
    pub fn archives(&self) -> &[Address] {
        self.book.archives()
    }

    /// Why the list of archives cannot be used.
    #[must_use]
    pub fn book_problem(&self) -> Option<&str> {
        self.book_problem.as_deref()
    }

    /// Whether an archive of the list has its secret there.
    pub(super) fn uses_secret_of(&self, place: &SecretPlace) -> bool {
        self.book.uses_secret_of(place)
    }

    /// The archive that is asked; nothing when none is known.
    #[must_use]
    pub fn chosen(&self) -> Option<&Address> {
        self.book.named(self.chosen.as_deref()?).ok()
    }

    /// The address that is being written: how its form begins.
    #[must_use]
    pub const fn address(&self) -> Option<&AddressForm> {
        self.address.as_ref()
    }

    /// Whether the address that is written is one that is known already.
    #[must_use]
    pub const fn changes_address(&self) -> bool {
        self.changed.is_some()
    }

    /// The archive whose address is changed.
    pub(super) fn changed(&self) -> Option<&str> {
        self.changed.as_deref()
    }

    /// Whether it has to be said whether the chosen archive is really taken out of the list.
    #[must_use]
    pub const fn is_removing(&self) -> bool {
        self.is_removing
    }

    /// Whether a secret has to be given before anything else.
    #[must_use]
    pub const fn wants_secret(&self) -> bool {
        self.wants_secret
    }

    /// What the archive has of what was asked for last.
    #[must_use]
    pub const fn found(&self) -> Option<&FoundStudies> {
        self.found.as_ref()
    }

    /// The series of the study of which they were asked for last.
    #[must_use]
    pub const fn series(&self) -> Option<&ListedSeries> {
        self.series.as_ref()
    }

    /// What was fetched, the latest first: the two films of a foot may belong to two studies.
    #[must_use]
    pub fn fetched(&self) -> &[FetchedStudy] {
        &self.fetched
    }

    /// Whether films of a study were fetched.
    #[must_use]
    pub fn has_fetched(&self, study: &Uid) -> bool {
        self.fetched.iter().any(|fetched| fetched.study == *study)
    }

    /// A study as the archive listed it.
    #[must_use]
    pub fn study(&self, study: &Uid) -> Option<&FoundStudy> {
        let mut studies = self.found.iter().flat_map(|found| &found.studies);
        studies.find(|found| found.study == *study)
    }

    /// Whether the films that are ticked belong to studies of several patients, by the number and name that the archive
    /// told.
    #[must_use]
    pub fn ticks_several_patients(&self) -> bool {
        let studies = self.fetched.iter().filter(|fetched| fetched.has_ticks());
        let mut patients = studies.filter_map(|fetched| {
            let study = self.study(&fetched.study)?;
            Some((&study.patient_id, &study.patient_name))
        });
        let first = patients.next();
        patients.any(|other| Some(other) != first)
    }

    /// What is said, if anything.
    #[must_use]
    pub const fn said(&self) -> Option<&Said> {
        self.said.as_ref()
    }

    /// What is waited for, and how far it is.
    #[must_use]
    pub fn waits_for(&self) -> Option<String> {
        let doing = self.doing.as_ref()?;
        let arrived = doing.course.arrived.load(Ordering::Relaxed);
        Some(match (arrived, &doing.folder) {
            (0, _) | (_, None) => format!("{}…", doing.words),
            (1, Some(_)) => format!("{}: 1 has arrived…", doing.words),
            (arrived, Some(_)) => format!("{}: {arrived} have arrived…", doing.words),
        })
    }

    /// The films that are ticked.
    #[must_use]
    pub fn ticked(&self) -> Vec<PathBuf> {
        let films = self.fetched.iter().rev();
        let films = films.flat_map(|fetched| &fetched.films);
        let ticked = films.filter(|film| film.is_ticked);
        ticked.map(|film| film.path.clone()).collect()
    }

    /// Does what changes the page alone.
    pub(super) fn apply(&mut self, command: ArchiveCommand) {
        match command {
            ArchiveCommand::Choose(name) => self.choose(name),
            ArchiveCommand::AddAddress => {
                self.leave_address();
                self.address = Some(AddressForm::default());
            }
            ArchiveCommand::ChangeAddress => {
                self.leave_address();
                self.address = self.chosen().map(AddressForm::of);
                self.changed.clone_from(&self.chosen);
            }
            ArchiveCommand::AskToRemove(is_removing) => self.is_removing = is_removing,
            ArchiveCommand::HideSeries => self.series = None,
            ArchiveCommand::LeaveAddress => self.leave_address(),
            ArchiveCommand::Tick(path, is_ticked) => {
                let films = self.fetched.iter_mut();
                let mut films = films.flat_map(|fetched| &mut fetched.films);
                if let Some(film) = films.find(|film| film.path == path) {
                    film.is_ticked = is_ticked;
                }
            }
            _ => {}
        }
    }

    /// Takes the list of archives; the first one is asked where none was chosen.
    pub(super) fn take_book(&mut self, book: Result<AddressBook, String>) {
        match book {
            Ok(book) => {
                (self.book, self.book_problem) = (book, None);
                if self.chosen().is_none() {
                    self.choose_first();
                }
            }
            Err(problem) => self.book_problem = Some(problem),
        }
    }

    pub(super) fn leave_address(&mut self) {
        self.address = None;
        self.changed = None;
        self.is_removing = false;
        self.said = None;
    }

    pub(super) fn choose_first(&mut self) {
        let first = self.book.archives().first();
        self.choose(first.map(|first| first.name.clone()).unwrap_or_default());
    }

    /// Another archive is asked: what the one before answered, and the secret for it, are forgotten.
    pub(super) fn choose(&mut self, name: String) {
        self.stop();
        self.chosen = (!name.is_empty()).then_some(name);
        self.given = None;
        self.waiting = None;
        self.wants_secret = false;
        self.found = None;
        self.series = None;
        self.fetched.clear();
        self.said = None;
    }

    pub(super) fn begin(&mut self, doing: Doing, waiting: Waiting) {
        match &waiting.0 {
            Task::Echo | Task::Fetch(..) => {}
            Task::Find(_) => {
                self.found = None;
                self.series = None;
                self.fetched.clear();
            }
            Task::Series(_) => self.series = None,
        }
        self.doing = Some(doing);
        self.waiting = Some(waiting);
        self.wants_secret = false;
        self.said = None;
    }

    /// Nothing is waited for any more; gives what was.
    pub(super) fn stop(&mut self) -> Option<Doing> {
        let doing = self.doing.take()?;
        doing.course.is_stopped.store(true, Ordering::Relaxed);
        Some(doing)
    }

    pub(super) fn stop_and_say(&mut self) {
        if let Some(doing) = self.stop() {
            self.said = Some(Said::note(match doing.folder {
                Some(folder) => {
                    let folder = folder.display();
                    format!("Stopped. What had arrived lies in {folder}")
                }
                None => "Stopped.".to_owned(),
            }));
        }
    }

    /// Takes a secret for the chosen archive; gives what is done with it.
    pub(super) fn take_given(&mut self, secret: GivenSecret) -> Option<Task> {
        let place = self.chosen()?.secret_place()?;
        let task = self.waiting.take()?.0;
        self.given = Some((place, secret.0));
        Some(task)
    }

    /// Puts what was fetched first. Films of another study stay ticked where all together are the two of one foot.
    fn take_fetched(&mut self, fetched: FetchedStudy) {
        self.fetched
            .retain(|before| before.folder != fetched.folder || before.study != fetched.study);
        self.fetched.insert(0, fetched);
        let ticked = self.ticked().len();
        if ticked > 2 || self.ticks_several_patients() || self.ticks_a_view_twice() {
            for before in &mut self.fetched[1..] {
                before.untick();
            }
        }
    }

    fn ticks_a_view_twice(&self) -> bool {
        let films = self.fetched.iter().flat_map(|fetched| &fetched.films);
        let views: Vec<_> = films
            .filter(|film| film.is_ticked)
            .map(|film| film.view)
            .collect();
        View::ALL
            .iter()
            .any(|view| views.iter().filter(|own| **own == Some(*view)).count() > 1)
    }

    pub(super) fn take_outcome(&mut self, outcome: ArchiveOutcome) {
        self.doing = None;
        let remark = match outcome {
            ArchiveOutcome::IsThere(answer, remark) => {
                self.said = Some(Said::note(format!("It is there: {answer}.")));
                remark
            }
            ArchiveOutcome::Found(found, remark) => {
                self.found = Some(found);
                remark
            }
            ArchiveOutcome::Series(series, remark) => {
                self.series = Some(series);
                remark
            }
            ArchiveOutcome::Fetched(fetched, remark) => {
                self.take_fetched(fetched);
                remark
            }
            ArchiveOutcome::WantsSecret(why) => {
                self.given = None;
                self.wants_secret = true;
                self.said = Some(Said::problem(why));
                return;
            }
            ArchiveOutcome::Failed(problem) => Some(problem),
        };
        self.waiting = None;
        if let Some(remark) = remark {
            self.said = Some(Said::problem(remark));
        }
    }
}
