//! The cut through the metatarsal, and where its fragment comes to lie.

use nalgebra::{Rotation3, Unit, Vector3};

use super::Operation;
use crate::{
    bones::bone::Bone, bones::long_bone::Head, geometry::frame::Frame, shape::form::Plane,
};

/// How far a trimmed step reaches proximally of the cut, and how much of it is left at the cut, in mm.
const TRIM_MM: f64 = 8.0;
const STEP_LEFT_MM: f64 = 2.5;

/// A shift below which no step stands out that would be trimmed, in mm.
const LEAST_STEP_MM: f64 = 4.0;

/// A metatarsal in two parts.
#[derive(Clone, Debug)]
pub(crate) struct Osteotomy {
    /// Base and shaft, where they always were.
    pub(crate) shaft: Bone,
    /// The head with a part of the neck, under the name of the whole.
    pub(crate) fragment: Bone,
    /// The metatarsal's place without its pronation: what lateral and dorsal mean.
    pub(crate) level: Frame,
    /// The middle of the cut on the metatarsal's axis, along it from the base, in mm.
    pub(crate) cut_mm: f64,
    /// How far the centre of the joint surface has moved, toward lateral, dorsal and distal of the
    /// metatarsal, in mm.
    pub(crate) travel_mm: Vector3<f64>,
    /// How far the shaft's surface lies from the axis at the cut, medially and laterally, in mm.
    pub(crate) half_widths_mm: [f64; 2],
}

impl Osteotomy {
    /// An uncut metatarsal cut and its fragment moved, as an operation says.
    pub(crate) fn new(operation: &Operation, level: &Frame, whole: &Bone, head: &Head) -> Self {
        let cut_mm = whole.length_mm - operation.level_mm;
        let (sin, cos) = operation.cut_tilt_degrees.to_radians().sin_cos();
        let normal = Vector3::new(-sin, 0.0, cos);
        let middle = Vector3::new(0.0, 0.0, cut_mm);
        let half_kerf = normal * (operation.kerf_mm / 2.0);
        let plane = |point: Vector3<f64>, normal: Vector3<f64>| {
            Plane::new(
                whole.frame.bone_from_foot(level.foot_from_bone(point)),
                whole
                    .frame
                    .direction_in_bone(level.direction_in_foot(normal)),
            )
        };
        // Travel along the cut, and the kerf closed square to it.
        let travel_mm = Vector3::new(cos, 0.0, sin) * operation.shift_mm
            - Vector3::y() * operation.plantar_shift_mm
            - normal * operation.kerf_mm;
        let half_widths_mm = [-1.0, 1.0].map(|side| half_width(whole, level, cut_mm, side));

        let mut shaft = whole.clone();
        shaft.cuts.push(plane(middle - half_kerf, normal));
        if operation.is_step_trimmed && travel_mm.x > LEAST_STEP_MM {
            let corner = Vector3::new(travel_mm.x - half_widths_mm[0] - STEP_LEFT_MM, 0.0, cut_mm);
            let behind = Vector3::new(-half_widths_mm[0], 0.0, cut_mm - TRIM_MM);
            let along = corner - behind;
            shaft
                .cuts
                .push(plane(behind, Vector3::new(-along.z, 0.0, along.x)));
        }

        let mut fragment = whole.clone();
        fragment.cuts.push(plane(middle + half_kerf, -normal));
        let centre = whole.frame.foot_from_bone(head.centre);
        fragment.frame = whole.frame.moved(
            &turn(operation, level),
            centre,
            level.direction_in_foot(travel_mm),
        );
        Self {
            shaft,
            fragment,
            level: *level,
            cut_mm,
            travel_mm,
            half_widths_mm,
        }
    }

    /// The middle of the cut on the axis of the shaft, in the foot's coordinates.
    pub(crate) fn middle(&self) -> Vector3<f64> {
        self.level
            .foot_from_bone(Vector3::new(0.0, 0.0, self.cut_mm))
    }
}

/// How the fragment is turned: supinated, then tilted plantarward, then turned medially.
fn turn(operation: &Operation, level: &Frame) -> Rotation3<f64> {
    let about = |axis: Vector3<f64>, degrees: f64| {
        Rotation3::from_axis_angle(
            &Unit::new_normalize(level.direction_in_foot(axis)),
            degrees.to_radians(),
        )
    };
    // The foot's coordinates are right-handed; in them, a turn about dorsal takes distal to medial,
    // one about lateral takes distal to dorsal, and one about distal takes dorsal to lateral.
    about(Vector3::y(), operation.medial_turn_degrees)
        * about(Vector3::x(), -operation.plantar_tilt_degrees)
        * about(Vector3::z(), operation.supination_degrees)
}

/// How far from the axis a bone's surface lies to one side, level with the axis, in mm.
pub(super) fn half_width(bone: &Bone, level: &Frame, along_mm: f64, side: f64) -> f64 {
    let is_inside = |reach: f64| {
        let place = level.foot_from_bone(Vector3::new(side * reach, 0.0, along_mm));
        bone.distance(bone.frame.bone_from_foot(place)) < 0.0
    };
    let (mut inside, mut outside) = (0.0, 16.0);
    for _ in 0..30 {
        let middle = f64::midpoint(inside, outside);
        if is_inside(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}
