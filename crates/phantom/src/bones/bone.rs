//! One bone in the foot, and what a ray meets inside it.

use nalgebra::Vector3;
use plumbray_anatomy::{LongBone, Sesamoid};

use crate::{
    geometry::frame::Frame,
    geometry::projection::Ray,
    geometry::smooth::smooth_step,
    shape::solid::{Solid, SolidSample},
    shape::texture::trabecular_texture,
};

/// The bones of the simulated foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BoneName {
    /// A bone whose shaft is traced.
    Long(LongBone),
    /// A sesamoid under the first metatarsal head.
    Sesamoid(Sesamoid),
    /// A phalanx of a lesser toe.
    LesserPhalanx {
        /// The toe, 2 to 5.
        toe: u8,
        /// Its place in the toe: 1 proximal, 2 middle, 3 distal.
        place: u8,
    },
    /// The medial cuneiform.
    MedialCuneiform,
    /// The intermediate cuneiform.
    IntermediateCuneiform,
    /// The lateral cuneiform.
    LateralCuneiform,
    /// The cuboid.
    Cuboid,
    /// The navicular.
    Navicular,
    /// The talus.
    Talus,
    /// The calcaneus.
    Calcaneus,
    /// The distal end of the tibia.
    Tibia,
    /// The distal end of the fibula.
    Fibula,
}

/// What a ray crosses within one bone.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(crate) struct BonePath {
    /// Length of solid bone that weakens the ray as much, in mm.
    pub(crate) solid_mm: f64,
    /// Length within the bone's outer surface, in mm.
    pub(crate) within_mm: f64,
}

/// One bone: its name, its place and its shape.
#[derive(Clone, Debug)]
pub(crate) struct Bone {
    /// Which bone it is.
    pub(crate) name: BoneName,
    /// Where it lies in the foot.
    pub(crate) frame: Frame,
    /// Its shape in its own coordinates.
    pub(crate) solid: Solid,
    bounds: (Vector3<f64>, Vector3<f64>),
}

/// The shortest and longest step along a ray inside and near a bone, in mm.
const STEP_MM: (f64, f64) = (0.12, 0.9);

impl Bone {
    /// A bone of this shape at this place.
    pub(crate) fn new(name: BoneName, frame: Frame, solid: Solid) -> Self {
        let bounds = solid.bounds();
        Self {
            name,
            frame,
            solid,
            bounds,
        }
    }

    /// The eight corners of a box that holds the bone, in the foot's coordinates.
    pub(crate) fn corners(&self) -> [Vector3<f64>; 8] {
        let (low, high) = self.bounds;
        std::array::from_fn(|corner| {
            let pick = |bit: usize, axis: usize| {
                if corner >> bit & 1 == 0 {
                    low[axis]
                } else {
                    high[axis]
                }
            };
            self.frame
                .foot_from_bone(Vector3::new(pick(0, 0), pick(1, 1), pick(2, 2)))
        })
    }

    /// What a ray in the foot's coordinates crosses within this bone.
    pub(crate) fn path(&self, ray: &Ray) -> BonePath {
        let ray = self.local(ray);
        let Some((mut at, end)) = ray.within_box(self.bounds.0, self.bounds.1) else {
            return BonePath::default();
        };
        let mut path = BonePath::default();
        let mut here = self.solid.sample(ray.at(at));
        let mut share = self.solid_share(&here, ray.at(at));
        while at < end {
            let step = next_step(&here).min(end - at).max(1e-6);
            let next = at + step;
            let there = self.solid.sample(ray.at(next));
            let next_share = self.solid_share(&there, ray.at(next));
            let inside = inside_share(here.distance_mm, there.distance_mm);
            if inside > 0.0 {
                // Just inside the surface lies cortex, whichever end of the step is outside.
                let first = if here.distance_mm > 0.0 { 1.0 } else { share };
                let second = if there.distance_mm > 0.0 {
                    1.0
                } else {
                    next_share
                };
                path.within_mm += inside * step;
                path.solid_mm += inside * step * f64::midpoint(first, second);
            }
            (at, here, share) = (next, there, next_share);
        }
        path
    }

    /// The least distance between a ray and the bone's surface in mm, negative when the ray passes
    /// through it: zero on the projected outline.
    pub(crate) fn clearance(&self, ray: &Ray) -> f64 {
        let ray = self.local(ray);
        let centre = (self.bounds.0 + self.bounds.1) / 2.0;
        let reach = (self.bounds.1 - self.bounds.0).norm() / 2.0;
        let middle = (centre - ray.origin).dot(&ray.direction);
        let distance = |at: f64| self.solid.sample(ray.at(at)).distance_mm;
        let steps = 96;
        let width = 2.0 * reach / f64::from(steps);
        let (best, _) = (0..=steps)
            .map(|step| middle - reach + f64::from(step) * width)
            .map(|at| (at, distance(at)))
            .fold((middle, f64::INFINITY), |least, candidate| {
                if candidate.1 < least.1 {
                    candidate
                } else {
                    least
                }
            });
        least_value(distance, best - width, best + width)
    }

    fn local(&self, ray: &Ray) -> Ray {
        Ray {
            origin: self.frame.bone_from_foot(ray.origin),
            direction: self.frame.direction_in_bone(ray.direction),
        }
    }

    /// The share of solid bone at a point inside: the cortex, then trabeculae or marrow.
    fn solid_share(&self, sample: &SolidSample, point: Vector3<f64>) -> f64 {
        let depth = -sample.distance_mm;
        if depth <= 0.0 {
            return 0.0;
        }
        let cortex = sample.station.cortex_mm;
        let inner = smooth_step(cortex * 0.85, cortex * 1.25 + 0.2, depth);
        if inner <= 0.0 {
            return 1.0;
        }
        let spongy = sample.station.inner_share * trabecular_texture(point);
        1.0 - inner * (1.0 - spongy)
    }
}

/// A step short enough for what lies near: the surface outside, the inner face of the cortex inside.
fn next_step(sample: &SolidSample) -> f64 {
    let step = if sample.distance_mm > 0.0 {
        0.7 * sample.distance_mm
    } else {
        let depth = -sample.distance_mm;
        0.6 * depth.min((depth - sample.station.cortex_mm).abs())
    };
    step.clamp(STEP_MM.0, STEP_MM.1)
}

/// The share of a step that lies inside, from the distances at its two ends.
fn inside_share(here: f64, there: f64) -> f64 {
    match (here < 0.0, there < 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => here / (here - there),
        (false, true) => there / (there - here),
    }
}

/// The least value of a function with one dip between two places, by golden section.
fn least_value(function: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let mut first = high - GOLDEN * (high - low);
    let mut second = low + GOLDEN * (high - low);
    let (mut at_first, mut at_second) = (function(first), function(second));
    for _ in 0..40 {
        if at_first < at_second {
            high = second;
            (second, at_second) = (first, at_first);
            first = high - GOLDEN * (high - low);
            at_first = function(first);
        } else {
            low = first;
            (first, at_first) = (second, at_second);
            second = low + GOLDEN * (high - low);
            at_second = function(second);
        }
    }
    at_first.min(at_second)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geometry::frame::Attitude,
        physics::attenuation::{Beam, Material, Thickness},
        shape::profile::{Profile, Section, Wall},
        shape::solid::Body,
    };

    /// A ball of 20 mm across about the foot's origin, solid or with a shell.
    fn ball(wall: Wall) -> Bone {
        let radius = 10.0;
        let solid = Solid {
            profile: Profile::new(
                1.0,
                1.0,
                &[Section::even(0.0, radius, radius, radius)],
                &[wall],
            ),
            body: Body::Pebble(Vector3::repeat(radius)),
            ends: Vec::new(),
            bumps: Vec::new(),
            reach_along_mm: [-radius, radius],
        };
        let frame = Frame::new(Vector3::zeros(), Attitude::degrees(20.0, 30.0, 10.0));
        Bone::new(BoneName::Talus, frame, solid)
    }

    fn ray_past(offset: f64) -> Ray {
        Ray {
            origin: Vector3::new(offset, 0.0, 900.0),
            direction: Vector3::new(0.0, 0.0, -1.0),
        }
    }

    #[test]
    fn a_ray_through_a_solid_ball_has_the_length_of_its_chord() {
        let ball = ball(Wall::new(0.0, 30.0, 1.0));
        for offset in [0.0, 2.0, 5.0, 8.0, 9.5] {
            let chord = 2.0 * (100.0_f64 - offset * offset).sqrt();
            let path = ball.path(&ray_past(offset));
            assert!(
                (path.within_mm / chord - 1.0).abs() < 0.005,
                "{path:?} instead of {chord} at {offset}"
            );
            let beam = Beam::of_one_energy(40.0);
            let passed = beam.transmission(Thickness {
                bone_mm: path.solid_mm,
                ..Thickness::default()
            });
            let weakening = Material::CorticalBone.attenuation_per_mm(40.0) * chord;
            assert!(
                (passed.ln() / -weakening - 1.0).abs() < 0.005,
                "{passed} at {offset}"
            );
        }
    }

    #[test]
    fn a_ray_beside_a_ball_meets_nothing_and_its_clearance_is_the_distance() {
        let ball = ball(Wall::new(0.0, 30.0, 1.0));
        let ray = ray_past(12.0);
        assert_eq!(ball.path(&ray), BonePath::default(), "no path");
        let clearance = ball.clearance(&ray);
        assert!((clearance - 2.0).abs() < 1e-6, "{clearance}");
    }

    #[test]
    fn a_shell_weakens_a_ray_less_than_a_solid_ball_and_more_than_its_cortex_alone() {
        let shell = ball(Wall::new(0.0, 2.0, 0.3)).path(&ray_past(0.0));
        assert!(shell.solid_mm < 0.6 * shell.within_mm, "{shell:?}");
        assert!(shell.solid_mm > 4.0, "{shell:?}");
    }
}
