//! The whole state of the program, built and driven without a window.
//!
//! [`Workbench::apply`] is the only thing that changes it, so that every action can be undone,
//! scripted and tested. Results of workers come in through [`Workbench::receive`].

mod archive;
mod calibrating;
mod command;
mod command_text;
mod comparing;
mod disc;
mod exporting;
mod going_back;
mod guided;
mod jobs;
mod laying_out;
mod looking;
mod mistaken_bone;
mod offer;
mod opening;
mod orientation;
mod own_spreads;
mod pictures;
mod planning;
mod practising;
mod proposing;
mod queries;
mod repeats;
mod rows;
mod sample_foot;
mod saving;
mod seen;
mod series;
mod settings;
mod sheet;
mod state;
mod step;
mod step_words;
mod tracing;
mod tracing_edit;
mod undo;
mod views_and_feet;

use std::{
    path::PathBuf,
    sync::Arc,
    time::{Duration, Instant},
};

use plumbray_anatomy::{Tracing, View};
use plumbray_film::Pyramid;
use plumbray_measure::{Foot, Implausible, Worksheet, implausible, worksheet};
use plumbray_plan::{Plan, PlanError};
use plumbray_proposal::ProposalError;
use plumbray_study::{RecoveredCopy, SideChoice, SideSource, Study, UserFolders};
use plumbray_trace::{CircleFit, TraceError};

pub(crate) use archive::ArchiveOutcome;
pub use archive::{
    AddressForm, ArchiveCommand, ArchivePage, FetchedFilm, FetchedStudy, GivenSecret, Question,
    QueueShown, Said, UnfitAddress, UnfitQuestion, Way, WayIn,
};
pub use calibrating::{Calibrating, CalibrationMethod, FittedScale};
pub use command::{Command, Gesture, Snapping};
pub use comparing::{
    CompareCommand, CompareView, Comparing, ComparisonFile, Looking, MarkedWire, TimeLineEdit,
    WireAgainstPlan, WireMarking, Wires,
};
pub(crate) use disc::SmallFilm;
pub use disc::{DiscCommand, DiscListing, DiscRow, OpenDisc};
pub use exporting::{ExportChoices, ExportCommand, FilmLetters};
pub(crate) use guided::gesture_of;
pub use jobs::Wake;
pub use offer::Offer;
pub use opening::{OpenError, OpenFilm, ReadFilm};
pub(crate) use opening::{read_film, take_facts};
pub use planning::{PlanCommand, PlanEdit, PlanHandle, Planning, Units};
pub use plumbray_compare::{choices_of, foot_of};
pub use practising::{
    Attempt, FilmOfStudy, GreyPicture, HandedIn, LimitedNumber, LookedAtFilm, MakingCommand,
    OfferedStudy, PracticeCommand, PracticeStage, Practising, ResidentProgress, SetInMaking,
};
pub use rows::{ChangedRows, RowChoice, RowSet};
pub use seen::Seen;
pub(crate) use series::Judged;
pub use series::{
    AskReaders, ListedVisit, Listing, Series, SeriesCommand, SeriesIndex, SeriesOrder, SeriesPage,
    SeriesReaders, UnfitIndex,
};
pub use settings::{Settings, SheetSettings, ThemeChoice};
pub(crate) use sheet::{PROGRAM, traced_on};
pub use state::{FilmView, Notice, Overlay, Request, Selection, Urgency, ViewState};
pub use step::{GestureKind, Progress, TraceStep};
pub use tracing_edit::TracingEdit;
pub(crate) use tracing_edit::edit_for;

use crate::{archive_files, own_spread::KeptSpreads};
use jobs::{JobFailed, Jobs};
use opening::StudyPlace;
use sample_foot::{cache_folder, own_folder, passing_folder, sample_folder, shipped_practice_set};
use saving::SaveState;
use undo::UndoHistory;

/// What a worker gives back; the number says for which foot it worked.
#[derive(Debug)]
enum Finished {
    FilmsRead(u64, Option<View>, Vec<Result<ReadFilm, OpenError>>),
    Looked(Arc<Pyramid>, Result<Seen, ProposalError>),
    PictureRead(
        u64,
        View,
        PathBuf,
        Result<pictures::ReadPicture, plumbray_film::FilmError>,
    ),
    Traced(
        pictures::WorkedOn,
        View,
        TraceStep,
        Result<TracingEdit, TraceError>,
    ),
    Fitted(pictures::WorkedOn, View, Result<CircleFit, TraceError>),
    Saved(Box<saving::SavedStudy>),
    SheetMade(Result<PathBuf, String>),
    Exported(Result<String, String>),
    /// What became of each kept work that was to go into a folder: its study there, or why it stays kept.
    KeptWorkPut(Vec<(RecoveredCopy, Result<PathBuf, String>)>),
    Compared(u64, Result<Box<Comparing>, String>),
    ComparisonWritten(ComparisonFile, Result<PathBuf, String>),
    SeriesRead(u64, Result<Box<Listing>, String>),
    SeriesWritten(Result<(PathBuf, u64), String>),
    ReadersJudged(u64, Result<Box<Judged>, String>),
    DiscListed(u64, disc::ListedDisc),
    FilmOfDiscDecoded(u64, SmallFilm),
    FilmsCopied(u64, disc::CopiedFilms),
    ArchiveAnswered(u64, Box<ArchiveOutcome>),
    QueueAsked(Result<(), String>),
    StudiesOfSetRead(u64, practising::StudiesRead),
    FilmOfSetRead(u64, practising::FilmRead),
    SetMade(u64, Result<PathBuf, String>),
    ScrewsSuggested(
        u64,
        planning::Asked,
        Box<Plan>,
        Result<Box<Plan>, PlanError>,
    ),
}

/// The whole state of the program.
#[derive(Debug)]
pub struct Workbench {
    study: Study,
    undo: UndoHistory<Study>,
    before_drag: Option<Study>,
    films: [Option<OpenFilm>; 2],
    view: ViewState,
    comparing: Option<Comparing>,
    planning: Option<Planning>,
    practising: Option<Practising>,
    series: Option<Series>,
    disc: Option<OpenDisc>,
    /// Which listing of a disc was asked for last.
    disc_number: u64,
    archives: archive::Archives,
    /// Which reading of a series was asked for last.
    series_number: u64,
    /// Which judging of a series' readers was asked for last.
    judging_number: u64,
    /// Which comparison was asked for last.
    comparison_number: u64,
    worksheet: Worksheet,
    implausible: Vec<Implausible>,
    place: StudyPlace,
    save_state: SaveState,
    feet_of_film: Vec<PathBuf>,
    kept_work: Vec<RecoveredCopy>,
    foot_number: u64,
    jobs: Jobs<Finished>,
    notices: Vec<Notice>,
    requests: Vec<Request>,
    settings: Settings,
    /// What is kept of how well readers repeat themselves.
    own_spreads: KeptSpreads,
    places: Places,
}

/// Where the program keeps and finds things besides the films.
#[derive(Clone, Debug)]
pub struct Places {
    /// The settings file, if the system has a place for one.
    pub settings: Option<PathBuf>,
    /// The file of readers' own spreads, if the system has a place for one.
    pub own_spreads: Option<PathBuf>,
    /// The folders for locks and recovery copies.
    pub folders: UserFolders,
    /// The sample films, which stay as they are.
    pub samples: Option<PathBuf>,
    /// Where the sample films are copied to before they are opened: their study is saved there.
    pub sample_copies: PathBuf,
    /// The practice set that comes with the program.
    pub practice_set: Option<PathBuf>,
    /// Where what residents practise is kept, a folder for each.
    pub practice: PathBuf,
    /// Where the indexes of series are kept, which can be made again.
    pub indexes: PathBuf,
    /// The file of archives' addresses, if the system has a place for one.
    pub archives: Option<PathBuf>,
    /// The queue of what is to be sent to archives, which commands use as well.
    pub queue: PathBuf,
    /// Where fetched films go on a desktop without dialogs.
    pub fetched: PathBuf,
    /// Whether the system's keyring is asked for secrets and may keep them.
    pub asks_keyring: bool,
}

impl Places {
    /// This user's usual places.
    #[must_use]
    pub fn usual() -> Self {
        let samples = sample_folder();
        Self {
            settings: Settings::usual_path(),
            own_spreads: KeptSpreads::usual_path(),
            folders: UserFolders::of_this_user(),
            practice_set: samples.as_deref().and_then(shipped_practice_set),
            samples,
            sample_copies: own_folder("sample-foot"),
            practice: own_folder("practice"),
            indexes: cache_folder("cohorts"),
            archives: archive_files::book(),
            queue: archive_files::queue().unwrap_or_else(|| passing_folder("queue")),
            fetched: own_folder("fetched-films"),
            asks_keyring: true,
        }
    }
}

impl Workbench {
    /// An empty workbench; `wake` is called when a worker has ended.
    #[must_use]
    pub fn new(places: Places, wake: Wake) -> Self {
        let settings = places
            .settings
            .as_deref()
            .map(Settings::read)
            .unwrap_or_default();
        let study = Study::default();
        let mut workbench = Self {
            worksheet: worksheet(&Foot::default(), &plumbray_measure::Choices::default()),
            study,
            undo: UndoHistory::default(),
            before_drag: None,
            films: [None, None],
            view: ViewState::default(),
            comparing: None,
            planning: None,
            practising: None,
            series: None,
            disc: None,
            disc_number: 0,
            archives: archive::Archives::new(&places, Arc::clone(&wake)),
            series_number: 0,
            judging_number: 0,
            comparison_number: 0,
            implausible: Vec::new(),
            place: StudyPlace::Nowhere,
            save_state: SaveState::default(),
            feet_of_film: Vec::new(),
            kept_work: Vec::new(),
            foot_number: 0,
            jobs: Jobs::new(wake),
            notices: Vec::new(),
            requests: Vec::new(),
            settings,
            own_spreads: KeptSpreads::default(),
            places,
        };
        workbench.offer_kept_work();
        workbench.read_own_spreads();
        workbench
    }

    /// Does what a person asked for.
    pub fn apply(&mut self, command: Command) {
        if !command.is_possible(self) {
            return;
        }
        self.leave_planning_for(&command);
        let command = self.while_comparing(command);
        match command {
            Command::AskForFilms => self.requests.push(Request::AskForFilms),
            Command::AskForAnotherFilm => self.requests.push(Request::AskForAnotherFilm),
            Command::Open(paths) => self.open(paths),
            Command::AddFilm(path) => self.start_reading(vec![path], None),
            Command::OpenSampleFoot => self.open_sample_foot(),
            Command::OpenTracedSampleFoot => self.open_traced_sample_foot(),
            Command::PutKeptWorkBack => self.put_kept_work_back(),
            Command::AskFolderForKeptWork => self.requests.push(Request::AskFolderForKeptWork),
            Command::PutKeptWorkInto(folder) => self.put_kept_work_into(folder),
            Command::CloseFoot => self.close_foot(),
            Command::ExchangeViews => self.exchange_views(),
            Command::ReadOneFootOfTwo(side) => self.read_one_foot_of_two(side),
            Command::SetReader(name) => {
                self.settings.reader = name;
                self.keep_settings();
                self.name_reader_of_study();
            }
            Command::SetTheme(theme) => {
                self.settings.theme = theme;
                self.keep_settings();
            }
            Command::ChangeTextSize(change) => {
                let size = self
                    .settings
                    .text_size_per_cent
                    .saturating_add_signed(change);
                self.settings.text_size_per_cent = size.clamp(80, 200);
                self.keep_settings();
            }
            Command::CautionRead => {
                self.settings.caution_read = true;
                self.keep_settings();
            }
            Command::Show(page) => self.show_page(page),
            Command::Export(command) => self.apply_to_export(command),
            Command::SetBare(bare) => self.view.bare = bare,
            Command::DismissNotice(index) => {
                if index < self.notices.len() {
                    self.notices.remove(index);
                }
            }
            Command::Compare(command) => self.apply_to_comparing(command),
            Command::Plan(command) => self.apply_to_planning(command),
            Command::Practise(command) => self.apply_to_practising(command),
            Command::Series(command) => self.apply_to_series(command),
            Command::Disc(command) => self.apply_to_disc(command),
            Command::Archive(command) => self.apply_to_archive(command),
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::NoDialogs => self.warn(
                "This desktop has no file dialogs. Drop the films on the window, or start the \
                 program with their names: plumbray AP-FILM LATERAL-FILM."
                    .to_owned(),
            ),
            Command::Quit => self.requests.push(Request::Quit),
            other => {
                if let Some(other) = self.apply_to_study(other)
                    && let Some(other) = self.apply_to_rows(other)
                    && let Some(other) = self.apply_to_repeats(other)
                    && let Some(other) = self.apply_to_sheet(other)
                    && let Some(other) = self.apply_to_proposal(other)
                    && let Some(other) = self.apply_to_tracing(other)
                    && let Some(other) = self.apply_to_calibration(other)
                {
                    self.apply_to_look(other);
                }
            }
        }
    }

    /// Commands that change what is known of the foot; gives back those that do not.
    fn apply_to_study(&mut self, command: Command) -> Option<Command> {
        let what = command.text();
        match command {
            Command::ConfirmSide(side) => {
                self.change(&what, |study| study.side = Some(SideChoice::entered(side)));
            }
            Command::SetOperated(operated) => {
                self.change(&what, |study| study.visit.operated = operated);
            }
            Command::SetStance(stance) => {
                self.change(&what, |study| study.visit.stance = stance);
            }
            Command::JudgeHeadEdge(shape) => {
                self.change(&what, |study| study.judged.lateral_head_edge = shape);
            }
            Command::SetVisitLabel(label) => {
                self.change(&what, |study| study.visit.label = label);
            }
            Command::SetFilmDate(view, text) => self.set_date(&what, &text, move |study, date| {
                if let Some(film) = study.film_mut(view) {
                    film.date = date;
                }
            }),
            Command::SetOperationDate(text) => self.set_date(&what, &text, |study, date| {
                let operation = study.visit.operation.unwrap_or_default();
                study.visit.operation = Some(plumbray_study::Operation {
                    date,
                    side: operation.side,
                });
            }),
            Command::SetOperationSide(side) => self.change(&what, |study| {
                let operation = study.visit.operation.unwrap_or_default();
                study.visit.operation = Some(plumbray_study::Operation {
                    date: operation.date,
                    side,
                });
            }),
            Command::SetConvention(convention) => {
                self.change(&what, |study| {
                    study.choices.axis_convention =
                        convention.map(|convention| convention.identifier().to_owned());
                });
                self.say_instead(format!("{what}."));
            }
            Command::SetSeverityScheme(scheme) => {
                self.change(&what, |study| {
                    study.choices.severity_scheme = Some(scheme.identifier().to_owned());
                });
                self.say_instead(format!("{what}."));
            }
            other => return Some(other),
        }
        None
    }

    fn set_date(
        &mut self,
        what: &str,
        text: &str,
        set: impl FnOnce(&mut Study, Option<jiff::civil::Date>),
    ) {
        let text = text.trim();
        if text.is_empty() {
            self.change(what, |study| set(study, None));
        } else {
            match text.parse() {
                Ok(date) => self.change(what, |study| set(study, Some(date))),
                Err(_) => self.warn(format!(
                    "“{text}” is not a day. Write it as year, month and day, such as 2026-11-25."
                )),
            }
        }
    }

    /// Takes in what workers have finished. Call it often: it never waits.
    pub fn receive(&mut self) {
        for finished in self.jobs.take_finished() {
            self.take_in(finished);
        }
    }

    /// Waits until every worker has ended, at most so long; tells whether they did.
    pub fn wait_for_workers(&mut self, at_most: Duration) -> bool {
        let deadline = Instant::now() + at_most;
        while !self.jobs.running().is_empty() {
            let left = deadline.saturating_duration_since(Instant::now());
            match self.jobs.wait_for_one(left) {
                Some(finished) => self.take_in(finished),
                None => return false,
            }
        }
        true
    }

    fn take_in(&mut self, finished: Result<Finished, JobFailed>) {
        match finished {
            Ok(Finished::FilmsRead(foot, view, films)) => {
                if foot == self.foot_number {
                    for film in films {
                        self.film_was_read(view, film);
                    }
                }
            }
            Ok(Finished::Looked(pyramid, result)) => self.was_looked_at(&pyramid, result),
            Ok(Finished::PictureRead(foot, view, path, read)) => {
                if foot == self.foot_number {
                    self.picture_was_read(view, &path, read);
                }
            }
            Ok(Finished::Traced(worked_on, view, step, result)) => {
                if self.still_measures(view, worked_on) {
                    self.was_traced(view, step, result);
                }
            }
            Ok(Finished::Fitted(worked_on, view, result)) => {
                if self.still_measures(view, worked_on) {
                    self.circle_was_fitted(view, result);
                }
            }
            Ok(Finished::Saved(saved)) => self.was_saved(*saved),
            Ok(Finished::SheetMade(result)) => self.sheet_was_made(result),
            Ok(Finished::Exported(result)) => self.was_exported(result),
            Ok(Finished::KeptWorkPut(results)) => self.kept_work_was_put(results),
            Ok(Finished::Compared(number, result)) => self.was_compared(number, result),
            Ok(Finished::ComparisonWritten(file, result)) => {
                self.comparison_was_written(file, result);
            }
            Ok(Finished::ScrewsSuggested(foot, by, asked, found)) => {
                if foot == self.foot_number {
                    self.screws_were_suggested(by, &asked, found);
                }
            }
            Ok(Finished::ReadersJudged(of, judged)) => self.readers_were_judged(of, judged),
            Ok(Finished::ArchiveAnswered(number, outcome)) => {
                self.archive_answered(number, *outcome);
            }
            Ok(Finished::QueueAsked(asked)) => self.queue_was_asked(asked),
            Ok(Finished::SeriesRead(number, read)) => self.series_was_read(number, read),
            Ok(Finished::SeriesWritten(written)) => self.series_was_written(written),
            Ok(Finished::DiscListed(number, listed)) => self.disc_was_listed(number, listed),
            Ok(Finished::FilmOfDiscDecoded(number, picture)) => {
                self.film_of_disc_was_decoded(number, picture);
            }
            Ok(Finished::FilmsCopied(number, copied)) => self.films_were_copied(number, copied),
            Ok(Finished::StudiesOfSetRead(number, read)) => {
                self.studies_of_set_were_read(number, read);
            }
            Ok(Finished::FilmOfSetRead(number, read)) => self.film_of_set_was_read(number, read),
            Ok(Finished::SetMade(number, made)) => self.set_was_made(number, made),
            Err(JobFailed { name }) => {
                self.job_failed(&name);
                self.picture_job_failed(&name);
                self.asking_failed(&name);
                self.work_on_set_failed(&name);
                self.work_on_disc_failed(&name);
                self.warn(format!(
                    "“{name}” ended by a fault of the program; nothing was changed. Try it again, \
                     and report the film if it happens twice."
                ));
            }
        }
    }

    /// Changes the study as one step that can be undone, and saves it.
    pub(crate) fn change(&mut self, what: &str, edit: impl FnOnce(&mut Study)) {
        let before = self.study.clone();
        edit(&mut self.study);
        if self.study != before {
            let retraced = self.study.tracing != before.tracing;
            self.note_change(what, retraced);
            self.undo.remember(what, before, &self.study);
        }
        self.refresh();
        self.save();
    }

    /// A traced study that names nobody gets the name of who reads; one that names somebody keeps it.
    fn name_reader_of_study(&mut self) {
        let name = self.settings.reader.trim().to_owned();
        let is_nameless = self.study.reader.name.trim().is_empty();
        let is_traced = self.study.tracing != Tracing::default();
        if self.has_foot() && is_traced && is_nameless && !name.is_empty() {
            self.change("Name the reader", |study| study.reader.name = name);
        }
    }

    /// Whoever changes the tracing is its reader from then on; to confirm the side of what the program traced is no
    /// reading.
    fn note_change(&mut self, what: &str, retraced: bool) {
        self.study.history.record(&self.settings.reader, what);
        if !retraced {
            return;
        }
        // Who names nobody takes nobody's name away.
        if !self.settings.reader.trim().is_empty() {
            self.study.reader.name.clone_from(&self.settings.reader);
        }
        self.study.reader.traced_at = self.study.history.entries().last().map(|entry| entry.last);
    }

    /// Everything that follows from the study is worked out again.
    pub(crate) fn refresh(&mut self) {
        if self
            .study
            .side
            .is_none_or(|choice| !choice.confirmed && choice.source == SideSource::Bones)
            && let Some(side) = self.side_by_bones()
        {
            self.study.side = Some(SideChoice::proposed(side, SideSource::Bones));
        }
        self.worksheet = worksheet(&self.foot(), &self.choices());
        let side = self.study.side.map(|choice| choice.side);
        self.implausible = implausible(&self.foot(), side);
        self.follow_plans();
    }

    fn close_foot(&mut self) {
        self.save_now_and_let_go();
        self.study = Study::default();
        self.undo = UndoHistory::default();
        self.before_drag = None;
        self.films = [None, None];
        self.comparing = None;
        self.planning = None;
        self.comparison_number += 1;
        self.view = ViewState {
            overlay: None,
            ..ViewState::default()
        };
        self.feet_of_film.clear();
        self.foot_number += 1;
        self.notices.clear();
        self.refresh();
    }

    /// A note about the study's content in place of those that spoke of the content before.
    fn say_instead(&mut self, text: String) {
        self.notices.clear();
        self.note(text);
    }

    pub(crate) fn warn(&mut self, text: String) {
        self.tell(Urgency::Warning, text);
    }

    pub(crate) fn note(&mut self, text: String) {
        self.tell(Urgency::Note, text);
    }

    fn tell(&mut self, urgency: Urgency, text: String) {
        let notice = Notice { urgency, text };
        if !self.notices.contains(&notice) {
            self.notices.push(notice);
        }
    }

    pub(crate) fn keep_settings(&mut self) {
        if let Some(path) = &self.places.settings
            && let Err(problem) = self.settings.write(path)
        {
            let path = path.display();
            self.note(format!(
                "Your settings could not be kept ({problem}): {path}"
            ));
        }
    }
}
