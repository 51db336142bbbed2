//! What a supervisor can do while making a set, as data.

use std::path::PathBuf;

use plumbray_anatomy::View;

/// What a supervisor can do while making a set of studies. Studies are told by their place in the list.
#[derive(Clone, Debug, PartialEq)]
pub enum MakingCommand {
    /// Ask in which folder the studies lie.
    AskForStudies,
    /// Read the studies of this folder and those below it.
    ReadStudies(PathBuf),
    /// Take a study into the set, or leave it out.
    Take(usize, bool),
    /// Look at a film of a study, as large as the window allows; its grey picture as it will be written.
    LookAt(usize, View),
    /// Show the film that is looked at otherwise.
    Show(Box<crate::workbench::FilmView>),
    /// Go back from the film to the list.
    ToList,
    /// Nothing in this film's picture tells who the patient is; or that is taken back.
    Clear(usize, View, bool),
    /// What the set is called.
    Name(String),
    /// Who makes the set.
    Supervisor(String),
    /// Whether residents may let the program move points to edges from the start.
    Snapping(bool),
    /// Ask where to write the set.
    AskWhere,
    /// The folder that the set is to have.
    Where(String),
    /// Write the set, and open it.
    Write,
    /// Leave making a set.
    Leave,
}

impl MakingCommand {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::AskForStudies => "Choose the folder of the studies…",
            Self::ReadStudies(_) => "Read the studies of this folder",
            Self::Take(_, true) => "Take this study into the set",
            Self::Take(_, false) => "Leave this study out",
            Self::LookAt(..) => "Look at this film for names",
            Self::Show(_) => "Show the film otherwise",
            Self::ToList => "Back to the studies",
            Self::Clear(_, _, true) => "Nothing in this picture tells who the patient is",
            Self::Clear(_, _, false) => "This picture has to be looked at again",
            Self::Name(_) => "Name the set",
            Self::Supervisor(_) => "Say who makes the set",
            Self::Snapping(true) => "Begin with snapping",
            Self::Snapping(false) => "Begin without snapping",
            Self::AskWhere => "Choose where to write the set…",
            Self::Where(_) => "Say where to write the set",
            Self::Write => "Write the set and open it",
            Self::Leave => "Leave making a set",
        }
        .to_owned()
    }
}
