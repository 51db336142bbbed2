//! How the angles of one and the same foot change on the film with the tube's tilt.

use anyhow::Result;
use plumbray_anatomy::{FilmTracing, View};
use plumbray_measure::Measurement;
use plumbray_phantom::{Exposure, render_ap};
use rayon::prelude::*;

use crate::{
    cohort::random_foot,
    requested::{TRUTH_PIXEL_MM, reading},
};

/// What is followed.
pub const FOLLOWED: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidShare,
];

/// Tilts of the tube in degrees.
pub const TILTS: [f64; 6] = [0.0, 5.0, 10.0, 15.0, 20.0, 25.0];

/// One measurement of many feet at each setting: `values[setting][foot]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// What was measured.
    pub measurement: Measurement,
    /// The settings.
    pub settings: Vec<f64>,
    /// The values by setting, then by foot.
    pub values: Vec<Vec<f64>>,
}

impl Course {
    /// At each setting how far each foot's value lies from its value at the setting with this index.
    #[must_use]
    pub fn changes_from(&self, index: usize) -> Vec<Vec<f64>> {
        self.values
            .iter()
            .map(|values| {
                values
                    .iter()
                    .zip(&self.values[index])
                    .map(|(value, base)| value - base)
                    .collect()
            })
            .collect()
    }
}

/// The true readings of so many random feet at each tilt of the tube.
///
/// # Errors
/// When a foot or film cannot be simulated, or its truth gives no number.
pub fn with_tube_tilt(seed: u64, feet: usize) -> Result<Vec<Course>> {
    let by_foot: Vec<Vec<FilmTracing>> = (0..feet)
        .into_par_iter()
        .map(|number| {
            let foot = random_foot(seed, number as u64)?;
            TILTS
                .into_iter()
                .map(|tilt| {
                    let exposure = Exposure {
                        tube_tilt_degrees: tilt,
                        pixel_mm: TRUTH_PIXEL_MM,
                        ..Exposure::default()
                    };
                    Ok(render_ap(&foot, &exposure)?.truth.feet.remove(0).tracing)
                })
                .collect::<Result<Vec<_>>>()
        })
        .collect::<Result<_>>()?;
    FOLLOWED
        .into_iter()
        .map(|measurement| course(measurement, &TILTS, &by_foot))
        .collect()
}

fn course(
    measurement: Measurement,
    settings: &[f64],
    by_foot: &[Vec<FilmTracing>],
) -> Result<Course> {
    let values = (0..settings.len())
        .map(|setting| {
            by_foot
                .iter()
                .map(|tracings| reading(View::Ap, &tracings[setting], measurement))
                .collect()
        })
        .collect::<Result<_>>()?;
    Ok(Course {
        measurement,
        settings: settings.to_vec(),
        values,
    })
}
