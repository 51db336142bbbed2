//! Thousands of damaged files: each is an error or a film, none panics or hangs, and memory stays
//! bounded.

use std::panic::catch_unwind;

use crate::made::{BITS_STORED, DicomFile, HIGH_BIT, encoded, little_endian, tiff};
use image::{DynamicImage, ImageBuffer, ImageFormat, Luma, Rgb};
use plumbray_film::{Film, FilmObject, FilmPixels};

/// Mutations of each made file.
const MUTATIONS: u64 = 400;

/// More memory than the files of a few hundred bytes may ever take, decoders included.
const PEAK_KIB: u64 = 512 * 1024;

#[test]
fn damaged_files_are_errors_or_films_within_bounded_memory() {
    let mut opened = 0;
    let mut refused = 0;
    for (name, file) in made_files() {
        Film::from_bytes(&file).unwrap_or_else(|problem| panic!("{name} itself: {problem}"));
        for seed in 0..MUTATIONS {
            let damaged = mutated(&file, seed);
            // What is read to be written again must bear the same damage.
            let outcome = catch_unwind(|| {
                let is_object = FilmObject::read(&damaged).is_ok();
                let has_pixels = FilmPixels::read(&damaged).is_ok();
                Film::from_bytes(&damaged).is_ok() || (is_object && has_pixels)
            })
            .unwrap_or_else(|_panic| panic!("{name} panics with mutation {seed}"));
            if outcome {
                opened += 1;
            } else {
                refused += 1;
            }
        }
    }
    assert!(
        opened > 100 && refused > 100,
        "the mutations reach both ends: {opened} opened, {refused} refused"
    );
    if let Some(peak) = peak_memory_kib() {
        assert!(peak < PEAK_KIB, "a peak of {peak} KiB");
    }
}

fn made_files() -> Vec<(&'static str, Vec<u8>)> {
    let words: Vec<u16> = (0..64).map(|index| index * 63).collect();
    let grey: DynamicImage = ImageBuffer::<Luma<u16>, _>::from_raw(8, 8, words.clone())
        .expect("64")
        .into();
    let small_grey = DynamicImage::from(grey.to_luma8());
    let colour: DynamicImage = ImageBuffer::<Rgb<u8>, _>::from_fn(8, 8, |x, y| {
        Rgb([(x * 30).to_le_bytes()[0], (y * 30).to_le_bytes()[0], 9])
    })
    .into();
    let jpeg = encoded(&small_grey, ImageFormat::Jpeg);
    let table = [
        ((0x0028, 0x3002), b"US", little_endian(&[4, 0, 12])),
        ((0x0028, 0x3006), b"OW", little_endian(&[0, 9, 99, 4095])),
    ];
    let native = DicomFile::new(8, 8, &words);
    let eight_bits = DicomFile::new(8, 8, &[])
        .words((0x0028, 0x0100), b"US", &[8])
        .words(BITS_STORED, b"US", &[8])
        .words(HIGH_BIT, b"US", &[7]);
    let tables = native
        .clone()
        .item((0x0028, 0x3000), &table)
        .item((0x0028, 0x3010), &table)
        .text((0x0028, 0x1050), b"DS", "100\\200")
        .text((0x0028, 0x1051), b"DS", "50\\60");
    let mut rle = vec![0; 64];
    rle[0] = 2;
    rle[4] = 64;
    rle[8] = 66;
    rle.extend([0xC1, 0x01, 63]);
    rle.extend(0..64);
    rle.push(0);
    vec![
        ("16-bit PNG", encoded(&grey, ImageFormat::Png)),
        ("colour PNG", encoded(&colour, ImageFormat::Png)),
        ("JPEG", jpeg.clone()),
        ("colour JPEG", encoded(&colour, ImageFormat::Jpeg)),
        ("BMP", encoded(&colour, ImageFormat::Bmp)),
        ("TIFF", tiff((8, 8), 16, 1, 2, &little_endian(&words))),
        ("compressed TIFF", encoded(&grey, ImageFormat::Tiff)),
        ("DICOM", native.to_bytes()),
        ("DICOM with tables", tables.to_bytes()),
        ("bare DICOM", native.data_set()),
        (
            "DICOM RLE",
            DicomFile::new(8, 8, &[])
                .encapsulated("1.2.840.10008.1.2.5", &rle)
                .to_bytes(),
        ),
        (
            "DICOM JPEG",
            eight_bits
                .encapsulated("1.2.840.10008.1.2.4.50", &jpeg)
                .to_bytes(),
        ),
    ]
}

/// The file with one to four bytes changed, or cut off, or with a length made enormous. The same seed
/// gives the same damage.
fn mutated(file: &[u8], seed: u64) -> Vec<u8> {
    let mut random = SplitMix(seed);
    let mut damaged = file.to_vec();
    // A preamble means nothing; damage to it would be no damage.
    let first = if file.get(128..132) == Some(b"DICM") {
        128
    } else {
        0
    };
    let place =
        |random: &mut SplitMix, room: usize| first + random.below(file.len() - first - room);
    match random.below(8) {
        0 => damaged.truncate(place(&mut random, 0)),
        1 => {
            let at = place(&mut random, 4);
            damaged[at..at + 4].copy_from_slice(&[0xFF, 0xFF, 0xFF, 0x7F]);
        }
        2 => {
            let at = place(&mut random, 2);
            damaged[at..at + 2].copy_from_slice(&[0xFF, 0xFF]);
        }
        _ => {
            for _ in 0..=random.below(4) {
                let at = place(&mut random, 1);
                damaged[at] = random.next().to_le_bytes()[0];
            }
        }
    }
    damaged
}

/// The generator SplitMix64 (Steele, Lea and Flood, 2014), for damage that repeats.
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % limit as u64).expect("below a usize")
    }
}

/// The largest memory of this process so far, where the system tells.
fn peak_memory_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
