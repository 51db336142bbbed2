//! The visits of one foot as they lie on disk: what the window and the command line compare.

mod data;
mod paper;
mod words;

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_compare::{
    Comparison, FilmToLay, NotLaidOver, Occasion, Pair, Registration, TIMELINE_ENDING, Timeline,
    Visit, common_conventions, compare, foot_of, lay_over, usual_pair,
};
use plumbray_film::Pyramid;
use plumbray_measure::AxisConvention;
use plumbray_study::{STUDY_ENDING, Study, load};

pub(crate) use data::compared_foot;
pub(crate) use paper::comparison_pdf;
pub(crate) use words::{
    HEALING, answers, calibration_lines, change_words, corrected_words, lost_words, shift_lines,
    typical_drift, value_words,
};

/// A visit of a foot: its study, and its AP film where that could be opened.
#[derive(Clone, Debug)]
pub struct VisitOnDisk {
    /// The study's file.
    pub path: PathBuf,
    /// What it holds.
    pub study: Study,
    /// When it was, where a person said so.
    pub occasion: Option<Occasion>,
    /// Its AP film.
    pub film: Option<Arc<Pyramid>>,
    /// Why there is no AP film, where the study names one.
    pub why_no_film: Option<String>,
}

impl VisitOnDisk {
    /// Reads a study and opens its AP film. A film that cannot be opened is no failure: the films are then
    /// laid over each other by what was traced.
    ///
    /// # Errors
    /// When the study cannot be read.
    pub fn read(path: &Path, occasion: Option<Occasion>) -> anyhow::Result<Self> {
        let study = load(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let opened = study
            .film(View::Ap)
            .map(|record| plumbray_film::open(&record.path_in(folder)));
        let (film, why_no_film) = match opened {
            Some(Ok(film)) => (Some(Arc::new(film.pyramid())), None),
            Some(Err(problem)) => (None, Some(problem.to_string())),
            None => (None, None),
        };
        Ok(Self {
            path: path.to_owned(),
            study,
            occasion,
            film,
            why_no_film,
        })
    }

    /// The visit as it is compared.
    #[must_use]
    pub fn visit(&self) -> Visit<'_> {
        Visit {
            study: &self.study,
            occasion: self.occasion.unwrap_or_else(|| Occasion::of(&self.study)),
        }
    }

    fn ap(&self) -> Option<FilmToLay<'_>> {
        Some(FilmToLay {
            traced: foot_of(&self.study).ap?,
            grey: self.film.as_ref().map(|film| film.film().grey_view()),
        })
    }
}

/// The visits of one foot, in their order.
#[derive(Clone, Debug, Default)]
pub struct FootOverTime {
    /// The visits.
    pub visits: Vec<VisitOnDisk>,
}

impl FootOverTime {
    /// The visits of a time line, or of studies ordered by day.
    ///
    /// # Errors
    /// When a file cannot be read, or when it is neither.
    pub fn read(inputs: &[PathBuf]) -> anyhow::Result<Self> {
        match inputs {
            [only] if ends_with(only, TIMELINE_ENDING) => Self::of_timeline(only),
            _ => Self::of_studies(inputs),
        }
    }

    fn of_timeline(path: &Path) -> anyhow::Result<Self> {
        let folder = path.parent().unwrap_or(Path::new(""));
        let visits = Timeline::read(path)?
            .visits
            .iter()
            .map(|visit| {
                VisitOnDisk::read(&folder.join(&visit.study), visit.occasion)
                    .with_context(|| format!("in the time line {}", path.display()))
            })
            .collect::<anyhow::Result<_>>()?;
        Ok(Self { visits })
    }

    fn of_studies(paths: &[PathBuf]) -> anyhow::Result<Self> {
        if let Some(other) = paths.iter().find(|path| !ends_with(path, STUDY_ENDING)) {
            bail!(
                "neither a study (…{STUDY_ENDING}) nor, by itself, a time line (…{TIMELINE_ENDING}): {}",
                other.display()
            );
        }
        let mut visits = paths
            .iter()
            .map(|path| VisitOnDisk::read(path, None))
            .collect::<anyhow::Result<Vec<_>>>()?;
        plumbray_compare::sort_by_time(&mut visits, VisitOnDisk::visit);
        Ok(Self { visits })
    }

    /// Where the AP films of the visits lie, or should.
    #[must_use]
    pub fn film_paths(&self) -> Vec<PathBuf> {
        let path = |visit: &VisitOnDisk| {
            let folder = visit.path.parent().unwrap_or(Path::new(""));
            Some(visit.study.film(View::Ap)?.path_in(folder))
        };
        self.visits.iter().filter_map(path).collect()
    }

    /// The visits as they are compared.
    #[must_use]
    pub fn as_visits(&self) -> Vec<Visit<'_>> {
        self.visits.iter().map(VisitOnDisk::visit).collect()
    }

    /// The two visits that are subtracted where nobody chose.
    #[must_use]
    pub fn usual_pair(&self) -> Option<Pair> {
        usual_pair(&self.as_visits())
    }

    /// The conventions by which every visit can be read.
    #[must_use]
    pub fn conventions(&self) -> Vec<AxisConvention> {
        common_conventions(&self.as_visits())
    }

    /// One visit's AP film laid over another's.
    ///
    /// # Errors
    /// Where too few bones are traced on both, or the films are too different.
    pub fn laid_over(&self, pair: Pair) -> Result<Registration, NotLaidOver> {
        let film = |place: usize| self.visits.get(place).and_then(VisitOnDisk::ap);
        match (film(pair.earlier), film(pair.later)) {
            (Some(earlier), Some(later)) => lay_over(View::Ap, earlier, later),
            _ => Err(NotLaidOver::NoFilm { view: View::Ap }),
        }
    }

    /// Every number at every visit and what changed between two, with the later film laid over the earlier
    /// one. Each two films are laid over each other once.
    pub(crate) fn comparison_and_registration(
        &self,
        pair: Pair,
        convention: AxisConvention,
    ) -> (Comparison, Result<Registration, NotLaidOver>) {
        let chosen = self.laid_over(pair);
        let laid_over = |asked: Pair| {
            if asked == pair {
                chosen.clone()
            } else {
                self.laid_over(asked)
            }
        };
        let comparison = compare(&self.as_visits(), pair, convention, &laid_over);
        (comparison, chosen)
    }

    /// Every number at every visit, and what changed between two.
    #[must_use]
    pub fn comparison(&self, pair: Pair, convention: AxisConvention) -> Comparison {
        self.comparison_and_registration(pair, convention).0
    }
}

fn ends_with(path: &Path, ending: &str) -> bool {
    path.as_os_str()
        .as_encoded_bytes()
        .ends_with(ending.as_bytes())
}
