//! The shapes of the phalanges of the lesser toes.

use crate::{
    bones::long_bone::{Head, LongBoneMake, PHALANX_WALLS},
    shape::{profile::Section, solid::Solid},
};

const PROXIMAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 6.4, 6.0, 5.6),
    Section::even(0.1, 6.3, 5.8, 5.4),
    Section::even(0.28, 4.2, 4.2, 3.8),
    Section::even(0.6, 3.0, 3.2, 3.0),
    Section::even(0.86, 4.1, 3.8, 3.6),
    Section::even(1.0, 4.6, 3.8, 3.6),
];

const MIDDLE_PHALANX_SECTIONS: [Section; 5] = [
    Section::even(0.0, 4.9, 4.2, 3.8),
    Section::even(0.14, 4.8, 4.0, 3.6),
    Section::even(0.5, 3.2, 3.0, 2.6),
    Section::even(0.85, 4.1, 3.2, 3.0),
    Section::even(1.0, 4.2, 3.0, 2.8),
];

const DISTAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 4.3, 3.2, 2.8),
    Section::even(0.16, 4.4, 3.0, 2.6),
    Section::even(0.4, 2.5, 2.2, 1.8),
    Section::even(0.64, 2.1, 1.9, 1.6),
    Section::even(0.85, 2.9, 1.9, 1.7),
    Section::even(1.0, 2.7, 1.8, 1.6),
];

/// Lengths of the three phalanges of the second to fifth toes in mm, from memory.
const LENGTHS_MM: [[f64; 3]; 4] = [
    [29.0, 15.0, 11.5],
    [26.5, 12.5, 11.0],
    [24.0, 9.0, 10.5],
    [21.5, 6.5, 9.0],
];

/// Size of the sections of the second to fifth toes against the second's.
const SCALES: [f64; 4] = [1.0, 0.96, 0.93, 0.94];

/// A phalanx of a lesser toe in its own coordinates: its base at the origin, its axis along w.
#[derive(Clone, Debug)]
pub(crate) struct LesserPhalanx {
    /// The shape.
    pub(crate) solid: Solid,
    /// The joint surface for the next phalanx, or the tip of the last.
    pub(crate) head: Head,
}

impl LesserPhalanx {
    /// The three phalanges of a toe, 2 to 5, that articulate with a metatarsal head across the first
    /// gap and with one another across the second, both in mm.
    pub(crate) fn toe(toe: u8, metatarsal_head: &Head, gaps_mm: [f64; 2]) -> [Self; 3] {
        let row = usize::from(toe.clamp(2, 5) - 2);
        let scale = SCALES[row];
        let mut before = *metatarsal_head;
        let mut gap_mm = gaps_mm[0];
        [
            (0, &PROXIMAL_PHALANX_SECTIONS[..], [5.0, 4.4, 5.0]),
            (1, &MIDDLE_PHALANX_SECTIONS[..], [5.0, 3.8, 5.2]),
            (2, &DISTAL_PHALANX_SECTIONS[..], [3.2, 2.6, 3.0]),
        ]
        .map(|(place, sections, head)| {
            let make = LongBoneMake {
                length_mm: LENGTHS_MM[row][place],
                scale,
                sections,
                walls: &PHALANX_WALLS,
                head_radii_mm: head.map(|radius| radius * scale),
                head_offset_mm: 0.0,
                rounding_mm: 1.0,
            };
            let solid = make.solid(before.socket(gap_mm), 0.9, Vec::new());
            before = make.head();
            gap_mm = gaps_mm[1];
            Self {
                solid,
                head: before,
            }
        })
    }
}
