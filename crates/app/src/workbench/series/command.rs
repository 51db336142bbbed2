//! What a person can do with a series, as data.

use std::path::PathBuf;

use super::SeriesIndex;

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
    /// Ask where to write the table of the visits that are listed.
    AskWhereToWrite,
    /// Write that table; the ending says whether as CSV, Parquet or JSON.
    Write(PathBuf),
    /// Keep the index elsewhere and read again.
    KeepIndex(SeriesIndex),
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
            Self::AskWhereToWrite => "Write the table of these visits…",
            Self::Write(_) => "Write the table of these visits",
            Self::KeepIndex(_) => "Keep the index of series elsewhere",
            Self::Leave => "Put the series away",
        }
        .to_owned()
    }
}
