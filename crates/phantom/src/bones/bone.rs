//! One bone in the foot, and what a ray meets inside it.

use std::sync::Arc;

use nalgebra::Vector3;
use plumbray_anatomy::{LongBone, Sesamoid};

use crate::{
    bones::trabecular_group::{TrabecularGroup, grouped_density},
    geometry::{
        frame::Frame,
        projection::Ray,
        smooth::{smooth_max, smooth_step},
    },
    shape::{
        form::{Bounds, Plane},
        solid::Solid,
        texture::TrabecularTile,
        volume::Volume,
        wall::{Wall, Walls},
    },
};

/// The bones of the simulated foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BoneName {
    /// A bone whose shaft is traced.
    Long(LongBone),
    /// New bone about a cut.
    Callus,
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

/// A stretch of a ray from one distance to another, in mm from its origin.
pub(crate) type Stretch = (f64, f64);

/// A bone from which another keeps its distance where the two articulate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Neighbour<'a> {
    /// The bone, already in its place.
    pub(crate) bone: &'a Bone,
    /// Width of the joint space between the two, in mm.
    pub(crate) gap_mm: f64,
}

/// How far the rim of a joint surface that fits a neighbour is rounded, in mm.
const RIM_MM: f64 = 1.4;

/// What a bone is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Substance {
    /// Cortex around trabeculae and marrow.
    Lamellar,
    /// New bone without a cortex: the share of solid bone well inside, and over how many millimetres
    /// it fades toward the surface.
    Woven { share: f64, fade_mm: f64 },
}

/// One bone, or a part of one: its name, its place and its shape.
#[derive(Clone, Debug)]
pub(crate) struct Bone {
    /// Which bone it is.
    pub(crate) name: BoneName,
    /// Where it lies in the foot.
    pub(crate) frame: Frame,
    /// What is left of it lies behind these planes, in its own coordinates. A cut face has no cortex.
    pub(crate) cuts: Vec<Plane>,
    /// From its origin to the end of its axis, in mm.
    pub(crate) length_mm: f64,
    /// Its mineral as a share of a healthy adult's.
    pub(crate) density: f64,
    volume: Arc<Volume>,
    walls: Walls,
    grain: Vector3<f64>,
    groups: Vec<TrabecularGroup>,
    substance: Substance,
}

/// Spacing of the grid of a bone's surface in mm: bones larger than [`LARGE_MM`] have a coarser one.
const GRID_MM: (f64, f64) = (0.5, 0.7);

/// How far a bone's surface keeps from the faces of its grid at least, in mm.
const GRID_MARGIN_MM: f64 = 1.2;

/// From which length on a bone counts as large, in mm.
const LARGE_MM: f64 = 85.0;

/// The shortest and the longest step along a ray inside and near a bone, in mm.
const STEP_MM: (f64, f64) = (0.15, 0.6);

/// How far apart a ray is first tried for its clearance, in mm.
const CLEARANCE_STEP_MM: f64 = 1.5;

impl Bone {
    /// A bone of this shape at this place.
    pub(crate) fn new(name: BoneName, frame: Frame, solid: &Solid) -> Self {
        Self::beside(name, frame, solid, &[])
    }

    /// A bone of this shape at this place, less what lies nearer to its neighbours than a joint space:
    /// its joint surfaces fit theirs, and the space between them is even.
    pub(crate) fn beside(
        name: BoneName,
        frame: Frame,
        solid: &Solid,
        neighbours: &[Neighbour<'_>],
    ) -> Self {
        let bounds = solid.form.bounds();
        let is_large = (bounds.high - bounds.low).max() > LARGE_MM;
        let step_mm = if is_large { GRID_MM.1 } else { GRID_MM.0 };
        let volume = solid.volume(step_mm, |point, own| {
            // Outside it stays outside, whatever its neighbours take away.
            if own > step_mm {
                return own;
            }
            let place = frame.foot_from_bone(point);
            neighbours.iter().fold(own, |distance, neighbour| {
                let clearance = neighbour.bone.distance_in_foot(place) - neighbour.gap_mm;
                smooth_max(distance, -clearance, RIM_MM)
            })
        });
        Self {
            name,
            frame,
            cuts: Vec::new(),
            length_mm: solid.length_mm,
            density: 1.0,
            volume: Arc::new(volume),
            walls: solid.walls.clone(),
            grain: solid.grain,
            groups: Vec::new(),
            substance: Substance::Lamellar,
        }
    }

    /// New bone without a cortex, of which a share is solid bone: a shape by its distance in the
    /// bone's own coordinates, within bounds. Its outline fades over `fade_mm`.
    pub(crate) fn woven(
        frame: Frame,
        bounds: Bounds,
        distance: impl Fn(Vector3<f64>) -> f64 + Sync,
        share: f64,
        fade_mm: f64,
    ) -> Self {
        Self {
            name: BoneName::Callus,
            frame,
            cuts: Vec::new(),
            length_mm: bounds.high.z - bounds.low.z,
            density: 1.0,
            volume: Arc::new(Volume::new(bounds, GRID_MM.0, distance)),
            walls: Walls::new(1.0, &[Wall::new(0.0, 0.0, share)]),
            grain: Vector3::z(),
            groups: Vec::new(),
            substance: Substance::Woven { share, fade_mm },
        }
    }

    /// The same bone with groups of trabeculae in its spongy inside.
    pub(crate) fn with_groups(mut self, groups: Vec<TrabecularGroup>) -> Self {
        self.groups = groups;
        self
    }

    /// The eight corners of a box that holds the bone, in the foot's coordinates.
    pub(crate) fn corners(&self) -> [Vector3<f64>; 8] {
        self.volume
            .bounds()
            .corners()
            .map(|corner| self.frame.foot_from_bone(corner))
    }

    /// Distance to the surface at a point in the bone's own coordinates in mm, negative inside.
    pub(crate) fn distance(&self, point: Vector3<f64>) -> f64 {
        self.cuts
            .iter()
            .fold(self.volume.distance(point), |distance, cut| {
                distance.max(cut.distance(point))
            })
    }

    /// Distance to the surface at a point in the foot's coordinates in mm, negative inside; far from
    /// the bone at most the true distance.
    pub(crate) fn distance_in_foot(&self, place: Vector3<f64>) -> f64 {
        let point = self.frame.bone_from_foot(place);
        let bounds = self.volume.bounds();
        let nearest = point.sup(&bounds.low).inf(&bounds.high);
        let beyond = (point - nearest).norm();
        let there = self.distance(nearest);
        if beyond > 0.0 {
            // The surface lies at least the grid's margin within its faces.
            (there * there + beyond * (beyond + 2.0 * GRID_MARGIN_MM)).sqrt()
        } else {
            there
        }
    }

    /// Length of solid bone, in mm, that weakens a ray in the foot's coordinates as much as this bone
    /// does, less where metal has taken its place.
    pub(crate) fn solid_mm(&self, ray: &Ray, metal: &[Stretch], tile: &TrabecularTile) -> f64 {
        let ray = self.local(ray);
        let Some((mut at, end)) = self.reach(&ray) else {
            return 0.0;
        };
        let mut solid_mm = 0.0;
        let mut here = self.volume.distance(ray.at(at));
        let mut share = self.solid_share(here, ray.at(at), tile);
        while at < end {
            let step = self.next_step(here, ray.at(at)).min(end - at).max(1e-6);
            let next = at + step;
            let there = self.volume.distance(ray.at(next));
            let next_share = self.solid_share(there, ray.at(next), tile);
            let inside = inside_share(here, there);
            if inside > 0.0 {
                // Just inside the surface lies cortex, whichever end of the step is outside.
                let first = if here > 0.0 { self.rind() } else { share };
                let second = if there > 0.0 { self.rind() } else { next_share };
                let length = inside * (step - overlap((at, next), metal));
                solid_mm += length * f64::midpoint(first, second);
            }
            (at, here, share) = (next, there, next_share);
        }
        solid_mm
    }

    /// The least distance between a ray and the bone's surface in mm, negative when the ray passes
    /// through it: zero on the projected outline. Of a ray that misses the box which holds the bone it
    /// is only known to be positive.
    ///
    /// The distance changes by no more than the way along the ray, so that between two samples it
    /// cannot fall below half of what the two sum up to less the way between: where that is not lower
    /// than the lowest sample, nothing lower lies.
    pub(crate) fn clearance(&self, ray: &Ray) -> f64 {
        let ray = self.local(ray);
        let bounds = self.volume.bounds();
        let distance = |at: f64| self.distance(ray.at(at));
        let Some((enter, leave)) = ray.within_box(bounds.low, bounds.high) else {
            let centre = (bounds.low + bounds.high) / 2.0;
            return distance((centre - ray.origin).dot(&ray.direction));
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bone is at most some hundred millimetres long"
        )]
        let count = ((leave - enter) / CLEARANCE_STEP_MM).ceil().max(1.0) as u32;
        let step = (leave - enter) / f64::from(count);
        let place = |index: u32| enter + f64::from(index) * step;
        let samples: Vec<f64> = (0..=count).map(|index| distance(place(index))).collect();
        let lowest = samples.iter().copied().fold(f64::INFINITY, f64::min);
        (0..count)
            .zip(samples.windows(2))
            .fold(lowest, |lowest, (index, pair)| {
                if f64::midpoint(pair[0], pair[1]) - step / 2.0 < lowest {
                    lowest.min(least_value(distance, place(index), place(index + 1)))
                } else {
                    lowest
                }
            })
    }

    fn local(&self, ray: &Ray) -> Ray {
        Ray {
            origin: self.frame.bone_from_foot(ray.origin),
            direction: self.frame.direction_in_bone(ray.direction),
        }
    }

    /// The stretch of a ray in the bone's coordinates that can lie in it.
    fn reach(&self, ray: &Ray) -> Option<Stretch> {
        let bounds = self.volume.bounds();
        let (mut enter, mut leave) = ray.within_box(bounds.low, bounds.high)?;
        for cut in &self.cuts {
            let slope = ray.direction.dot(&cut.normal);
            let crossing = -cut.distance(ray.origin) / slope;
            if slope > 0.0 {
                leave = leave.min(crossing);
            } else if slope < 0.0 {
                enter = enter.max(crossing);
            } else if cut.distance(ray.origin) > 0.0 {
                return None;
            }
        }
        (enter < leave).then_some((enter, leave))
    }

    /// The share of solid bone at a point inside: the cortex, then trabeculae or marrow.
    fn solid_share(&self, distance: f64, point: Vector3<f64>, tile: &TrabecularTile) -> f64 {
        let depth = -distance;
        if depth <= 0.0 {
            return 0.0;
        }
        if let Substance::Woven { share, fade_mm } = self.substance {
            let faded = share * smooth_step(0.0, fade_mm, depth);
            return faded * f64::midpoint(1.0, tile.density(point, self.grain));
        }
        let (cortex, inner) = self.wall(point);
        let within = smooth_step(cortex * 0.85, cortex * 1.25 + 0.2, depth);
        if within <= 0.0 {
            return 1.0;
        }
        let density = grouped_density(&self.groups, self.grain, point, |grain| {
            tile.density(point, grain)
        });
        let spongy = (inner * density).min(1.0);
        1.0 - within * (1.0 - spongy)
    }

    /// The share of solid bone just inside the surface.
    const fn rind(&self) -> f64 {
        match self.substance {
            Substance::Lamellar => 1.0,
            Substance::Woven { .. } => 0.0,
        }
    }

    /// Thickness of the cortex in mm and share of solid bone within it. Of mineral that is lost, the
    /// cortex loses about half the share that the trabeculae do (from memory).
    fn wall(&self, point: Vector3<f64>) -> (f64, f64) {
        let (cortex, inner) = self.walls.at(point);
        (
            cortex * f64::midpoint(1.0, self.density),
            inner * self.density,
        )
    }

    /// A step short enough for what lies near: the surface outside, the inner face of the cortex
    /// inside.
    fn next_step(&self, distance: f64, point: Vector3<f64>) -> f64 {
        if distance > 0.0 {
            return (0.8 * distance).max(STEP_MM.0);
        }
        let (cortex, _) = self.wall(point);
        let to_change = (-distance).min((-distance - cortex).abs());
        (0.7 * to_change).clamp(STEP_MM.0, STEP_MM.1)
    }
}

/// The share of a step that lies inside, from the distances at its two ends.
pub(crate) fn inside_share(here: f64, there: f64) -> f64 {
    match (here < 0.0, there < 0.0) {
        (true, true) => 1.0,
        (false, false) => 0.0,
        (true, false) => here / (here - there),
        (false, true) => there / (there - here),
    }
}

/// How much of a stretch lies in others that do not overlap one another, in mm.
fn overlap(stretch: Stretch, others: &[Stretch]) -> f64 {
    others
        .iter()
        .map(|other| (stretch.1.min(other.1) - stretch.0.max(other.0)).max(0.0))
        .sum()
}

/// The least value of a function with one dip between two places, by golden section.
fn least_value(function: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let mut first = high - GOLDEN * (high - low);
    let mut second = low + GOLDEN * (high - low);
    let (mut at_first, mut at_second) = (function(first), function(second));
    for _ in 0..24 {
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
        physics::attenuation::Material,
        physics::beam::{Beam, Thickness},
        shape::{form::Form, solid::Relief},
    };

    fn tile() -> TrabecularTile {
        TrabecularTile::new(1)
    }

    fn bone_of(form: Form, wall: Wall) -> Bone {
        let solid = Solid {
            form,
            walls: Walls::new(1.0, &[wall]),
            length_mm: 10.0,
            relief: Relief::NONE,
            grain: Vector3::z(),
        };
        let frame = Frame::new(Vector3::zeros(), Attitude::degrees(20.0, 30.0, 10.0));
        Bone::new(BoneName::Talus, frame, &solid)
    }

    /// A ball of 20 mm across about the foot's origin, solid or with a shell.
    fn ball(wall: Wall) -> Bone {
        let form = Form::Ellipsoid {
            centre: Vector3::zeros(),
            radii: Vector3::repeat(10.0),
        };
        bone_of(form, wall)
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
            let solid_mm = ball.solid_mm(&ray_past(offset), &[], &tile());
            assert!(
                (solid_mm / chord - 1.0).abs() < 0.005,
                "{solid_mm} instead of {chord} at {offset}"
            );
            let beam = Beam::of_one_energy(40.0);
            let passed = beam.transmission(Thickness {
                bone_mm: solid_mm,
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
        let solid_mm = ball.solid_mm(&ray, &[], &tile());
        assert!(solid_mm.abs() < f64::MIN_POSITIVE, "no path: {solid_mm}");
        let clearance = ball.clearance(&ray);
        assert!((clearance - 2.0).abs() < 0.1, "{clearance}");
    }

    #[test]
    fn a_ray_along_the_outline_has_no_clearance() {
        let clearance = ball(Wall::new(0.0, 30.0, 1.0)).clearance(&ray_past(10.0));
        assert!(clearance.abs() < 0.02, "{clearance}");
    }

    #[test]
    fn a_ray_through_a_rod_has_the_length_of_its_chord() {
        let form = Form::Rod {
            from: Vector3::new(-20.0, 0.0, 0.0),
            to: Vector3::new(20.0, 0.0, 0.0),
            radii_mm: [6.0, 6.0],
        };
        let mut rod = bone_of(form, Wall::new(0.0, 30.0, 1.0));
        rod.frame = Frame::new(Vector3::zeros(), Attitude::default());
        for (offset, lean) in [(0.0, 0.0), (3.0, 0.0), (5.0, 0.0), (2.0, 0.6)] {
            let origin = Vector3::new(-900.0 * lean, offset, 900.0);
            let ray = Ray {
                origin,
                direction: Vector3::new(lean, 0.0, -1.0).normalize(),
            };
            let flat = 2.0 * (36.0_f64 - offset * offset).sqrt();
            let chord = flat * 1.0_f64.hypot(lean);
            let within = rod.solid_mm(&ray, &[], &tile());
            assert!(
                (within / chord - 1.0).abs() < 0.005,
                "{within} instead of {chord}"
            );
        }
    }

    #[test]
    fn a_shell_weakens_a_ray_less_than_a_solid_ball_and_more_than_its_cortex_alone() {
        let diameter_mm = 20.0;
        let shell = ball(Wall::new(0.0, 2.0, 0.3)).solid_mm(&ray_past(0.0), &[], &tile());
        assert!(shell < 0.6 * diameter_mm, "{shell}");
        assert!(shell > 4.0, "{shell}");
    }

    #[test]
    fn a_cut_ball_ends_at_the_cut_and_metal_takes_the_place_of_bone() {
        let mut ball = ball(Wall::new(0.0, 30.0, 1.0));
        let middle = ball.frame.bone_from_foot(Vector3::zeros());
        let up = ball.frame.direction_in_bone(Vector3::z());
        ball.cuts.push(Plane::new(middle, up));
        let half = ball.solid_mm(&ray_past(0.0), &[], &tile());
        assert!((half - 10.0).abs() < 0.05, "{half}");
        let with_metal = ball.solid_mm(&ray_past(0.0), &[(902.0, 905.0)], &tile());
        assert!((with_metal - 7.0).abs() < 0.05, "{with_metal}");
    }
}
