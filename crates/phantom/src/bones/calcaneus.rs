//! The shape of the calcaneus.

use nalgebra::Vector3;

use crate::{
    bones::tarsal::{ellipsoid, rod, swept, tarsal_solid},
    bones::trabecular_group::TrabecularGroup,
    shape::{form::Rise, profile::Section, solid::Solid, wall::Wall},
};

/// From the back of the tuberosity to the middle of the joint with the cuboid, in mm.
pub(crate) const CALCANEUS_LENGTH_MM: f64 = 80.0;

/// By how much a ruler along the plantar outline rises more steeply than the bone's axis, in degrees.
pub(crate) const CALCANEUS_PLANTAR_RISE: f64 = 9.6;

/// The ball of the medial process of the tuberosity, on which the heel stands, and its radius in mm.
pub(crate) const HEEL_BALL: ([f64; 3], f64) = ([-3.0, -14.5, 13.0], 6.0);

/// Sizes from memory, the outline after textbooks: a tall tuberosity, a saddle, the steep joint surface
/// for the talus, the low floor before it and the anterior process. Böhler's angle on it is 34°, that of
/// Gissane 128°.
const SECTIONS: [Section; 13] = [
    Section::new(0.0, 9.5, 9.0, 17.5, 17.0),
    Section::new(0.075, 11.5, 11.0, 18.6, 19.0),
    Section::new(0.175, 13.0, 12.5, 18.0, 19.2),
    Section::new(0.275, 12.3, 12.4, 17.0, 17.0),
    Section::new(0.37, 11.6, 12.2, 17.6, 14.8),
    Section::new(0.45, 11.8, 12.6, 21.0, 13.2),
    Section::new(0.52, 12.6, 13.4, 23.6, 12.2),
    Section::new(0.62, 12.6, 13.4, 18.6, 11.4),
    Section::new(0.7, 11.6, 12.8, 12.4, 10.9),
    Section::new(0.77, 10.6, 12.2, 8.4, 10.5),
    Section::new(0.85, 10.4, 12.0, 8.6, 10.4),
    Section::new(0.93, 11.0, 12.2, 10.0, 10.6),
    Section::new(1.0, 11.2, 12.2, 9.8, 10.8),
];

/// From memory.
const WALLS: [Wall; 6] = [
    Wall::new(0.0, 1.1, 0.22),
    Wall::new(0.2, 0.9, 0.2),
    Wall::new(0.45, 1.0, 0.19),
    Wall::new(0.6, 0.9, 0.18),
    Wall::new(0.8, 0.8, 0.19),
    Wall::new(1.0, 0.9, 0.28),
];

/// The calcaneus in its own coordinates: the back of its tuberosity at the origin, its axis along w
/// to the middle of the joint with the cuboid.
pub(crate) fn calcaneus(seed: u64) -> Solid {
    let length = CALCANEUS_LENGTH_MM;
    let (heel, radius) = HEEL_BALL;
    let form = swept(length, &SECTIONS, 0.62)
        // The back: the tendon's insertion stands upright, the parts above and below lean forward.
        .cut(
            Vector3::new(0.0, 2.0, -2.6),
            Vector3::new(0.0, 0.22, -1.0),
            13.0,
        )
        .cut(
            Vector3::new(0.0, -3.0, -2.6),
            Vector3::new(0.0, -0.42, -1.0),
            14.0,
        )
        .cut(
            Vector3::new(0.0, 0.0, length),
            Vector3::new(-0.12, 0.1, 1.0),
            2.5,
        )
        // The medial and the lateral process of the tuberosity.
        .joined(rod(heel, [-2.5, -12.0, 20.0], [radius, 5.0]), 7.0)
        .joined(rod([6.0, -12.5, 13.0], [6.0, -11.0, 17.0], [5.0, 4.0]), 6.0)
        // The shelf under the neck of the talus.
        .joined(rod([-9.0, 7.0, 53.0], [-20.0, 10.0, 55.0], [6.5, 4.4]), 6.0)
        .joined(ellipsoid([3.0, -8.0, 70.0], [6.0, 4.2, 8.0]), 5.0)
        .modelled(vec![
            // The hollow medial wall below the shelf, and the peroneal tubercle.
            Rise::new([-13.0, -1.0, 40.0], [8.0, 13.0, 26.0], -2.6),
            Rise::new([13.0, -3.0, 54.0], [5.0, 4.0, 8.0], 1.6),
            // The saddle-shaped joint with the cuboid.
            Rise::new([0.0, 4.0, length], [9.0, 8.0, 5.0], -1.4),
        ]);
    tarsal_solid(form, length, &WALLS, seed)
}

/// The groups of trabeculae: from the joint with the talus to the heel, from the heel along the sole,
/// from the joint with the talus to that with the cuboid, and the neutral triangle between them
/// (textbook anatomy; densities from memory).
pub(crate) fn trabecular_groups() -> Vec<TrabecularGroup> {
    vec![
        TrabecularGroup::new([0.0, 22.0, 42.0], [0.0, -14.0, 15.0], 13.0, 0.4),
        TrabecularGroup::new([0.0, 17.0, 50.0], [0.0, 3.0, 78.0], 9.0, 0.5),
        TrabecularGroup::new([-1.0, -16.0, 16.0], [0.0, -8.0, 76.0], 8.0, 0.35),
        TrabecularGroup::new([0.0, 18.0, 8.0], [0.0, -16.0, 8.0], 8.0, 0.25),
        TrabecularGroup::new([0.0, 20.0, 42.0], [0.0, 10.0, 57.0], 6.0, 0.5),
        TrabecularGroup::new([0.0, -2.0, 47.0], [0.0, -3.0, 56.0], 10.0, -0.75),
    ]
}

/// The highest and the lowest point of the middle of the joint surface for the talus.
pub(crate) const POSTERIOR_FACET: [[f64; 3]; 2] = [[0.0, 23.4, 42.0], [0.0, 10.0, 59.0]];
