//! Films whose compressed pixels imagecodecs made (`tests/outside/imagecodecs`) open to the samples that were
//! encoded: JPEG lossless, JPEG-LS, JPEG 2000, High-Throughput JPEG 2000, JPEG XL and RLE, at 8 to 16 bits.

use std::{collections::BTreeSet, fs, path::Path};

use plumbray_film::Film;
use plumbray_tests::printed_outside;
use serde_json::Value;

/// A lossy JPEG XL picture of 8 bits is made of fractions, which two decoders round differently.
const LOSSY_TOLERANCE: u16 = 1;

#[test]
fn films_in_each_compression_open_to_the_samples_that_were_encoded() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    printed_outside("imagecodecs/encoded_films.py", [folder.path()]);
    let manifest = fs::read(folder.path().join("manifest.json")).expect("a manifest");
    let films: Vec<Value> = serde_json::from_slice(&manifest).expect("a list");
    let mut syntaxes = BTreeSet::new();
    for film in &films {
        compare(folder.path(), film);
        syntaxes.insert(film["syntax"].to_string());
    }
    assert!(films.len() >= 34, "only {} films", films.len());
    assert_eq!(syntaxes.len(), 9, "transfer syntaxes: {syntaxes:?}");
}

fn compare(folder: &Path, about: &Value) {
    let file = |key: &str| folder.join(about[key].as_str().expect("a name"));
    let what = format!("{} at {} bits", about["name"], about["bits"]);
    let film = match plumbray_film::open(&file("film")) {
        Ok(film) => film,
        Err(problem) => panic!("{what}: {problem}"),
    };
    let expected = expected(&fs::read(file("samples")).expect("samples"), about);
    let tolerance = if about["lossy"] == true {
        LOSSY_TOLERANCE
    } else {
        0
    };
    let furthest = furthest(&film, &expected);
    assert!(
        furthest <= tolerance,
        "{what}: samples differ by {furthest}"
    );
}

/// The samples; of colour their luminance.
fn expected(bytes: &[u8], about: &Value) -> Vec<u16> {
    if about["colours"] == 1 {
        let pairs = bytes.chunks_exact(2);
        return pairs
            .map(|pair| u16::from_le_bytes([pair[0], pair[1]]))
            .collect();
    }
    let pixels = bytes.chunks_exact(3);
    pixels
        .map(|pixel| {
            let [red, green, blue] = [0, 1, 2].map(|place| u32::from(pixel[place]));
            let thousandfold = 299 * red + 587 * green + 114 * blue;
            u16::try_from((thousandfold + 500) / 1000).expect("8 bits")
        })
        .collect()
}

fn furthest(film: &Film, expected: &[u16]) -> u16 {
    assert_eq!(film.samples().len(), expected.len(), "as many samples");
    let pairs = film.samples().iter().zip(expected);
    pairs
        .map(|(one, other)| one.abs_diff(*other))
        .max()
        .unwrap_or(0)
}
