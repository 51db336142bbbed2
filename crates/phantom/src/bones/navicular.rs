//! The shape of the navicular.

use nalgebra::Vector3;

use crate::{
    bones::tarsal::{TARSAL_WALLS, ellipsoid, rod, swept, tarsal_solid},
    shape::{form::Rise, profile::Section, solid::Solid},
};

/// Some 36 mm wide without its tuberosity and 24 mm high (from memory).
const SECTIONS: [Section; 2] = [
    Section::even(0.0, 18.0, 13.0, 11.0),
    Section::even(1.0, 17.0, 12.4, 10.4),
];

/// The navicular in its own coordinates, its middle at the origin. Its joint surfaces are left for the
/// bones around it to shape: the body is thicker than they let it be.
pub(crate) fn navicular(seed: u64) -> Solid {
    let form = swept(10.0, &SECTIONS, 0.85)
        .cut(Vector3::new(0.0, 0.0, -11.0), -Vector3::z(), 3.0)
        .cut(
            Vector3::new(0.0, 0.0, 12.0),
            Vector3::new(0.1, 0.0, 1.0),
            3.0,
        )
        // The tuberosity.
        .joined(
            rod([-15.0, -5.0, -1.0], [-20.0, -8.0, -4.0], [6.0, 4.4]),
            5.0,
        )
        .joined(ellipsoid([0.0, 9.5, -2.0], [11.0, 4.5, 7.0]), 4.0)
        .modelled(vec![Rise::new([2.0, -11.0, 0.0], [12.0, 4.0, 8.0], -1.2)]);
    tarsal_solid(form, 10.0, &TARSAL_WALLS, seed)
}
