//! What a person can do with a disc, as data.

use std::path::PathBuf;

/// What a person can do with a disc, or a folder of films.
#[derive(Clone, Debug, PartialEq)]
pub enum DiscCommand {
    /// Ask which folder to list.
    Ask,
    /// List the films of this folder, or of the disc with this directory.
    Open(PathBuf),
    /// List them again.
    ListAgain,
    /// Stop listing.
    Stop,
    /// List only films of which every one of these words is said.
    Filter(String),
    /// Tick a film, by its number in the disc's order, or untick it.
    Tick(usize, bool),
    /// Untick all films.
    UntickAll,
    /// These films are on the screen: their small pictures are wanted, in this order.
    InView(Vec<usize>),
    /// Open the films that are ticked where they lie.
    OpenTicked,
    /// Where copies go, as it was written; empty to be asked.
    WhereToCopy(String),
    /// Copy the films that are ticked into a folder, which is asked for unless it was written, and open the copies.
    CopyAndOpen,
    /// Copy the films that are ticked into this folder and open the copies.
    CopyInto(PathBuf),
    /// Look for studies below the folder instead.
    LookForStudies,
    /// The desktop has no file dialogs: say how it goes without them.
    NoDialogs,
    /// Put the disc away.
    Leave,
}

impl DiscCommand {
    /// Those that the searchable list offers.
    pub(crate) fn listed() -> impl Iterator<Item = Self> {
        [
            Self::Ask,
            Self::ListAgain,
            Self::Stop,
            Self::UntickAll,
            Self::OpenTicked,
            Self::CopyAndOpen,
            Self::LookForStudies,
            Self::Leave,
        ]
        .into_iter()
    }

    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Ask => "Films of a disc or folder…",
            Self::Open(_) => "List the films of a disc or folder",
            Self::ListAgain => "List the disc again",
            Self::Stop => "Stop listing",
            Self::Filter(_) => "Choose which films are listed",
            Self::Tick(_, true) => "Tick a film",
            Self::Tick(_, false) => "Untick a film",
            Self::UntickAll => "Untick all films",
            Self::InView(_) => "Look at the list",
            Self::OpenTicked => "Open these films",
            Self::WhereToCopy(_) => "Say where copies of films go",
            Self::CopyAndOpen => "Copy into a folder and open…",
            Self::CopyInto(_) => "Copy into a folder and open",
            Self::LookForStudies => "Look for studies in this folder",
            Self::NoDialogs => "Say how to list a disc without dialogs",
            Self::Leave => "Put the disc away",
        }
        .to_owned()
    }
}
