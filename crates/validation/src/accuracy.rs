//! Random feet, read by rough readers: every reading beside the truth of its film.

use anyhow::Result;
use plumbray_anatomy::{Calibration, CalibrationBasis, FilmTracing, Proportions, View};
use plumbray_film::GreyView;
use plumbray_measure::{
    AxisConvention, Choices, Class, Foot as MeasuredFoot, Measurement, Outcome, SeverityOutcome,
    TracedFilm, all_conventions, measure, worksheet,
};
use plumbray_phantom::{Exposure, Foot, SimulatedFilm, SimulationError, render_ap, render_lateral};
use rayon::prelude::*;

use crate::{
    chance::Chance,
    cohort::random_foot,
    quality::Quality,
    reader::{Pointed, rough_hints},
    requested::true_tracing,
    snapping::{Snapped, calibrated, snapped},
};

/// Every so many feet have a lateral film too. Quality takes turns over odd numbers, so that this leaves
/// good lateral films.
pub const LATERAL_EVERY: usize = 4;

/// How much is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Seed of feet, films and readers.
    pub seed: u64,
    /// How many feet; each has an AP film, and one of [`LATERAL_EVERY`] a lateral film.
    pub feet: usize,
    /// How many rough readers read each film.
    pub readers: usize,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
}

/// One number that a reader's tracing gives, beside the number that the true tracing gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Which reader.
    pub reader: usize,
    /// What was measured.
    pub measurement: Measurement,
    /// By which axes; nothing where no axis takes part.
    pub convention: Option<AxisConvention>,
    /// What the true outlines on the same film give by the same convention.
    pub truth: f64,
    /// What the reader's tracing gives: value and stated standard deviation, or why there is none.
    pub read: Result<(f64, f64), String>,
}

impl Reading {
    /// Read minus true.
    #[must_use]
    pub fn error(&self) -> Option<f64> {
        self.read.as_ref().ok().map(|(value, _)| value - self.truth)
    }

    /// The error in stated standard deviations.
    #[must_use]
    pub fn error_in_sds(&self) -> Option<f64> {
        let (value, sd) = self.read.as_ref().ok()?;
        (*sd > 0.0).then(|| (value - self.truth) / sd)
    }
}

/// The length of a metatarsal by a reader, beside the length of the bone in space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LengthInSpace {
    /// Which metatarsal.
    pub measurement: Measurement,
    /// The length that the foot was built with, in mm.
    pub bone_mm: f64,
    /// The true outlines by the detector's spacing, in mm.
    pub true_at_detector_mm: f64,
    /// The true outlines by the true shadow of the ball or coin, in mm.
    pub true_by_ball_mm: f64,
}

/// What came of one film.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmResult {
    /// The number of the foot.
    pub foot: usize,
    /// AP or lateral.
    pub view: View,
    /// How good the film is.
    pub quality: Quality,
    /// How deformed the foot is, by the true hallux valgus and intermetatarsal angle on its AP film.
    pub class: Class,
    /// Every reading.
    pub readings: Vec<Reading>,
    /// What was not found or not followed, over all readers.
    pub misses: Vec<String>,
    /// Lengths on an AP film.
    pub lengths: Vec<LengthInSpace>,
}

/// The stream of the readers' hands among the streams of a seed.
const HANDS: u64 = 2 << 32;

/// Reads every film. A film on which the phantom finds no outline has no truth and is left out.
///
/// # Errors
/// When a foot or a film cannot be simulated.
pub fn read_all(plan: &Plan) -> Result<Vec<FilmResult>> {
    let films: Vec<Vec<FilmResult>> = (0..plan.feet)
        .into_par_iter()
        .map(|number| read_foot(plan, number))
        .collect::<Result<_>>()?;
    Ok(films.into_iter().flatten().collect())
}

fn read_foot(plan: &Plan, number: usize) -> Result<Vec<FilmResult>> {
    let foot = random_foot(plan.seed, number as u64)?;
    let quality = Quality::of_film(number);
    let usual = Exposure {
        pixel_mm: plan.pixel_mm,
        seed: plan.seed.wrapping_add(number as u64),
        ..Exposure::default()
    };
    let exposure = quality.exposure(usual);
    let Some(ap) = simulated(render_ap(&foot, &exposure))? else {
        return Ok(Vec::new());
    };
    let class = class_on(&true_tracing(&ap.truth)?)?;
    let lateral = number
        .is_multiple_of(LATERAL_EVERY)
        .then(|| simulated(render_lateral(&foot, &exposure)))
        .transpose()?
        .flatten();
    [Some(ap), lateral]
        .into_iter()
        .flatten()
        .map(|film| {
            Examination {
                plan,
                number,
                quality,
                film: &film,
            }
            .read(&foot, class)
        })
        .collect()
}

/// A film, or nothing where the phantom finds no outline on it: such a film has no truth.
pub(crate) fn simulated(
    film: Result<SimulatedFilm, SimulationError>,
) -> Result<Option<SimulatedFilm>> {
    match film {
        Ok(film) => Ok(Some(film)),
        Err(SimulationError::Outline { .. }) => Ok(None),
        Err(other) => Err(other.into()),
    }
}

fn class_on(truth: &FilmTracing) -> Result<Class> {
    let foot = measured(View::Ap, truth, None);
    match worksheet(&foot, &Choices::default()).severity {
        SeverityOutcome::Graded(severity) => Ok(severity.class),
        other => anyhow::bail!("the truth gives no severity: {other:?}"),
    }
}

/// A tracing on one view, as the engine takes it.
pub(crate) fn measured<'a>(
    view: View,
    tracing: &'a FilmTracing,
    calibration: Option<&'a Calibration>,
) -> MeasuredFoot<'a> {
    let film = Some(TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration,
    });
    let mut foot = MeasuredFoot::default();
    match view {
        View::Ap => foot.ap = film,
        View::Lateral => foot.lateral = film,
    }
    foot
}

/// One film under examination.
struct Examination<'a> {
    plan: &'a Plan,
    number: usize,
    quality: Quality,
    film: &'a SimulatedFilm,
}

impl Examination<'_> {
    fn read(&self, foot: &Foot, class: Class) -> Result<FilmResult> {
        let samples = self.quality.samples(self.film)?;
        let grey = GreyView {
            width: self.film.width,
            height: self.film.height,
            samples: &samples,
            bone_is_bright: true,
            proportions: Proportions::SQUARE,
        };
        let view = self.film.truth.view;
        let true_scale = self.true_scale()?;
        let true_tracing = true_tracing(&self.film.truth)?;
        let truth = measured(view, &true_tracing, true_scale.as_ref());
        let true_outcomes = outcomes(view, &truth);
        let mut result = FilmResult {
            foot: self.number,
            view,
            quality: self.quality,
            class,
            readings: Vec::new(),
            misses: Vec::new(),
            lengths: match view {
                View::Ap => self.lengths(foot, &true_tracing, &truth),
                View::Lateral => Vec::new(),
            },
        };
        for reader in 0..self.plan.readers {
            let pointed = self.pointed(reader)?;
            let Snapped { tracing, misses } = snapped(&grey, view, &pointed.hints);
            let scale = self
                .diameter_mm()
                .zip(pointed.round_object)
                .and_then(|(diameter, swept)| calibrated(&grey, swept, diameter));
            if pointed.round_object.is_some() && scale.is_none() {
                result.misses.push("ball or coin: no round edge".to_owned());
            }
            let read = measured(view, &tracing, scale.as_ref());
            result
                .readings
                .extend(compared(reader, &true_outcomes, outcomes(view, &read)));
            result.misses.extend(misses);
        }
        Ok(result)
    }

    fn pointed(&self, reader: usize) -> Result<Pointed> {
        let view = self.film.truth.view as u64;
        let stream = (self.number as u64 * 64 + reader as u64) * 2 + view;
        rough_hints(
            &self.film.truth,
            &mut Chance::new(self.plan.seed, HANDS + stream),
        )
    }

    fn diameter_mm(&self) -> Option<f64> {
        self.film
            .truth
            .round_object
            .map(|object| object.diameter_mm)
    }

    /// The calibration by the true shadow of the ball or coin.
    fn true_scale(&self) -> Result<Option<Calibration>> {
        self.film
            .truth
            .round_object
            .map(|object| {
                let diameter_mm = object.diameter_mm;
                Ok(Calibration::by_known_size(
                    CalibrationBasis::RoundObject { diameter_mm },
                    diameter_mm,
                    object.diameter_px,
                    0.0,
                    Proportions::SQUARE,
                )?)
            })
            .transpose()
    }

    fn lengths(
        &self,
        foot: &Foot,
        tracing: &FilmTracing,
        truth: &MeasuredFoot<'_>,
    ) -> Vec<LengthInSpace> {
        let at_detector = Calibration {
            spacing: self.film.pixel_spacing,
            basis: CalibrationBasis::AtDetector,
            relative_sd: 0.0,
        };
        let by_detector = measured(View::Ap, tracing, Some(&at_detector));
        let length = |foot: &MeasuredFoot<'_>, measurement| {
            measure(foot, &Choices::default(), measurement)
                .reading()
                .map(|reading| reading.value)
        };
        [
            Measurement::M1Length,
            Measurement::M2Length,
            Measurement::M5Length,
        ]
        .into_iter()
        .zip([0, 1, 4])
        .filter_map(|(measurement, index)| {
            Some(LengthInSpace {
                measurement,
                bone_mm: foot.parameters().metatarsal_lengths_mm[index],
                true_at_detector_mm: length(&by_detector, measurement)?,
                true_by_ball_mm: length(truth, measurement)?,
            })
        })
        .collect()
    }
}

/// A number of a view by one convention, or by none where no axis takes part.
type Named = (Measurement, Option<AxisConvention>, Outcome);

/// Every number of a view by every convention, always in the same order.
fn outcomes(view: View, foot: &MeasuredFoot<'_>) -> Vec<Named> {
    let choices = Choices::default();
    Measurement::ALL
        .into_iter()
        .filter(|measurement| measurement.view() == view)
        .flat_map(|measurement| {
            if measurement.conventions().is_empty() {
                return vec![(measurement, None, measure(foot, &choices, measurement))];
            }
            all_conventions(foot, &choices, measurement)
                .into_iter()
                .map(|(convention, outcome)| (measurement, Some(convention), outcome))
                .collect()
        })
        .collect()
}

/// What a reader read beside the truth, where the truth has a number.
fn compared(reader: usize, truth: &[Named], read: Vec<Named>) -> Vec<Reading> {
    truth
        .iter()
        .zip(read)
        .filter_map(|((measurement, convention, truth), (.., read))| {
            Some(Reading {
                reader,
                measurement: *measurement,
                convention: *convention,
                truth: truth.reading()?.value,
                read: read
                    .reading()
                    .map(|reading| (reading.value, reading.sd))
                    .ok_or_else(|| read.why_not().unwrap_or_default()),
            })
        })
        .collect()
}
