//! The shapes of the two phalanges of the great toe.

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, PHALANX_WALLS},
    shape::{profile::Section, solid::Solid},
};

const PROXIMAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 9.3, 7.6, 6.6),
    Section::even(0.12, 9.5, 7.6, 6.4),
    Section::even(0.32, 7.1, 5.8, 4.6),
    Section::even(0.58, 5.7, 4.8, 4.0),
    Section::even(0.85, 7.6, 5.2, 4.8),
    Section::even(1.0, 7.9, 5.2, 5.0),
];

const DISTAL_PHALANX_SECTIONS: [Section; 7] = [
    Section::even(0.0, 8.2, 5.4, 4.6),
    Section::even(0.14, 8.6, 5.2, 4.2),
    Section::even(0.34, 5.9, 3.8, 3.0),
    Section::even(0.58, 4.5, 3.0, 2.4),
    Section::even(0.76, 5.0, 2.8, 2.2),
    Section::even(0.9, 6.1, 2.6, 2.2),
    Section::even(1.0, 5.6, 2.4, 2.0),
];

const PROXIMAL_PHALANX_LENGTH_MM: f64 = 29.5;
const DISTAL_PHALANX_LENGTH_MM: f64 = 24.0;

/// The proximal phalanx of the great toe in its own coordinates: its base at the origin, its axis
/// along w.
#[derive(Clone, Debug)]
pub(crate) struct ProximalPhalanx {
    /// The shape.
    pub(crate) solid: Solid,
    /// The joint surface for the distal phalanx.
    pub(crate) head: Head,
}

impl ProximalPhalanx {
    /// The phalanx whose socket takes the head of a first metatarsal across a gap.
    pub(crate) fn new(metatarsal_head: &Head, gap_mm: f64) -> Self {
        let make = LongBoneMake {
            length_mm: PROXIMAL_PHALANX_LENGTH_MM,
            scale: 1.0,
            sections: &PROXIMAL_PHALANX_SECTIONS,
            walls: &PHALANX_WALLS,
            head_radii_mm: [13.0, 6.4, 10.0],
            head_offset_mm: 0.0,
            rounding_mm: 1.4,
        };
        let mut socket = metatarsal_head.radii_mm.add_scalar(gap_mm);
        // The phalanx's socket is shallower than the head is round.
        socket.x += 1.5;
        Self {
            solid: make.solid(Base::Socket(socket), 0.9, Vec::new()),
            head: make.head(),
        }
    }
}

/// The shape of the distal phalanx whose socket takes the head of a proximal one across a gap.
pub(crate) fn distal_phalanx(proximal_head: &Head, gap_mm: f64) -> Solid {
    let make = LongBoneMake {
        length_mm: DISTAL_PHALANX_LENGTH_MM,
        scale: 1.0,
        sections: &DISTAL_PHALANX_SECTIONS,
        walls: &PHALANX_WALLS,
        head_radii_mm: [7.4, 4.0, 5.0],
        head_offset_mm: 0.0,
        rounding_mm: 1.6,
    };
    make.solid(proximal_head.socket(gap_mm), 0.9, Vec::new())
}
