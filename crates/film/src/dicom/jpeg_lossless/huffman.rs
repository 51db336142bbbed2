//! Huffman codes of a JPEG stream and the bits that they are read from (ITU-T T.81 annexes C and F).

use crate::error::FilmProblem;

/// Codes of up to so many bits are found by one look into a table.
const LOOKUP_BITS: u32 = 9;

/// The longest code, in bits.
const LONGEST_CODE: u32 = 16;

/// The largest number of bits that one sample takes: its code, and the bits of its difference.
const MOST_BITS_OF_A_SAMPLE: u32 = LONGEST_CODE + 15;

fn damaged(detail: &str) -> FilmProblem {
    FilmProblem::damaged("JPEG lossless", detail)
}

/// A code and what it stands for.
#[derive(Clone, Copy, Debug, Default)]
struct Code {
    /// In bits; 0 where no code of up to [`LOOKUP_BITS`] starts this way.
    length: u8,
    value: u8,
}

/// The codes of one length, as the first bits of 16.
#[derive(Clone, Copy, Debug, Default)]
struct CodesOfLength {
    /// Words of 16 bits below this start with a code of this length or a shorter one.
    limit: u32,
    /// The word that starts with the first code of this length.
    first: u32,
    /// The place of that code's value.
    place: usize,
}

/// A table of codes that stand for the magnitude of a difference.
#[derive(Debug)]
pub(super) struct HuffmanTable {
    /// By the first [`LOOKUP_BITS`] of what follows.
    short: [Code; 1 << LOOKUP_BITS],
    by_length: [CodesOfLength; LONGEST_CODE as usize],
    values: Vec<u8>,
}

impl HuffmanTable {
    /// The table of a segment: how many codes there are of each length from 1 to 16, and the value of each code in
    /// the order of the codes (T.81 C.2).
    ///
    /// # Errors
    /// When there are more codes of a length than its bits tell apart.
    pub(super) fn new(
        counts: &[u8; LONGEST_CODE as usize],
        values: &[u8],
    ) -> Result<Self, FilmProblem> {
        let mut table = Self {
            short: [Code::default(); 1 << LOOKUP_BITS],
            by_length: [CodesOfLength::default(); LONGEST_CODE as usize],
            values: values.to_vec(),
        };
        let (mut word, mut place) = (0, 0);
        for ((length, count), codes) in (1_u8..).zip(counts).zip(&mut table.by_length) {
            let span = 1 << (LONGEST_CODE - u32::from(length));
            let after = word + u32::from(*count) * span;
            let values = values.get(place..place + usize::from(*count));
            let (Some(values), true) = (values, after <= 1 << LONGEST_CODE) else {
                return Err(damaged("a table of codes contradicts itself"));
            };
            *codes = CodesOfLength {
                limit: after,
                first: word,
                place,
            };
            if u32::from(length) <= LOOKUP_BITS {
                let unused = LONGEST_CODE - LOOKUP_BITS;
                let entries =
                    &mut table.short[(word >> unused) as usize..(after >> unused) as usize];
                for (entries, value) in entries.chunks_mut((span >> unused) as usize).zip(values) {
                    entries.fill(Code {
                        length,
                        value: *value,
                    });
                }
            }
            (word, place) = (after, place + values.len());
        }
        Ok(table)
    }

    /// The code that 16 bits start with.
    fn code(&self, word: u32) -> Option<Code> {
        let short = self.short[(word >> (LONGEST_CODE - LOOKUP_BITS)) as usize];
        if short.length > 0 {
            return Some(short);
        }
        let by_length = (1_u8..).zip(&self.by_length);
        let (length, codes) = by_length
            .skip(LOOKUP_BITS as usize)
            .find(|(_, codes)| word < codes.limit)?;
        let index = (word.checked_sub(codes.first)?) >> (LONGEST_CODE - u32::from(length));
        let value = *self.values.get(codes.place + index as usize)?;
        Some(Code { length, value })
    }
}

/// The bits of an entropy-coded part of a stream, up to the marker that ends it.
#[derive(Debug)]
pub(super) struct EntropyBits<'a> {
    /// What was not looked at yet.
    rest: &'a [u8],
    /// The next bits, the first one highest; zero below them.
    bits: u64,
    /// How many they are.
    count: u32,
}

impl<'a> EntropyBits<'a> {
    pub(super) const fn new(stream: &'a [u8]) -> Self {
        Self {
            rest: stream,
            bits: 0,
            count: 0,
        }
    }

    /// Takes bytes until there are bits for every sample, or a marker follows. A byte of ones is followed by a zero
    /// that belongs to no sample (T.81 B.1.1.5).
    fn refill(&mut self) {
        while self.count <= u64::BITS - u8::BITS {
            let (byte, rest) = match self.rest {
                [0xFF, 0x00, rest @ ..] => (0xFF, rest),
                [0xFF, ..] | [] => return,
                [byte, rest @ ..] => (*byte, rest),
            };
            self.rest = rest;
            self.bits |= u64::from(byte) << (u64::BITS - u8::BITS - self.count);
            self.count += u8::BITS;
        }
    }

    /// The next difference, modulo 2^16 (T.81 H.1.2.2).
    ///
    /// # Errors
    /// When no code follows, or the bits end.
    #[inline]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "differences are modulo 2^16"
    )]
    pub(super) fn difference(&mut self, table: &HuffmanTable) -> Result<u16, FilmProblem> {
        if self.count < MOST_BITS_OF_A_SAMPLE {
            self.refill();
        }
        let code = table
            .code((self.bits >> (u64::BITS - LONGEST_CODE)) as u32)
            .ok_or_else(|| damaged("its bits are no code"))?;
        let after = self.bits << code.length;
        let magnitude = u32::from(code.value);
        let (difference, further) = match magnitude {
            0 => (0, 0),
            1..=15 => {
                let number = (after >> (u64::BITS - magnitude)) as u16;
                let is_negative = after >> (u64::BITS - 1) == 0;
                let lowest = if is_negative { (1 << magnitude) - 1 } else { 0 };
                (number.wrapping_sub(lowest), magnitude)
            }
            16 => (1 << 15, 0),
            _ => return Err(damaged("a difference is larger than any can be")),
        };
        let used = u32::from(code.length) + further;
        self.count = self
            .count
            .checked_sub(used)
            .ok_or_else(|| damaged("its pixels end early"))?;
        self.bits = after << further;
        Ok(difference)
    }

    /// Goes past a restart marker, whose number counts from 0 to 7 and around.
    ///
    /// # Errors
    /// When another or none follows.
    pub(super) fn restart(&mut self, number: u8) -> Result<(), FilmProblem> {
        self.refill();
        let marker = self.rest.iter().position(|byte| *byte != 0xFF);
        match marker.map(|at| (at, self.rest[at])) {
            Some((at, byte)) if at > 0 && byte == 0xD0 | (number % 8) => {
                *self = Self::new(&self.rest[at + 1..]);
                Ok(())
            }
            _ => Err(damaged("a restart marker is missing")),
        }
    }

    /// What follows the entropy-coded part, from its marker on.
    pub(super) fn after(self) -> &'a [u8] {
        let is_marker =
            |pair: &[u8]| pair[0] == 0xFF && !matches!(pair[1], 0x00 | 0xFF | 0xD0..=0xD7);
        let marker = self.rest.windows(2).position(is_marker);
        marker.map_or(&[], |at| &self.rest[at..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The table of T.81 K.3.1 for luminance: two bits, five of three bits, then one of each length from 4 to 9.
    fn published_table() -> HuffmanTable {
        let counts = [0, 1, 5, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0];
        let values: Vec<u8> = (0..12).collect();
        HuffmanTable::new(&counts, &values).expect("the table of the standard")
    }

    #[test]
    fn the_standards_table_gives_the_standards_codes() {
        // Table K.3 of T.81: categories 0, 5, 6 and 11 are 00, 110, 1110 and 111111110.
        let table = published_table();
        for (code, length, category) in [
            (0b00, 2, 0),
            (0b110, 3, 5),
            (0b1110, 4, 6),
            (0b1_1111_1110, 9, 11),
        ] {
            let found = table.code(code << (16 - length)).expect("a code");
            assert_eq!(
                (u32::from(found.length), found.value),
                (length, category),
                "category {category}"
            );
        }
        assert!(table.code(0xFFFF).is_none(), "all ones are no code");
    }

    #[test]
    fn codes_longer_than_the_lookup_are_found() {
        // One code of each length: 0, 10, 110, ... and the last two bits apart.
        let counts = [1; 16];
        let values: Vec<u8> = (0..16).collect();
        let table = HuffmanTable::new(&counts, &values).expect("codes");
        for length in 1_u32..=16 {
            let word = 0xFFFF_u32 & !((1 << (17 - length)) - 1);
            let found = table.code(word).expect("a code");
            assert_eq!(u32::from(found.length), length, "length");
            assert_eq!(
                u32::from(found.value),
                length - 1,
                "value of length {length}"
            );
        }
    }

    #[test]
    fn more_codes_than_bits_can_tell_apart_are_an_error() {
        let mut counts = [0; 16];
        counts[0] = 3;
        assert!(
            HuffmanTable::new(&counts, &[0, 1, 2]).is_err(),
            "three of one bit"
        );
        counts[0] = 2;
        assert!(
            HuffmanTable::new(&counts, &[0]).is_err(),
            "a value is missing"
        );
    }

    #[test]
    fn differences_have_the_sign_that_their_first_bit_says() {
        // Category 3 (100) with 101 is 5, with 010 is -5; category 0 (00) is 0: 100101 100010 00, padded with ones.
        let bytes = [0b1001_0110, 0b0010_0011];
        let mut bits = EntropyBits::new(&bytes);
        let table = published_table();
        let differences: Vec<i16> = (0..3)
            .map(|_| bits.difference(&table).expect("bits").cast_signed())
            .collect();
        assert_eq!(differences, [5, -5, 0], "signed");
        assert!(
            bits.difference(&table).is_err(),
            "two bits of padding are no code"
        );
    }

    #[test]
    fn the_largest_difference_has_no_bits_of_its_own() {
        let mut counts = [0; 16];
        counts[1] = 1;
        let table = HuffmanTable::new(&counts, &[16]).expect("one code");
        let difference = EntropyBits::new(&[0b0011_1111]).difference(&table);
        assert_eq!(difference.expect("a code"), 32_768, "T.81 table H.2");
    }

    #[test]
    fn a_stuffed_zero_is_no_bit_and_a_marker_ends_the_bits() {
        let mut bits = EntropyBits::new(&[0xFF, 0x00, 0x12, 0xFF, 0xFF, 0xD3, 0x34, 0xFF, 0xD9]);
        bits.refill();
        assert_eq!((bits.count, bits.bits >> 48), (16, 0xFF12), "two bytes");
        bits.restart(3)
            .expect("marker 3 follows, behind a fill byte");
        bits.refill();
        assert_eq!(
            (bits.count, bits.bits >> 56),
            (8, 0x34),
            "the next interval"
        );
        assert!(bits.restart(4).is_err(), "the end of the image follows");
        assert_eq!(bits.after(), [0xFF, 0xD9], "what follows");
    }
}
