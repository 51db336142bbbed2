//! How the angles of one and the same foot change on the film with the tube's tilt, with the turn of the
//! foot and with the turn of its first ray. From true outlines, without any picture.

use anyhow::Result;
use plumbray_anatomy::View;
use plumbray_measure::Measurement;
use plumbray_phantom::{
    Exposure, Foot, FootParameters, Positioning, truth_of_ap, truth_of_lateral,
};
use rayon::prelude::*;

use crate::{
    cohort::{random_foot, random_parameters},
    requested::{RequestedAngle, reading, requested_angles, true_tracing},
};

/// What is followed on the AP film.
pub const FOLLOWED: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidShare,
];

/// What is followed on the lateral film.
pub const FOLLOWED_LATERAL: [Measurement; 2] = [
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
];

/// Tilts of the tube in degrees.
pub const TILTS: [f64; 6] = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0];

/// Turns of the whole foot about the vertical in degrees, positive with the toes outward.
pub const TURNS: [f64; 5] = [-20.0, -10.0, 0.0, 10.0, 20.0];

/// Rolls of the whole foot about its long axis in degrees, positive with the lateral edge raised.
pub const ROLLS: [f64; 5] = [-15.0, -7.5, 0.0, 7.5, 15.0];

/// Pronations of the first ray in degrees.
pub const PRONATIONS: [f64; 5] = [0.0, 7.5, 15.0, 22.5, 30.0];

/// One measurement of many feet at each setting.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// What was measured.
    pub measurement: Measurement,
    /// The settings.
    pub settings: Vec<f64>,
    /// The values, `values[foot][setting]`.
    pub values: Vec<Vec<f64>>,
}

impl Course {
    /// At each setting how far each foot's value lies from its value at the setting with this index.
    #[must_use]
    pub fn changes_from(&self, index: usize) -> Vec<Vec<f64>> {
        (0..self.settings.len())
            .map(|setting| {
                self.values
                    .iter()
                    .map(|values| values[setting] - values[index])
                    .collect()
            })
            .collect()
    }
}

/// The same feet seen in many ways.
#[derive(Clone, Debug, PartialEq)]
pub struct SameFeet {
    /// What they were built with, beside what films show.
    pub requested: Vec<RequestedAngle>,
    /// By the tilt of the AP tube.
    pub by_tilt: Vec<Course>,
    /// By the turn of the foot, on the AP film.
    pub by_turn: Vec<Course>,
    /// By the turn of the foot, on the lateral film.
    pub by_turn_lateral: Vec<Course>,
    /// By the roll of the foot, on the AP film.
    pub by_roll: Vec<Course>,
}

/// One foot's values, by measurement, then by setting; nothing where one of its films has no truth.
type Values = Option<Vec<Vec<f64>>>;

/// So many random feet seen in many ways. A foot of which one film has no truth, because an outline is
/// not found there, is left out of that course.
///
/// # Errors
/// When a foot cannot be built.
pub fn same_feet(seed: u64, feet: usize) -> Result<SameFeet> {
    let of_feet: Vec<(Vec<RequestedAngle>, [Values; 4])> = (0..feet)
        .into_par_iter()
        .map(|number| {
            let foot = random_foot(seed, number as u64)?;
            let by_tilt = values(&foot, View::Ap, TILTS.map(tilted)).ok();
            let by_turn = values(&foot, View::Ap, TURNS.map(turned)).ok();
            let lateral = values(&foot, View::Lateral, TURNS.map(turned)).ok();
            let by_roll = values(&foot, View::Ap, ROLLS.map(rolled)).ok();
            let requested = requested_angles(&foot).unwrap_or_default();
            Ok((requested, [by_tilt, by_turn, lateral, by_roll]))
        })
        .collect::<Result<_>>()?;
    let course = |which: usize, followed: &[Measurement], settings: &[f64]| {
        let of_kind: Vec<&Values> = of_feet.iter().map(|(_, values)| &values[which]).collect();
        courses(followed, settings, &of_kind)
    };
    Ok(SameFeet {
        by_tilt: course(0, &FOLLOWED, &TILTS),
        by_turn: course(1, &FOLLOWED, &TURNS),
        by_turn_lateral: course(2, &FOLLOWED_LATERAL, &TURNS),
        by_roll: course(3, &FOLLOWED, &ROLLS),
        requested: of_feet
            .iter()
            .flat_map(|(angles, _)| angles.clone())
            .collect(),
    })
}

/// So many random feet with each pronation of the first ray, all else as it was. A foot of which one
/// film has no truth is left out.
///
/// # Errors
/// When a foot cannot be built.
pub fn with_pronation(seed: u64, feet: usize) -> Result<Vec<Course>> {
    let of_feet: Vec<Values> = (0..feet)
        .into_par_iter()
        .map(|number| {
            let by_setting = PRONATIONS
                .into_iter()
                .map(|pronation| {
                    let foot = Foot::new(FootParameters {
                        first_ray_pronation: pronation,
                        ..random_parameters(seed, number as u64)
                    })?;
                    Ok(values(&foot, View::Ap, [Exposure::default()]).ok())
                })
                .collect::<Result<Vec<Values>>>()?;
            Ok(by_setting
                .into_iter()
                .collect::<Option<Vec<Vec<Vec<f64>>>>>()
                .map(|by_setting| {
                    (0..FOLLOWED.len())
                        .map(|which| by_setting.iter().map(|values| values[which][0]).collect())
                        .collect()
                }))
        })
        .collect::<Result<_>>()?;
    let of_feet: Vec<&Values> = of_feet.iter().collect();
    Ok(courses(&FOLLOWED, &PRONATIONS, &of_feet))
}

fn tilted(tube_tilt_degrees: f64) -> Exposure {
    Exposure {
        tube_tilt_degrees,
        ..Exposure::default()
    }
}

fn turned(turn_degrees: f64) -> Exposure {
    Exposure {
        positioning: Positioning {
            turn_degrees,
            ..Positioning::default()
        },
        ..Exposure::default()
    }
}

fn rolled(obliquity_degrees: f64) -> Exposure {
    Exposure {
        positioning: Positioning {
            obliquity_degrees,
            ..Positioning::default()
        },
        ..Exposure::default()
    }
}

/// What the true outlines of one foot give on films of these exposures.
fn values<const N: usize>(
    foot: &Foot,
    view: View,
    exposures: [Exposure; N],
) -> Result<Vec<Vec<f64>>> {
    let tracings = exposures
        .iter()
        .map(|exposure| {
            let truth = match view {
                View::Ap => truth_of_ap(foot, exposure)?,
                View::Lateral => truth_of_lateral(foot, exposure)?,
            };
            true_tracing(&truth)
        })
        .collect::<Result<Vec<_>>>()?;
    let followed: &[Measurement] = match view {
        View::Ap => &FOLLOWED,
        View::Lateral => &FOLLOWED_LATERAL,
    };
    followed
        .iter()
        .map(|measurement| {
            tracings
                .iter()
                .map(|tracing| reading(view, tracing, *measurement))
                .collect()
        })
        .collect()
}

fn courses(followed: &[Measurement], settings: &[f64], of_feet: &[&Values]) -> Vec<Course> {
    followed
        .iter()
        .enumerate()
        .map(|(which, measurement)| Course {
            measurement: *measurement,
            settings: settings.to_vec(),
            values: of_feet
                .iter()
                .filter_map(|values| Some(values.as_ref()?[which].clone()))
                .collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_are_counted_from_the_setting_that_was_named() {
        let course = Course {
            measurement: Measurement::HalluxValgusAngle,
            settings: vec![0.0, 5.0],
            values: vec![vec![20.0, 19.0], vec![30.0, 28.0]],
        };
        assert_eq!(
            course.changes_from(0),
            [vec![0.0, 0.0], vec![-1.0, -2.0]],
            "by setting, then by foot"
        );
    }
}
