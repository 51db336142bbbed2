//! Feet that are operated on and lose some of their correction.

use anyhow::Result;
use plumbray_anatomy::View;
use plumbray_compare::{Correction, FOLLOWED, HeadShift, head_shift, lay_over};
use plumbray_phantom::{FollowUp, Foot, FootParameters, Operation};
use rayon::prelude::*;

use super::{Filmed, TracedOn, VisitsPlan};
use crate::{chance::Chance, cohort::random_parameters};

/// The share of the correction that is lost, and the weeks until the last film.
pub const LOSS: (f64, f64) = (0.3, 26.0);

/// The stream of the operations among the streams of a seed.
const OPERATIONS: u64 = 8 << 32;

/// The least deformity that is operated on: hallux valgus and intermetatarsal angle, in degrees.
const LEAST_DEFORMITY: [f64; 2] = [25.0, 12.0];

/// What three films of an operated foot came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The number of the foot.
    pub foot: usize,
    /// How far the fragment was moved along the cut, in mm.
    pub shift_mm: f64,
    /// The shift from the film before to the first one after, as it was read without a click.
    pub read: Result<HeadShift, String>,
    /// The same on the true outlines.
    pub truth: Result<HeadShift, String>,
    /// The share of the correction lost, by the hallux valgus and the intermetatarsal angle, as read.
    pub lost: [Option<f64>; 2],
    /// The same on the true outlines.
    pub true_lost: [Option<f64>; 2],
}

impl Followed {
    /// By how much the shift was read wrong, as a share of the width, and half of its 95 % interval; nothing
    /// where there is no shift.
    pub(crate) fn error_and_half_interval(&self) -> Option<(f64, f64)> {
        let (read, truth) = (self.read.as_ref().ok()?, self.truth.as_ref().ok()?);
        let read = read.share_of_width;
        let error = read.value - truth.share_of_width.value;
        Some((error, read.half_interval()))
    }
}

/// The first so many feet of a seed that are deformed enough to be operated on, at three visits.
///
/// # Errors
/// When a foot or a film cannot be simulated.
pub fn follow_ups(plan: &VisitsPlan) -> Result<Vec<Followed>> {
    let chosen: Vec<(usize, FootParameters)> = (0..100 * plan.follow_ups.max(1))
        .map(|number| (number, random_parameters(plan.seed, number as u64)))
        .filter(|(_, foot)| {
            foot.hallux_valgus_angle > LEAST_DEFORMITY[0]
                && foot.intermetatarsal_angle_1_2 > LEAST_DEFORMITY[1]
        })
        .take(plan.follow_ups)
        .collect();
    let all: Vec<Option<Followed>> = chosen
        .into_par_iter()
        .map(|(number, foot)| followed(plan, number, foot))
        .collect::<Result<_>>()?;
    Ok(all.into_iter().flatten().collect())
}

fn followed(plan: &VisitsPlan, number: usize, foot: FootParameters) -> Result<Option<Followed>> {
    let mut chance = Chance::new(plan.seed, OPERATIONS + number as u64);
    let operation = Operation {
        shift_mm: chance.between(6.0, 11.0),
        medial_turn_degrees: chance.between(0.0, 4.0),
        toe_turn_degrees: chance.between(6.0, 12.0),
        ..Operation::default()
    };
    let Ok(visits) = FollowUp::new(foot, operation, LOSS.0, LOSS.1) else {
        return Ok(None);
    };
    let mut films = Vec::new();
    for parameters in [visits.before, visits.early, visits.late] {
        let Some(filmed) = Filmed::of(plan, &Foot::new(parameters)?, &mut chance)? else {
            return Ok(None);
        };
        films.push(filmed);
    }
    let [before, early, late] = films.as_slice() else {
        return Ok(None);
    };
    let lost = |of: fn(&Filmed) -> &TracedOn| {
        FOLLOWED.map(|angle| {
            let before = of(before).measured(false, angle);
            let [early, late] = [early, late].map(|film| of(film).measured(true, angle));
            Correction::lost(angle, &before, &early, &late)?
                .share
                .map(|share| share.value)
        })
    };
    Ok(Some(Followed {
        foot: number,
        shift_mm: operation.shift_mm,
        read: shift(before, early, |film| &film.found),
        truth: shift(before, early, |film| &film.truth),
        lost: lost(|film| &film.found),
        true_lost: lost(|film| &film.truth),
    }))
}

fn shift(
    before: &Filmed,
    after: &Filmed,
    of: fn(&Filmed) -> &TracedOn,
) -> Result<HeadShift, String> {
    let laid = lay_over(View::Ap, before.ap(of(before)), after.ap(of(after)));
    head_shift(
        &of(before).foot(false),
        &of(after).foot(true),
        laid.as_ref().map_err(Clone::clone),
    )
    .map_err(|why| why.to_string())
}
