//! Films of feet that have not changed, and of the same feet after a change of known size.

use anyhow::Result;
use plumbray_anatomy::View;
use plumbray_compare::{Change, FOLLOWED, Registration, change, lay_over};
use plumbray_phantom::{Foot, FootParameters};
use rayon::prelude::*;

use super::{Filmed, VisitsPlan};
use crate::{chance::Chance, cohort::random_parameters};

/// By how many degrees both angles of a changed foot grow.
pub const CHANGE_DEGREES: f64 = 5.0;

/// The stream of the visits among the streams of a seed.
const VISITS: u64 = 7 << 32;

/// What two films of one foot came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Seen {
    /// The number of the foot.
    pub foot: usize,
    /// Whether the foot was changed between them.
    pub is_changed: bool,
    /// The change of each followed angle as it was read, in the order of [`FOLLOWED`]; nothing where a number
    /// is missing.
    pub changes: [Option<Change>; 2],
    /// Its change on the true outlines, in degrees.
    pub true_changes: [Option<f64>; 2],
    /// The later film laid over the earlier one, or why not.
    pub laid_over: Result<Registration, String>,
    /// How far the true base and tip of the second to fifth metatarsal of the later film come to lie from
    /// those of the earlier one, in mm at the detector: root of the mean square.
    pub true_residual_mm: Option<f64>,
}

/// Every foot of a plan, filmed twice unchanged and once changed.
///
/// # Errors
/// When a foot or a film cannot be simulated.
pub fn pairs(plan: &VisitsPlan) -> Result<Vec<Seen>> {
    let all: Vec<Vec<Seen>> = (0..plan.pairs)
        .into_par_iter()
        .map(|number| of_foot(plan, number))
        .collect::<Result<_>>()?;
    Ok(all.into_iter().flatten().collect())
}

fn of_foot(plan: &VisitsPlan, number: usize) -> Result<Vec<Seen>> {
    let parameters = random_parameters(plan.seed, number as u64);
    let mut chance = Chance::new(plan.seed, VISITS + number as u64);
    let unchanged = Foot::new(parameters)?;
    let Some(first) = Filmed::of(plan, &unchanged, &mut chance)? else {
        return Ok(Vec::new());
    };
    let mut seen = Vec::new();
    if let Some(second) = Filmed::of(plan, &unchanged, &mut chance)? {
        seen.push(compared(number, false, &first, &second));
    }
    // A foot near the limits of the phantom cannot be changed further.
    if let Some(second) = changed(parameters)
        .map(|foot| Filmed::of(plan, &foot, &mut chance))
        .transpose()?
        .flatten()
    {
        seen.push(compared(number, true, &first, &second));
    }
    Ok(seen)
}

fn changed(parameters: FootParameters) -> Option<Foot> {
    let by = if parameters.intermetatarsal_angle_1_2 > 12.0 {
        -CHANGE_DEGREES
    } else {
        CHANGE_DEGREES
    };
    Foot::new(FootParameters {
        hallux_valgus_angle: parameters.hallux_valgus_angle + by,
        intermetatarsal_angle_1_2: parameters.intermetatarsal_angle_1_2 + by,
        ..parameters
    })
    .ok()
}

fn compared(foot: usize, is_changed: bool, one: &Filmed, other: &Filmed) -> Seen {
    let laid_over = lay_over(View::Ap, one.ap(&one.found), other.ap(&other.found));
    let true_residual_mm = laid_over.as_ref().ok().and_then(|laid| {
        let points: Vec<f64> =
            plumbray_compare::shared_points(View::Ap, one.truth.film(), other.truth.film())
                .iter()
                .map(|point| {
                    (laid.earlier_from_later.of(point.later) - point.earlier)
                        .length()
                        .powi(2)
                })
                .collect();
        let mean = points.iter().sum::<f64>() / points.len().max(1) as f64;
        (!points.is_empty()).then(|| mean.sqrt() * one.film.truth.exposure.pixel_mm)
    });
    Seen {
        foot,
        is_changed,
        changes: FOLLOWED.map(|angle| {
            let outcomes = [one, other].map(|film| film.found.measured(false, angle));
            change(angle, &outcomes[0], &outcomes[1], None).ok()
        }),
        true_changes: FOLLOWED.map(|angle| {
            let values = [one, other].map(|film| {
                let outcome = film.truth.measured(false, angle);
                outcome.reading().map(|reading| reading.value)
            });
            Some(values[1]? - values[0]?)
        }),
        laid_over: laid_over.map_err(|why| why.to_string()),
        true_residual_mm,
    }
}
