//! The shapes of the second to fifth metatarsals.

use nalgebra::Vector3;
use plumbray_anatomy::LongBone;

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, METATARSAL_WALLS},
    shape::{form::Form, profile::Section, solid::Solid},
};

const METATARSAL_SECTIONS: [Section; 10] = [
    Section::even(0.0, 6.9, 9.6, 9.4),
    Section::even(0.07, 7.1, 9.2, 9.0),
    Section::even(0.16, 5.9, 7.0, 6.8),
    Section::even(0.28, 4.5, 5.0, 4.9),
    Section::even(0.5, 3.9, 4.3, 4.4),
    Section::even(0.7, 4.0, 4.5, 4.8),
    Section::even(0.8, 4.9, 5.4, 5.6),
    Section::even(0.885, 6.5, 7.0, 6.6),
    Section::even(0.94, 6.2, 7.2, 7.6),
    Section::even(1.0, 5.6, 7.0, 7.6),
];

/// The fifth metatarsal is broad and flat at its base.
const FIFTH_METATARSAL_SECTIONS: [Section; 9] = [
    Section::even(0.0, 8.6, 7.6, 7.4),
    Section::even(0.1, 8.2, 7.2, 7.0),
    Section::even(0.25, 6.0, 5.2, 5.0),
    Section::even(0.5, 4.4, 4.2, 4.2),
    Section::even(0.75, 4.1, 4.4, 4.8),
    Section::even(0.82, 4.9, 5.4, 5.6),
    Section::even(0.89, 6.4, 6.8, 6.4),
    Section::even(0.94, 6.1, 6.8, 7.2),
    Section::even(1.0, 5.4, 6.6, 7.2),
];

/// What makes one lesser metatarsal differ from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LesserMetatarsalShape {
    /// Which metatarsal.
    pub(crate) bone: LongBone,
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
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
        // Size of the sections against the second metatarsal's, and how far the joint of the base
        // faces laterally, as a slope.
        let (scale, base_slope) = match shape.bone {
            LongBone::M3 => (0.96, 0.3),
            LongBone::M4 => (0.93, 0.34),
            LongBone::M5 => (0.94, 0.55),
            _ => (1.0, 0.12),
        };
        let make = LongBoneMake {
            length_mm: shape.length_mm,
            scale,
            sections: if is_fifth {
                &FIFTH_METATARSAL_SECTIONS
            } else {
                &METATARSAL_SECTIONS
            },
            walls: &METATARSAL_WALLS,
            head_radii_mm: [7.0, 7.8, 7.8].map(|radius| radius * scale),
            head_offset_mm: 0.0,
            rounding_mm: 1.4,
        };
        let facet = Base::Facet(Vector3::new(base_slope, 0.0, -1.0).normalize());
        let styloid = is_fifth.then(|| Form::Ellipsoid {
            centre: Vector3::new(8.2, -1.5, -1.5),
            radii: Vector3::new(4.6, 5.0, 8.5),
        });
        Self {
            solid: make.solid(facet, 0.75, styloid.into_iter().collect()),
            head: make.head(),
        }
    }
}
