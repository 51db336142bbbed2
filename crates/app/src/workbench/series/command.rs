//! What a person can do with a series, as data.

use std::path::PathBuf;

/// What a person can do with a series.
#[derive(Clone, Debug, PartialEq)]
pub enum SeriesCommand {
    /// Ask which folder to look through.
    Ask,
    /// Look through this folder.
    Open(PathBuf),
    /// List only visits of which this holds: "side=left hva>=30".
    Filter(String),
    /// Read the folder again.
    ReadAgain,
    /// Open the study of a visit.
    OpenStudy(PathBuf),
    /// Put the series away.
    Leave,
}

impl SeriesCommand {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Ask => "Look through a series of studies…",
            Self::Open(_) => "Look through a series of studies",
            Self::Filter(_) => "Choose which visits are listed",
            Self::ReadAgain => "Read the series again",
            Self::OpenStudy(_) => "Open this study",
            Self::Leave => "Put the series away",
        }
        .to_owned()
    }
}
