//! The shape of the first metatarsal.

use nalgebra::Vector3;
use plumbray_anatomy::Angle;

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, METATARSAL_WALLS},
    shape::{
        form::Form,
        profile::{Profile, Section},
        solid::Solid,
    },
};

const HEAD_RADII_MM: [f64; 3] = [12.6, 10.4, 12.6];

const METATARSAL_SECTIONS: [Section; 9] = [
    Section::new(0.0, 9.6, 9.2, 13.0, 14.5),
    Section::new(0.07, 10.0, 9.4, 12.4, 13.5),
    Section::new(0.16, 8.7, 8.2, 9.8, 10.2),
    Section::even(0.28, 6.9, 7.4, 7.2),
    Section::even(0.48, 6.1, 6.6, 6.2),
    Section::even(0.66, 6.5, 6.4, 6.0),
    Section::even(0.76, 7.9, 7.0, 6.8),
    Section::new(0.87, 11.4, 10.4, 9.0, 8.0),
    Section::new(1.0, 10.6, 10.1, 9.6, 8.6),
];

/// What makes one first metatarsal differ from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct FirstMetatarsalShape {
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
    /// Distal metatarsal articular angle: the tilt of the line through the two ends of the head's
    /// joint surface, positive when the surface faces laterally.
    pub(crate) articular_tilt: Angle,
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
            solid: solid(&make),
            head: make.head(),
            articular_ends: articular_ends(&make),
        }
    }
}

fn make(shape: &FirstMetatarsalShape) -> LongBoneMake<'static> {
    let mut make = LongBoneMake {
        length_mm: shape.length_mm,
        scale: 1.0,
        sections: &METATARSAL_SECTIONS,
        walls: &METATARSAL_WALLS,
        head_radii_mm: HEAD_RADII_MM,
        head_offset_mm: 0.0,
        rounding_mm: 1.2,
    };
    let wanted = shape.articular_tilt;
    // The tilt falls steadily as the centre of the surface moves toward lateral.
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        make.head_offset_mm = f64::midpoint(low, high);
        if articular_tilt(&make).radians() > wanted.radians() {
            low = make.head_offset_mm;
        } else {
            high = make.head_offset_mm;
        }
    }
    make
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

fn solid(make: &LongBoneMake<'_>) -> Solid {
    let base = Base::Facet(Vector3::new(-0.06, 0.0, -1.0).normalize());
    // The two plantar ridges between which the sesamoids run.
    let ridges = [-4.6, 4.8].map(|u| Form::Ellipsoid {
        centre: Vector3::new(u, -7.0, make.length_mm - 8.5),
        radii: Vector3::new(3.4, 3.2, 5.0),
    });
    let tubercle = Form::Ellipsoid {
        centre: Vector3::new(5.0, -10.5, 4.5),
        radii: Vector3::new(4.0, 4.0, 4.0),
    };
    let bumps = ridges.into_iter().chain([tubercle]).collect();
    make.solid(base, 0.8, bumps)
}
