//! Damage: the same number gives the same damage.

use crate::seeds::Seed;

/// Values that lengths and counts are hardest to survive.
const HARD: [u32; 10] = [
    0,
    1,
    0x7F,
    0xFF,
    0x7FFF,
    0xFFFF,
    0x7FFF_FFFF,
    0x8000_0000,
    0xFFFF_FFFE,
    0xFFFF_FFFF,
];

/// A seed with one to eight changes. Every sixteenth number stands for a seed that is only cut short.
pub(crate) fn mutated(seeds: &[Seed], seed: &Seed, number: u64) -> Vec<u8> {
    let mut random = SplitMix(number);
    let mut bytes = seed.bytes.clone();
    if random.below(16) == 0 {
        bytes.truncate(random.below(bytes.len().max(1)));
        return bytes;
    }
    for _ in 0..=random.below(8) {
        change(&mut bytes, seeds, seed, &mut random);
    }
    bytes
}

fn change(bytes: &mut Vec<u8>, seeds: &[Seed], seed: &Seed, random: &mut SplitMix) {
    if bytes.len() < 8 {
        bytes.push(random.byte());
        return;
    }
    let at = seed.first_byte.min(bytes.len() - 5)
        + random.below(bytes.len() - seed.first_byte.min(bytes.len() - 5) - 4);
    match random.below(12) {
        0..=3 => bytes[at] = random.byte(),
        4 => bytes[at] ^= 1 << random.below(8),
        5 => bytes[at] = bytes[at].wrapping_add(1),
        6 => {
            let hard = HARD[random.below(HARD.len())];
            bytes[at..at + 4].copy_from_slice(&hard.to_le_bytes());
        }
        7 => {
            let hard = HARD[random.below(HARD.len())];
            bytes[at..at + 4].copy_from_slice(&hard.to_be_bytes());
        }
        8 => {
            let [low, high, ..] = HARD[random.below(HARD.len())].to_le_bytes();
            bytes[at..at + 2].copy_from_slice(&[low, high]);
        }
        9 => {
            let end = (at + 1 + random.below(64)).min(bytes.len());
            bytes.drain(at..end);
        }
        10 => {
            let end = (at + 1 + random.below(64)).min(bytes.len());
            let again = bytes[at..end].to_vec();
            bytes.splice(at..at, again);
        }
        _ => {
            // A piece of another seed of the same kind of file.
            let other = &seeds[random.below(seeds.len())].bytes;
            if other.len() > 8 {
                let from = random.below(other.len() - 4);
                let to = (from + 1 + random.below(64)).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
        }
    }
}

/// The generator SplitMix64 (Steele, Lea and Flood, 2014).
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn byte(&mut self) -> u8 {
        self.next().to_le_bytes()[0]
    }

    fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % limit as u64).unwrap_or(0)
    }
}
