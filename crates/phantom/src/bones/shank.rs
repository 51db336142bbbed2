//! The shapes of the distal ends of tibia and fibula.

use nalgebra::Vector3;

use crate::{
    bones::tarsal::{ellipsoid, rod, swept, tarsal_solid},
    shape::{profile::Section, solid::Solid, wall::Wall},
};

/// How much of the shank is there, above the top of the talar dome, in mm.
pub(crate) const SHANK_LENGTH_MM: f64 = 60.0;

/// Sizes of both bones and their walls from memory.
const TIBIA_SECTIONS: [Section; 6] = [
    Section::new(0.0, 12.0, 11.5, 13.5, 13.5),
    Section::new(0.35, 13.0, 12.5, 14.0, 14.5),
    Section::new(0.62, 16.0, 14.5, 15.5, 16.5),
    Section::new(0.85, 20.5, 17.0, 18.6, 19.2),
    Section::new(0.95, 22.0, 18.0, 20.0, 20.6),
    Section::new(1.0, 22.5, 18.0, 20.2, 20.8),
];

const TIBIA_WALLS: [Wall; 5] = [
    Wall::new(0.0, 4.6, 0.04),
    Wall::new(0.35, 3.2, 0.08),
    Wall::new(0.65, 1.6, 0.16),
    Wall::new(0.85, 0.9, 0.24),
    Wall::new(1.0, 1.1, 0.36),
];

const FIBULA_SECTIONS: [Section; 6] = [
    Section::even(0.0, 5.6, 6.4, 6.4),
    Section::even(0.45, 6.0, 7.4, 7.4),
    Section::even(0.68, 7.2, 10.0, 10.0),
    Section::even(0.8, 7.8, 11.4, 11.0),
    Section::even(0.92, 6.6, 9.4, 9.0).shifted(0.6, -1.0),
    Section::even(1.0, 4.8, 6.6, 6.4).shifted(0.8, -2.2),
];

const FIBULA_WALLS: [Wall; 4] = [
    Wall::new(0.0, 2.8, 0.05),
    Wall::new(0.5, 1.8, 0.1),
    Wall::new(0.75, 0.8, 0.24),
    Wall::new(1.0, 0.8, 0.3),
];

/// The distal tibia in its own coordinates: w points down to the talus, v forward; w is
/// [`SHANK_LENGTH_MM`] at the top of the talar dome. Its joint surface is left for the talus to shape.
pub(crate) fn tibia(seed: u64) -> Solid {
    let length = SHANK_LENGTH_MM;
    let form = swept(length, &TIBIA_SECTIONS, 0.7)
        .cut(Vector3::zeros(), -Vector3::z(), 0.0)
        // The posterior lip reaches farther down than the anterior one.
        .cut(
            Vector3::new(0.0, 0.0, length + 5.0),
            Vector3::new(0.0, 0.12, 1.0),
            3.0,
        )
        // The medial malleolus.
        .joined(
            rod(
                [-20.5, 3.0, length - 6.0],
                [-21.5, 5.5, length + 13.0],
                [8.0, 5.4],
            ),
            5.0,
        )
        .joined(ellipsoid([-20.5, -3.5, length + 5.0], [4.0, 5.0, 9.0]), 4.0);
    tarsal_solid(form, length, &TIBIA_WALLS, seed)
}

/// From the top of what is there of the fibula to the tip of the lateral malleolus, in mm.
pub(crate) const FIBULA_LENGTH_MM: f64 = SHANK_LENGTH_MM + 26.0;

/// The distal fibula in its own coordinates, like the tibia's.
pub(crate) fn fibula(seed: u64) -> Solid {
    let form = swept(FIBULA_LENGTH_MM, &FIBULA_SECTIONS, 0.85)
        .cut(Vector3::zeros(), -Vector3::z(), 0.0)
        .cut(
            Vector3::new(0.0, -1.0, FIBULA_LENGTH_MM),
            Vector3::new(0.0, 0.25, 1.0),
            10.0,
        );
    tarsal_solid(form, FIBULA_LENGTH_MM, &FIBULA_WALLS, seed)
}
