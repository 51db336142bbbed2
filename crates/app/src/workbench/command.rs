//! Everything that a person can do, as data. The menu, the keyboard, the searchable list and the
//! tests all read this one enum.

use std::path::PathBuf;

use plumbray_anatomy::{Angle, FilmPoint, Landmark, Side, View};
use plumbray_measure::{AxisConvention, Measurement, SeverityScheme};
use plumbray_study::{LateralHeadEdge, Stance};

use super::{
    Workbench,
    archive::ArchiveCommand,
    calibrating::CalibrationMethod,
    comparing::CompareCommand,
    disc::DiscCommand,
    exporting::ExportCommand,
    planning::PlanCommand,
    practising::PracticeCommand,
    rows::RowSet,
    series::SeriesCommand,
    settings::{SheetSettings, ThemeChoice},
    state::{FilmView, Overlay},
    step::TraceStep,
};
use crate::canvas::Placement;

/// What a pointer, or the keyboard in its place, did on a film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gesture {
    /// A click.
    Click(FilmPoint),
    /// A stroke from one place to another.
    Sweep {
        /// Where it began.
        from: FilmPoint,
        /// Where it ended.
        to: FilmPoint,
    },
}

/// Whether placed points are moved to what the film shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Snapping {
    /// Moved to the nearest edge, corner or fitted curve.
    On,
    /// Left exactly where they were put.
    Off,
}

/// One thing that a person can do.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Ask which films to open, and start a foot with them.
    AskForFilms,
    /// Ask which film to add to the foot that is open.
    AskForAnotherFilm,
    /// Open films or a study as a new foot.
    Open(Vec<PathBuf>),
    /// Add a film to the foot that is open.
    AddFilm(PathBuf),
    /// Open the sample foot that comes with the program.
    OpenSampleFoot,
    /// Open the sample foot as somebody traced it.
    OpenTracedSampleFoot,
    /// Write work that an earlier session had to keep elsewhere into its own place.
    PutKeptWorkBack,
    /// Put the foot away.
    CloseFoot,
    /// Take the films for the other view: the AP becomes the lateral and the lateral the AP.
    ExchangeViews,
    /// The film shows both feet: read this one.
    ReadOneFootOfTwo(Side),
    /// Say which foot it is.
    ConfirmSide(Side),
    /// Say whether the foot was operated on before this visit.
    SetOperated(bool),
    /// Say whether the patient stood.
    SetStance(Stance),
    /// How the lateral edge of the first metatarsal's head looks; `None` takes the judgement back.
    JudgeHeadEdge(Option<LateralHeadEdge>),
    /// Name the visit.
    SetVisitLabel(String),
    /// Set the day of the film of a view; an empty text stands for unknown.
    SetFilmDate(View, String),
    /// Set the day of the operation; an empty text stands for unknown.
    SetOperationDate(String),
    /// Set the side of the operation.
    SetOperationSide(Option<Side>),
    /// Show on the page of the visit whom the films' files name.
    ShowPatients,
    /// Say who traces.
    SetReader(String),

    /// Propose the tracing of the active film again.
    ProposeTracing,
    /// Take what is proposed into the study.
    AcceptProposal,
    /// Trace without what is proposed.
    ThrowProposalAway,
    /// Select the next point that needs a second look.
    NextDoubt,
    /// Put the tracing by, unseen, and trace the same films again.
    TraceAgain,
    /// The selected point, which was doubtful, lies right: it is the reader's from now on.
    ConfirmPoint,

    /// Act on a film with the pointer or the keyboard in its place.
    Gesture(View, Gesture, Snapping),
    /// Forget the first of two clicks.
    ForgetFirstClick,
    /// Trace this next.
    GoTo(TraceStep),
    /// Correct points instead of tracing bones, or trace again.
    SetAdjusting(bool),
    /// Trace the bone after this one.
    NextStep,
    /// Trace the bone before this one.
    PreviousStep,
    /// Move a point; `finished` when the hand lets go.
    MovePoint {
        /// On which film.
        view: View,
        /// Which point.
        landmark: Landmark,
        /// Where to.
        to: FilmPoint,
        /// Whether the gesture ended.
        finished: bool,
    },
    /// Take a point away.
    DeletePoint(View, Landmark),
    /// Take everything of a step away.
    DeleteStep(TraceStep),
    /// Take everything away that is traced on the film of a view.
    DeleteTracing(View),
    /// Select a point.
    SelectPoint(View, Landmark),
    /// Select the next point in anatomical order.
    NextPoint,
    /// Select the previous point in anatomical order.
    PreviousPoint,
    /// Take the last change back.
    Undo,
    /// Make the change again that was taken back.
    Redo,

    /// Show a measurement's construction and definition.
    Select(Measurement),
    /// Show no construction.
    SelectNothing,
    /// Choose the axis convention; nothing stands for the default of the visit.
    SetConvention(Option<AxisConvention>),
    /// Choose by whose limits severity is named.
    SetSeverityScheme(SeverityScheme),
    /// Show this set of rows.
    ChooseRows(RowSet),
    /// Take a row into the set that is on, or leave it out.
    ShowRow(Measurement, bool),
    /// Put the set that is on back to its usual rows.
    RowsAsUsual,
    /// Copy one row of the worksheet as text.
    CopyRow(Measurement),
    /// Copy the rows that are shown as text.
    CopyTable,

    /// Begin to calibrate a film.
    StartCalibration(View, CalibrationMethod),
    /// Set the true size of what was fitted, in millimetres.
    SetKnownSize(f64),
    /// Take the calibration as it was fitted.
    FinishCalibration,
    /// Leave the calibration as it was.
    CancelCalibration,
    /// Take the spacing that the file offers on request.
    AcceptFileSpacing(View),
    /// Take the calibration of a film away.
    RemoveCalibration(View),

    /// Show a film otherwise: window, zoom, turn.
    Look(View, Box<FilmView>),
    /// How a film that is fitted to its zone was drawn, which only the window knows: zooming starts from there.
    NoteDrawn(View, Placement),
    /// Act on this film from now on.
    Activate(View),
    /// Show the whole film.
    WholeFilm,
    /// Zoom by a factor about the middle.
    Zoom(f64),
    /// Turn the film.
    Turn(Angle),
    /// Mirror the film.
    Mirror,
    /// Exchange dark and bright.
    Invert,
    /// Show the film through the next of its windows.
    NextWindow,
    /// Show a film through this one of its own windows.
    ShowWindow(View, usize),
    /// Show or hide the graphics that the file lays over the active film.
    Graphics,
    /// Show and measure this picture of a film that holds several.
    ShowPicture(View, u32),
    /// Show and measure the next picture of the active film.
    NextPicture,
    /// Show and measure the picture before this one of the active film.
    PreviousPicture,
    /// Hide or show everything over the films.
    SetBare(bool),

    /// Choose dark or light.
    SetTheme(ThemeChoice),
    /// Make text larger (positive) or smaller, in per cent points.
    ChangeTextSize(i16),
    /// Show a page over the window, or none.
    Show(Option<Overlay>),
    /// The caution of the first start was read.
    CautionRead,
    /// Take a notice away.
    DismissNotice(usize),
    /// Choose paper and company of the printed sheet; kept for the next one.
    SetSheet(SheetSettings),
    /// Name the patient on the sheet that is being made, or do not.
    NamePatientOnSheet(bool),
    /// Ask where to put the printed sheet.
    AskSheet,
    /// Make the printed sheet.
    MakeSheet(PathBuf),
    /// Export the foot for an archive.
    Export(ExportCommand),
    /// Ask where to write the landmarks of a view as a table.
    AskExportLandmarks(View),
    /// Write the landmarks of a view as a table.
    ExportLandmarks(View, PathBuf),
    /// Ask which table of landmarks to read.
    AskImportLandmarks(View),
    /// Read the landmarks of a view from a table.
    ImportLandmarks(View, PathBuf),
    /// Compare visits of one foot.
    Compare(CompareCommand),
    /// Plan an operation on this foot.
    Plan(PlanCommand),
    /// Something that belongs to practising.
    Practise(PracticeCommand),
    /// Something that belongs to the series of a clinic.
    Series(SeriesCommand),
    /// Something that belongs to a disc, or a folder of films.
    Disc(DiscCommand),
    /// Something that belongs to the clinic's archives.
    Archive(ArchiveCommand),
    /// The desktop has no file dialogs: say how to open films without them.
    NoDialogs,
    /// Close the window; everything is saved already.
    Quit,
}

impl Command {
    /// The commands that the searchable list offers.
    #[must_use]
    #[expect(
        clippy::too_many_lines,
        reason = "one line for each command, in the order in which they are offered"
    )]
    pub fn listed() -> Vec<Self> {
        let mut listed = vec![
            Self::AskForFilms,
            Self::AskForAnotherFilm,
            Self::OpenSampleFoot,
            Self::OpenTracedSampleFoot,
            Self::PutKeptWorkBack,
            Self::CloseFoot,
            Self::ExchangeViews,
            Self::ConfirmSide(Side::Left),
            Self::ConfirmSide(Side::Right),
            Self::ReadOneFootOfTwo(Side::Left),
            Self::ReadOneFootOfTwo(Side::Right),
            Self::SetOperated(true),
            Self::SetOperated(false),
            Self::SetStance(Stance::Standing),
            Self::SetStance(Stance::NotStanding),
            Self::Show(Some(Overlay::Visit)),
            Self::ProposeTracing,
            Self::AcceptProposal,
            Self::ThrowProposalAway,
            Self::NextDoubt,
            Self::ConfirmPoint,
            Self::TraceAgain,
            Self::Undo,
            Self::Redo,
            Self::SetAdjusting(true),
            Self::SetAdjusting(false),
            Self::NextPoint,
            Self::PreviousPoint,
            Self::NextStep,
            Self::PreviousStep,
        ];
        for view in View::ALL {
            listed.extend(TraceStep::all_of(view).into_iter().map(Self::GoTo));
        }
        listed.extend(Measurement::ALL.into_iter().map(Self::Select));
        listed.push(Self::SelectNothing);
        listed.push(Self::SetConvention(None));
        listed.extend(AxisConvention::ALL.map(|convention| Self::SetConvention(Some(convention))));
        listed.extend(SeverityScheme::ALL.map(Self::SetSeverityScheme));
        listed.extend(RowSet::ALL.map(Self::ChooseRows));
        let shapes = LateralHeadEdge::ALL.map(Some).into_iter().chain([None]);
        listed.extend(shapes.map(Self::JudgeHeadEdge));
        listed.extend([
            Self::RowsAsUsual,
            Self::CopyTable,
            Self::Show(Some(Overlay::Sheet)),
            Self::Show(Some(Overlay::Export)),
            Self::Export(ExportCommand::SendBack),
            Self::Show(Some(Overlay::Rows)),
        ]);
        listed.push(Self::Show(Some(Overlay::Visits)));
        listed.extend(CompareCommand::listed().map(Self::Compare));
        listed.extend(PlanCommand::listed().map(Self::Plan));
        listed.extend(PracticeCommand::listed().map(Self::Practise));
        listed.push(Self::Series(SeriesCommand::Ask));
        listed.extend(DiscCommand::listed().map(Self::Disc));
        listed.push(Self::Archive(ArchiveCommand::Show));
        for view in View::ALL {
            listed.extend([
                Self::StartCalibration(view, CalibrationMethod::RoundObject),
                Self::StartCalibration(view, CalibrationMethod::KnownDistance),
                Self::AcceptFileSpacing(view),
                Self::RemoveCalibration(view),
                Self::AskExportLandmarks(view),
                Self::AskImportLandmarks(view),
                Self::Activate(view),
                Self::DeleteTracing(view),
            ]);
        }
        listed.extend([
            Self::WholeFilm,
            Self::Zoom(1.25),
            Self::Zoom(0.8),
            Self::Turn(Angle::from_degrees(90.0)),
            Self::Turn(Angle::from_degrees(-90.0)),
            Self::Turn(Angle::from_degrees(1.0)),
            Self::Turn(Angle::from_degrees(-1.0)),
            Self::Mirror,
            Self::Invert,
            Self::NextWindow,
            Self::Graphics,
            Self::NextPicture,
            Self::PreviousPicture,
            Self::SetTheme(ThemeChoice::Dark),
            Self::SetTheme(ThemeChoice::Light),
            Self::SetTheme(ThemeChoice::System),
            Self::ChangeTextSize(10),
            Self::ChangeTextSize(-10),
            Self::Show(Some(Overlay::About)),
            Self::Quit,
        ]);
        listed
    }

    /// Whether it can be done now.
    #[must_use]
    pub fn is_possible(&self, workbench: &Workbench) -> bool {
        let foot_is_open = workbench.has_foot();
        let compares = workbench.comparing().is_some();
        if !workbench.practising_allows(self) {
            return false;
        }
        let of_its_own = workbench.can_look(self);
        let of_its_own = of_its_own.or_else(|| workbench.can_write(self));
        if let Some(possible) = of_its_own.or_else(|| self.is_possible_there(workbench)) {
            return possible;
        }
        match self {
            Self::Activate(view) if compares => {
                workbench.can_compare(&CompareCommand::Films(*view))
            }
            Self::DeleteTracing(view) => workbench.can_delete_tracing(*view),
            Self::Show(Some(Overlay::Visit | Overlay::Rows)) => foot_is_open,
            Self::Show(Some(Overlay::Visits)) => workbench.comparing().is_some(),
            Self::ChooseRows(set) => workbench.settings().rows.set != *set,
            Self::CopyRow(measurement) => workbench.worksheet().outcome(*measurement).is_some(),
            Self::AskForFilms
            | Self::Open(_)
            | Self::OpenSampleFoot
            | Self::OpenTracedSampleFoot
            | Self::SetReader(_)
            | Self::SetTheme(_)
            | Self::ChangeTextSize(_)
            | Self::CautionRead
            | Self::DismissNotice(_)
            | Self::SetBare(_)
            | Self::SetSheet(_)
            | Self::NamePatientOnSheet(_)
            | Self::Show(_)
            | Self::NoDialogs
            | Self::Quit => true,
            Self::PutKeptWorkBack => !workbench.kept_work().is_empty(),
            Self::AskForAnotherFilm | Self::AddFilm(_) => {
                foot_is_open && View::ALL.iter().any(|view| workbench.film(*view).is_none())
            }
            Self::ProposeTracing => workbench.view().active.is_some(),
            Self::ShowPatients => workbench.view().overlay == Some(Overlay::Visit),
            Self::AcceptProposal => workbench.accepts_proposal(),
            Self::ThrowProposalAway => workbench.view_of_offer().is_some(),
            Self::NextDoubt => !workbench.doubtful_points().is_empty(),
            Self::ConfirmPoint => workbench.selected_doubt().is_some(),
            Self::TraceAgain => workbench.can_trace_again(),
            Self::Undo => workbench.next_undo().is_some(),
            Self::Redo => workbench.next_redo().is_some(),
            Self::GoTo(
                step @ (TraceStep::OsteotomyLevel | TraceStep::ShaftCut | TraceStep::FragmentCut),
            ) => workbench.film(step.view()).is_some() && workbench.study().visit.operated,
            Self::GoTo(step) | Self::DeleteStep(step) => workbench.film(step.view()).is_some(),
            Self::SetOperated(operated) => {
                foot_is_open && workbench.study().visit.operated != *operated
            }
            Self::SetStance(stance) => foot_is_open && workbench.study().visit.stance != *stance,
            Self::JudgeHeadEdge(shape) => {
                workbench.film(View::Ap).is_some()
                    && workbench.study().judged.lateral_head_edge != *shape
            }
            Self::ReadOneFootOfTwo(_) => workbench.film(View::Ap).is_some(),
            Self::SetAdjusting(adjusting) => {
                foot_is_open && workbench.view().adjusting != *adjusting
            }
            Self::StartCalibration(view, _)
            | Self::AskExportLandmarks(view)
            | Self::ExportLandmarks(view, _)
            | Self::AskImportLandmarks(view)
            | Self::ImportLandmarks(view, _)
            | Self::Activate(view)
            | Self::Gesture(view, ..)
            | Self::SetFilmDate(view, _) => workbench.film(*view).is_some(),
            Self::AcceptFileSpacing(view) => workbench.file_spacing_on_request(*view).is_some(),
            Self::RemoveCalibration(view) => workbench.calibration(*view).is_some(),
            Self::FinishCalibration => workbench.fitted_calibration().is_some(),
            _ => foot_is_open,
        }
    }

    /// Whether what belongs to one activity or page can be done now; nothing for other commands.
    fn is_possible_there(&self, workbench: &Workbench) -> Option<bool> {
        Some(match self {
            Self::Compare(command) => workbench.can_compare(command),
            Self::Plan(command) => workbench.can_plan(command),
            Self::Practise(command) => workbench.can_practise(command),
            Self::Series(command) => workbench.can_look_through(command),
            Self::Disc(command) => workbench.can_use_disc(command),
            Self::Archive(command) => workbench.can_ask_archive(command),
            _ => return None,
        })
    }
}
