//! The AP and the lateral film of a simulated foot, by their true outlines.

use anyhow::{Context, Result};
use plumbray_anatomy::{Calibration, FilmTracing, Landmark, PhysicalPoint, Proportions, View};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm, measure};
use plumbray_phantom::{
    Exposure, FilmTruth, Foot as PhantomFoot, SimulationError, truth_of_ap, truth_of_lateral,
};

/// Both films of one foot that stands still between them, calibrated at the height of the first metatarsal
/// head.
pub(crate) struct Films {
    truths: [FilmTruth; 2],
    calibrations: [Calibration; 2],
}

impl Films {
    /// Nothing where the phantom finds no outline for such a foot.
    pub(crate) fn of(foot: &PhantomFoot, exposure: &Exposure) -> Result<Option<Self>> {
        let truths = [
            truth_of_ap(foot, exposure),
            truth_of_lateral(foot, exposure),
        ];
        let truths = match truths {
            [Ok(ap), Ok(lateral)] => [ap, lateral],
            [Err(SimulationError::Outline { .. }), _]
            | [_, Err(SimulationError::Outline { .. })] => return Ok(None),
            [Err(error), _] | [_, Err(error)] => return Err(error.into()),
        };
        let calibration = |truth: &FilmTruth| {
            let foot = truth.feet.first().context("a film without a foot")?;
            Ok::<_, anyhow::Error>(truth.calibration(foot)?)
        };
        let calibrations = [calibration(&truths[0])?, calibration(&truths[1])?];
        Ok(Some(Self {
            truths,
            calibrations,
        }))
    }

    /// What is true of the film of a view.
    pub(crate) const fn truth(&self, view: View) -> &FilmTruth {
        match view {
            View::Ap => &self.truths[0],
            View::Lateral => &self.truths[1],
        }
    }

    fn tracing(&self, view: View) -> &FilmTracing {
        &self.truth(view).feet[0].tracing
    }

    /// Where a landmark of the AP film lies, in pixel widths.
    pub(crate) fn ap_place(&self, landmark: Landmark) -> Option<PhysicalPoint> {
        let at = self.tracing(View::Ap).point(landmark)?;
        Some(Proportions::SQUARE.physical(at))
    }

    /// Millimetres of one pixel width of the AP film.
    pub(crate) fn mm_per_pixel_width(&self) -> f64 {
        self.calibrations[0].mm_per_pixel_width()
    }

    /// The traced foot, as the engine takes it.
    pub(crate) fn foot(&self, operated: bool) -> Foot<'_> {
        let film = |view: View, calibration| TracedFilm {
            tracing: self.tracing(view),
            proportions: Proportions::SQUARE,
            calibration: Some(calibration),
        };
        Foot {
            ap: Some(film(View::Ap, &self.calibrations[0])),
            lateral: Some(film(View::Lateral, &self.calibrations[1])),
            operated,
        }
    }

    /// What the engine measures by head centre – base centre.
    pub(crate) fn value(&self, operated: bool, measurement: Measurement) -> Option<f64> {
        let choices = Choices {
            convention: Some(AxisConvention::HeadBase),
            ..Choices::default()
        };
        let outcome = measure(&self.foot(operated), &choices, measurement);
        outcome.reading().map(|reading| reading.value)
    }
}
