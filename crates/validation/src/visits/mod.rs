//! Feet that come again: films of an unchanged foot, films of a changed one, and a foot that is operated on
//! and loses some of its correction.

mod follow_up;
mod pairs;
mod standing_again;

use anyhow::{Context, Result};
use plumbray_anatomy::{Calibration, CalibrationBasis, FilmTracing, Proportions, View};
use plumbray_compare::FilmToLay;
use plumbray_film::GreyView;
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, Outcome, TracedFilm, measure};
use plumbray_phantom::{Exposure, Foot as PhantomFoot, Positioning, SimulatedFilm, render_ap};
use plumbray_proposal::Sight;

use crate::{accuracy::simulated, chance::Chance, requested::true_tracing};

pub use follow_up::{Followed, LOSS, follow_ups};
pub use pairs::{CHANGE_DEGREES, Seen, pairs};
pub(crate) use standing_again::is_whole_length;
pub use standing_again::{StandingAgain, standing_again};

/// How much is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VisitsPlan {
    /// Seed of feet, films and stances.
    pub seed: u64,
    /// How many feet stand again for the spread between films.
    pub feet_standing_again: usize,
    /// How many unchanged feet are filmed twice, and then changed.
    pub pairs: usize,
    /// How many feet are operated on.
    pub follow_ups: usize,
    /// Size of a pixel at the detector, in mm.
    pub pixel_mm: f64,
}

/// How much a foot and a tube differ from one visit to the next: standard deviations. Ours; no source.
pub const TURN_SD_DEGREES: f64 = 3.0;
/// See [`TURN_SD_DEGREES`].
pub const ROLL_SD_DEGREES: f64 = 2.0;
/// See [`TURN_SD_DEGREES`].
pub const TILT_SD_DEGREES: f64 = 2.0;

/// By which axes everything is read.
pub(crate) const CONVENTION: AxisConvention = AxisConvention::HeadBase;

/// An exposure of a foot that stands anew, under a tube that was set anew.
fn anew(pixel_mm: f64, chance: &mut Chance) -> Exposure {
    let usual = Exposure::default();
    Exposure {
        pixel_mm,
        tube_tilt_degrees: usual.tube_tilt_degrees + chance.normal(TILT_SD_DEGREES),
        positioning: Positioning {
            turn_degrees: chance.normal(TURN_SD_DEGREES),
            obliquity_degrees: chance.normal(ROLL_SD_DEGREES),
        },
        seed: chance.seed(),
        ..usual
    }
}

/// A film with what was traced on it, calibrated at the detector.
struct TracedOn {
    view: View,
    tracing: FilmTracing,
    calibration: Calibration,
}

impl TracedOn {
    fn new(view: View, tracing: FilmTracing, film_spacing: plumbray_anatomy::PixelSpacing) -> Self {
        Self {
            view,
            tracing,
            calibration: Calibration {
                spacing: film_spacing,
                basis: CalibrationBasis::AtDetector,
                relative_sd: 0.0,
            },
        }
    }

    /// What the program finds on a film without a click.
    fn found(film: &SimulatedFilm) -> Result<Self> {
        let view = grey(film);
        let sight = Sight::of(&view)?;
        let proposal = sight
            .proposals(&view)
            .into_iter()
            .next()
            .context("no foot was proposed")?;
        Ok(Self::new(
            proposal.view,
            proposal.tracing,
            film.pixel_spacing,
        ))
    }

    fn film(&self) -> TracedFilm<'_> {
        TracedFilm {
            tracing: &self.tracing,
            proportions: Proportions::SQUARE,
            calibration: Some(&self.calibration),
        }
    }

    fn foot(&self, operated: bool) -> Foot<'_> {
        let film = Some(self.film());
        let mut foot = Foot {
            operated,
            ..Foot::default()
        };
        match self.view {
            View::Ap => foot.ap = film,
            View::Lateral => foot.lateral = film,
        }
        foot
    }

    fn measured(&self, operated: bool, measurement: Measurement) -> Outcome {
        let choices = Choices {
            convention: Some(CONVENTION),
            ..Choices::default()
        };
        measure(&self.foot(operated), &choices, measurement)
    }
}

/// A film of a foot, traced without a click and by its true outlines.
struct Filmed {
    film: SimulatedFilm,
    found: TracedOn,
    truth: TracedOn,
}

impl Filmed {
    /// The AP film of a foot that stands anew; nothing where the phantom cannot simulate it.
    fn of(plan: &VisitsPlan, foot: &PhantomFoot, chance: &mut Chance) -> Result<Option<Self>> {
        let Some(film) = simulated(render_ap(foot, &anew(plan.pixel_mm, chance)))? else {
            return Ok(None);
        };
        Ok(Some(Self {
            found: TracedOn::found(&film)?,
            truth: TracedOn::new(
                film.truth.view,
                true_tracing(&film.truth)?,
                film.pixel_spacing,
            ),
            film,
        }))
    }

    /// The film with one of its tracings.
    fn ap<'f>(&'f self, traced: &'f TracedOn) -> FilmToLay<'f> {
        FilmToLay {
            traced: traced.film(),
            grey: Some(grey(&self.film)),
        }
    }
}

fn grey(film: &SimulatedFilm) -> GreyView<'_> {
    GreyView {
        width: film.width,
        height: film.height,
        samples: &film.samples,
        bone_is_bright: true,
        proportions: Proportions::SQUARE,
    }
}
