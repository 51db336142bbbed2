//! What a person can do while practising, as data.

use std::path::PathBuf;

use plumbray_practise::PlacedThing;

use super::MakingCommand;

/// What a person can do while practising.
#[derive(Clone, Debug, PartialEq)]
pub enum PracticeCommand {
    /// Practise reading films.
    Begin,
    /// Go back to measuring.
    Leave,
    /// Ask which practice set to open.
    AskForSet,
    /// Open the practice set of this folder.
    OpenSet(PathBuf),
    /// Practise under this name; everything that is kept belongs to it.
    As(String),
    /// Whether the program may move points to edges in the next attempt.
    AllowSnapping(bool),
    /// Begin an attempt at the foot that the progress asks for.
    TakeNext,
    /// Begin an attempt at the foot of this name.
    Take(String),
    /// Go on with the attempt that was put by.
    Resume,
    /// Put the attempt by, to go on later.
    PutBy,
    /// Hand the attempt in.
    HandIn,
    /// Whether the reference is drawn over the attempt.
    ShowReference(bool),
    /// Bring the film to a place of the lesson, with the reference and the attempt.
    LookAt(PlacedThing),
    /// Show the whole films again.
    WholeFilms,
    /// Go from the lesson to the feet and the progress.
    ToOverview,
    /// Make a set of studies.
    MakeSet,
    /// Something that belongs to making a set.
    Make(MakingCommand),
    /// The desktop has no file dialogs: say how it goes without them.
    NoDialogs,
    /// Delete everything that was kept of this resident.
    DeleteProgress,
}

impl PracticeCommand {
    /// Those that the searchable list offers.
    pub(crate) fn listed() -> impl Iterator<Item = Self> {
        [
            Self::Begin,
            Self::Leave,
            Self::AskForSet,
            Self::MakeSet,
            Self::TakeNext,
            Self::Resume,
            Self::PutBy,
            Self::HandIn,
            Self::ShowReference(true),
            Self::ShowReference(false),
            Self::WholeFilms,
            Self::ToOverview,
        ]
        .into_iter()
    }

    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Begin => "Practise reading films".to_owned(),
            Self::Leave => "Leave practising".to_owned(),
            Self::AskForSet => "Open a practice set…".to_owned(),
            Self::OpenSet(_) => "Open a practice set".to_owned(),
            Self::As(_) => "Say who practises".to_owned(),
            Self::AllowSnapping(true) => "Practise with snapping".to_owned(),
            Self::AllowSnapping(false) => "Practise without snapping".to_owned(),
            Self::TakeNext => "Take the next foot".to_owned(),
            Self::Take(foot) => format!("Take {foot}"),
            Self::Resume => "Go on with the foot that was put by".to_owned(),
            Self::PutBy => "Put this foot by".to_owned(),
            Self::HandIn => "Hand in".to_owned(),
            Self::ShowReference(true) => "Show the reference".to_owned(),
            Self::ShowReference(false) => "Hide the reference".to_owned(),
            Self::LookAt(thing) => format!("Look at: {}", thing.name()),
            Self::WholeFilms => "Show the whole films".to_owned(),
            Self::MakeSet => "Make a practice set of studies…".to_owned(),
            Self::Make(command) => command.text(),
            Self::NoDialogs => "Say how to go on without dialogs".to_owned(),
            Self::ToOverview => "See all feet and the progress".to_owned(),
            Self::DeleteProgress => "Delete what was kept of this reader".to_owned(),
        }
    }
}
