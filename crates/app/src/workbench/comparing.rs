//! Comparing the visits of a foot: gathered, laid over each other and subtracted on a worker's thread.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use plumbray_compare::{
    Comparison, NotLaidOver, Pair, Recurrence, Registration, TIMELINE_ENDING, Timeline,
    timelines_in,
};
use plumbray_film::{Mix, Pyramid};
use plumbray_measure::AxisConvention;
use plumbray_study::STUDY_ENDING;

use super::{Finished, Workbench, command::Command, state::Request};
use crate::{
    canvas::Placement,
    comparing::{FootOverTime, comparison_pdf},
    printing::write_beside,
};

/// How two films are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum CompareView {
    /// Beside each other, moved together.
    #[default]
    SideBySide,
    /// The mean of both.
    Blend,
    /// The earlier one left of a line, the later one right of it.
    Curtain,
    /// One after the other in the same place.
    Blink,
    /// The later one with the outlines of the earlier one.
    Outlines,
    /// Where they differ.
    Difference,
}

impl CompareView {
    /// Every way, in the order of their keys.
    pub const ALL: [Self; 6] = [
        Self::SideBySide,
        Self::Blend,
        Self::Curtain,
        Self::Blink,
        Self::Outlines,
        Self::Difference,
    ];

    /// As a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::SideBySide => "side by side",
            Self::Blend => "blend",
            Self::Curtain => "curtain",
            Self::Blink => "blink",
            Self::Outlines => "outlines",
            Self::Difference => "difference",
        }
    }
}

/// What a person can do while visits are compared.
#[derive(Clone, Debug, PartialEq)]
pub enum CompareCommand {
    /// Compare the foot that is open with its other visits.
    Begin,
    /// Ask which studies, or which time line, to compare.
    AskForVisits,
    /// Compare these studies, or the visits of this time line.
    Open(Vec<PathBuf>),
    /// Go back to measuring.
    Leave,
    /// Subtract these two visits.
    Between(Pair),
    /// Read every visit by these axes.
    By(AxisConvention),
    /// Show the two films in this way.
    Show(CompareView),
    /// Which part of the films is shown, and how large.
    Place(Placement),
    /// Count the deformity as being back by this limit.
    Recur(Recurrence),
    /// Ask where to put a sheet to print.
    AskSheet,
    /// Make the sheet to print.
    MakeSheet(PathBuf),
}

/// Visits that are being compared.
#[derive(Clone, Debug)]
pub struct Comparing {
    /// The visits in their order.
    pub foot: Arc<FootOverTime>,
    /// What changed between two of them.
    pub comparison: Arc<Comparison>,
    /// The later film laid over the earlier one.
    pub registration: Result<Registration, NotLaidOver>,
    /// The later film in the frame of the earlier one, where it could be laid over it.
    pub laid: Option<Arc<Pyramid>>,
    /// Both in one picture.
    pub mixed: Option<[Arc<Pyramid>; 2]>,
    /// How the two films are shown.
    pub shown: CompareView,
    /// Which part of the films is shown, and how large.
    pub placement: Placement,
    /// By which limit the deformity counts as being back.
    pub limit: Recurrence,
}

impl Comparing {
    /// Lays films over each other and subtracts; takes a second.
    fn of(foot: Arc<FootOverTime>, pair: Pair, convention: AxisConvention) -> Self {
        let (comparison, registration) = foot.comparison_and_registration(pair, convention);
        let film = |place: usize| foot.visits.get(place)?.film.as_ref();
        let laid = registration.as_ref().ok().and_then(|laid| {
            let (earlier, later) = film(pair.earlier).zip(film(pair.later))?;
            let frame = earlier.film();
            Some(later.film().laid_into(frame, |at| laid.on_later(at)))
        });
        let mixed = laid.as_ref().and_then(|laid| {
            let earlier = film(pair.earlier)?.film();
            let [blend, difference] =
                [Mix::Blend, Mix::Difference].map(|mix| earlier.mixed_with(laid, mix));
            Some([Arc::new(blend?.pyramid()), Arc::new(difference?.pyramid())])
        });
        Self {
            registration,
            comparison: Arc::new(comparison),
            laid: laid.map(|film| Arc::new(film.pyramid())),
            mixed,
            foot,
            shown: CompareView::SideBySide,
            placement: Placement::Fit,
            limit: Recurrence::default(),
        }
    }

    /// Which two visits are subtracted.
    #[must_use]
    pub fn pair(&self) -> Pair {
        self.comparison.pair
    }
}

impl Workbench {
    /// The visits that are being compared, if any.
    #[must_use]
    pub const fn comparing(&self) -> Option<&Comparing> {
        self.comparing.as_ref()
    }

    /// Does what belongs to comparing.
    pub(super) fn apply_to_comparing(&mut self, command: CompareCommand) {
        match command {
            CompareCommand::Begin => self.begin_comparing(),
            CompareCommand::AskForVisits => self.requests.push(Request::AskForVisits),
            CompareCommand::Open(paths) => self.start_comparing(move || {
                FootOverTime::read(&paths).map_err(|problem| format!("{problem:#}"))
            }),
            CompareCommand::Leave => self.comparing = None,
            CompareCommand::Between(pair) => {
                if let Some(comparing) = &self.comparing {
                    let convention = comparing.comparison.convention;
                    self.compare_again(pair, convention);
                }
            }
            CompareCommand::By(convention) => {
                if let Some(comparing) = &self.comparing {
                    let pair = comparing.pair();
                    self.compare_again(pair, convention);
                }
            }
            CompareCommand::Show(shown) => {
                if let Some(comparing) = &mut self.comparing {
                    comparing.shown = shown;
                }
            }
            CompareCommand::Place(placement) => {
                if let Some(comparing) = &mut self.comparing {
                    comparing.placement = placement;
                }
            }
            CompareCommand::Recur(limit) => {
                if let Some(comparing) = &mut self.comparing {
                    comparing.limit = limit;
                }
            }
            CompareCommand::AskSheet => {
                let later = self.comparing.as_ref().and_then(|comparing| {
                    let place = comparing.pair().later;
                    comparing.foot.visits.get(place)
                });
                if let Some(visit) = later {
                    let name = visit.path.file_name().unwrap_or_default().to_string_lossy();
                    let stem = name.strip_suffix(STUDY_ENDING).unwrap_or(&name);
                    let proposal = visit.path.with_file_name(format!("{stem}.compared.pdf"));
                    self.requests
                        .push(Request::AskWhereToPutComparison(proposal));
                }
            }
            CompareCommand::MakeSheet(path) => self.start_comparison_sheet(path),
        }
    }

    fn start_comparison_sheet(&mut self, path: PathBuf) {
        let Some(now) = &self.comparing else { return };
        let (foot, comparison, limit) = (
            Arc::clone(&now.foot),
            Arc::clone(&now.comparison),
            now.limit,
        );
        let all = plumbray_measure::Measurement::ALL.into_iter();
        let rows: Vec<_> = all.filter(|row| self.settings.rows.has(*row)).collect();
        self.jobs.start("Making the sheet", move || {
            let films = foot.film_paths();
            let made = comparison_pdf(&foot, &comparison, limit, &rows)
                .and_then(|bytes| write_beside(&path, &bytes, films.iter().map(PathBuf::as_path)))
                .map_err(|problem| problem.to_string());
            Finished::SheetMade(made.map(|()| path))
        });
    }

    fn begin_comparing(&mut self) {
        let Some(study) = self.study_path().map(Path::to_owned) else {
            return;
        };
        self.start_comparing(move || visits_of(&study));
    }

    fn start_comparing(
        &mut self,
        read: impl FnOnce() -> Result<FootOverTime, String> + Send + 'static,
    ) {
        self.jobs.start("Comparing visits", move || {
            Finished::Compared(read().and_then(|foot| {
                let pair = foot.usual_pair().ok_or_else(|| {
                    "There is only this visit of the foot. Trace and save the films of another \
                     one in this folder or one below it, or choose its studies."
                        .to_owned()
                })?;
                let foot = Arc::new(foot);
                Ok(Box::new(Comparing::of(
                    foot,
                    pair,
                    AxisConvention::HeadBase,
                )))
            }))
        });
    }

    fn compare_again(&mut self, pair: Pair, convention: AxisConvention) {
        let Some(now) = &self.comparing else { return };
        let (foot, shown, limit) = (Arc::clone(&now.foot), now.shown, now.limit);
        self.jobs.start("Comparing visits", move || {
            Finished::Compared(Ok(Box::new(Comparing {
                shown,
                limit,
                ..Comparing::of(foot, pair, convention)
            })))
        });
    }

    pub(super) fn was_compared(&mut self, result: Result<Box<Comparing>, String>) {
        match result {
            Ok(comparing) => {
                self.view.overlay = None;
                for visit in &comparing.foot.visits {
                    if let Some(problem) = &visit.why_no_film {
                        self.warn(problem.clone());
                    }
                }
                self.comparing = Some(*comparing);
            }
            Err(problem) => self.warn(problem),
        }
    }

    /// Whether what a command does can be done now.
    pub(super) fn can_compare(&self, command: &CompareCommand) -> bool {
        match command {
            CompareCommand::Begin => self.comparing.is_none() && self.study_path().is_some(),
            CompareCommand::AskForVisits | CompareCommand::Open(_) => true,
            CompareCommand::Between(pair) => self.comparing.as_ref().is_some_and(|comparing| {
                pair.earlier < pair.later
                    && pair.later < comparing.foot.visits.len()
                    && comparing.pair() != *pair
            }),
            CompareCommand::By(convention) => self.comparing.as_ref().is_some_and(|comparing| {
                comparing.comparison.convention != *convention
                    && comparing.foot.conventions().contains(convention)
            }),
            CompareCommand::Leave
            | CompareCommand::AskSheet
            | CompareCommand::MakeSheet(_)
            | CompareCommand::Show(_)
            | CompareCommand::Place(_)
            | CompareCommand::Recur(_) => self.comparing.is_some(),
        }
    }

    /// The command that compares, as the searchable list offers it.
    pub(super) fn listed_comparing() -> Vec<Command> {
        [
            CompareCommand::Begin,
            CompareCommand::AskForVisits,
            CompareCommand::AskSheet,
            CompareCommand::Leave,
        ]
        .into_iter()
        .chain(CompareView::ALL.map(CompareCommand::Show))
        .chain(AxisConvention::ALL.map(CompareCommand::By))
        .chain(Recurrence::ALL.map(CompareCommand::Recur))
        .map(Command::Compare)
        .collect()
    }
}

impl CompareCommand {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Begin => "Compare this foot with its other visits".to_owned(),
            Self::AskForVisits | Self::Open(_) => "Compare studies of one foot…".to_owned(),
            Self::Leave => "Go back to measuring".to_owned(),
            Self::Between(pair) => {
                format!(
                    "Compare visit {} with visit {}",
                    pair.earlier + 1,
                    pair.later + 1
                )
            }
            Self::By(convention) => format!("Read every visit by {}", convention.name()),
            Self::Show(shown) => format!("Show both films: {}", shown.name()),
            Self::Place(_) => "Look".to_owned(),
            Self::AskSheet | Self::MakeSheet(_) => "Print this comparison…".to_owned(),
            Self::Recur(limit) => format!("Recurrence: {}", limit.name()),
        }
    }
}

/// The visits of the foot that a study shows: by the time line of its folder that has it, or gathered from
/// the folder and the folders in it. What was gathered is kept as a time line.
fn visits_of(study: &Path) -> Result<FootOverTime, String> {
    // A foot on which nothing was placed yet has no study on disk.
    if !study.is_file() {
        return Ok(FootOverTime::default());
    }
    let folder = study.parent().unwrap_or(Path::new(""));
    let name = study.file_name().map(std::ffi::OsStr::to_string_lossy);
    let has_it = |path: &PathBuf| {
        Timeline::read(path).is_ok_and(|timeline| {
            timeline
                .visits
                .iter()
                .any(|visit| Some(visit.study.as_str()) == name.as_deref())
        })
    };
    if let Some(known) = timelines_in(folder).into_iter().find(has_it) {
        return FootOverTime::read(&[known]).map_err(|problem| format!("{problem:#}"));
    }
    let timeline = Timeline::gathered(folder, study).map_err(|problem| problem.to_string())?;
    if timeline.visits.len() > 1 {
        let name = name.unwrap_or_default();
        let stem = name.strip_suffix(STUDY_ENDING).unwrap_or(&name);
        let kept = folder.join(format!("{stem}{TIMELINE_ENDING}"));
        // Where the folder cannot be written, the visits are gathered again the next time.
        drop(timeline.write(&kept));
    }
    let paths: Vec<PathBuf> = timeline
        .visits
        .iter()
        .map(|visit| folder.join(&visit.study))
        .collect();
    FootOverTime::read(&paths).map_err(|problem| format!("{problem:#}"))
}
