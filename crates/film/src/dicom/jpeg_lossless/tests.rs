use super::*;
use crate::dicom::image_header::Colours;

/// What the encoder of these tests makes of samples.
#[derive(Clone, Copy)]
struct Plan {
    columns: u16,
    bits: u8,
    selection: u8,
    point_transform: u8,
    /// 0 for none.
    restart_rows: u16,
    components: u8,
    is_interleaved: bool,
}

const PLAIN: Plan = Plan {
    columns: 13,
    bits: 16,
    selection: 1,
    point_transform: 0,
    restart_rows: 0,
    components: 1,
    is_interleaved: true,
};

const ROWS: u16 = 9;

impl Plan {
    fn header(&self) -> ImageHeader {
        ImageHeader {
            rows: ROWS,
            columns: self.columns,
            frames: 1,
            colours: if self.components == 1 {
                Colours::Monochrome2
            } else {
                Colours::Rgb
            },
            bits_allocated: 16,
            bits_stored: self.bits.into(),
            high_bit: u16::from(self.bits) - 1,
            is_signed: false,
            is_planar: false,
        }
    }

    fn about(&self) -> StreamHeader {
        StreamHeader {
            width: self.columns.into(),
            height: ROWS.into(),
            components: self.components.into(),
            bits: self.bits,
        }
    }

    /// Samples that wander over the whole range, colour by pixel; the lowest bits are zero where they are not kept.
    fn samples(&self) -> Vec<u16> {
        let count = u32::from(self.columns) * u32::from(ROWS) * u32::from(self.components);
        let kept = (u16::MAX >> (16 - self.bits)) & (u16::MAX << self.point_transform);
        (0..count)
            .map(|number| number.wrapping_mul(2_654_435_761).to_be_bytes())
            .map(|bytes| u16::from_be_bytes([bytes[0], bytes[1]]) & kept)
            .collect()
    }

    /// The stream of the samples: each of 17 categories has a code of five bits, its number.
    fn encoded(&self, samples: &[u16]) -> Vec<u8> {
        let mut stream = b"\xff\xd8\xff\xfe\x00\x04hi\xff\xc4\x00\x24\x00".to_vec();
        stream.extend([0, 0, 0, 0, 17, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
        stream.extend(0..=16);
        stream.extend([0xFF, 0xC3, 0, 8 + 3 * self.components, self.bits]);
        stream.extend([ROWS, self.columns].map(u16::to_be_bytes).concat());
        stream.push(self.components);
        stream.extend((0..self.components).flat_map(|component| [component + 1, 0x11, 0]));
        if self.restart_rows > 0 {
            stream.extend(b"\xff\xdd\x00\x04");
            stream.extend((self.restart_rows * self.columns).to_be_bytes());
        }
        let all: Vec<u8> = (0..self.components).collect();
        let scans = all.chunks(if self.is_interleaved { all.len() } else { 1 });
        for components in scans {
            let count = u8::try_from(components.len()).expect("few");
            stream.extend([0xFF, 0xDA, 0, 6 + 2 * count, count]);
            stream.extend(components.iter().flat_map(|component| [component + 1, 0]));
            stream.extend([self.selection, 0, self.point_transform]);
            self.encode_scan(samples, components, &mut stream);
        }
        stream.extend(b"\xff\xd9");
        stream
    }

    fn encode_scan(&self, samples: &[u16], components: &[u8], stream: &mut Vec<u8>) {
        let mut bits = String::new();
        for row in 0..usize::from(ROWS) {
            let restart_rows = usize::from(self.restart_rows);
            if row > 0 && restart_rows > 0 && row.is_multiple_of(restart_rows) {
                stream.extend(stuffed(&std::mem::take(&mut bits)));
                let number = u8::try_from((row / restart_rows - 1) % 8).expect("below 8");
                stream.extend([0xFF, 0xD0 + number]);
            }
            for column in 0..usize::from(self.columns) {
                for component in components {
                    let difference = self.difference(samples, row, column, usize::from(*component));
                    bits.push_str(&code_of(difference));
                }
            }
        }
        stream.extend(stuffed(&bits));
    }

    /// A sample less its prediction, as T.81 H.1.2.1 and table H.1 are printed.
    fn difference(&self, samples: &[u16], row: usize, column: usize, component: usize) -> i32 {
        let at = |row: usize, column: usize| {
            let place = row * usize::from(self.columns) + column;
            let sample = samples[place * usize::from(self.components) + component];
            i32::from(sample >> self.point_transform)
        };
        let is_first = match self.restart_rows {
            0 => row == 0,
            rows => row.is_multiple_of(usize::from(rows)),
        };
        let prediction = match (is_first, column) {
            (true, 0) => 1 << (self.bits - self.point_transform - 1),
            (true, _) => at(row, column - 1),
            (false, 0) => at(row - 1, column),
            (false, _) => {
                let (a, b) = (at(row, column - 1), at(row - 1, column));
                let c = at(row - 1, column - 1);
                match self.selection {
                    1 => a,
                    2 => b,
                    3 => c,
                    4 => a + b - c,
                    5 => a + (b - c).div_euclid(2),
                    6 => b + (a - c).div_euclid(2),
                    _ => (a + b) / 2,
                }
            }
        };
        // Modulo 2^16, as a number from -32,767 to 32,768.
        let difference = (at(row, column) - prediction).rem_euclid(1 << 16);
        if difference > 1 << 15 {
            difference - (1 << 16)
        } else {
            difference
        }
    }

    fn decoded(&self, stream: &[u8]) -> Result<DecodedFrame, FilmProblem> {
        decoded(stream, &self.header(), self.about())
    }

    fn assert_round(&self, what: &str) {
        let samples = self.samples();
        let frame = self.decoded(&self.encoded(&samples));
        let frame = frame.unwrap_or_else(|problem| panic!("{what}: {problem}"));
        let decoded: Vec<u16> = if frame.bytes_per_sample == 2 {
            let pairs = frame.bytes.chunks_exact(2);
            pairs
                .map(|pair| u16::from_le_bytes([pair[0], pair[1]]))
                .collect()
        } else {
            frame.bytes.iter().map(|byte| u16::from(*byte)).collect()
        };
        assert_eq!(decoded, samples, "{what}");
    }
}

/// The category of a difference and its bits (T.81 tables H.2 and F.1), as ones and zeros.
fn code_of(difference: i32) -> String {
    let category = (0..=16)
        .find(|category| difference.unsigned_abs() < 1 << category)
        .expect("at most 32,768");
    let bits = if difference < 0 {
        difference + (1 << category) - 1
    } else {
        difference
    };
    match category {
        0 | 16 => format!("{category:05b}"),
        _ => format!("{category:05b}{bits:0category$b}"),
    }
}

/// Bits as bytes, padded with ones, with a zero behind each byte of ones.
fn stuffed(bits: &str) -> Vec<u8> {
    let mut bytes = Vec::new();
    for byte in bits.as_bytes().chunks(8) {
        let digits = std::str::from_utf8(byte).expect("ones and zeros");
        let byte = u8::from_str_radix(&format!("{digits:1<8}"), 2).expect("eight digits");
        bytes.push(byte);
        if byte == 0xFF {
            bytes.push(0);
        }
    }
    bytes
}

#[test]
fn every_predictor_gives_the_samples_that_were_encoded() {
    for selection in 1..=7 {
        Plan { selection, ..PLAIN }.assert_round(&format!("predictor {selection}"));
    }
}

#[test]
fn every_depth_gives_the_samples_that_were_encoded() {
    for bits in 2..=16 {
        let plan = Plan {
            bits,
            selection: 6,
            ..PLAIN
        };
        plan.assert_round(&format!("{bits} bits"));
    }
}

#[test]
fn restart_intervals_begin_predictions_anew() {
    for restart_rows in [1, 2, 4] {
        for selection in [1, 4] {
            let plan = Plan {
                restart_rows,
                selection,
                ..PLAIN
            };
            plan.assert_round(&format!("{restart_rows} rows, predictor {selection}"));
        }
    }
}

#[test]
fn a_point_transform_leaves_out_the_lowest_bits_only() {
    let plan = Plan {
        bits: 12,
        point_transform: 3,
        selection: 5,
        ..PLAIN
    };
    plan.assert_round("three bits left out");
}

#[test]
fn colour_comes_pixel_by_pixel_from_one_scan_or_three() {
    for is_interleaved in [true, false] {
        let plan = Plan {
            bits: 8,
            selection: 7,
            components: 3,
            restart_rows: 3,
            is_interleaved,
            ..PLAIN
        };
        plan.assert_round(&format!("in one scan: {is_interleaved}"));
    }
}

#[test]
fn a_stream_that_ends_early_is_an_error() {
    let stream = PLAIN.encoded(&PLAIN.samples());
    for length in 0..stream.len() - 2 {
        let outcome = PLAIN.decoded(&stream[..length]);
        assert!(outcome.is_err(), "{length} of {} bytes", stream.len());
    }
}

#[test]
fn contradictions_are_errors() {
    let samples = PLAIN.samples();
    for plan in [
        Plan {
            selection: 0,
            ..PLAIN
        },
        Plan {
            selection: 8,
            ..PLAIN
        },
    ] {
        let outcome = plan.decoded(&plan.encoded(&samples));
        assert!(outcome.is_err(), "predictor {}", plan.selection);
    }
    let stream = PLAIN.encoded(&samples);
    let of_three = Plan {
        components: 3,
        ..PLAIN
    };
    assert!(
        of_three.decoded(&stream).is_err(),
        "two components are missing"
    );
    let restarted = Plan {
        restart_rows: 1,
        ..PLAIN
    };
    let mut stream = restarted.encoded(&samples);
    let length = stream
        .windows(4)
        .position(|bytes| bytes == b"\xff\xdd\x00\x04");
    stream[length.expect("an interval") + 5] += 1;
    let outcome = restarted.decoded(&stream);
    assert!(outcome.is_err(), "an interval that is no whole row");
}

#[test]
fn components_of_different_sizes_are_not_taken_for_equal_ones() {
    let plan = Plan {
        components: 3,
        ..PLAIN
    };
    let mut stream = plan.encoded(&plan.samples());
    let first = stream.windows(3).position(|bytes| bytes == [1, 0x11, 0]);
    stream[first.expect("the first component") + 1] = 0x21;
    let outcome = plan.decoded(&stream);
    assert!(
        matches!(outcome, Err(FilmProblem::Unsupported { .. })),
        "twice as many columns of one component"
    );
}

#[test]
fn damage_gives_an_error_or_a_picture() {
    let (mut opened, mut refused) = (0, 0);
    for is_interleaved in [true, false] {
        let plan = Plan {
            selection: 6,
            restart_rows: 2,
            components: 3,
            is_interleaved,
            ..PLAIN
        };
        let stream = plan.encoded(&plan.samples());
        for seed in 0_u64..4000 {
            let mut damaged = stream.clone();
            for number in 1..=1 + seed % 3 {
                // The multiplier of Knuth's generator MMIX.
                let random = (seed * 3 + number).wrapping_mul(6_364_136_223_846_793_005);
                let [value, _, _, _, at @ ..] = random.to_le_bytes();
                // Half of the damage goes to the headers.
                let room = if seed % 2 == 0 { 120 } else { damaged.len() };
                damaged[u32::from_le_bytes(at) as usize % room] = value;
            }
            match plan.decoded(&damaged) {
                Ok(frame) => {
                    let length = plan.header().samples() * frame.bytes_per_sample;
                    assert_eq!(frame.bytes.len(), length, "seed {seed}");
                    opened += 1;
                }
                Err(_) => refused += 1,
            }
        }
    }
    assert!(
        opened > 500 && refused > 500,
        "the damage reaches both ends: {opened} opened, {refused} refused"
    );
}
