//! Practising: a resident traces a foot of a practice set, hands it in, and sees the lesson.
//!
//! An attempt is a study like any other, in a folder of the resident's: a crash loses nothing of it. While it is
//! under way no number is shown, and only what belongs to tracing is possible.

mod attempt;
mod command;
mod handing_in;
mod judged;
mod making;
mod possible;
mod resident;

use std::path::{Path, PathBuf};

use plumbray_practise::{PracticeFoot, PracticeSet, SET_FILE};

pub use attempt::Attempt;
pub use command::PracticeCommand;
pub use handing_in::HandedIn;
pub use judged::LimitedNumber;
pub use making::{
    FilmOfStudy, GreyPicture, LookedAtFilm, MakingCommand, OfferedStudy, SetInMaking,
};
pub(super) use making::{FilmRead, StudiesRead};
pub use resident::ResidentProgress;

use super::{Snapping, StudyPlace, Workbench, state::Request};

/// A resident practises.
#[derive(Debug)]
pub struct Practising {
    folder: PathBuf,
    set: PracticeSet,
    resident: ResidentProgress,
    snapping: bool,
    stage: PracticeStage,
    /// Where the studies lie that were looked at before, to make a set of.
    studies: Option<PathBuf>,
}

/// How far practising has come.
#[derive(Debug)]
pub enum PracticeStage {
    /// The feet of the set and the progress.
    Overview,
    /// A foot is being traced; its study is open.
    Tracing(Attempt),
    /// A foot was handed in; its study is still open.
    Lesson(Box<HandedIn>),
    /// A supervisor makes a set of studies.
    Making(Box<SetInMaking>),
}

impl Practising {
    /// The practice set.
    #[must_use]
    pub const fn set(&self) -> &PracticeSet {
        &self.set
    }

    /// The resident and what was kept of the attempts.
    #[must_use]
    pub const fn resident(&self) -> &ResidentProgress {
        &self.resident
    }

    /// Whether the program may move points to edges in the next attempt.
    #[must_use]
    pub const fn snapping(&self) -> bool {
        self.snapping
    }

    /// How far practising has come.
    #[must_use]
    pub const fn stage(&self) -> &PracticeStage {
        &self.stage
    }

    /// Whether it is known who practises: what is kept has to belong to somebody.
    #[must_use]
    pub fn is_named(&self) -> bool {
        !self.resident.progress().resident.is_empty()
    }

    /// Whether the feet of the set and the progress are shown.
    #[must_use]
    pub const fn is_overview(&self) -> bool {
        matches!(self.stage, PracticeStage::Overview)
    }

    /// The attempt that is under way.
    #[must_use]
    pub const fn attempt(&self) -> Option<&Attempt> {
        match &self.stage {
            PracticeStage::Tracing(attempt) => Some(attempt),
            PracticeStage::Overview | PracticeStage::Lesson(_) | PracticeStage::Making(_) => None,
        }
    }

    /// The set that a supervisor makes.
    #[must_use]
    pub const fn making(&self) -> Option<&SetInMaking> {
        match &self.stage {
            PracticeStage::Making(making) => Some(making),
            PracticeStage::Overview | PracticeStage::Tracing(_) | PracticeStage::Lesson(_) => None,
        }
    }

    /// The foot that was handed in.
    #[must_use]
    pub const fn handed_in(&self) -> Option<&HandedIn> {
        match &self.stage {
            PracticeStage::Lesson(handed_in) => Some(handed_in),
            PracticeStage::Overview | PracticeStage::Tracing(_) | PracticeStage::Making(_) => None,
        }
    }

    /// The foot of this name.
    fn foot(&self, name: &str) -> Option<&PracticeFoot> {
        self.set.foot(name)
    }

    /// The feet of this set that are begun and not handed in, the latest last.
    #[must_use]
    pub fn begun(&self) -> Vec<&str> {
        let records = self.resident.put_by().iter();
        records
            .filter(|record| record.set == self.folder && self.foot(&record.foot).is_some())
            .map(|record| record.foot.as_str())
            .collect()
    }

    fn begun_at(&self, foot: &str) -> Option<&attempt::AttemptRecord> {
        let mut records = self.resident.put_by().iter();
        records.find(|record| record.set == self.folder && record.foot == foot)
    }
}

/// Whether a folder holds a practice set.
pub(super) fn is_practice_set(folder: &Path) -> bool {
    folder.join(SET_FILE).is_file()
}

impl Workbench {
    /// The resident who practises, if any.
    #[must_use]
    pub const fn practising(&self) -> Option<&Practising> {
        self.practising.as_ref()
    }

    /// Whether numbers have to be hidden, because a foot is being traced that is handed in later.
    #[must_use]
    pub fn hides_numbers(&self) -> bool {
        self.practising
            .as_ref()
            .is_some_and(|practising| practising.attempt().is_some())
    }

    /// Does what belongs to practising.
    pub(super) fn apply_to_practising(&mut self, command: PracticeCommand) {
        match command {
            PracticeCommand::Begin => self.begin_practising(),
            PracticeCommand::Leave => self.leave_practising(),
            PracticeCommand::AskForSet => self.requests.push(Request::AskForPracticeSet),
            PracticeCommand::OpenSet(folder) => self.open_practice_set(folder),
            PracticeCommand::As(name) => self.practise_as(&name),
            PracticeCommand::AllowSnapping(allowed) => {
                if let Some(practising) = &mut self.practising {
                    practising.snapping = allowed;
                }
            }
            PracticeCommand::TakeNext => {
                if let Some(foot) = self.next_practice_foot() {
                    self.take(&foot);
                }
            }
            PracticeCommand::Take(foot) => self.take(&foot),
            PracticeCommand::Resume => self.resume(),
            PracticeCommand::PutBy => self.put_by(),
            PracticeCommand::HandIn => self.hand_in(),
            PracticeCommand::ShowReference(shown) => {
                if let Some(handed_in) = self.handed_in_mut() {
                    handed_in.shows_reference = shown;
                }
            }
            PracticeCommand::LookAt(thing) => self.look_at_thing(thing),
            PracticeCommand::WholeFilms => self.show_whole_films(),
            PracticeCommand::ToOverview => self.show_overview(),
            PracticeCommand::MakeSet => self.begin_making(),
            PracticeCommand::Make(command) => self.apply_to_making(command),
            PracticeCommand::NoDialogs => self.say_how_without_dialogs(),
            PracticeCommand::DeleteProgress => self.delete_progress(),
        }
    }

    /// The name of the foot that the progress asks for.
    #[must_use]
    pub fn next_practice_foot(&self) -> Option<String> {
        let practising = self.practising.as_ref()?;
        let (foot, _) = practising.resident.next(&practising.set)?;
        Some(foot)
    }

    const fn handed_in_mut(&mut self) -> Option<&mut HandedIn> {
        match &mut self.practising {
            Some(Practising {
                stage: PracticeStage::Lesson(handed_in),
                ..
            }) => Some(handed_in),
            _ => None,
        }
    }

    fn begin_practising(&mut self) {
        match self.places.practice_set.clone() {
            Some(folder) => self.open_practice_set(folder),
            None => {
                self.warn(
                    "The practice set is not beside the program. Open another one, or make one with \
                     plumbray practice-set."
                        .to_owned(),
                );
                self.requests.push(Request::AskForPracticeSet);
            }
        }
    }

    fn open_practice_set(&mut self, folder: PathBuf) {
        let folder = std::fs::canonicalize(&folder).unwrap_or(folder);
        let set = match PracticeSet::open(&folder) {
            Ok(set) => set,
            Err(problem) => {
                self.warn(problem.to_string());
                return;
            }
        };
        let resident = ResidentProgress::of(&self.places.practice, &self.settings.reader);
        self.put_by();
        let studies = self.folder_of_studies();
        self.close_foot();
        match resident {
            Ok(resident) => {
                self.practising = Some(Practising {
                    snapping: set.defaults.snapping,
                    folder,
                    set,
                    resident,
                    stage: PracticeStage::Overview,
                    studies,
                });
            }
            Err(problem) => self.warn(problem),
        }
    }

    /// Where the studies lie that a supervisor most likely means: those that were looked at last.
    fn folder_of_studies(&self) -> Option<PathBuf> {
        if let Some(practising) = &self.practising {
            return practising.studies.clone();
        }
        let of_study = |path: &Path| path.parent().map(Path::to_owned);
        let series = self.series().map(|series| series.folder().to_owned());
        self.study_path()
            .and_then(of_study)
            .or(series)
            .or_else(|| self.settings.recent.first().and_then(|path| of_study(path)))
    }

    /// A desktop without file dialogs: how it goes without them.
    fn say_how_without_dialogs(&mut self) {
        let makes = self.practising.as_ref().and_then(Practising::making);
        let text = if makes.is_some() {
            "This desktop has no file dialogs. Write the folder’s path into the field."
        } else {
            "This desktop has no file dialogs. Drop the folder of the practice set on the window, or start the \
             program with its name: plumbray FOLDER."
        };
        self.warn(text.to_owned());
    }

    /// Whoever practises is also who traces.
    fn practise_as(&mut self, name: &str) {
        match ResidentProgress::of(&self.places.practice, name) {
            Ok(resident) => {
                name.trim().clone_into(&mut self.settings.reader);
                self.keep_settings();
                if let Some(practising) = &mut self.practising {
                    practising.resident = resident;
                }
            }
            Err(problem) => self.warn(problem),
        }
    }

    fn delete_progress(&mut self) {
        if let Some(practising) = &mut self.practising {
            match practising.resident.delete() {
                Ok(()) => {
                    self.note("Everything that was kept of this reader is deleted.".to_owned());
                }
                Err(problem) => self.warn(problem),
            }
        }
    }

    /// Remembers the attempt, puts the foot away and goes back to measuring.
    fn leave_practising(&mut self) {
        self.put_by();
        self.close_foot();
        self.practising = None;
    }

    fn show_overview(&mut self) {
        self.close_foot();
        if let Some(practising) = &mut self.practising {
            practising.stage = PracticeStage::Overview;
        }
    }

    fn take(&mut self, name: &str) {
        let Some(practising) = &self.practising else {
            return;
        };
        let Some(foot) = practising.foot(name) else {
            return;
        };
        // What was begun is gone on with: nothing of it is lost.
        if let Some(begun) = practising.begun_at(name) {
            let begun = begun.clone();
            self.trace(begun);
            return;
        }
        let attempts = practising.resident.attempts();
        let laid_out =
            attempt::new_study(foot, &practising.folder, &attempts, &self.places.folders);
        let record = laid_out.map(|study| attempt::AttemptRecord {
            set: practising.folder.clone(),
            foot: name.to_owned(),
            study,
            snapping: practising.snapping,
            seconds: 0.0,
        });
        match record {
            Ok(record) => self.trace(record),
            Err(problem) => self.warn(format!("The foot cannot be taken: {problem:#}")),
        }
    }

    fn resume(&mut self) {
        let record = self.practising.as_ref().and_then(|practising| {
            let foot = *practising.begun().last()?;
            practising.begun_at(foot).cloned()
        });
        if let Some(record) = record {
            self.trace(record);
        }
    }

    /// Opens the study of an attempt.
    fn trace(&mut self, record: attempt::AttemptRecord) {
        self.close_foot();
        let Some(practising) = &mut self.practising else {
            return;
        };
        let path = practising.resident.attempts().join(&record.study);
        let remembered = practising.resident.remember(record.clone());
        practising.stage = PracticeStage::Tracing(Attempt::now(record));
        if let Err(problem) = remembered {
            self.warn(problem);
        }
        self.open_study(&path);
        if matches!(self.place, StudyPlace::Nowhere) {
            self.show_overview();
        }
    }

    /// Remembers how long the attempt that is under way took, and goes to the overview.
    fn put_by(&mut self) {
        let Some(practising) = &mut self.practising else {
            return;
        };
        let PracticeStage::Tracing(attempt) = &practising.stage else {
            return;
        };
        let remembered = practising.resident.remember(attempt.kept());
        if let Err(problem) = remembered {
            self.warn(problem);
        }
        self.show_overview();
    }

    /// What a gesture may snap to: nothing in an attempt without snapping.
    pub(super) fn allowed(&self, snapping: Snapping) -> Snapping {
        let attempt = self.practising.as_ref().and_then(Practising::attempt);
        if attempt.is_some_and(|attempt| !attempt.snapping()) {
            Snapping::Off
        } else {
            snapping
        }
    }
}
