//! Lossless JPEG with first-order prediction (ITU-T T.81 annex H, selection value 1), as DICOM has it.

/// Categories of a difference: how many bits its size needs, 0 to 16.
const CATEGORIES: usize = 17;

/// The code that consists of ones only must not be used; this symbol, which never occurs, takes it.
const RESERVED: usize = CATEGORIES;

/// No category counts as rarer than one in so many, which keeps every code within 16 bits.
const RAREST: u64 = 1024;

/// Codes grey samples of some bits, row by row, as a JPEG stream without loss. Every sample is the
/// difference to its left neighbour, at the start of a row to the one above.
pub(super) fn lossless_jpeg(samples: &[u16], width: u16, height: u16, bits: u16) -> Vec<u8> {
    let differences = differences(samples, usize::from(width), bits);
    let table = CodeTable::for_differences(&differences);
    let mut stream = vec![0xff, 0xd8];
    table.write_definition(&mut stream);
    stream.extend([0xff, 0xc3, 0, 11]);
    stream.push(bits.to_be_bytes()[1]);
    stream.extend(height.to_be_bytes());
    stream.extend(width.to_be_bytes());
    // One component, named 1, of full size.
    stream.extend([1, 1, 0x11, 0]);
    // Its scan: code table 0, prediction from the left, no point transform.
    stream.extend([0xff, 0xda, 0, 8, 1, 1, 0, 1, 0, 0]);
    let mut writer = BitWriter {
        stream,
        pending: 0,
        count: 0,
    };
    for difference in differences {
        table.write(difference, &mut writer);
    }
    let mut stream = writer.finish();
    stream.extend([0xff, 0xd9]);
    stream
}

/// Each sample's difference to its prediction, modulo 2¹⁶.
fn differences(samples: &[u16], width: usize, bits: u16) -> Vec<i16> {
    samples
        .iter()
        .enumerate()
        .map(|(index, sample)| {
            let prediction = match (index % width, index / width) {
                (0, 0) => 1 << (bits - 1),
                (0, _) => samples[index - width],
                _ => samples[index - 1],
            };
            sample.wrapping_sub(prediction).cast_signed()
        })
        .collect()
}

const fn category(difference: i16) -> usize {
    (u16::BITS - difference.unsigned_abs().leading_zeros()) as usize
}

/// The code of each category: its length in bits and the bits.
struct CodeTable {
    lengths: [u8; CATEGORIES + 1],
    codes: [u16; CATEGORIES + 1],
}

impl CodeTable {
    fn for_differences(differences: &[i16]) -> Self {
        let mut counts = [0_u64; CATEGORIES];
        for difference in differences {
            counts[category(*difference)] += 1;
        }
        let lengths = code_lengths(counts);
        let mut codes = [0_u16; CATEGORIES + 1];
        let mut next = 0_u16;
        let mut length = 0;
        for symbol in by_length(&lengths) {
            next <<= lengths[symbol] - length;
            length = lengths[symbol];
            codes[symbol] = next;
            // The last code is all ones, after which none follows.
            next = next.wrapping_add(1);
        }
        Self { lengths, codes }
    }

    fn write_definition(&self, stream: &mut Vec<u8>) {
        let symbols: Vec<usize> = by_length(&self.lengths)
            .filter(|symbol| *symbol != RESERVED)
            .collect();
        stream.extend([0xff, 0xc4, 0]);
        let mut definition = vec![0];
        for length in 1..=16 {
            let count = symbols
                .iter()
                .filter(|symbol| self.lengths[**symbol] == length)
                .count();
            definition.extend(u8::try_from(count));
        }
        definition.extend(symbols.iter().flat_map(|symbol| u8::try_from(*symbol)));
        // The length counts itself: two bytes more, and never more than 255.
        stream.extend(u8::try_from(definition.len() + 2));
        stream.extend(definition);
    }

    /// The code of a difference's category, then the difference in that many bits; a negative one
    /// less one.
    fn write(&self, difference: i16, writer: &mut BitWriter) {
        let category = category(difference);
        writer.push(u32::from(self.codes[category]), self.lengths[category]);
        // The one difference of category 16 needs no further bits.
        if let (Ok(bits @ 1..=15), value) = (
            u8::try_from(category),
            i32::from(difference) - i32::from(difference < 0),
        ) {
            writer.push(value.cast_unsigned() & ((1 << bits) - 1), bits);
        }
    }
}

/// The symbols from the shortest code to the longest, those of equal length in their own order.
fn by_length(lengths: &[u8; CATEGORIES + 1]) -> impl Iterator<Item = usize> + use<> {
    let mut symbols: Vec<usize> = (0..=RESERVED).collect();
    let lengths = *lengths;
    symbols.sort_by_key(|symbol| (lengths[*symbol], *symbol));
    symbols.into_iter()
}

/// Lengths of the codes after Huffman (Proceedings of the IRE 1952;40:1098–1101), for symbols that
/// occur so often.
fn code_lengths(counts: [u64; CATEGORIES]) -> [u8; CATEGORIES + 1] {
    let least = (counts.iter().sum::<u64>() / RAREST).max(2);
    let mut groups: Vec<(u64, Vec<usize>)> = counts
        .iter()
        .enumerate()
        .map(|(symbol, count)| ((*count).max(least), vec![symbol]))
        .collect();
    // Rarer than all others, it has one of the longest codes, and being last in order the last of them.
    groups.push((1, vec![RESERVED]));
    let mut lengths = [0; CATEGORIES + 1];
    while groups.len() > 1 {
        // The two rarest groups become one, whose symbols are one bit longer.
        groups.sort_by_key(|group| std::cmp::Reverse(group.0));
        let joined = groups.split_off(groups.len() - 2);
        let count = joined.iter().map(|(count, _)| count).sum();
        let symbols: Vec<usize> = joined
            .into_iter()
            .flat_map(|(_, symbols)| symbols)
            .collect();
        for symbol in &symbols {
            lengths[*symbol] += 1;
        }
        groups.push((count, symbols));
    }
    lengths
}

/// Bits into bytes, the highest first; a zero byte follows each byte of ones.
struct BitWriter {
    stream: Vec<u8>,
    pending: u32,
    count: u8,
}

impl BitWriter {
    fn push(&mut self, bits: u32, count: u8) {
        self.pending = self.pending << count | bits;
        self.count += count;
        while self.count >= 8 {
            self.count -= 8;
            let [.., byte] = (self.pending >> self.count).to_be_bytes();
            self.stream.push(byte);
            if byte == 0xff {
                self.stream.push(0);
            }
        }
        self.pending &= (1 << self.count) - 1;
    }

    /// The stream, its last byte filled up with ones.
    fn finish(mut self) -> Vec<u8> {
        let missing = (8 - self.count) % 8;
        self.push((1 << missing) - 1, missing);
        self.stream
    }
}

#[cfg(test)]
mod tests {
    use jpeg_decoder::{Decoder, PixelFormat};

    use super::*;

    fn decoded(stream: &[u8]) -> (PixelFormat, Vec<u16>) {
        let mut decoder = Decoder::new(stream);
        let bytes = decoder.decode().expect("a JPEG stream");
        let format = decoder.info().expect("a header").pixel_format;
        let words = bytes
            .chunks_exact(2)
            .map(|pair| u16::from_ne_bytes([pair[0], pair[1]]))
            .collect();
        (format, words)
    }

    /// Samples of some bits without any order.
    fn mixed(count: u32, bits: u16) -> Vec<u16> {
        (0..count)
            .map(|index| {
                let [high, low, ..] = index.wrapping_mul(2_654_435_761).to_be_bytes();
                u16::from_be_bytes([high, low]) >> (16 - bits)
            })
            .collect()
    }

    #[test]
    fn every_sample_comes_back() {
        for bits in [9, 10, 12, 16] {
            let samples = mixed(61 * 47, bits);
            let (format, back) = decoded(&lossless_jpeg(&samples, 61, 47, bits));
            assert_eq!(format, PixelFormat::L16, "{bits} bits");
            assert!(back == samples, "{bits} bits");
        }
    }

    #[test]
    fn an_even_film_comes_back_and_is_small() {
        let samples = vec![700; 200 * 100];
        let stream = lossless_jpeg(&samples, 200, 100, 10);
        let (_, back) = decoded(&stream);
        assert!(back == samples, "even");
        assert!(stream.len() < 3000, "{} bytes", stream.len());
    }

    #[test]
    fn codes_are_short_for_what_is_frequent_and_never_longer_than_16_bits() {
        let mut counts = [0; CATEGORIES];
        let mut count = 1;
        for place in counts.iter_mut().rev() {
            *place = count;
            count *= 3;
        }
        let lengths = code_lengths(counts);
        assert_eq!(lengths[0], 1, "the most frequent");
        assert!(lengths.iter().all(|length| *length <= 16), "{lengths:?}");
    }
}
