//! The visits of one foot, in their order.

use std::{
    cell::RefCell,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_compare::{
    Comparison, FilmToLay, NotLaidOver, Pair, Registration, TIMELINE_ENDING, Timeline,
    TimelineError, TimelineVisit, Visit, common_conventions, compare, foot_of, lay_over,
    timelines_in, usual_pair,
};
use plumbray_measure::AxisConvention;
use plumbray_study::{STUDY_ENDING, study_stem};

use super::{Opened, OpenedFilms, VisitOnDisk};

/// The visits of one foot, in their order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FootOverTime {
    /// The visits.
    pub visits: Vec<VisitOnDisk>,
    /// Where their time line is kept, or would be.
    pub time_line: PathBuf,
}

impl FootOverTime {
    /// The visits of a time line, or of studies ordered by day.
    ///
    /// # Errors
    /// When a file cannot be read, or when it is neither.
    pub fn read(inputs: &[PathBuf]) -> anyhow::Result<Self> {
        match inputs {
            [only] if ends_with(only, TIMELINE_ENDING) => {
                Self::of_timeline(&Timeline::read(only)?, only)
            }
            _ => Self::of_studies(inputs),
        }
    }

    /// The visits of the foot that a study shows: of the time line in its folder that has it, with those that
    /// came into the folder since, or gathered from the folder and the folders in it. Nothing is written.
    ///
    /// # Errors
    /// When the study, or one that the time line names, cannot be read.
    pub fn around(study: &Path) -> anyhow::Result<Self> {
        // A foot on which nothing was placed yet has no study on disk.
        if !study.is_file() {
            return Ok(Self::default());
        }
        let folder = study.parent().unwrap_or(Path::new(""));
        let gathered = Timeline::gathered(folder, study)?;
        if let Some((mut known, path)) = known_in(folder, study) {
            known.join(gathered);
            return Self::of_timeline(&known, &path);
        }
        // A folder for each visit, and the time line above them.
        let above = folder.parent().and_then(|above| known_in(above, study));
        match above {
            Some((known, path)) => Self::of_timeline(&known, &path),
            None => Self::of_timeline(&gathered, &usual_place(folder, study)),
        }
    }

    fn of_timeline(timeline: &Timeline, path: &Path) -> anyhow::Result<Self> {
        let folder = path.parent().unwrap_or(Path::new(""));
        let visits = timeline
            .visits
            .iter()
            .map(|visit| {
                let read = VisitOnDisk::read(&folder.join(&visit.study))
                    .with_context(|| format!("in the time line {}", path.display()))?;
                Ok(VisitOnDisk {
                    occasion: visit.occasion,
                    name: visit.name.clone(),
                    ..read
                })
            })
            .collect::<anyhow::Result<_>>()?;
        Ok(Self {
            visits,
            time_line: path.to_owned(),
        })
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
            .map(|path| VisitOnDisk::read(path))
            .collect::<anyhow::Result<Vec<_>>>()?;
        plumbray_compare::sort_by_time(&mut visits, VisitOnDisk::visit);
        let time_line = visits.first().map_or_else(PathBuf::new, |first| {
            let folder = first
                .path
                .ancestors()
                .skip(1)
                .find(|folder| visits.iter().all(|visit| visit.path.starts_with(folder)));
            usual_place(folder.unwrap_or(Path::new("")), &first.path)
        });
        Ok(Self { visits, time_line })
    }

    /// Whether the visits whose days are known stand in the order of those.
    #[must_use]
    pub fn is_by_days(&self) -> bool {
        let days = self.visits.iter().filter_map(|visit| visit.visit().date());
        days.is_sorted()
    }

    /// Puts the visits whose days are known into the order of those; the others keep their places.
    pub fn put_by_days(&mut self) {
        let has_day = |place: &usize| self.visits[*place].visit().date().is_some();
        let places: Vec<usize> = (0..self.visits.len()).filter(has_day).collect();
        let known = places.iter().map(|place| self.visits[*place].clone());
        let mut known: Vec<VisitOnDisk> = known.collect();
        known.sort_by_key(|visit| visit.visit().date());
        for (place, visit) in places.into_iter().zip(known) {
            self.visits[place] = visit;
        }
    }

    /// The visits as a time line for a file in `folder`.
    ///
    /// # Errors
    /// When a study lies outside that folder.
    pub fn timeline(&self, folder: &Path) -> Result<Timeline, TimelineError> {
        let visits = self
            .visits
            .iter()
            .map(|visit| {
                Ok(TimelineVisit {
                    occasion: visit.occasion,
                    name: visit.name.clone(),
                    ..TimelineVisit::of(folder, &visit.path)?
                })
            })
            .collect::<Result<_, TimelineError>>()?;
        Ok(Timeline { visits })
    }

    /// Writes the visits, in their order, as a time line.
    ///
    /// # Errors
    /// When a study lies outside the file's folder, or the file system refuses.
    pub fn keep_in(&self, path: &Path) -> Result<(), TimelineError> {
        let folder = path.parent().unwrap_or(Path::new(""));
        self.timeline(folder)?.write(path)
    }

    /// Where the films of the visits lie, or should.
    #[must_use]
    pub fn film_paths(&self) -> Vec<PathBuf> {
        let paths = |visit: &VisitOnDisk| View::ALL.map(|view| visit.film_path(view));
        self.visits.iter().flat_map(paths).flatten().collect()
    }

    /// The visits as they are compared.
    #[must_use]
    pub fn as_visits(&self) -> Vec<Visit<'_>> {
        self.visits.iter().map(VisitOnDisk::visit).collect()
    }

    /// The two visits of a pair; nothing where the foot lacks one of them.
    #[must_use]
    pub fn both(&self, pair: Pair) -> Option<[&VisitOnDisk; 2]> {
        Some([self.visits.get(pair.earlier)?, self.visits.get(pair.later)?])
    }

    /// Opens the films of both visits of a pair, as the sheet shows them; one that cannot be opened is named there.
    pub fn open_both(&self, pair: Pair, films: &mut OpenedFilms) {
        for visit in self.both(pair).into_iter().flatten() {
            for view in View::ALL {
                films.open(visit, view);
            }
        }
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

    /// One visit's film of a view laid over another's.
    ///
    /// # Errors
    /// Where too few bones are traced on both, or the films are too different.
    pub fn laid_over(
        &self,
        pair: Pair,
        view: View,
        films: &mut OpenedFilms,
    ) -> Result<Registration, NotLaidOver> {
        let [earlier, later] = self.both(pair).ok_or(NotLaidOver::NoFilm { view })?;
        let [one, other] = [earlier, later].map(|visit| films.open(visit, view));
        match (
            film_to_lay(earlier, view, one.as_ref()),
            film_to_lay(later, view, other.as_ref()),
        ) {
            (Some(earlier), Some(later)) => lay_over(view, earlier, later),
            _ => Err(NotLaidOver::NoFilm { view }),
        }
    }

    /// Every number at every visit, and what changed between two, with the later AP film laid over the earlier
    /// one. Each two films are laid over each other once.
    pub fn comparison(
        &self,
        pair: Pair,
        convention: AxisConvention,
        films: &mut OpenedFilms,
    ) -> (Comparison, Result<Registration, NotLaidOver>) {
        let chosen = self.laid_over(pair, View::Ap, films);
        let films = RefCell::new(films);
        let laid_over = |asked: Pair| {
            if asked == pair {
                chosen.clone()
            } else {
                self.laid_over(asked, View::Ap, &mut films.borrow_mut())
            }
        };
        let comparison = compare(&self.as_visits(), pair, convention, &laid_over);
        (comparison, chosen)
    }
}

fn film_to_lay<'a>(
    visit: &'a VisitOnDisk,
    view: View,
    opened: Option<&'a Opened>,
) -> Option<FilmToLay<'a>> {
    Some(FilmToLay {
        traced: foot_of(&visit.study).film(view)?,
        grey: opened
            .and_then(|opened| opened.as_ref().ok())
            .map(|film| film.film().grey_view()),
    })
}

/// The time line of a folder that has a study, and its file.
fn known_in(folder: &Path, study: &Path) -> Option<(Timeline, PathBuf)> {
    let own = TimelineVisit::of(folder, study).ok()?;
    timelines_in(folder).into_iter().find_map(|path| {
        let timeline = Timeline::read(&path).ok()?;
        timeline.has(&own.study).then_some((timeline, path))
    })
}

/// Where the time line of a study's foot is kept, when it is, in a folder.
fn usual_place(folder: &Path, study: &Path) -> PathBuf {
    folder.join(format!("{}{TIMELINE_ENDING}", study_stem(study)))
}

fn ends_with(path: &Path, ending: &str) -> bool {
    path.as_os_str()
        .as_encoded_bytes()
        .ends_with(ending.as_bytes())
}
