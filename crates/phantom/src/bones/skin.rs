//! The skin, and what a ray meets within it.

use std::sync::{Arc, OnceLock};

use nalgebra::Vector3;

use crate::{
    bones::bone::inside_share,
    bones::first_ray::FirstRay,
    bones::flesh::{Flesh, Limb, limb},
    bones::hindfoot::Hindfoot,
    bones::lesser_rays::LesserRay,
    geometry::{projection::Ray, smooth::smooth_step},
    shape::volume::Volume,
};

/// Spacing of the grid of the skin, in mm.
const GRID_MM: f64 = 2.0;

/// The shortest and the longest step along a ray within the skin, in mm.
const STEP_MM: (f64, f64) = (0.4, 3.0);

/// How strongly fat weakens a ray against as much soft tissue: the ratio of the linear attenuation of
/// adipose and of soft tissue at 40 keV (0.2396 cm²/g × 0.95 g/cm³ and 0.2688 × 1.06; NIST).
const FAT_SHARE: f64 = 0.8;

/// Between which depths under the surface of the skin fat lies, in mm (from memory).
const FAT_LAYER_MM: [f64; 2] = [1.4, 4.6];

/// The skin: everything within it that is not bone is soft tissue.
#[derive(Clone, Debug)]
pub(crate) struct Skin {
    flesh: Arc<Flesh>,
    /// Filled when a ray first meets it: where a film's landmarks lie needs no skin, and it is the largest
    /// part of a foot.
    volume: Arc<OnceLock<Volume>>,
    /// The pad of the heel, and the fat before the tendon behind the ankle.
    pads: [Limb; 2],
}

impl Skin {
    pub(crate) fn new(first: &FirstRay, lesser: &[LesserRay; 4], hindfoot: &Hindfoot) -> Self {
        let (ankle, heel) = (hindfoot.ankle, hindfoot.heel);
        Self {
            flesh: Arc::new(Flesh::new(first, lesser, hindfoot)),
            volume: Arc::default(),
            pads: [
                limb(
                    heel + Vector3::new(0.0, -2.0, -5.0),
                    heel + Vector3::new(2.0, 16.0, -5.0),
                    6.0,
                    6.0,
                ),
                limb(
                    ankle + Vector3::new(1.0, -26.5, -3.0),
                    ankle + Vector3::new(1.0, -27.0, 40.0),
                    6.0,
                    2.5,
                ),
            ],
        }
    }

    fn volume(&self) -> &Volume {
        self.volume.get_or_init(|| {
            Volume::new(self.flesh.bounds(), GRID_MM, |point| {
                self.flesh.distance(point)
            })
        })
    }

    /// How much soft tissue weakens a ray as much as what it crosses within the skin, in mm: fat
    /// weakens it less.
    pub(crate) fn path_mm(&self, ray: &Ray) -> f64 {
        let volume = self.volume();
        let bounds = volume.bounds();
        let Some((mut at, end)) = ray.within_box(bounds.low, bounds.high) else {
            return 0.0;
        };
        let mut length = 0.0;
        let mut here = volume.distance(ray.at(at));
        while at < end {
            let step = if here > 0.0 {
                (0.8 * here).max(STEP_MM.0)
            } else {
                (-0.5 * here).clamp(STEP_MM.0, STEP_MM.1)
            };
            let step = step.min(end - at).max(1e-6);
            let there = volume.distance(ray.at(at + step));
            let inside = inside_share(here, there);
            if inside > 0.0 {
                let middle = ray.at(at + 0.5 * step);
                length += step * inside * self.share(f64::midpoint(here, there), middle);
            }
            at += step;
            here = there;
        }
        length
    }

    /// How strongly what lies at a point weakens a ray, against soft tissue.
    fn share(&self, distance: f64, point: Vector3<f64>) -> f64 {
        let depth = -distance;
        let layer = smooth_step(FAT_LAYER_MM[0] - 0.4, FAT_LAYER_MM[0] + 0.4, depth)
            * (1.0 - smooth_step(FAT_LAYER_MM[1] - 1.0, FAT_LAYER_MM[1] + 1.0, depth));
        let fat = self
            .pads
            .iter()
            .map(|pad| 1.0 - smooth_step(-1.5, 1.5, pad.distance(point)))
            .fold(layer, f64::max);
        1.0 - fat * (1.0 - FAT_SHARE)
    }
}
