//! The shapes of the two phalanges of the great toe.

use crate::{
    bones::long_bone::{Base, Head, LongBoneMake, shaft_relief},
    shape::{
        form::Rise,
        profile::Section,
        solid::{Relief, Solid},
        texture::trait_of,
        wall::{Wall, Walls},
    },
};

/// Length 28.0 ± 2.4 mm in men (Patil et al., J Clin Diagn Res 2017;11(9):AC05–AC09); base 17–19 mm
/// wide, waist 11–12 from memory.
const PROXIMAL_SECTIONS: [Section; 9] = [
    Section::even(0.0, 8.3, 7.4, 6.6),
    Section::even(0.06, 9.4, 7.8, 7.0),
    Section::even(0.11, 9.6, 7.7, 6.9),
    Section::even(0.2, 8.7, 6.9, 5.8),
    Section::even(0.38, 6.7, 5.6, 4.6).wedged(-0.06),
    Section::even(0.56, 5.9, 4.9, 4.0).wedged(-0.08),
    Section::even(0.74, 6.7, 4.9, 4.4),
    Section::even(0.88, 8.1, 5.2, 5.2),
    Section::even(1.0, 8.1, 5.2, 5.4),
];

const DISTAL_SECTIONS: [Section; 9] = [
    Section::even(0.0, 8.0, 5.2, 4.6),
    Section::even(0.09, 9.3, 5.4, 4.8),
    Section::even(0.22, 8.0, 4.6, 4.0),
    Section::even(0.38, 5.6, 3.6, 3.0),
    Section::even(0.56, 4.4, 3.0, 2.4),
    Section::even(0.7, 4.7, 2.8, 2.2),
    Section::even(0.82, 5.9, 2.7, 2.3),
    Section::even(0.92, 6.2, 2.5, 2.3),
    Section::even(1.0, 5.8, 2.3, 2.0),
];

/// The wall of a phalanx: a dense plate under the socket, a shell about the base and the head.
pub(super) const PHALANX_WALLS: [Wall; 8] = [
    Wall::new(0.0, 1.2, 0.34),
    Wall::new(0.05, 1.0, 0.32),
    Wall::new(0.12, 0.5, 0.24),
    Wall::new(0.3, 1.0, 0.13),
    Wall::new(0.52, 1.7, 0.06),
    Wall::new(0.7, 1.1, 0.12),
    Wall::new(0.85, 0.5, 0.24),
    Wall::new(1.0, 0.45, 0.3),
];

const PROXIMAL_LENGTH_MM: f64 = 29.5;
const DISTAL_LENGTH_MM: f64 = 23.0;

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
    /// The phalanx of an individual whose socket takes the head of a first metatarsal across a gap.
    pub(crate) fn new(metatarsal_head: &Head, gap_mm: f64, individual: u64) -> Self {
        let own = |number| trait_of(individual, number);
        let length_mm = PROXIMAL_LENGTH_MM;
        let scale = 1.0 + 0.04 * own(60);
        let mut socket = metatarsal_head.radii_mm.add_scalar(gap_mm);
        // The phalanx's socket is shallower than the head is round.
        socket.x += 1.5;
        let make = LongBoneMake {
            length_mm,
            scale,
            sections: &PROXIMAL_SECTIONS,
            roundness: 0.8,
            base: Base::Socket(socket),
            head_radii_mm: [11.5, 6.4, 8.6],
            head_offset_mm: 0.0,
            rounding_mm: 1.2,
            bumps: Vec::new(),
            rises: vec![
                // Flared plantar corners of the base.
                Rise::new([-7.8, -5.4, 3.6], [5.0, 4.5, 5.0], 1.2 + 0.2 * own(61)),
                Rise::new([7.8, -5.4, 3.6], [5.0, 4.5, 5.0], 1.2 + 0.2 * own(62)),
                // The pulley between the two condyles of the head, which leaves its outline convex from
                // above, and the recesses at its sides.
                Rise::new([0.0, 5.6, length_mm - 0.6], [3.4, 4.4, 4.0], -1.1),
                Rise::new([0.0, -5.6, length_mm - 0.6], [3.4, 4.4, 4.0], -1.1),
                Rise::new([-8.6, 1.0, length_mm - 4.6], [3.0, 3.6, 2.8], -0.8),
                Rise::new([8.6, 1.0, length_mm - 4.6], [3.0, 3.6, 2.8], -0.8),
            ],
            walls: Walls::new(length_mm, &PHALANX_WALLS)
                .thickened(1.1 + 0.1 * own(63))
                .with_thicker_lateral_cortex(0.15),
            relief: shaft_relief(length_mm, 0.15, individual ^ 0x21),
            torsion_degrees: 0.0,
        };
        Self {
            head: make.head(),
            solid: make.solid(),
        }
    }
}

/// The shape of the distal phalanx of an individual, whose socket takes the head of a proximal one
/// across a gap.
pub(crate) fn distal_phalanx(proximal_head: &Head, gap_mm: f64, individual: u64) -> Solid {
    let length_mm = DISTAL_LENGTH_MM;
    LongBoneMake {
        length_mm,
        scale: 1.0 + 0.04 * trait_of(individual, 64),
        sections: &DISTAL_SECTIONS,
        roundness: 0.85,
        base: proximal_head.socket(gap_mm),
        head_radii_mm: [6.9, 4.0, 5.0],
        head_offset_mm: 0.0,
        rounding_mm: 1.4,
        bumps: Vec::new(),
        rises: Vec::new(),
        walls: Walls::new(length_mm, &PHALANX_WALLS),
        relief: tuft_relief(length_mm, individual ^ 0x22),
        torsion_degrees: 0.0,
    }
    .solid()
}

/// The roughness of a distal phalanx, which lasts to the end of its tuft.
pub(super) const fn tuft_relief(length_mm: f64, seed: u64) -> Relief {
    Relief {
        height_mm: 0.6,
        spacing_mm: 1.9,
        seed,
        along_mm: [0.86 * length_mm, length_mm + 12.0],
    }
}
