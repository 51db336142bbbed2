//! Simulated practice feet without pictures, and small changes of their true tracings.

use std::{
    collections::BTreeMap,
    sync::{Mutex, PoisonError},
};

use plumbray_anatomy::{
    Calibration, FilmPoint, FilmTracing, LongBone, PhysicalVector, Proportions, Tracing, View,
};
use plumbray_measure::{Choices, worksheet};
use plumbray_phantom::{Exposure, FilmTruth, Foot, FootParameters, truth_of_ap, truth_of_lateral};
use plumbray_practise::{
    Attempt, Difficulty, Lesson, LessonDefaults, PracticeFilm, PracticeFoot, Reference,
    ReferenceSource, lesson,
};
use plumbray_study::{ContentHash, Study};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore as _, SeedableRng as _},
};

/// A practice foot with its reference.
#[derive(Clone)]
pub(crate) struct Sample {
    pub(crate) foot: PracticeFoot,
    pub(crate) reference: Reference,
}

/// Random numbers of a seed.
pub(crate) struct Chance(ChaCha8Rng);

impl Chance {
    pub(crate) fn of(seed: u64) -> Self {
        Self(ChaCha8Rng::seed_from_u64(seed))
    }

    /// A number from −1 to 1.
    pub(crate) fn signed(&mut self) -> f64 {
        f64::from(self.0.next_u32()) / f64::from(u32::MAX) * 2.0 - 1.0
    }

    /// A step in any direction, from a third of `longest` to `longest`.
    pub(crate) fn step(&mut self, longest: f64) -> PhysicalVector {
        let turn = self.signed() * std::f64::consts::PI;
        let length = longest * (2.0 + self.signed()) / 3.0;
        PhysicalVector::new(length * turn.cos(), length * turn.sin())
    }
}

/// The true films of so many random feet; a foot whose outline cannot be told on a film is left out.
pub(crate) fn samples(first_seed: u64, count: usize) -> Vec<Sample> {
    (first_seed..).filter_map(known).take(count).collect()
}

/// The feet that were made already: the outlines of a foot take a while.
static KNOWN: Mutex<BTreeMap<u64, Option<Sample>>> = Mutex::new(BTreeMap::new());

fn known(seed: u64) -> Option<Sample> {
    let mut feet = KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    feet.entry(seed).or_insert_with(|| sample(seed)).clone()
}

fn sample(seed: u64) -> Option<Sample> {
    let foot = Foot::new(FootParameters::random(seed)).expect("a random foot is possible");
    let exposure = Exposure::default();
    let ap = truth_of_ap(&foot, &exposure).ok()?;
    let lateral = truth_of_lateral(&foot, &exposure).ok()?;
    let film = |truth: &FilmTruth| PracticeFilm {
        file: format!("{seed}-{}.png", truth.view.identifier()),
        hash: ContentHash::of_bytes(truth.view.identifier().as_bytes()),
        width_px: u32::try_from(truth.width_px).expect("small"),
        height_px: u32::try_from(truth.height_px).expect("small"),
        proportions: Proportions::SQUARE,
        calibration: truth.calibration(&truth.feet[0]).ok(),
    };
    let practice = PracticeFoot {
        identifier: format!("foot-{seed}"),
        side: foot.side(),
        operated: false,
        ap: Some(film(&ap)),
        lateral: Some(film(&lateral)),
        difficulty: Difficulty::by_reasons(Vec::new()),
        tags: Vec::new(),
        reference: format!("foot-{seed}.reference"),
    };
    let tracing = Tracing {
        ap: ap.feet[0].tracing.clone(),
        lateral: lateral.feet[0].tracing.clone(),
    };
    let measurements = worksheet(&practice.traced(&tracing), &Choices::default())
        .rows
        .into_iter()
        .filter(|row| row.outcome.reading().is_some())
        .map(|row| row.measurement)
        .collect();
    let reference = Reference {
        foot: practice.identifier.clone(),
        source: ReferenceSource::ExactTruth,
        measurements,
        tracing,
    };
    Some(Sample {
        foot: practice,
        reference,
    })
}

impl Sample {
    /// Pixel widths in one millimetre on the film of this view.
    pub(crate) fn px_per_mm(&self, view: View) -> f64 {
        let calibration = self.foot.film(view).and_then(|film| film.calibration);
        1.0 / calibration
            .as_ref()
            .map_or(0.2, Calibration::mm_per_pixel_width)
    }

    /// The lesson of an attempt with this tracing.
    pub(crate) fn lesson_of(&self, tracing: Tracing) -> Lesson {
        let study = Study {
            tracing,
            ..self.foot.blank_study()
        };
        let attempt = Attempt {
            study: &study,
            snapping: false,
            seconds: 60.0,
        };
        lesson(
            &self.foot,
            &self.reference,
            &attempt,
            &LessonDefaults::default(),
        )
        .expect("they belong together")
    }
}

/// Moves the cortices of a bone across it: by `shift` px, and by `tilt` px more at one end than in the middle.
pub(crate) fn move_cortices(tracing: &mut FilmTracing, bone: LongBone, shift: f64, tilt: f64) {
    let cortices = tracing.cortices.get_mut(&bone).expect("traced");
    let (Some(first), Some(last)) = (cortices.one.first().copied(), cortices.one.last().copied())
    else {
        return;
    };
    let along = PhysicalVector::new(last.x_px - first.x_px, last.y_px - first.y_px);
    let length = along.length();
    let across = along.perpendicular() * (1.0 / length);
    for point in cortices.one.iter_mut().chain(&mut cortices.two) {
        let from_first = PhysicalVector::new(point.x_px - first.x_px, point.y_px - first.y_px);
        let share = from_first.dot(along) / (length * length);
        let step = across * (shift + tilt * (2.0 * share - 1.0));
        *point = FilmPoint::new(point.x_px + step.x, point.y_px + step.y);
    }
}
