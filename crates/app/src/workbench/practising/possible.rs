//! What can be done while somebody practises.

use std::path::PathBuf;

use super::{PracticeCommand, PracticeStage, Practising, is_practice_set};
use crate::workbench::{Command, Overlay, Workbench};

impl Workbench {
    /// Whether what a command does can be done now.
    pub(in super::super) fn can_practise(&self, command: &PracticeCommand) -> bool {
        let Some(practising) = &self.practising else {
            return matches!(
                command,
                PracticeCommand::Begin
                    | PracticeCommand::AskForSet
                    | PracticeCommand::OpenSet(_)
                    | PracticeCommand::NoDialogs
            );
        };
        let stage = &practising.stage;
        let is_overview = matches!(stage, PracticeStage::Overview);
        let is_lesson = matches!(stage, PracticeStage::Lesson(_));
        let takes_feet = (is_overview || is_lesson) && practising.is_named();
        match command {
            PracticeCommand::Begin => false,
            PracticeCommand::Leave
            | PracticeCommand::AskForSet
            | PracticeCommand::OpenSet(_)
            | PracticeCommand::NoDialogs => true,
            PracticeCommand::AllowSnapping(allowed) => {
                practising.attempt().is_none() && practising.snapping != *allowed
            }
            PracticeCommand::TakeNext => takes_feet,
            PracticeCommand::Take(foot) => takes_feet && practising.foot(foot).is_some(),
            PracticeCommand::Resume => (is_overview || is_lesson) && !practising.begun().is_empty(),
            PracticeCommand::PutBy => practising.attempt().is_some(),
            PracticeCommand::HandIn => {
                practising.attempt().is_some() && !self.study.tracing.ap.is_empty()
            }
            PracticeCommand::ShowReference(shown) => practising
                .handed_in()
                .is_some_and(|handed_in| handed_in.shows_reference != *shown),
            PracticeCommand::LookAt(thing) => is_lesson && self.film(thing.view()).is_some(),
            PracticeCommand::WholeFilms => practising
                .handed_in()
                .is_some_and(|handed_in| handed_in.looked_at.is_some()),
            PracticeCommand::ToOverview => is_lesson,
            PracticeCommand::Make(making) => practising.making().is_some_and(|own| own.can(making)),
            PracticeCommand::As(_) | PracticeCommand::DeleteProgress | PracticeCommand::MakeSet => {
                is_overview
            }
        }
    }

    /// Whether practising lets a command through: in an attempt and its lesson only what belongs to tracing and
    /// looking. Everything else would show numbers, or change what is judged.
    pub(in super::super) fn practising_allows(&self, command: &Command) -> bool {
        let Some(practising) = &self.practising else {
            return true;
        };
        let always = matches!(
            command,
            Command::Practise(_)
                | Command::Show(None | Some(Overlay::Actions | Overlay::About))
                | Command::SetTheme(_)
                | Command::ChangeTextSize(_)
                | Command::SetReader(_)
                | Command::CautionRead
                | Command::DismissNotice(_)
                | Command::NoDialogs
                | Command::Quit
                | Command::Look(..)
                | Command::NoteDrawn(..)
                | Command::Activate(_)
                | Command::WholeFilm
                | Command::Zoom(_)
                | Command::Turn(_)
                | Command::Mirror
                | Command::Invert
                | Command::NextWindow
                | Command::ShowWindow(..)
                | Command::Graphics
                | Command::SetBare(_)
        );
        let traces = matches!(
            command,
            Command::Gesture(..)
                | Command::ForgetFirstClick
                | Command::GoTo(_)
                | Command::SetAdjusting(_)
                | Command::NextStep
                | Command::PreviousStep
                | Command::MovePoint { .. }
                | Command::DeletePoint(..)
                | Command::DeleteStep(_)
                | Command::SelectPoint(..)
                | Command::SelectNothing
                | Command::NextPoint
                | Command::PreviousPoint
                | Command::Undo
                | Command::Redo
        );
        let looks = matches!(command, Command::Select(_) | Command::SelectNothing);
        let opens = matches!(command, Command::Open(paths) if opens_here(practising, paths));
        always
            || opens
            || (traces && practising.attempt().is_some())
            || (looks && practising.handed_in().is_some())
    }
}

/// Whether what is dropped belongs here: another practice set, or the folder of the studies of which one is made.
fn opens_here(practising: &Practising, paths: &[PathBuf]) -> bool {
    let [only] = paths else { return false };
    practising.attempt().is_none()
        && (is_practice_set(only) || (practising.making().is_some() && only.is_dir()))
}
