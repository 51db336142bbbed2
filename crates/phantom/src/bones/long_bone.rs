//! Metatarsals and phalanges: what they share, and how one articulates with the next.

use nalgebra::Vector3;

use crate::{
    geometry::frame::{Attitude, Frame},
    shape::{
        form::Form,
        profile::{Profile, Section},
        solid::{Relief, Solid},
        wall::{Wall, Walls},
    },
};

/// The make of a long bone.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LongBoneMake<'a> {
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
    /// By how much the sections are multiplied.
    pub(crate) scale: f64,
    /// Its cross-sections.
    pub(crate) sections: &'a [Section],
    /// Its walls.
    pub(crate) walls: &'a [Wall],
    /// Radii of the head's joint surface along u, v and w, in mm.
    pub(crate) head_radii_mm: [f64; 3],
    /// How far the middle of that surface lies toward lateral of the bone's axis, in mm.
    pub(crate) head_offset_mm: f64,
    /// How far the edge of that surface is rounded, in mm.
    pub(crate) rounding_mm: f64,
}

/// The wall of a metatarsal: thin at the ends, 2 to 3 mm about a hollow canal at the middle of the
/// shaft (from memory: first metatarsal 2.5–3.5 mm, medial cortex of the second 3.2 mm).
pub(crate) const METATARSAL_WALLS: [Wall; 7] = [
    Wall::new(0.0, 0.6, 0.28),
    Wall::new(0.12, 0.75, 0.22),
    Wall::new(0.28, 2.0, 0.08),
    Wall::new(0.5, 2.6, 0.02),
    Wall::new(0.68, 1.9, 0.06),
    Wall::new(0.84, 0.7, 0.2),
    Wall::new(1.0, 0.65, 0.28),
];

/// The wall of a phalanx.
pub(crate) const PHALANX_WALLS: [Wall; 5] = [
    Wall::new(0.0, 0.5, 0.3),
    Wall::new(0.2, 0.8, 0.2),
    Wall::new(0.5, 1.6, 0.08),
    Wall::new(0.8, 0.8, 0.2),
    Wall::new(1.0, 0.5, 0.26),
];

/// What closes the proximal end of a long bone.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Base {
    /// A flat facet square to a direction in the bone's own coordinates that points out of it.
    Facet(Vector3<f64>),
    /// A socket for the rounded head of the bone before, with the socket's radii in mm.
    Socket(Vector3<f64>),
}

/// A convex joint surface at the distal end of a bone, in that bone's coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Head {
    /// The centre about which the next bone turns.
    pub(crate) centre: Vector3<f64>,
    /// The surface's radii along u, v and w, in mm.
    pub(crate) radii_mm: Vector3<f64>,
}

impl Head {
    /// Where the next bone starts, when it points as `attitude` says and a gap of `gap_mm` parts the
    /// two: on the head's joint surface about whose centre it turns.
    pub(crate) fn next_frame(&self, own: &Frame, attitude: Attitude, gap_mm: f64) -> Frame {
        let centre = own.foot_from_bone(self.centre);
        let reach = self.radii_mm.z + gap_mm;
        Frame::new(centre + attitude.direction() * reach, attitude)
    }

    /// The socket that fits this head across a gap of `gap_mm`.
    pub(crate) fn socket(&self, gap_mm: f64) -> Base {
        Base::Socket(self.radii_mm.add_scalar(gap_mm))
    }
}

impl LongBoneMake<'_> {
    /// The joint surface of the head.
    pub(crate) fn head(&self) -> Head {
        Head {
            centre: Vector3::new(
                self.head_offset_mm,
                0.0,
                self.length_mm - self.head_radii_mm[2],
            ),
            radii_mm: self.head_radii_mm.into(),
        }
    }

    /// The shape of the bone.
    pub(crate) fn solid(&self, base: Base, roundness: f64, bumps: Vec<Form>) -> Solid {
        let shaft = Form::Swept {
            profile: Profile::new(self.length_mm, self.scale, self.sections),
            roundness,
        };
        let based = match base {
            Base::Facet(normal) => shaft.cut(Vector3::zeros(), normal, 1.6 * self.scale),
            Base::Socket(radii) => shaft
                .without(
                    Form::Ellipsoid {
                        centre: Vector3::new(0.0, 0.0, -radii.z),
                        radii,
                    },
                    2.4 * self.scale,
                )
                // The rim of a socket reaches proximally of its floor, but not without end.
                .cut(
                    Vector3::new(0.0, 0.0, -2.2 * self.scale),
                    -Vector3::z(),
                    1.5 * self.scale,
                ),
        };
        let headed = based.within(
            Form::Dome {
                centre: self.head().centre,
                radii: self.head().radii_mm,
            },
            self.rounding_mm,
        );
        let form = bumps
            .into_iter()
            .fold(headed, |body, bump| body.joined(bump, 2.5));
        Solid {
            form,
            walls: Walls::new(self.length_mm, self.walls),
            length_mm: self.length_mm,
            relief: Relief::NONE,
            grain: Vector3::z(),
        }
    }
}
