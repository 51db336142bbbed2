//! What the bones of the tarsus share.

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
use plumbray_anatomy::Angle;

/// A thin shell about spongy bone, which is denser toward the joint surfaces at both ends.
///
/// Shell and share of bone from memory.
pub(crate) const TARSAL_WALLS: [Wall; 5] = [
    Wall::new(0.0, 0.75, 0.36),
    Wall::new(0.18, 0.6, 0.28),
    Wall::new(0.5, 0.6, 0.24),
    Wall::new(0.82, 0.6, 0.28),
    Wall::new(1.0, 0.75, 0.36),
];

/// A body of cross-sections along w that ends nowhere.
pub(crate) fn swept(length_mm: f64, sections: &[Section], roundness: f64) -> Form {
    Form::Swept {
        profile: Profile::new(length_mm, 1.0, sections),
        roundness,
    }
}

/// A rounded, tapered rod between two balls.
pub(crate) fn rod(from: [f64; 3], to: [f64; 3], radii_mm: [f64; 2]) -> Form {
    Form::Rod {
        from: from.into(),
        to: to.into(),
        radii_mm,
    }
}

/// An ellipsoid about a centre.
pub(crate) fn ellipsoid(centre: [f64; 3], radii: [f64; 3]) -> Form {
    Form::Ellipsoid {
        centre: centre.into(),
        radii: radii.into(),
    }
}

/// A tarsal bone of this form, whose surface is uneven all over.
pub(crate) fn tarsal_solid(form: Form, length_mm: f64, walls: &[Wall], seed: u64) -> Solid {
    Solid {
        form,
        walls: Walls::new(length_mm, walls),
        length_mm,
        relief: Relief {
            height_mm: 0.35,
            spacing_mm: 5.0,
            seed,
            along_mm: [-30.0, length_mm + 30.0],
        },
        grain: Vector3::z(),
    }
}

/// A frame that starts at `from` and points to `to`.
pub(crate) fn frame_between(from: Vector3<f64>, to: Vector3<f64>, roll: f64) -> Frame {
    let along = to - from;
    Frame::new(
        from,
        Attitude {
            azimuth: Angle::from_radians(along.x.atan2(along.y)),
            declination: Angle::from_radians((-along.z).atan2(along.x.hypot(along.y))),
            roll: Angle::from_degrees(roll),
        },
    )
}
