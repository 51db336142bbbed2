//! The shape of one bone before it is put in its place: surface, relief and wall.

use nalgebra::Vector3;

use super::{form::Form, texture::smooth_noise, volume::Volume, wall::Walls};

/// One bone in its own coordinates.
#[derive(Clone, Debug)]
pub(crate) struct Solid {
    /// Its surface.
    pub(crate) form: Form,
    /// Its cortex and what lies within.
    pub(crate) walls: Walls,
    /// From its origin to the end of its axis, in mm.
    pub(crate) length_mm: f64,
    /// How its surface departs from the form.
    pub(crate) relief: Relief,
    /// Which way its trabeculae run, in the bone's coordinates.
    pub(crate) grain: Vector3<f64>,
}

/// Shallow unevenness of a bone's surface: no real bone is as smooth as a formula.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Relief {
    /// How far the surface departs at most, in mm.
    pub(crate) height_mm: f64,
    /// How far apart its rises lie, in mm.
    pub(crate) spacing_mm: f64,
    /// Which of all possible reliefs.
    pub(crate) seed: u64,
    /// From where to where along w the surface is uneven, in mm: joint surfaces are smooth. The relief
    /// fades out over [`RELIEF_FADE_MM`] within it.
    pub(crate) along_mm: [f64; 2],
}

/// Over how many millimetres a relief fades toward a joint surface.
const RELIEF_FADE_MM: f64 = 6.0;

impl Relief {
    /// No unevenness.
    #[cfg(test)]
    pub(crate) const NONE: Self = Self {
        height_mm: 0.0,
        spacing_mm: 1.0,
        seed: 0,
        along_mm: [0.0, 0.0],
    };

    fn at(&self, point: Vector3<f64>) -> f64 {
        let inward = (point.z - self.along_mm[0]).min(self.along_mm[1] - point.z);
        let share = (inward / RELIEF_FADE_MM).clamp(0.0, 1.0);
        if share <= 0.0 || self.height_mm <= 0.0 {
            return 0.0;
        }
        self.height_mm * share * smooth_noise(point / self.spacing_mm, self.seed)
    }
}

impl Solid {
    /// The bone's distance field on a grid, after `refine` has turned a point and the solid's own
    /// distance there into the distance that holds.
    pub(crate) fn volume(
        &self,
        step_mm: f64,
        refine: impl Fn(Vector3<f64>, f64) -> f64 + Sync,
    ) -> Volume {
        let bounds = self.form.bounds().grown(self.relief.height_mm);
        Volume::new(bounds, step_mm, |point| {
            refine(point, self.form.distance(point) - self.relief.at(point))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_relief_stays_within_its_height_and_leaves_the_joint_surfaces() {
        let relief = Relief {
            height_mm: 0.4,
            spacing_mm: 3.0,
            seed: 9,
            along_mm: [3.0, 50.0],
        };
        let mut highest = 0.0_f64;
        for step in 0..4000 {
            let step = f64::from(step);
            let point = Vector3::new(step * 0.37 % 9.0, step * 0.61 % 7.0, step * 0.83 % 60.0);
            let height = relief.at(point).abs();
            let is_joint = !(3.0..50.0).contains(&point.z);
            assert!(!is_joint || height <= 0.0, "{height} at {}", point.z);
            highest = highest.max(height);
        }
        assert!((0.1..=0.4).contains(&highest), "{highest}");
    }
}
