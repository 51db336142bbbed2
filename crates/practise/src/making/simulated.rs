//! A practice set of simulated feet, whose reference is the exact truth.

use std::path::Path;

use plumbray_anatomy::{Proportions, Tracing, View};
use plumbray_measure::{Choices, Measurement, worksheet};
use plumbray_phantom::{
    Exposure, FilmTruth, Foot, SimulatedFilm, SimulationError, render_ap, render_lateral,
    truth_of_ap, truth_of_lateral,
};
use plumbray_study::ContentHash;

use super::{
    MakingError,
    folder::SetFolder,
    simulated_feet::{Draft, draft},
};
use crate::set::{
    DifficultyGrade, LessonDefaults, MOST_FEET, PracticeFilm, PracticeFoot, PracticeSet, Reference,
    ReferenceSource,
};

/// How many feet are tried for one place of a set; about one in twenty is of no use.
const MOST_TRIALS: u64 = 20;

/// What kind of picture the films are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Picture {
    /// 8-bit JPEG of a quality from 1 to 100, as a film from a phone or a slide.
    Jpeg(u8),
    /// 16-bit PNG without loss.
    Png,
}

/// How many of a set's feet are of each difficulty, as parts of any whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DifficultyShares {
    /// Parts that are easy.
    pub easy: u32,
    /// Parts that are medium.
    pub medium: u32,
    /// Parts that are hard.
    pub hard: u32,
}

/// A set of simulated feet to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct SimulatedSet {
    /// What the set is called.
    pub name: String,
    /// Who makes it.
    pub made_by: String,
    /// From which all feet and films follow.
    pub seed: u64,
    /// How many feet, from 1 to [`MOST_FEET`].
    pub count: u32,
    /// How hard they are.
    pub shares: DifficultyShares,
    /// The size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
    /// What kind of picture the films are.
    pub picture: Picture,
    /// What a lesson goes by.
    pub defaults: LessonDefaults,
}

impl Default for SimulatedSet {
    /// Ten feet, four of them easy, three medium and three hard, with pixels of 0.2 mm. Ours.
    fn default() -> Self {
        Self {
            name: "Simulated feet".to_owned(),
            made_by: "Plumbray".to_owned(),
            seed: 1,
            count: 10,
            shares: DifficultyShares {
                easy: 4,
                medium: 3,
                hard: 3,
            },
            pixel_mm: 0.2,
            picture: Picture::Jpeg(85),
            defaults: LessonDefaults::default(),
        }
    }
}

/// Makes a set of simulated feet in a new folder, both views of each, and gives the set. A film takes some seconds:
/// call it off the window's thread. The same request gives the same feet.
///
/// # Errors
/// [`MakingError`] when the request is not possible, something lies at the place already, or the file system
/// refuses; no set is then left behind.
pub fn made_set(folder: &Path, request: &SimulatedSet) -> Result<PracticeSet, MakingError> {
    let grades = grades(request)?;
    let place = SetFolder::begin(folder)?;
    let feet = (0..)
        .zip(grades)
        .map(|(index, grade)| foot_of_grade(&place, index, grade, request))
        .collect::<Result<Vec<_>, MakingError>>()?;
    let set = PracticeSet {
        name: request.name.clone(),
        made_by: request.made_by.clone(),
        made_with: format!(
            "simulated feet of the seed {}, pixels of {} mm at the detector; the reference is exact",
            request.seed, request.pixel_mm
        ),
        defaults: request.defaults.clone(),
        feet,
    };
    place.finish(&set)?;
    Ok(PracticeSet::open(folder)?)
}

/// The grade of each foot: the shares are kept as exactly as the count allows, and the grades alternate.
fn grades(request: &SimulatedSet) -> Result<Vec<DifficultyGrade>, MakingError> {
    let refused = |what: String| MakingError::Request { what };
    let most = u32::try_from(MOST_FEET).unwrap_or(u32::MAX);
    if !(1..=most).contains(&request.count) {
        return Err(refused(format!("choose from 1 to {most} feet")));
    }
    let parts = [
        request.shares.easy,
        request.shares.medium,
        request.shares.hard,
    ];
    if parts.iter().all(|part| *part == 0) || parts.iter().any(|part| *part > 1000) {
        return Err(refused(
            "choose from 0 to 1000 parts of each difficulty, not all 0".to_owned(),
        ));
    }
    let mut given = [0_u64; 3];
    let grades = (0..request.count)
        .map(|_| {
            // The grade that lags furthest behind its share; the easier one of two.
            let lag = |index: &usize| {
                let part = u64::from(parts[*index]);
                (part > 0).then(|| (given[*index] * 1_000_000 + 500_000) / part)
            };
            let next = (0..3)
                .filter(|index| lag(index).is_some())
                .min_by_key(|index| lag(index))
                .unwrap_or(0);
            given[next] += 1;
            DifficultyGrade::ALL[next]
        })
        .collect();
    Ok(grades)
}

/// A foot whose outlines cannot be told on a film has no exact truth, and another one takes its place.
fn foot_of_grade(
    place: &SetFolder,
    index: u32,
    grade: DifficultyGrade,
    request: &SimulatedSet,
) -> Result<PracticeFoot, MakingError> {
    let mut trial = 0;
    loop {
        let draft = draft([request.seed, trial], index, grade, request.pixel_mm);
        match made_foot(place, index, &draft, request.picture) {
            Err(MakingError::Simulation(SimulationError::Outline { .. }))
                if trial < MOST_TRIALS =>
            {
                trial += 1;
            }
            made => return made,
        }
    }
}

fn made_foot(
    place: &SetFolder,
    index: u32,
    draft: &Draft,
    picture: Picture,
) -> Result<PracticeFoot, MakingError> {
    let identifier = format!("foot-{:02}", index + 1);
    let foot = Foot::new(draft.parameters)?;
    let of_lateral = Exposure {
        seed: draft.exposure.seed.wrapping_add(1),
        ..draft.exposure
    };
    // The truth is found in no time, and says whether the films are worth taking.
    truth_of_ap(&foot, &draft.exposure)?;
    truth_of_lateral(&foot, &of_lateral)?;
    let ap = render_ap(&foot, &draft.exposure)?;
    let lateral = render_lateral(&foot, &of_lateral)?;
    let practice = PracticeFoot {
        side: foot.side(),
        operated: draft.parameters.operation.is_some(),
        ap: Some(made_film(place, &identifier, &ap, picture)?),
        lateral: Some(made_film(place, &identifier, &lateral, picture)?),
        difficulty: draft.difficulty.clone(),
        tags: draft
            .poor
            .iter()
            .map(|way| way.identifier().to_owned())
            .collect(),
        reference: format!("{identifier}.reference"),
        identifier,
    };
    let tracing_of = |truth: &FilmTruth| {
        let first = truth.feet.first();
        first.map_or_else(Default::default, |foot| foot.tracing.clone())
    };
    let tracing = Tracing {
        ap: tracing_of(&ap.truth),
        lateral: tracing_of(&lateral.truth),
    };
    let reference = reference_for(&practice, ReferenceSource::ExactTruth, tracing);
    place.add_reference(&practice.reference, &reference)?;
    Ok(practice)
}

/// The reference of a foot with every measurement that its tracing gives.
pub(super) fn reference_for(
    foot: &PracticeFoot,
    source: ReferenceSource,
    tracing: Tracing,
) -> Reference {
    let measurements: Vec<Measurement> = worksheet(&foot.traced(&tracing), &Choices::default())
        .rows
        .into_iter()
        .filter(|row| row.outcome.reading().is_some())
        .map(|row| row.measurement)
        .collect();
    Reference {
        foot: foot.identifier.clone(),
        source,
        measurements,
        tracing,
    }
}

fn made_film(
    place: &SetFolder,
    identifier: &str,
    film: &SimulatedFilm,
    picture: Picture,
) -> Result<PracticeFilm, MakingError> {
    let view: View = film.truth.view;
    let mut file = format!("{identifier}-{}", view.identifier());
    let path = match picture {
        Picture::Jpeg(quality) => {
            file.push_str(".jpg");
            let path = place.path(&file);
            film.write_jpeg(&path, quality)?;
            path
        }
        Picture::Png => {
            file.push_str(".png");
            let path = place.path(&file);
            film.write_png(&path)?;
            path
        }
    };
    let hash = ContentHash::of_file(&path).map_err(|cause| MakingError::File { path, cause })?;
    let first = film.truth.feet.first();
    let calibration = first
        .map(|foot| film.truth.calibration(foot))
        .transpose()
        .map_err(|error| MakingError::Request {
            what: error.to_string(),
        })?;
    let size = |pixels: usize| u32::try_from(pixels).unwrap_or(u32::MAX);
    Ok(PracticeFilm {
        file,
        hash,
        width_px: size(film.width),
        height_px: size(film.height),
        proportions: Proportions::from(film.pixel_spacing),
        calibration,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shares_of_difficulty_are_kept() {
        let grades = grades(&SimulatedSet::default()).expect("possible");
        let count = |wanted| grades.iter().filter(|grade| **grade == wanted).count();
        let counts = DifficultyGrade::ALL.map(count);
        assert_eq!(counts, [4, 3, 3], "easy, medium, hard");
    }

    #[test]
    fn no_feet_or_no_shares_are_refused() {
        let none = DifficultyShares {
            easy: 0,
            medium: 0,
            hard: 0,
        };
        for request in [
            SimulatedSet {
                count: 0,
                ..SimulatedSet::default()
            },
            SimulatedSet {
                shares: none,
                ..SimulatedSet::default()
            },
        ] {
            assert!(grades(&request).is_err(), "{request:?}");
        }
    }
}
