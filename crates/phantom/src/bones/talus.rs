//! The shape of the talus.

use nalgebra::Vector3;

use crate::{
    bones::tarsal::{ellipsoid, rod, swept, tarsal_solid},
    bones::trabecular_group::TrabecularGroup,
    shape::{
        form::{Form, Plane, Rise},
        profile::Section,
        solid::Solid,
        wall::Wall,
    },
};

/// From the level of the posterior process to the front of the head, in mm.
pub(crate) const TALUS_LENGTH_MM: f64 = 56.0;

/// Where the axis of the dome's curve lies, in the bone's coordinates.
pub(crate) const DOME_CENTRE: [f64; 3] = [0.0, -0.5, 18.5];

/// Radius of the dome, 20.7 ± 2.6 mm (CT of 21 ankles, PMC1888582).
pub(crate) const DOME_RADIUS_MM: f64 = 20.7;

/// Half the width of the dome at its middle: 27.9 ± 3.0 mm across, 29.9 in front and 25.2 at the back
/// (the same).
const DOME_HALF_WIDTH_MM: f64 = 14.0;
/// By how much the dome is wider in front than at its middle, on either side, as a slope.
const DOME_TAPER: f64 = 0.075;

/// By how much the body points more laterally than neck and head, as a slope.
const BODY_TURN: f64 = 0.2;

/// Half the size of the head's joint surface: 29.7 ± 2.5 mm by 20.5 ± 1.7 mm (160 dry tali, Natl J
/// Clin Anat 2018).
const HEAD_RADII_MM: [f64; 3] = [15.5, 12.0, 15.0];

/// Neck and head; the sizes that are not those of the joint surfaces from memory.
const SECTIONS: [Section; 6] = [
    Section::even(0.0, 10.0, 8.0, 9.0),
    Section::even(0.4, 12.5, 9.0, 10.0),
    Section::even(0.58, 11.0, 7.8, 9.0),
    Section::even(0.7, 11.8, 8.6, 9.4),
    Section::even(0.84, 14.2, 10.8, 11.0),
    Section::even(1.0, 14.8, 11.2, 11.4),
];

/// From memory.
const WALLS: [Wall; 5] = [
    Wall::new(0.0, 0.9, 0.34),
    Wall::new(0.35, 0.9, 0.36),
    Wall::new(0.6, 0.9, 0.26),
    Wall::new(0.85, 0.8, 0.34),
    Wall::new(1.0, 0.9, 0.4),
];

/// The talus in its own coordinates: its axis through neck and head along w, the front of the head at
/// [`TALUS_LENGTH_MM`]. Its underside is left for the calcaneus to shape; the body lies behind the
/// plane `underside`.
pub(crate) fn talus(underside: Plane, seed: u64) -> Solid {
    let length = TALUS_LENGTH_MM;
    let neck_and_head = swept(length, &SECTIONS, 0.85)
        .cut(Vector3::new(0.0, 0.0, 22.0), -Vector3::z(), 2.0)
        .within(
            Form::Dome {
                centre: Vector3::new(0.0, 0.0, length - HEAD_RADII_MM[2]),
                radii: HEAD_RADII_MM.into(),
            },
            1.5,
        );
    let form = body()
        .cut(underside.point, underside.normal, 3.0)
        .joined(neck_and_head, 7.0)
        // The lateral process and the two tubercles of the posterior one.
        .joined(rod([9.0, -6.0, 23.0], [16.5, -11.5, 29.0], [7.0, 3.2]), 4.0)
        .joined(rod([2.0, -8.0, 8.0], [3.5, -13.5, 0.5], [7.5, 3.6]), 4.0)
        .joined(ellipsoid([-6.5, -11.0, 4.0], [4.0, 4.5, 5.0]), 4.0)
        .modelled(vec![Rise::new([0.0, 12.0, 36.0], [12.0, 8.0, 7.0], -1.0)]);
    tarsal_solid(form, length, &WALLS, seed)
}

/// The body under its dome, between the two joint surfaces for the malleoli.
fn body() -> Form {
    let [u, v, w] = DOME_CENTRE;
    let side = |sign: f64| {
        let slope = BODY_TURN + sign * DOME_TAPER;
        (
            Vector3::new(sign * DOME_HALF_WIDTH_MM, v, w),
            Vector3::new(sign, 0.0, -sign * slope),
        )
    };
    let (lateral, medial) = (side(1.0), side(-1.0));
    Form::Ellipsoid {
        centre: Vector3::new(u, v, w),
        radii: Vector3::new(90.0, DOME_RADIUS_MM, DOME_RADIUS_MM),
    }
    .cut(lateral.0, lateral.1, 2.5)
    .cut(medial.0, medial.1, 2.5)
    // The dome ends in front and behind; where the neck and the posterior process begin.
    .cut(
        Vector3::new(0.0, v + 6.2, w + 14.7),
        Vector3::new(0.0, 0.3, 0.95),
        10.0,
    )
    .cut(
        Vector3::new(0.0, v - 6.6, w - 15.6),
        Vector3::new(0.0, -0.39, -0.92),
        5.0,
    )
    // The groove along the dome.
    .modelled(vec![Rise::new(
        [0.0, v + 19.0, w - 6.0],
        [7.0, 16.0, 26.0],
        -1.0,
    )])
}

/// The groups of trabeculae: from the dome down to the joint with the calcaneus, and from the dome
/// through the neck into the head (textbook anatomy; densities from memory).
pub(crate) fn trabecular_groups() -> Vec<TrabecularGroup> {
    vec![
        TrabecularGroup::new([0.0, 18.0, 8.0], [0.0, -8.0, 12.0], 12.0, 0.3),
        TrabecularGroup::new([0.0, 14.0, 22.0], [0.0, 0.0, 52.0], 10.0, 0.3),
    ]
}
