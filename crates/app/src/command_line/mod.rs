//! The same jobs without a window, for scripts: `plumbray agreement`, `plumbray archives`, `plumbray cohort`,
//! `plumbray compare`, `plumbray disc`, `plumbray export`, `plumbray fetch`, `plumbray find`, `plumbray landmarks`,
//! `plumbray measure`, `plumbray phantom`, `plumbray plan`, `plumbray practice-set`,
//! `plumbray send`, `plumbray sheet`, `plumbray trace`.

mod agreement;
mod agreement_text;
mod archive;
mod cohort;
mod compare;
mod disc;
mod export;
mod landmarks;
mod measure;
mod measure_parts;
mod phantom;
mod plan;
mod plan_columns;
mod practice_set;
mod sheet;
mod sheet_files;
mod trace;
mod trace_output;
mod traced_film;
mod traced_study;

use std::{io::Write, num::NonZeroU32, path::PathBuf};

use clap::{
    Args, Parser, Subcommand, ValueEnum,
    builder::{PossibleValuesParser, TypedValueParser},
};
use plumbray_anatomy::{Side, View};
use plumbray_cohort::Shard;
use plumbray_phantom::PoorFilm;
use plumbray_plan::{Extent, Goal};
use plumbray_report::Paper;

use crate::window;

/// Measures standing radiographs of the foot. Without a subcommand it opens the window with the
/// films or the study that are named. A measuring aid, not a medical device: a licensed clinician
/// decides under local rules.
#[derive(Debug, Parser)]
#[command(name = "plumbray", version, args_conflicts_with_subcommands = true)]
pub struct CommandLine {
    #[command(subcommand)]
    job: Option<Job>,
    /// Films (PNG, TIFF, JPEG, BMP, DICOM) of one foot, a study, or a disc (its folder or its DICOMDIR).
    files: Vec<PathBuf>,
}

#[derive(Debug, Subcommand)]
enum Job {
    /// Print the worksheet of studies or of landmark tables.
    Measure(MeasureArguments),
    /// Print the landmarks of a study as a table, or put a table's landmarks into it.
    Landmarks(LandmarksArguments),
    /// Trace films without a click, or from rough places of landmarks, and print their worksheets.
    Trace(TraceArguments),
    /// Tell what changed between two visits of one foot, and whether by more than measuring errs.
    Compare(CompareArguments),
    /// List every study below a folder with its numbers, and sum the series up.
    Cohort(CohortArguments),
    /// Carry out plans of an osteotomy on a traced foot: what they would do, and what they leave open.
    Plan(Box<PlanArguments>),
    /// Make the printed sheets of studies, as PDF.
    Sheet(SheetArguments),
    /// List the films of a disc (DICOMDIR) or of a folder, by patient, study and series. It prints patients' names.
    Disc(disc::DiscArguments),
    /// Write DICOM objects of a measured study for an archive: report, drawing, sheet, picture, film.
    Export(export::ExportArguments),
    /// Make simulated films of feet that never existed, with their truth beside them.
    Phantom(PhantomArguments),
    /// Make a set of films to practise on, of simulated feet or of studies.
    PracticeSet(practice_set::PracticeSetArguments),
    /// Tell how far readers of the same films agree, with each other and with themselves.
    Agreement(agreement::AgreementArguments),
    /// List the image archives that this workstation knows; add, remove and try them.
    Archives(archive::ArchivesArguments),
    /// List the studies that an archive has.
    Find(archive::FindArguments),
    /// Fetch films from an archive into a folder.
    Fetch(archive::FetchArguments),
    /// Send films to an archive, by way of a queue that waits for it.
    Send(archive::SendArguments),
}

#[derive(Debug, Args)]
struct MeasureArguments {
    /// Studies (`….study.ron`), folders of studies with everything below them, or landmark tables of an AP film
    /// (`….csv`).
    #[arg(required = true)]
    inputs: Vec<PathBuf>,
    /// Only part K of N of the studies, as 3/16: N jobs measure each study exactly once.
    #[arg(long, value_name = "K/N")]
    shard: Option<Shard>,
    /// Write the lines of --csv into this folder as Parquet parts, in pieces: a run that was killed goes on where it
    /// was.
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["json", "csv", "lateral"])]
    parquet_parts: Option<PathBuf>,
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
    /// Widen the intervals by what is kept of the reader of each study in this file, as `plumbray agreement
    /// --keep-spread` wrote it.
    #[arg(long, value_name = "FILE")]
    reader_spread: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct CompareArguments {
    /// Studies (`….study.ron`) of one foot, which are ordered by day; or one time line (`….visits.ron`).
    #[arg(required = true)]
    inputs: Vec<PathBuf>,
    /// The earlier of the two visits that are subtracted, counted from 1. Usually the first standing visit
    /// after surgery.
    #[arg(long, value_name = "NUMBER")]
    from: Option<usize>,
    /// The later of the two visits. Usually the last one.
    #[arg(long, value_name = "NUMBER")]
    to: Option<usize>,
    // The lists of identifiers are the program's own, so that the help cannot lag behind.
    #[arg(long, value_name = "IDENTIFIER", help = compare::convention_help())]
    convention: Option<String>,
    #[arg(long, value_name = "IDENTIFIER", help = compare::recurrence_help())]
    recurrence: Option<String>,
    /// Which plan of the earlier visit to hold against the later one, by its name or its number, counted from 1.
    /// Usually the first one.
    #[arg(long, value_name = "NAME OR NUMBER")]
    plan: Option<String>,
    /// As JSON.
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// As CSV: one line for each measurement, then one for each number of the plan against the result.
    #[arg(long)]
    csv: bool,
    /// Also make a sheet to print, as PDF: both films, every visit's numbers, what changed.
    #[arg(long, value_name = "PDF")]
    sheet: Option<PathBuf>,
    /// Also write the visits, in their order, as a time line.
    #[arg(long, value_name = "TIME LINE")]
    save: Option<PathBuf>,
}

#[derive(Debug, Args)]
struct CohortArguments {
    /// The folder of the series.
    folder: PathBuf,
    #[arg(long, value_name = "CONDITION", help = cohort::filter_help())]
    filter: Vec<String>,
    #[arg(long, value_name = "IDENTIFIER", help = compare::recurrence_help())]
    recurrence: Option<String>,
    /// How many rows are printed.
    #[arg(long, value_name = "NUMBER", default_value_t = 40)]
    rows: usize,
    /// Also write every row as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Also write every row as Parquet.
    #[arg(long, value_name = "FILE")]
    parquet: Option<PathBuf>,
    /// Also write every row and the summary as JSON.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Where the index lies, in place of this user's cache: a file, or a database as postgresql://user@host/database.
    /// Give a password in PGPASSWORD. The connection is not encrypted.
    #[arg(long, value_name = "FILE OR URL")]
    index: Option<String>,
    /// The name under which several workstations share a series in a database, in place of the folder's path.
    #[arg(long, value_name = "NAME", requires = "index")]
    series: Option<String>,
    /// Read and measure every study again.
    #[arg(long)]
    rebuild: bool,
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

#[derive(Debug, Args)]
struct TraceArguments {
    /// Films (PNG, TIFF, JPEG, BMP, DICOM), or folders of films. An AP and a lateral film of one folder
    /// that are named together are one foot.
    #[arg(required = true)]
    films: Vec<PathBuf>,
    /// Trace what this table points at roughly, and nothing else: landmark,x_px,y_px.
    #[arg(long, value_name = "TABLE")]
    hints: Option<PathBuf>,
    /// From which direction the films were taken, in place of what their bones show.
    #[arg(long, value_enum)]
    view: Option<ViewName>,
    /// Which foot it is; of a film of both feet, which one to trace.
    #[arg(long, value_enum)]
    side: Option<SideName>,
    /// Trace this picture of a file that holds several, from 1, as the window numbers them; the study remembers it.
    #[arg(long, value_name = "NUMBER", default_value = "1")]
    picture: NonZeroU32,
    /// As JSON: every landmark and every convention that the tracing allows.
    #[arg(long)]
    json: bool,
    /// Only part K of N of the films, as 3/16: N jobs trace each film exactly once.
    #[arg(long, value_name = "K/N")]
    shard: Option<Shard>,
    /// Write the worksheets into this folder as Parquet parts, in pieces: a run that was killed goes on where it was.
    /// Each film is taken by itself.
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["json", "hints"])]
    parquet_parts: Option<PathBuf>,
    /// Save a study beside each film. Landmarks that a study holds already are never changed.
    #[arg(long)]
    save: bool,
}

#[derive(Debug, Args)]
struct PlanArguments {
    /// A study (`….study.ron`) of a foot before any operation, or a film with its study beside it.
    study: PathBuf,
    /// A file with one plan, or with a list of plans, as RON; in place of the study's own.
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// The usual plan: a straight cut square to the shaft, a shift by three quarters of its width, no screws.
    #[arg(long, conflicts_with = "plan")]
    usual: bool,
    /// Only this of the plans, counted from 1.
    #[arg(long, value_name = "NUMBER")]
    only: Option<usize>,
    /// How far the head is shifted laterally, in place of what the plans say: 90% of the shaft's width, or
    /// 12.6mm.
    #[arg(long, value_name = "LENGTH", value_parser = plan::extent_from, conflicts_with = "solve")]
    shift: Option<Extent>,
    /// The shift that reaches this: ima=6 (degrees between the first and the second metatarsal), sesamoids (the
    /// head over them), or most (all that the bone allows).
    #[arg(long, value_name = "GOAL", value_parser = plan::goal_from)]
    solve: Option<Goal>,
    /// The tilt of the cut that keeps the length along the second metatarsal, kerf and shift included.
    #[arg(long)]
    keep_length: bool,
    /// Two screws, found by trying, in place of the plans' own; wires stay.
    #[arg(long)]
    suggest_screws: bool,
    /// Their diameter: 4mm, or 28% of the shaft's width, which is what 4 mm are of a shaft of 14 mm.
    #[arg(long, value_name = "LENGTH", value_parser = plan::extent_from, requires = "suggest_screws")]
    diameter: Option<Extent>,
    /// Also write everything as JSON.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Also write one line for each number, as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Also make the sheet for theatre of one plan, a single page, as PDF.
    #[arg(long, value_name = "PDF")]
    sheet: Option<PathBuf>,
    /// Also make the same page as a picture, as PNG.
    #[arg(long, value_name = "PNG")]
    png: Option<PathBuf>,
    /// The paper of the sheet.
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperName,
    /// Put the patient on the sheet, as the films' files name them; without it there is room to write by hand.
    #[arg(long)]
    identity: bool,
}

#[derive(Debug, Args)]
struct SheetArguments {
    /// Studies (`….study.ron`).
    #[arg(required = true)]
    studies: Vec<PathBuf>,
    /// The folder for what is made, in place of each study's own; it is made if there is none.
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// The paper.
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperName,
    /// Put the patient on the sheet, as the films' files name them.
    #[arg(long)]
    identity: bool,
    /// Also make a picture of each film with its tracing, as PNG.
    #[arg(long)]
    picture: bool,
    /// Also make a table of the measurements, as CSV.
    #[arg(long)]
    csv: bool,
    /// Also write what `plumbray measure --json` prints.
    #[arg(long)]
    json: bool,
    /// These measurements, by identifier, or all, in place of those that a clinic reads of every foot.
    #[arg(long, value_name = "IDENTIFIERS", value_delimiter = ',')]
    measurements: Vec<String>,
    /// Widen the intervals by what is kept of the reader of each study in this file, as `plumbray agreement
    /// --keep-spread` wrote it.
    #[arg(long, value_name = "FILE")]
    reader_spread: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

impl From<PaperName> for Paper {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::A4 => Self::A4,
            PaperName::Letter => Self::Letter,
        }
    }
}

#[derive(Debug, Args)]
struct PhantomArguments {
    /// The folder for the films; it is made if there is none.
    #[arg(required_unless_present = "list")]
    folder: Option<PathBuf>,
    /// Draw a foot at random; the same seed gives the same foot. Without it, a foot within normal
    /// limits.
    #[arg(long)]
    seed: Option<u64>,
    /// How many feet, each with the next seed.
    #[arg(long, default_value_t = 1, requires = "seed", value_parser = clap::value_parser!(u64).range(1..=10_000))]
    count: u64,
    /// Which films of each foot.
    #[arg(long = "view", value_enum, default_value = "both")]
    views: PhantomViews,
    /// A parameter of the foot in place of the drawn one, as in hallux_valgus_angle=30. Repeatable.
    #[arg(long, value_name = "NAME=VALUE")]
    set: Vec<String>,
    /// A setting of the exposure in place of the usual one, as in tube_tilt_degrees=20. Repeatable.
    #[arg(long, value_name = "NAME=VALUE")]
    exposure: Vec<String>,
    /// A way in which the films go wrong.
    #[arg(long, value_name = "NAME", value_parser = poor_film_names())]
    poor: Option<PoorFilm>,
    /// The kind of file; JPEG is a lossy copy in 8 bits.
    #[arg(long, value_enum, default_value = "dicom")]
    format: PhantomFormat,
    /// List the parameters and settings with their usual values, and make nothing.
    #[arg(long)]
    list: bool,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum PhantomViews {
    Ap,
    Lateral,
    Both,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum PhantomFormat {
    Png,
    Dicom,
    Jpeg,
}

fn poor_film_names() -> impl TypedValueParser<Value = PoorFilm> {
    PossibleValuesParser::new(PoorFilm::ALL.map(PoorFilm::identifier))
        .try_map(|name| PoorFilm::from_identifier(&name).ok_or("no such way"))
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

#[derive(Clone, Copy, Debug, ValueEnum)]
enum SideName {
    Left,
    Right,
}

impl From<SideName> for Side {
    fn from(name: SideName) -> Self {
        match name {
            SideName::Left => Self::Left,
            SideName::Right => Self::Right,
        }
    }
}

/// How a job ended that was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// All of it was done.
    Complete,
    /// Some of its films or studies failed, as the error output says; the others were done.
    WithFailures,
}

impl CommandLine {
    /// Does what was asked; jobs without a window write to `output`.
    ///
    /// # Errors
    /// When a file cannot be read or written, a name is unknown, or no window can be opened.
    pub fn run(self, output: &mut dyn Write) -> anyhow::Result<Ending> {
        match self.job {
            None => window::run(self.files)?,
            Some(Job::Measure(arguments)) => return measure::measure(&arguments, output),
            Some(Job::Cohort(arguments)) => cohort::cohort(&arguments, output)?,
            Some(Job::Compare(arguments)) => compare::compare(&arguments, output)?,
            Some(Job::Disc(arguments)) => disc::disc(&arguments, output)?,
            Some(Job::Landmarks(arguments)) => landmarks::landmarks(&arguments, output)?,
            Some(Job::Plan(arguments)) => plan::plan(&arguments, output)?,
            Some(Job::Sheet(arguments)) => sheet::sheet(&arguments, output)?,
            Some(Job::Export(arguments)) => export::export(&arguments, output)?,
            Some(Job::Phantom(arguments)) => phantom::phantom(&arguments, output)?,
            Some(Job::Archives(arguments)) => archive::archives(&arguments, output)?,
            Some(Job::Find(arguments)) => archive::find(&arguments, output)?,
            Some(Job::Fetch(arguments)) => return archive::fetch(&arguments, output),
            Some(Job::Send(arguments)) => return archive::send(&arguments, output),
            Some(Job::Agreement(arguments)) => agreement::agreement(&arguments, output)?,
            Some(Job::PracticeSet(arguments)) => practice_set::practice_set(&arguments, output)?,
            Some(Job::Trace(arguments)) => return trace::trace(&arguments, output),
        }
        Ok(Ending::Complete)
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
