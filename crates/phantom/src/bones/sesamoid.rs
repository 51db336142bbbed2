//! The shapes of the two sesamoids under the first metatarsal head.

use nalgebra::Vector3;
use plumbray_anatomy::Sesamoid;

use crate::shape::{
    form::Form,
    solid::{Relief, Solid},
    wall::{Wall, Walls},
};

/// A sesamoid in its own coordinates, with its middle at the origin.
#[derive(Clone, Debug)]
pub(crate) struct SesamoidBone {
    /// The shape.
    pub(crate) solid: Solid,
    /// Half its size along u, v and w, in mm.
    pub(crate) radii_mm: Vector3<f64>,
}

impl SesamoidBone {
    /// The tibial or the fibular sesamoid.
    ///
    /// Sizes from memory: tibial about 13 by 9 mm, fibular about 11 by 8 mm.
    pub(crate) fn new(which: Sesamoid) -> Self {
        let radii_mm = match which {
            Sesamoid::Tibial => Vector3::new(4.7, 3.5, 6.4),
            Sesamoid::Fibular => Vector3::new(4.2, 3.3, 5.7),
        };
        Self {
            solid: Solid {
                form: Form::Ellipsoid {
                    centre: Vector3::zeros(),
                    radii: radii_mm,
                },
                walls: Walls::new(1.0, &[Wall::new(0.0, 0.7, 0.42)]),
                length_mm: radii_mm.z,
                relief: Relief::NONE,
                grain: Vector3::z(),
            },
            radii_mm,
        }
    }
}
