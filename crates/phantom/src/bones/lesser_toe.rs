//! The shapes of the phalanges of the lesser toes.

use crate::{
    bones::hallux::{PHALANX_WALLS, tuft_relief},
    bones::long_bone::{Head, LongBoneMake, shaft_relief},
    shape::{form::Rise, profile::Section, solid::Solid, texture::trait_of, wall::Walls},
};

/// Head of the second toe's proximal phalanx 9.7 ± 0.9 mm wide, of the third's 9.0, the fourth's 8.5
/// and the fifth's 8.7 (Kaur et al., J Am Podiatr Med Assoc, 150 films); the rest from memory.
const PROXIMAL_SECTIONS: [Section; 8] = [
    Section::even(0.0, 5.7, 5.8, 5.4),
    Section::even(0.08, 6.4, 5.9, 5.6),
    Section::even(0.18, 5.3, 5.0, 4.6),
    Section::even(0.34, 3.8, 4.0, 3.5),
    Section::even(0.58, 3.0, 3.3, 2.9),
    Section::even(0.76, 3.5, 3.5, 3.2),
    Section::even(0.9, 4.7, 3.9, 3.8),
    Section::even(1.0, 4.7, 3.8, 3.8),
];

const MIDDLE_SECTIONS: [Section; 6] = [
    Section::even(0.0, 4.4, 4.0, 3.6),
    Section::even(0.12, 5.0, 4.0, 3.7),
    Section::even(0.3, 3.9, 3.4, 3.0),
    Section::even(0.55, 3.2, 3.0, 2.6),
    Section::even(0.86, 4.3, 3.3, 3.1),
    Section::even(1.0, 4.3, 3.1, 3.0),
];

const DISTAL_SECTIONS: [Section; 7] = [
    Section::even(0.0, 3.9, 3.0, 2.7),
    Section::even(0.14, 4.7, 3.1, 2.8),
    Section::even(0.3, 3.4, 2.6, 2.2),
    Section::even(0.52, 2.3, 2.1, 1.8),
    Section::even(0.7, 2.4, 2.0, 1.7),
    Section::even(0.88, 3.2, 2.0, 1.8),
    Section::even(1.0, 2.9, 1.9, 1.7),
];

/// Lengths of the three phalanges of the second to fifth toes in mm, from memory.
const LENGTHS_MM: [[f64; 3]; 4] = [
    [28.5, 14.5, 12.0],
    [26.0, 12.5, 11.5],
    [23.5, 9.5, 11.0],
    [21.5, 7.5, 9.5],
];

/// Size of the sections of the second to fifth toes against the second's.
const SCALES: [f64; 4] = [1.03, 0.96, 0.91, 0.92];

/// A phalanx of a lesser toe in its own coordinates: its base at the origin, its axis along w.
#[derive(Clone, Debug)]
pub(crate) struct LesserPhalanx {
    /// The shape.
    pub(crate) solid: Solid,
    /// The joint surface for the next phalanx, or the tip of the last.
    pub(crate) head: Head,
}

impl LesserPhalanx {
    /// The three phalanges of an individual's toe, 2 to 5, that articulate with a metatarsal head
    /// across the first gap and with one another across the second, both in mm.
    pub(crate) fn toe(
        toe: u8,
        metatarsal_head: &Head,
        gaps_mm: [f64; 2],
        individual: u64,
    ) -> [Self; 3] {
        let row = usize::from(toe.clamp(2, 5) - 2);
        let mut before = *metatarsal_head;
        let mut gap_mm = gaps_mm[0];
        [
            (0, &PROXIMAL_SECTIONS[..], [6.0, 4.4, 5.0]),
            (1, &MIDDLE_SECTIONS[..], [5.6, 3.8, 4.6]),
            (2, &DISTAL_SECTIONS[..], [3.8, 2.6, 2.8]),
        ]
        .map(|(place, sections, head)| {
            let number = 100 + 10 * u32::from(toe) + place;
            let own = trait_of(individual, number);
            let scale = SCALES[row] * (1.0 + 0.05 * own);
            let length_mm = LENGTHS_MM[row][usize::try_from(place).unwrap_or(2)];
            let seed = individual ^ u64::from(number);
            let is_last = place == 2;
            let make = LongBoneMake {
                length_mm,
                scale,
                sections,
                roundness: 0.85,
                base: before.socket(gap_mm),
                head_radii_mm: head.map(|radius| radius * scale),
                head_offset_mm: 0.0,
                rounding_mm: 0.9,
                bumps: Vec::new(),
                rises: if is_last {
                    Vec::new()
                } else {
                    head_rises(length_mm, scale)
                },
                walls: Walls::new(length_mm, &PHALANX_WALLS).thickened(0.72 + 0.08 * own),
                relief: if is_last {
                    tuft_relief(length_mm, seed)
                } else {
                    shaft_relief(length_mm, 0.25, seed)
                },
                torsion_degrees: 0.0,
            };
            before = make.head();
            gap_mm = gaps_mm[1];
            Self {
                head: before,
                solid: make.solid(),
            }
        })
    }
}

/// The notch between the condyles of a head, and the recesses at its sides.
fn head_rises(length_mm: f64, scale: f64) -> Vec<Rise> {
    let side = |sign: f64| {
        Rise::new(
            [sign * 4.9 * scale, 0.5, length_mm - 3.0 * scale],
            [2.0, 2.4, 1.9],
            -0.5,
        )
    };
    vec![
        Rise::new([0.0, -0.6, length_mm], [2.2, 6.0, 2.2], -0.5),
        side(-1.0),
        side(1.0),
    ]
}
