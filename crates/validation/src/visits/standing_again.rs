//! How much each number differs between films of a foot that has not changed.

use anyhow::Result;
use plumbray_anatomy::View;
use plumbray_measure::{Measurement, Unit};
use plumbray_phantom::{truth_of_ap, truth_of_lateral};
use rayon::prelude::*;

use super::{TracedOn, VisitsPlan, anew};
use crate::{
    chance::Chance, cohort::random_foot, requested::true_tracing, statistics::within_groups_sd,
};

/// How often each foot stands.
const TIMES: usize = 6;

/// The stream of the stances among the streams of a seed.
const STANCES: u64 = 6 << 32;

/// How much one number differs between films of unchanged feet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingAgain {
    /// Which number.
    pub measurement: Measurement,
    /// Standard deviation within a foot, in the number's unit; of lengths as a share of the foot's mean.
    pub sd: f64,
    /// From how many feet.
    pub feet: usize,
}

/// Every number of feet that stand several times, from their true outlines on each film.
///
/// # Errors
/// When a foot cannot be built.
pub fn standing_again(plan: &VisitsPlan) -> Result<Vec<StandingAgain>> {
    let feet: Vec<Vec<Vec<(Measurement, f64)>>> = (0..plan.feet_standing_again)
        .into_par_iter()
        .map(|number| of_foot(plan, number))
        .collect::<Result<_>>()?;
    let spread = |measurement: Measurement| {
        let groups: Vec<Vec<f64>> = feet
            .iter()
            .map(|films| {
                let values: Vec<f64> = films
                    .iter()
                    .flatten()
                    .filter(|(one, _)| *one == measurement)
                    .map(|(_, value)| *value)
                    .collect();
                as_shares(measurement, values)
            })
            .filter(|values| values.len() > 1)
            .collect();
        let sd = within_groups_sd(groups.iter().map(Vec::as_slice))?;
        Some(StandingAgain {
            measurement,
            sd,
            feet: groups.len(),
        })
    };
    Ok(Measurement::ALL
        .into_iter()
        .filter(|one| !matches!(one.unit(), Unit::Position | Unit::Grade))
        .filter_map(spread)
        .collect())
}

/// Lengths of bones as shares of their mean; differences of lengths stay as they are.
fn as_shares(measurement: Measurement, values: Vec<f64>) -> Vec<f64> {
    if !is_whole_length(measurement) {
        return values;
    }
    let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
    values.iter().map(|value| value / mean).collect()
}

/// Whether a number in millimetres is the size of something, which grows with magnification.
pub(crate) const fn is_whole_length(measurement: Measurement) -> bool {
    matches!(
        measurement,
        Measurement::M1Length
            | Measurement::M2Length
            | Measurement::M3Length
            | Measurement::M4Length
            | Measurement::M5Length
            | Measurement::ForefootWidth
    )
}

fn of_foot(plan: &VisitsPlan, number: usize) -> Result<Vec<Vec<(Measurement, f64)>>> {
    let foot = random_foot(plan.seed, number as u64)?;
    let mut chance = Chance::new(plan.seed, STANCES + number as u64);
    let films = (0..TIMES)
        .flat_map(|_| {
            let exposure = anew(plan.pixel_mm, &mut chance);
            [View::Ap, View::Lateral].map(|view| {
                let truth = match view {
                    View::Ap => truth_of_ap(&foot, &exposure),
                    View::Lateral => truth_of_lateral(&foot, &exposure),
                };
                // Where the phantom finds no outline there is no truth, and the film is left out.
                let truth = truth.ok()?;
                let spacing = truth.exposure.pixel_mm;
                let spacing = plumbray_anatomy::PixelSpacing::new(spacing, spacing).ok()?;
                let traced = TracedOn::new(view, true_tracing(&truth).ok()?, spacing);
                Some(numbers(&traced))
            })
        })
        .flatten()
        .collect();
    Ok(films)
}

fn numbers(traced: &TracedOn) -> Vec<(Measurement, f64)> {
    Measurement::ALL
        .into_iter()
        .filter(|one| one.view() == traced.view)
        .filter_map(|one| {
            let outcome = traced.measured(false, one);
            Some((one, outcome.reading()?.value))
        })
        .collect()
}
