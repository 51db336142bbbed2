//! The same jobs without a window, for scripts: `plumbray measure`, `plumbray landmarks`.

mod landmarks;
mod measure;
mod measured_study;

use std::{io::Write, path::PathBuf};

use clap::{Args, Parser, Subcommand, ValueEnum};
use plumbray_anatomy::View;

use crate::window;

/// Measures standing radiographs of the foot. Without a subcommand it opens the window with the
/// films or the study that are named. A measuring aid, not a medical device: a licensed clinician
/// decides under local rules.
#[derive(Debug, Parser)]
#[command(name = "plumbray", version, args_conflicts_with_subcommands = true)]
pub struct CommandLine {
    #[command(subcommand)]
    job: Option<Job>,
    /// Films (PNG, TIFF, JPEG, BMP, DICOM) of one foot, or a study.
    files: Vec<PathBuf>,
}

#[derive(Debug, Subcommand)]
enum Job {
    /// Print the worksheet of studies or of landmark tables.
    Measure(MeasureArguments),
    /// Print the landmarks of a study as a table, or put a table's landmarks into it.
    Landmarks(LandmarksArguments),
}

#[derive(Debug, Args)]
struct MeasureArguments {
    /// Studies (`….study.ron`), or landmark tables of an AP film (`….csv`).
    #[arg(required = true)]
    inputs: Vec<PathBuf>,
    /// A landmark table of the lateral film, beside one AP table.
    #[arg(long, value_name = "TABLE")]
    lateral: Option<PathBuf>,
    /// As JSON: every convention that the tracing allows.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// As CSV: one line for each measurement and convention.
    #[arg(long)]
    csv: bool,
    /// The axis convention to show, in place of the study's.
    #[arg(long, value_name = "IDENTIFIER")]
    convention: Option<String>,
    /// The severity limits, in place of the study's.
    #[arg(long, value_name = "IDENTIFIER")]
    severity: Option<String>,
}

#[derive(Debug, Args)]
struct LandmarksArguments {
    /// The study.
    study: PathBuf,
    /// Which film's landmarks.
    #[arg(long, value_enum, default_value = "ap")]
    view: ViewName,
    /// Put the landmarks of this table into the study instead of printing its own.
    #[arg(long, value_name = "TABLE")]
    import: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum ViewName {
    Ap,
    Lateral,
}

impl From<ViewName> for View {
    fn from(name: ViewName) -> Self {
        match name {
            ViewName::Ap => Self::Ap,
            ViewName::Lateral => Self::Lateral,
        }
    }
}

impl CommandLine {
    /// Does what was asked; jobs without a window write to `output`.
    ///
    /// # Errors
    /// When a file cannot be read or written, a name is unknown, or no window can be opened.
    pub fn run(self, output: &mut dyn Write) -> anyhow::Result<()> {
        match self.job {
            None => window::run(self.files),
            Some(Job::Measure(arguments)) => measure::measure(&arguments, output),
            Some(Job::Landmarks(arguments)) => landmarks::landmarks(&arguments, output),
        }
    }
}

/// A problem with everything that led to it, in one line. A cause that its effect has named already
/// is not repeated.
#[must_use]
pub fn in_words(problem: &anyhow::Error) -> String {
    let mut text = String::new();
    for cause in problem.chain() {
        let cause = cause.to_string();
        if text.is_empty() {
            text = cause;
        } else if !text.contains(&cause) {
            text = format!("{text}: {cause}");
        }
    }
    text
}
