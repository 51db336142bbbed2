//! What a person can do with a series, as data.

use std::path::PathBuf;

use super::{AskReaders, SeriesIndex, SeriesPage};
use crate::workbench::ComparisonFile;

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
    AskWhereToPutTable,
    /// Write that table; the ending says whether as CSV, Parquet or JSON.
    WriteTable(PathBuf),
    /// Keep the index elsewhere and read again.
    KeepIndex(SeriesIndex),
    /// Show the visits, or how far the readers agree.
    Show(SeriesPage),
    /// Ask something of the readers.
    AskReaders(AskReaders),
    /// Ask where to write how far the readers agree: as a sheet to print or as a table.
    AskWhereToWrite(ComparisonFile),
    /// Write how far the readers agree to this file.
    Write(ComparisonFile, PathBuf),
    /// Keep what the repeats of the reader of this name say as that reader's own spread.
    KeepSpread(String),
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
            Self::AskWhereToPutTable => "Write the table of these visits…",
            Self::WriteTable(_) => "Write the table of these visits",
            Self::KeepIndex(_) => "Keep the index of series elsewhere",
            Self::Show(SeriesPage::Visits) => "List the visits of the series",
            Self::Show(SeriesPage::Readers) => "Judge how far the readers of the series agree",
            Self::AskReaders(_) => "Choose how the readers are judged",
            Self::AskWhereToWrite(_) | Self::Write(..) => "Write how far the readers agree",
            Self::KeepSpread(_) => "Keep a reader’s own spread",
            Self::Leave => "Put the series away",
        }
        .to_owned()
    }
}
