//! The shapes of the second to fifth metatarsals.

use nalgebra::Vector3;
use plumbray_anatomy::LongBone;

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, shaft_relief},
    shape::{
        form::{Form, Rise},
        profile::Section,
        solid::Solid,
        texture::trait_of,
        wall::{Wall, Walls},
    },
};

/// The base is a wedge for its place in the transverse arch, the shaft a slender prism arched toward
/// dorsal, the head taller than wide.
///
/// Height of the second head 16.1 ± 1.4 mm, of the fifth 13.0 ± 1.1 mm (Fraser et al., 2017, by CT);
/// mid-shaft 7–9 mm wide, base 13–15 and head 11–13 from memory.
const SECTIONS: [Section; 11] = [
    Section::even(0.0, 6.0, 9.4, 9.8).wedged(0.38),
    Section::even(0.05, 6.3, 9.2, 9.6).wedged(0.38),
    Section::even(0.12, 5.7, 7.8, 8.0).wedged(0.34),
    Section::even(0.22, 4.8, 5.8, 5.8)
        .wedged(0.24)
        .shifted(0.0, 0.5),
    Section::even(0.36, 4.2, 4.9, 4.7)
        .wedged(0.18)
        .shifted(0.0, 0.9),
    Section::even(0.52, 3.9, 4.5, 4.4)
        .wedged(0.16)
        .shifted(0.0, 0.9),
    Section::even(0.68, 3.9, 4.5, 4.5)
        .wedged(0.12)
        .shifted(0.0, 0.5),
    Section::even(0.79, 4.4, 5.2, 5.2).wedged(0.1),
    Section::even(0.87, 5.5, 6.6, 6.2).wedged(0.08),
    Section::even(0.94, 5.8, 7.2, 7.2),
    Section::even(1.0, 5.6, 7.0, 7.4),
];

/// The fifth metatarsal is flat, and its base broad: its lateral side runs out into the styloid.
const FIFTH_SECTIONS: [Section; 10] = [
    Section::new(0.0, 7.0, 7.4, 7.0, 7.4),
    Section::new(0.07, 7.0, 7.6, 6.8, 7.2),
    Section::new(0.16, 6.4, 7.2, 6.0, 6.2),
    Section::new(0.28, 5.4, 6.0, 5.2, 5.2).wedged(0.1),
    Section::new(0.45, 4.5, 4.6, 4.4, 4.4).wedged(0.14),
    Section::new(0.64, 4.1, 4.0, 4.2, 4.4).wedged(0.12),
    Section::new(0.78, 4.4, 4.5, 4.8, 4.9),
    Section::new(0.87, 5.3, 5.4, 6.2, 6.2),
    Section::new(0.94, 5.4, 5.5, 6.6, 7.0),
    Section::new(1.0, 5.3, 5.4, 6.4, 7.0),
];

/// Medial cortex of the second at mid-shaft 3.2 mm (2.0–5.5) on films; here less, for the canal of a
/// slender bone to stay open.
const WALLS: [Wall; 9] = [
    Wall::new(0.0, 0.9, 0.34),
    Wall::new(0.03, 0.7, 0.3),
    Wall::new(0.1, 0.5, 0.24),
    Wall::new(0.2, 1.2, 0.12),
    Wall::new(0.36, 2.1, 0.05),
    Wall::new(0.55, 2.3, 0.03),
    Wall::new(0.72, 1.5, 0.08),
    Wall::new(0.85, 0.42, 0.22),
    Wall::new(1.0, 0.4, 0.32),
];

/// What makes one lesser metatarsal differ from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LesserMetatarsalShape {
    /// Which metatarsal.
    pub(crate) bone: LongBone,
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
    /// Which individual: widths, cortex and the unevenness of the surface follow from it.
    pub(crate) individual: u64,
}

/// A lesser metatarsal in its own coordinates: its base at the origin, its axis along w.
#[derive(Clone, Debug)]
pub(crate) struct LesserMetatarsal {
    /// The shape.
    pub(crate) solid: Solid,
    /// The joint surface for the toe.
    pub(crate) head: Head,
}

impl LesserMetatarsal {
    /// The bone of this shape.
    pub(crate) fn new(shape: &LesserMetatarsalShape) -> Self {
        let is_fifth = matches!(shape.bone, LongBone::M5);
        // Size of the sections against the second metatarsal's, how far the joint of the base faces
        // medially, as a slope, and the turn of the base in the transverse arch.
        let (ray, size, base_slope, torsion) = match shape.bone {
            LongBone::M3 => (3, 0.96, 0.16, 12.0),
            LongBone::M4 => (4, 0.93, 0.2, 24.0),
            LongBone::M5 => (5, 0.96, 0.3, 20.0),
            _ => (2, 1.0, 0.03, 3.0),
        };
        let own = |number: u32| trait_of(shape.individual, 10 * ray + number);
        let scale = size * (1.0 + 0.04 * own(0));
        let length_mm = shape.length_mm;
        let mut rises = head_rises(length_mm, scale, [own(1), own(2)]);
        rises.extend(base_rises(is_fifth, scale, [own(4), own(5), own(6)]));
        let make = LongBoneMake {
            length_mm,
            scale,
            sections: if is_fifth { &FIFTH_SECTIONS } else { &SECTIONS },
            roundness: 0.45,
            base: Base::Facet(Vector3::new(-base_slope, -0.1, -1.0).normalize()),
            head_radii_mm: [7.2, 7.8, 7.4].map(|radius| radius * scale),
            head_offset_mm: 0.0,
            rounding_mm: 1.2,
            bumps: bumps(length_mm, scale, is_fifth),
            rises,
            walls: Walls::new(length_mm, &WALLS).thickened(size * (1.0 + 0.12 * own(3))),
            relief: shaft_relief(length_mm, 0.3, shape.individual ^ u64::from(ray)),
            torsion_degrees: torsion,
        };
        Self {
            head: make.head(),
            solid: make.solid(),
        }
    }
}

/// The two plantar condyles of the head, ridges that converge and sink into the neck: their sides
/// draw the inner contours that a film shows within the head. On the fifth, the styloid too.
fn bumps(length_mm: f64, scale: f64, is_fifth: bool) -> Vec<(Form, f64)> {
    let tip = Vector3::new(0.0, 0.0, length_mm);
    let condyle = |side: f64, further: f64| Form::Rod {
        from: tip + Vector3::new(side * 2.4, -5.4, -6.8 - further) * scale,
        to: tip + Vector3::new(side * 0.7, -2.0, -17.0 - further) * scale,
        radii_mm: [2.5 * scale, 1.5 * scale],
    };
    let styloid = is_fifth.then(|| Form::Rod {
        from: Vector3::new(5.4, -0.8, 9.0),
        to: Vector3::new(11.6, -2.0, -5.0),
        radii_mm: [4.6, 2.5],
    });
    let styloid = styloid.map(|form| (form, 6.0));
    [(condyle(-1.0, 0.0), 1.5), (condyle(1.0, 1.0), 1.5)]
        .into_iter()
        .chain(styloid)
        .collect()
}

/// The tubercles at both sides of the head and the recesses of the collateral ligaments before them;
/// the traits of the individual make one side differ from the other.
fn head_rises(length_mm: f64, scale: f64, traits: [f64; 2]) -> Vec<Rise> {
    [(-1.0, traits[0]), (1.0, traits[1])]
        .into_iter()
        .flat_map(|(side, own)| {
            let place = |u: f64, v: f64, from_tip: f64| {
                [side * u * scale, v * scale, length_mm - from_tip * scale]
            };
            [
                Rise::new(
                    place(5.4, 2.6, 9.8 + 0.8 * own),
                    [4.0, 5.0, 5.0],
                    1.05 + 0.4 * own,
                ),
                Rise::new(place(5.9, 0.5, 5.6 + 0.5 * own), [2.6, 3.6, 2.4], -0.55),
            ]
        })
        .chain([Rise::new(
            [0.0, -8.0 * scale, length_mm - 6.0 * scale],
            [1.8, 4.0, 5.0],
            -0.9,
        )])
        .collect()
}

/// Facets against the neighbours, and on the fifth the styloid.
fn base_rises(is_fifth: bool, scale: f64, traits: [f64; 3]) -> Vec<Rise> {
    if is_fifth {
        vec![Rise::new([-6.5, 1.0, 5.0], [4.0, 5.0, 4.5], 0.8)]
    } else {
        let own = |number: usize| traits[number % traits.len()];
        vec![
            // A facet against either neighbour, the lateral one in two parts, with a rough hollow
            // between it and the shaft.
            Rise::new(
                [7.6 * scale, 4.6, 3.0 + own(0)],
                [3.5, 4.0, 4.0],
                1.1 + 0.5 * own(1),
            ),
            Rise::new(
                [5.6 * scale, -3.4, 5.0 + own(1)],
                [3.0, 3.0, 4.0],
                0.9 + 0.5 * own(2),
            ),
            Rise::new([6.6 * scale, 0.4, 7.0], [3.0, 3.0, 4.0], -1.0),
            Rise::new(
                [-7.4 * scale, 3.8, 4.0 - own(2)],
                [3.5, 4.0, 5.0],
                1.0 + 0.5 * own(0),
            ),
            Rise::new([-6.0 * scale, -1.0, 9.0 + own(0)], [3.0, 4.0, 4.0], -0.8),
            // The plantar edge of the wedge, and the hollow of the joint.
            Rise::new([0.6 * own(1), -9.4 * scale, 5.0], [3.0, 4.5, 7.0], 1.6),
            Rise::new([0.0, 0.0, 0.0], [5.5, 8.0, 3.0], -0.6),
        ]
    }
}
