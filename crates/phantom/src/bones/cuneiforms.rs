//! The shapes of the three cuneiforms.

use nalgebra::Vector3;

use crate::{
    bones::bone::BoneName,
    bones::tarsal::{TARSAL_WALLS, swept, tarsal_solid},
    shape::{
        form::{Form, Rise},
        profile::Section,
        solid::Solid,
    },
};

/// The medial one has its broad side at the sole, the other two have theirs at the dorsum. Sizes from
/// memory; the lengths follow from the bones before and behind.
const MEDIAL: [Section; 5] = [
    Section::new(0.0, 9.0, 7.6, 10.4, 12.0).wedged(-0.2),
    Section::new(0.3, 8.0, 7.0, 11.2, 13.0).wedged(-0.26),
    Section::new(0.65, 8.0, 7.4, 12.6, 14.6).wedged(-0.26),
    Section::new(0.9, 9.8, 8.8, 13.0, 14.8).wedged(-0.16),
    Section::new(1.0, 10.0, 9.0, 13.0, 14.6).wedged(-0.12),
];

const INTERMEDIATE: [Section; 3] = [
    Section::even(0.0, 8.2, 10.6, 10.6).wedged(0.4),
    Section::even(0.5, 7.0, 10.4, 10.4).wedged(0.44),
    Section::even(1.0, 7.8, 10.2, 10.8).wedged(0.4),
];

const LATERAL: [Section; 3] = [
    Section::even(0.0, 8.4, 10.4, 10.4).wedged(0.34),
    Section::even(0.5, 7.4, 10.0, 10.2).wedged(0.38),
    Section::even(1.0, 8.2, 10.0, 11.0).wedged(0.34),
];

/// A cuneiform of some length in its own coordinates, from the middle of its joint with the navicular
/// along w. It reaches beyond both ends, for its neighbours to shape its joint surfaces.
pub(crate) fn cuneiform(name: BoneName, length_mm: f64, seed: u64) -> Solid {
    let (sections, rises): (&[Section], _) = match name {
        BoneName::MedialCuneiform => (
            &MEDIAL,
            vec![
                // The tendons' facets on the medial side, and the plantar tuberosity.
                Rise::new([-9.0, -9.0, length_mm - 6.0], [5.0, 7.0, 6.0], -1.0),
                Rise::new([-1.0, -13.0, 6.0], [6.0, 5.0, 8.0], 1.6),
                Rise::new([-9.0, 2.0, 11.0], [5.0, 9.0, 8.0], -0.9),
            ],
        ),
        BoneName::IntermediateCuneiform => (
            &INTERMEDIATE,
            vec![Rise::new([0.0, 11.0, 8.0], [9.0, 4.0, 6.0], -0.8)],
        ),
        _ => (
            &LATERAL,
            vec![
                Rise::new([0.0, 11.0, 11.0], [9.0, 4.0, 8.0], -0.8),
                Rise::new([2.0, -11.0, 8.0], [5.0, 5.0, 6.0], 1.2),
            ],
        ),
    };
    let form: Form = swept(length_mm, sections, 0.5)
        .cut(Vector3::zeros(), Vector3::new(0.06, 0.0, -1.0), 2.6)
        .cut(Vector3::new(0.0, 0.0, length_mm + 1.5), Vector3::z(), 3.0)
        .modelled(rises);
    tarsal_solid(form, length_mm, &TARSAL_WALLS, seed)
}
