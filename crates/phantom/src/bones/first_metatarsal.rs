//! The shape of the first metatarsal.

use nalgebra::Vector3;
use plumbray_anatomy::Angle;

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, shaft_relief},
    shape::{
        form::Rise,
        profile::{Profile, Section},
        solid::Solid,
        texture::trait_of,
        wall::{Wall, Walls},
    },
};

/// Radii of the head's joint surface along u, v and w in mm: a dome about 20 mm wide, a little
/// flatter across the foot than from dorsal to plantar (the section through the ridge between the
/// sesamoids is circular, the others are not: Yoshioka et al., J Orthop Res 1988;6:878–885).
const HEAD_RADII_MM: [f64; 3] = [14.4, 10.6, 11.8];

/// The base is a wedge with its plantar side narrower, the shaft a prism that is narrowest in its
/// distal half, straighter medially than laterally.
///
/// Width at mid-shaft 13.7 ± 1.0 mm in men, 11.7 ± 0.9 in women (Patil et al., J Clin Diagn Res
/// 2017;11(9):AC05–AC09); base 18–20, head 20–23 wide and the heights from memory.
const SECTIONS: [Section; 11] = [
    Section::new(0.0, 9.5, 9.0, 13.0, 14.5).wedged(0.1),
    Section::new(0.06, 9.8, 9.5, 12.6, 13.8).wedged(0.1),
    Section::new(0.15, 8.9, 8.9, 10.4, 10.6).wedged(0.14),
    Section::new(0.27, 7.4, 7.4, 8.2, 7.6).wedged(0.16),
    Section::new(0.42, 6.8, 6.3, 7.2, 6.4).wedged(0.16),
    Section::new(0.57, 6.8, 5.8, 6.8, 6.0).wedged(0.14),
    Section::new(0.68, 7.3, 6.2, 6.8, 6.2).wedged(0.1),
    Section::new(0.76, 8.7, 7.5, 7.3, 6.8).wedged(0.04),
    Section::new(0.83, 10.5, 9.2, 8.4, 7.8),
    Section::new(0.88, 10.6, 9.9, 9.0, 8.3),
    Section::new(1.0, 10.3, 9.8, 9.6, 8.8),
];

/// Cortex 2.5–3.5 mm about the canal at mid-shaft (from memory), a shell at the ends, and a denser
/// plate under the joint of the base.
const WALLS: [Wall; 9] = [
    Wall::new(0.0, 0.9, 0.3),
    Wall::new(0.03, 0.75, 0.28),
    Wall::new(0.1, 0.45, 0.22),
    Wall::new(0.2, 0.9, 0.13),
    Wall::new(0.34, 2.1, 0.06),
    Wall::new(0.52, 2.6, 0.03),
    Wall::new(0.66, 1.9, 0.08),
    Wall::new(0.82, 0.45, 0.2),
    Wall::new(1.0, 0.42, 0.3),
];

/// By which share the lateral cortex of the shaft is thicker than the mean.
const LATERAL_CORTEX_SHARE: f64 = 0.3;

/// The standard deviation of the widths of first metatarsals as a share of their mean (Patil et al.).
const WIDTH_SPREAD: f64 = 0.073;

/// What makes one first metatarsal differ from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FirstMetatarsalShape {
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
    /// Distal metatarsal articular angle: the tilt of the line through the two ends of the head's
    /// joint surface, positive when the surface faces laterally.
    pub(crate) articular_tilt: Angle,
    /// How far the medial side of the head stands out beyond its usual outline, in mm.
    pub(crate) medial_eminence_mm: f64,
    /// Which individual: widths, cortex and the unevenness of the surface follow from it.
    pub(crate) individual: u64,
}

/// The first metatarsal in its own coordinates: its base at the origin, its axis along w.
#[derive(Clone, Debug)]
pub(crate) struct FirstMetatarsal {
    /// The shape.
    pub(crate) solid: Solid,
    /// The joint surface for the great toe.
    pub(crate) head: Head,
    /// The medial and the lateral end of that surface.
    pub(crate) articular_ends: [Vector3<f64>; 2],
}

impl FirstMetatarsal {
    /// The bone of this shape.
    pub(crate) fn new(shape: &FirstMetatarsalShape) -> Self {
        let make = make(shape);
        Self {
            head: make.head(),
            articular_ends: articular_ends(&make),
            solid: make.solid(),
        }
    }
}

fn make(shape: &FirstMetatarsalShape) -> LongBoneMake<'static> {
    let own = |number| trait_of(shape.individual, number);
    // Half the published spread, so that the head keeps clear of its neighbours.
    let scale = 1.0 + 0.5 * WIDTH_SPREAD * own(0);
    let mut make = LongBoneMake {
        length_mm: shape.length_mm,
        scale,
        sections: &SECTIONS,
        roundness: 0.74,
        base: Base::Facet(Vector3::new(-0.06, -0.08, -1.0).normalize()),
        head_radii_mm: HEAD_RADII_MM.map(|radius| radius * scale),
        head_offset_mm: 0.0,
        rounding_mm: 1.6,
        bumps: Vec::new(),
        rises: rises(shape),
        walls: Walls::new(shape.length_mm, &WALLS)
            .thickened(1.0 + 0.12 * own(1))
            .with_thicker_lateral_cortex(LATERAL_CORTEX_SHARE),
        relief: shaft_relief(shape.length_mm, 0.35, shape.individual ^ 0x11),
        torsion_degrees: 0.0,
    };
    make.head_offset_mm = offset_for_tilt(&make, shape.articular_tilt);
    let [medial, lateral] = articular_ends(&make);
    make.relief.along_mm[1] = medial.z.min(lateral.z) - 0.5;
    make
}

/// How far the middle of the head's joint surface must lie toward lateral of the axis for a tilt.
fn offset_for_tilt(make: &LongBoneMake<'_>, wanted: Angle) -> f64 {
    let mut tried = make.clone();
    // The tilt falls steadily as the centre of the surface moves toward lateral.
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        tried.head_offset_mm = f64::midpoint(low, high);
        if articular_tilt(&tried).radians() > wanted.radians() {
            low = tried.head_offset_mm;
        } else {
            high = tried.head_offset_mm;
        }
    }
    f64::midpoint(low, high)
}

/// The tilt of the joint surface: the line through its two ends against the perpendicular of the
/// bone's axis, positive when it faces laterally.
fn articular_tilt(make: &LongBoneMake<'_>) -> Angle {
    let [medial, lateral] = articular_ends(make);
    Angle::from_radians((medial.z - lateral.z).atan2(lateral.x - medial.x))
}

/// Where the head's joint surface meets the sides of the bone, medially and laterally, in the
/// bone's coordinates.
fn articular_ends(make: &LongBoneMake<'_>) -> [Vector3<f64>; 2] {
    let profile = Profile::new(make.length_mm, make.scale, make.sections);
    let centre = make.head().centre;
    [(0, -1.0), (1, 1.0)].map(|(side, sign)| {
        let across = |w: f64| sign * profile.station(w).reach_mm[side];
        // Inside the head's ellipse near its centre, outside at its tip.
        let is_within_head = |w: f64| {
            let u = (across(w) - centre.x) / make.head_radii_mm[0];
            let along = (w - centre.z) / make.head_radii_mm[2];
            u.hypot(along) < 1.0
        };
        let (mut low, mut high) = (centre.z, make.length_mm);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if is_within_head(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Vector3::new(across(low), 0.0, low)
    })
}

/// Tuberosity, hollows and eminence.
fn rises(shape: &FirstMetatarsalShape) -> Vec<Rise> {
    let length = shape.length_mm;
    let eminence = shape.medial_eminence_mm;
    vec![
        // The hollow joint surface of the base, kidney-shaped: its lateral border is drawn in.
        Rise::new([0.0, 0.0, 0.0], [9.0, 13.0, 5.0], -1.3),
        Rise::new([9.6, 1.0, 2.0], [4.5, 6.0, 7.0], -1.6),
        // The plantar-lateral tuberosity of the peroneus longus, and a smaller one medially.
        Rise::new([7.6, -9.6, 6.0], [5.0, 5.5, 8.0], 2.6),
        Rise::new([-8.5, -8.0, 6.0], [5.0, 6.0, 6.5], 0.9),
        // Hollows for the collateral ligaments, and the neck above the dorsal rim of the cartilage.
        Rise::new([-11.0, 2.0, length - 15.5], [5.0, 5.0, 5.0], -1.0),
        Rise::new([10.6, 2.0, length - 14.5], [5.0, 5.0, 5.0], -1.2),
        Rise::new([0.0, 8.5, length - 15.0], [9.0, 5.0, 4.5], -1.1),
        // The two grooves of the sesamoids with their borders; the ridge between them lies a little
        // lateral of the middle (Yoshioka et al.).
        Rise::new([0.7, -8.8, length - 9.0], [2.6, 5.0, 8.0], 1.8),
        Rise::new([-4.4, -9.0, length - 9.4], [3.6, 5.0, 8.0], -1.3),
        Rise::new([5.6, -9.0, length - 9.4], [3.4, 5.0, 8.0], -1.2),
        Rise::new([-9.0, -6.8, length - 9.6], [3.0, 5.0, 6.5], 1.0),
        Rise::new([9.4, -6.4, length - 11.0], [4.0, 5.0, 6.0], 1.9),
        // The groove between the joint surface and the eminence beside it.
        Rise::new(
            [-11.2, 1.0, length - 7.6],
            [3.2, 8.0, 2.6],
            -0.18 * eminence,
        ),
        // Its middle lies where its summit comes to lie, so that it is as high as asked.
        Rise::new(
            [-10.5 - eminence, 1.0, length - 10.5],
            [9.0 + eminence, 10.0, 8.5],
            eminence,
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bone(degrees: f64, medial_eminence_mm: f64, individual: u64) -> FirstMetatarsal {
        FirstMetatarsal::new(&FirstMetatarsalShape {
            length_mm: 66.0,
            articular_tilt: Angle::from_degrees(degrees),
            medial_eminence_mm,
            individual,
        })
    }

    /// How far the head reaches toward one side, −1 medial or 1 lateral, in mm.
    fn reach(bone: &FirstMetatarsal, side: f64) -> f64 {
        let mut farthest = 0.0;
        for w in 46..62 {
            for v in -6..8 {
                for u in 0..500 {
                    let across = 0.05 * f64::from(u);
                    let point = Vector3::new(side * across, f64::from(v), f64::from(w));
                    if bone.solid.form.distance(point) < 0.0 && across > farthest {
                        farthest = across;
                    }
                }
            }
        }
        farthest
    }

    #[test]
    fn an_eminence_widens_the_head_medially_by_what_is_asked_and_not_laterally() {
        let plain = bone(8.0, 0.0, 1);
        for asked in [1.0, 3.0, 6.0] {
            let grown = bone(8.0, asked, 1);
            let wider = reach(&grown, -1.0) - reach(&plain, -1.0);
            assert!((wider - asked).abs() < 0.35, "{wider} instead of {asked}");
            let lateral = reach(&grown, 1.0) - reach(&plain, 1.0);
            assert!(lateral.abs() < 1e-9, "lateral: {lateral}");
        }
    }

    #[test]
    fn the_joint_surface_is_tilted_exactly_as_asked_whatever_the_individual() {
        for (asked, eminence, individual) in [(-5.0, 0.0, 1), (9.0, 4.0, 2), (22.0, 6.0, 77)] {
            let [medial, lateral] = bone(asked, eminence, individual).articular_ends;
            let tilt = (medial.z - lateral.z).atan2(lateral.x - medial.x);
            assert!(
                (tilt.to_degrees() - asked).abs() < 1e-9,
                "{} instead of {asked}",
                tilt.to_degrees()
            );
        }
    }

    #[test]
    fn the_surface_is_uneven_only_away_from_the_joints() {
        for degrees in [-10.0, 5.0, 25.0] {
            let bone = bone(degrees, 0.0, 3);
            let [from, to] = bone.solid.relief.along_mm;
            for end in bone.articular_ends {
                assert!(end.z > to, "{degrees}°: the joint begins at {}", end.z);
            }
            assert!(from > 1.5, "the joint of the base: {from}");
        }
    }

    #[test]
    fn individuals_differ_in_width_and_not_in_length() {
        let (one, other) = (bone(5.0, 0.0, 1), bone(5.0, 0.0, 5));
        assert!(
            (reach(&one, 1.0) - reach(&other, 1.0)).abs() > 0.05,
            "width"
        );
        assert!(
            (one.solid.length_mm - other.solid.length_mm).abs() < 1e-12
                && (one.head.centre.z + one.head.radii_mm.z - 66.0).abs() < 1e-9,
            "length"
        );
    }
}
