//! The parts of a bone: one, or after an osteotomy its shaft and its capital fragment.

use nalgebra::Vector3;
use plumbray_anatomy::LongBone;

use crate::{
    bones::bone::{Bone, BoneName},
    foot::Foot,
};

/// How far the lines across a part keep from where its axis meets a cut face square to it, in mm.
const SQUARE_MARGIN_MM: f64 = 1.0;

/// Half the width of a shaft, over which a slanted cut face reaches along the axis, in mm.
const HALF_WIDTH_MM: f64 = 9.0;

/// The parts of a bone that every foot has, the proximal one first.
pub(crate) fn parts(foot: &Foot, name: BoneName) -> Vec<&Bone> {
    foot.bones()
        .iter()
        .filter(|bone| bone.name == name)
        .collect()
}

/// The axis of a long bone in the foot's coordinates: from the centre of its base to its tip, which
/// after an osteotomy is that of the fragment.
pub(crate) fn axis(foot: &Foot, bone: LongBone) -> [Vector3<f64>; 2] {
    let parts = parts(foot, BoneName::Long(bone));
    let of = |part: Option<&&Bone>, share: f64| {
        part.map_or_else(Vector3::zeros, |part| {
            part.frame
                .foot_from_bone(Vector3::new(0.0, 0.0, share * part.length_mm))
        })
    };
    [of(parts.first(), 0.0), of(parts.last(), 1.0)]
}

/// Where cuts end a part along its own axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Stretch {
    /// From where to where along the axis the part reaches, in mm from its base.
    pub(crate) whole_mm: (f64, f64),
    /// From where to where a line square to the axis meets both of its cortices and no cut face.
    pub(crate) clear_mm: (f64, f64),
}

impl Stretch {
    /// The stretch that the cuts of a part leave.
    pub(crate) fn of(part: &Bone) -> Self {
        let all = (0.0, part.length_mm);
        let mut stretch = Self {
            whole_mm: all,
            clear_mm: all,
        };
        let squarest = |side: f64| {
            let along = part.cuts.iter().map(|cut| side * cut.normal.z);
            along.fold(0.0, f64::max)
        };
        let ending = [squarest(-1.0), squarest(1.0)];
        for cut in &part.cuts {
            let along = cut.normal.z;
            if along.abs() < 0.3 {
                // A plane along the bone trims it and does not end it.
                continue;
            }
            let meets = cut.point.dot(&cut.normal) / along;
            // A more slanted plane takes a corner off the end: what it leaves there is the bone's outline,
            // as far as the axis itself runs in bone.
            let is_corner = along.abs() < ending[usize::from(along > 0.0)];
            let slant = cut.normal.x.hypot(cut.normal.y) / along.abs();
            let margin = if is_corner {
                SQUARE_MARGIN_MM
            } else {
                SQUARE_MARGIN_MM + HALF_WIDTH_MM * slant
            };
            if along > 0.0 {
                stretch.whole_mm.1 = stretch.whole_mm.1.min(meets);
                stretch.clear_mm.1 = stretch.clear_mm.1.min(meets - margin);
            } else {
                stretch.whole_mm.0 = stretch.whole_mm.0.max(meets);
                stretch.clear_mm.0 = stretch.clear_mm.0.max(meets + margin);
            }
        }
        stretch
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        geometry::frame::{Attitude, Frame},
        parameters::FootParameters,
        shape::form::Plane,
    };

    #[test]
    fn an_uncut_bone_is_one_part_from_base_to_tip() {
        let foot = Foot::new(FootParameters::default()).expect("possible");
        let parts = parts(&foot, BoneName::Long(LongBone::M1));
        assert_eq!(parts.len(), 1, "one part");
        let length = foot.parameters().metatarsal_lengths_mm[0];
        let stretch = Stretch::of(parts[0]);
        let all = (0.0, length);
        assert_eq!(
            (stretch.whole_mm, stretch.clear_mm),
            (all, all),
            "all of it"
        );
        let [base, tip] = axis(&foot, LongBone::M1);
        assert!(((tip - base).norm() - length).abs() < 1e-9, "its length");
    }

    #[test]
    fn a_cut_ends_a_part_where_it_meets_the_axis_and_a_trimmed_edge_does_not() {
        let foot = Foot::new(FootParameters::default()).expect("possible");
        let mut shaft = parts(&foot, BoneName::Long(LongBone::M1))[0].clone();
        shaft.frame = Frame::new(Vector3::zeros(), Attitude::default());
        let mut fragment = shaft.clone();
        // A cut whose lateral end lies 20° more distal, through the axis at 45 mm.
        let (sin, cos) = 20.0_f64.to_radians().sin_cos();
        let middle = Vector3::new(0.0, 0.0, 45.0);
        let distal = Vector3::new(-sin, 0.0, cos);
        shaft.cuts = vec![
            Plane::new(middle, distal),
            Plane::new(Vector3::new(-8.0, 0.0, 0.0), -Vector3::x()),
        ];
        fragment.cuts = vec![Plane::new(middle, -distal)];
        let [shaft, fragment] = [&shaft, &fragment].map(Stretch::of);
        let margin = SQUARE_MARGIN_MM + HALF_WIDTH_MM * sin / cos;
        for (found, expected) in [
            (shaft.whole_mm.1, 45.0),
            (shaft.clear_mm.1, 45.0 - margin),
            (shaft.clear_mm.0, 0.0),
            (fragment.whole_mm.0, 45.0),
            (fragment.clear_mm.0, 45.0 + margin),
        ] {
            assert!((found - expected).abs() < 1e-9, "{found}, {expected}");
        }
    }

    #[test]
    fn a_corner_taken_off_shortens_no_side_unless_it_reaches_the_axis() {
        let foot = Foot::new(FootParameters::default()).expect("possible");
        let mut shaft = parts(&foot, BoneName::Long(LongBone::M1))[0].clone();
        shaft.frame = Frame::new(Vector3::zeros(), Attitude::default());
        let end = Plane::new(Vector3::new(0.0, 0.0, 45.0), Vector3::z());
        let corner = |meets: f64| {
            let slanted = Vector3::new(-0.8, 0.0, 0.6);
            Plane::new(Vector3::new(0.0, 0.0, meets), slanted)
        };
        for (meets, expected) in [(47.0, 44.0), (43.0, 42.0)] {
            shaft.cuts = vec![end, corner(meets)];
            let found = Stretch::of(&shaft).clear_mm.1;
            assert!((found - expected).abs() < 1e-9, "{found}, {expected}");
        }
        shaft.cuts = vec![corner(47.0)];
        let alone = Stretch::of(&shaft).clear_mm.1;
        let expected = 47.0 - SQUARE_MARGIN_MM - HALF_WIDTH_MM * 0.8 / 0.6;
        assert!(
            (alone - expected).abs() < 1e-9,
            "a slanted cut that ends it: {alone}"
        );
    }
}
