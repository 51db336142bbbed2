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
mod finished;
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
mod patients;
mod pictures;
mod places;
mod planning;
mod practising;
mod proposing;
mod queries;
mod recent;
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
mod study_change;
mod tracing;
mod tracing_edit;
mod undo;
mod views_and_feet;

use std::{path::PathBuf, sync::Arc};

use plumbray_measure::{Foot, Implausible, Worksheet, worksheet};
use plumbray_study::{RecoveredCopy, Study};

pub(crate) use archive::ArchiveOutcome;
pub use archive::{
    AddressForm, ArchiveCommand, ArchivePage, FetchedFilm, FetchedStudy, GivenSecret, ListedSeries,
    Question, QueueShown, Said, UnfitAddress, UnfitQuestion, Way, WayIn,
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
pub use patients::PatientsOfFilms;
pub use places::Places;
pub use planning::{PlanCommand, PlanEdit, PlanHandle, Planning, Units};
pub use plumbray_compare::{choices_of, foot_of};
pub use practising::{
    Attempt, FilmOfStudy, GreyPicture, HandedIn, LimitedNumber, LookedAtFilm, MakingCommand,
    OfferedStudy, PracticeCommand, PracticeStage, Practising, ResidentProgress, SetInMaking,
};
pub use recent::RecentFoot;
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
pub use study_change::NotADay;
pub(crate) use study_change::day_of;
pub use tracing_edit::TracingEdit;
pub(crate) use tracing_edit::edit_for;

use crate::own_spread::KeptSpreads;
use finished::Finished;
use jobs::Jobs;
use opening::StudyPlace;
use saving::SaveState;
use undo::UndoHistory;

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
    /// What the recent feet are, as far as their studies were read.
    recent: Vec<RecentFoot>,
    /// What is kept of how well readers repeat themselves.
    own_spreads: KeptSpreads,
    places: Places,
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
            recent: Vec::new(),
            own_spreads: KeptSpreads::default(),
            places,
        };
        workbench.offer_kept_work();
        workbench.read_own_spreads();
        workbench.read_recent_feet();
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
            Command::ShowPatients => self.read_patients(),
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
        self.read_recent_feet();
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
