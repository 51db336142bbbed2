//! The shape of the cuboid.

use nalgebra::Vector3;

use crate::{
    bones::tarsal::{TARSAL_WALLS, rod, swept, tarsal_solid},
    shape::{form::Rise, profile::Section, solid::Solid},
};

/// Height 26 mm; medial side 33 mm long, lateral side 20 (60 dry bones, J Clin Diagn Res; the joint
/// with the calcaneus is 24 by 16 mm, that with the metatarsals 21 by 14).
const SECTIONS: [Section; 4] = [
    Section::new(0.0, 11.6, 11.6, 11.0, 10.8),
    Section::new(0.3, 12.2, 12.0, 12.0, 12.6),
    Section::new(0.65, 12.2, 11.4, 10.8, 11.2),
    Section::new(1.0, 11.6, 11.0, 9.8, 9.8),
];

/// A cuboid of some length in its own coordinates, from the middle of its joint with the calcaneus
/// along w. It reaches beyond both ends, for its neighbours to shape its joint surfaces.
pub(crate) fn cuboid(length_mm: f64, seed: u64) -> Solid {
    let form = swept(length_mm, &SECTIONS, 0.55)
        .cut(Vector3::new(0.0, 0.0, -2.5), -Vector3::z(), 3.0)
        .cut(
            Vector3::new(0.0, 0.0, length_mm + 4.0),
            Vector3::new(0.4, 0.0, 1.0),
            3.0,
        )
        // The ridge behind the groove of the peroneus longus.
        .joined(rod([-5.0, -10.0, 13.0], [10.0, -8.0, 9.0], [4.0, 3.4]), 4.0)
        .modelled(vec![
            Rise::new([3.0, -12.0, length_mm - 7.0], [13.0, 4.5, 4.5], -1.8),
            Rise::new([0.0, 12.0, 14.0], [10.0, 4.0, 10.0], -0.8),
        ]);
    tarsal_solid(form, length_mm, &TARSAL_WALLS, seed)
}
