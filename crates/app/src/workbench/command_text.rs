//! What each command is called, wherever it is offered.

use plumbray_study::Stance;

use super::{command::Command, settings::ThemeChoice, state::Overlay};

impl Command {
    /// What it does, in a few words.
    #[must_use]
    #[expect(
        clippy::too_many_lines,
        reason = "one arm for each command, in the order in which they are defined"
    )]
    pub fn text(&self) -> String {
        match self {
            Self::AskForFilms => "Open films…".into(),
            Self::AskForAnotherFilm => "Add a film to this foot…".into(),
            Self::Open(_) | Self::AddFilm(_) => "Open".into(),
            Self::OpenSampleFoot => "Open the sample foot".into(),
            Self::OpenTracedSampleFoot => "See the sample foot traced".into(),
            Self::PutKeptWorkBack => "Put the kept work back".into(),
            Self::CloseFoot => "Put this foot away".into(),
            Self::ExchangeViews => "Exchange AP and lateral".into(),
            Self::ReadOneFootOfTwo(side) => {
                format!(
                    "The film shows both feet: read the {} one",
                    side.identifier()
                )
            }
            Self::ConfirmSide(side) => format!("It is a {} foot", side.identifier()),
            Self::SetOperated(true) => "The foot was operated on before this visit".into(),
            Self::SetOperated(false) => "The foot was not operated on before this visit".into(),
            Self::JudgeHeadEdge(Some(shape)) => {
                format!("Lateral edge of M1’s head: {}", shape.identifier())
            }
            Self::JudgeHeadEdge(None) => "Lateral edge of M1’s head: not judged".into(),
            Self::SetStance(Stance::Standing) => "The films were taken standing".into(),
            Self::SetStance(Stance::NotStanding) => "The films were not taken standing".into(),
            Self::SetStance(Stance::Unknown) => "It is not known whether the patient stood".into(),
            Self::SetVisitLabel(_) => "Name the visit".into(),
            Self::SetFilmDate(view, _) => format!("Date the {} film", view.name_in_sentence()),
            Self::SetOperationDate(_) | Self::SetOperationSide(_) => "Note the operation".into(),
            Self::SetReader(_) => "Say who traces".into(),
            Self::ProposeTracing => "Propose the tracing of this film".into(),
            Self::ShowPatients => "Show whom the films’ files name".into(),
            Self::AcceptProposal => "Accept the proposal".into(),
            Self::ThrowProposalAway => "Throw the proposal away".into(),
            Self::NextDoubt => "Select the next doubtful point".into(),
            Self::TraceAgain => "Trace the films again, blind".into(),
            Self::ConfirmPoint => "This point lies right".into(),
            Self::Gesture(..) => "Trace".into(),
            Self::ForgetFirstClick => "Forget the first click".into(),
            Self::GoTo(step) => format!("Trace, {}: {}", step.view().name(), step.name()),
            Self::SetAdjusting(true) => "Correct points".into(),
            Self::SetAdjusting(false) => "Go on tracing".into(),
            Self::NextStep => "Trace the next bone".into(),
            Self::PreviousStep => "Trace the bone before".into(),
            Self::MovePoint { landmark, .. } => format!("Move: {}", landmark.name()),
            Self::DeletePoint(_, landmark) => format!("Delete: {}", landmark.name()),
            Self::DeleteStep(step) => format!("Delete: {}", step.name()),
            Self::DeleteTracing(view) => {
                format!("Delete the tracing of the {} film", view.name_in_sentence())
            }
            Self::SelectPoint(_, landmark) => format!("Select: {}", landmark.name()),
            Self::NextPoint => "Select the next point".into(),
            Self::PreviousPoint => "Select the point before".into(),
            Self::Compare(command) => command.text(),
            Self::Plan(command) => command.text(),
            Self::Practise(command) => command.text(),
            Self::Series(command) => command.text(),
            Self::Disc(command) => command.text(),
            Self::Archive(command) => command.text(),
            Self::Undo => "Undo".into(),
            Self::Redo => "Redo".into(),
            Self::Select(measurement) => format!("Show: {}", measurement.name()),
            Self::SelectNothing => "Show no construction".into(),
            Self::SetConvention(None) => "Axes by the default of the visit".into(),
            Self::SetConvention(Some(convention)) => format!("Axes: {}", convention.name()),
            Self::SetSeverityScheme(scheme) => format!("Severity limits: {}", scheme.name()),
            Self::StartCalibration(view, method) => {
                format!(
                    "Calibrate the {} film {}",
                    view.name_in_sentence(),
                    method.name()
                )
            }
            Self::SetKnownSize(_) => "Set the known size".into(),
            Self::FinishCalibration => "Use this calibration".into(),
            Self::CancelCalibration => "Leave the calibration as it was".into(),
            Self::AcceptFileSpacing(view) => {
                format!(
                    "Use the spacing that the {} film’s file offers",
                    view.name_in_sentence()
                )
            }
            Self::RemoveCalibration(view) => {
                format!(
                    "Remove the calibration of the {} film",
                    view.name_in_sentence()
                )
            }
            Self::Look(..) | Self::NoteDrawn(..) => "Look".into(),
            Self::Activate(view) => format!("Work on the {} film", view.name_in_sentence()),
            Self::WholeFilm => "Show the whole film".into(),
            Self::Zoom(factor) if *factor > 1.0 => "Zoom in".into(),
            Self::Zoom(_) => "Zoom out".into(),
            Self::Turn(angle) => format!(
                "Turn the film by {:.0}° {}",
                angle.degrees().abs(),
                if angle.degrees() > 0.0 {
                    "clockwise"
                } else {
                    "anticlockwise"
                }
            ),
            Self::Mirror => "Mirror the film".into(),
            Self::Invert => "Exchange dark and bright".into(),
            Self::NextWindow => "Next window of the film".into(),
            Self::ShowWindow(view, _) => {
                format!("Choose the window of the {} film", view.name_in_sentence())
            }
            Self::Graphics => "Show or hide the graphics of the file".into(),
            Self::ShowPicture(_, number) => format!("Show picture {number}"),
            Self::NextPicture => "Next picture of the film".into(),
            Self::PreviousPicture => "Picture before, of the film".into(),
            Self::SetBare(_) => "Bare film".into(),
            Self::ChooseRows(set) => format!("Rows: {}", set.name().to_lowercase()),
            Self::ShowRow(measurement, true) => format!("Show the row: {}", measurement.name()),
            Self::ShowRow(measurement, false) => format!("Hide the row: {}", measurement.name()),
            Self::RowsAsUsual => "Rows as usual".into(),
            Self::CopyRow(measurement) => format!("Copy the row: {}", measurement.name()),
            Self::Show(Some(Overlay::Sheet)) => "Make a sheet to print…".into(),
            Self::Show(Some(Overlay::Export)) => "Export as DICOM…".into(),
            Self::Export(command) => command.text(),
            Self::SetSheet(_) => "Change how the sheet is made".into(),
            Self::NamePatientOnSheet(true) => "Name the patient on the sheet".into(),
            Self::NamePatientOnSheet(false) => "Name nobody on the sheet".into(),
            Self::AskSheet => "Choose where to put it…".into(),
            Self::MakeSheet(_) => "Make a sheet to print".into(),
            Self::CopyTable => "Copy the table".into(),
            Self::Show(Some(Overlay::Rows)) => "Choose rows…".into(),
            Self::SetTheme(ThemeChoice::Dark) => "Dark panels".into(),
            Self::SetTheme(ThemeChoice::Light) => "Light panels".into(),
            Self::SetTheme(ThemeChoice::System) => "Panels as the desktop says".into(),
            Self::ChangeTextSize(change) if *change > 0 => "Larger text size".into(),
            Self::ChangeTextSize(_) => "Smaller text size".into(),
            Self::Show(Some(Overlay::Actions)) => "All actions".into(),
            Self::Show(Some(Overlay::About)) => "About Plumbray".into(),
            Self::Show(Some(Overlay::Visits)) => "Name and order the visits…".into(),
            Self::Show(Some(Overlay::Visit)) => "Visit, dates and reader".into(),
            Self::Show(None) => "Close this page".into(),
            Self::CautionRead => "I have read this".into(),
            Self::DismissNotice(_) => "Take this notice away".into(),
            Self::AskExportLandmarks(view) | Self::ExportLandmarks(view, _) => {
                format!(
                    "Export the landmarks of the {} film…",
                    view.name_in_sentence()
                )
            }
            Self::AskImportLandmarks(view) | Self::ImportLandmarks(view, _) => {
                format!("Import landmarks for the {} film…", view.name_in_sentence())
            }
            Self::NoDialogs => "Say how to open films without dialogs".into(),
            Self::Quit => "Quit".into(),
        }
    }
}
