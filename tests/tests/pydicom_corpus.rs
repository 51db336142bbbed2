//! Every test file of pydicom and pydicom-data that has pixels opens to the same pixels as in pydicom,
//! or gives an error that names what is unsupported.

use std::{fmt::Write as _, fs, path::Path};

use plumbray_film::{Film, FilmProblem};
use plumbray_tests::outside_script;
use serde_json::Value;

/// How many files opened to exactly pydicom's pixels when this was written.
const EXACT_FILES: usize = 145;

/// Two decoders of lossy compression may round each inverse transform and each colour conversion
/// differently.
const LOSSY_TOLERANCE: u16 = 2;

/// What became of one file.
#[derive(Debug, PartialEq)]
enum Outcome {
    Exact,
    /// Lossy pixels within [`LOSSY_TOLERANCE`].
    WithinTolerance,
    /// Refused with an error that names what is unsupported.
    Unsupported(String),
    /// Neither we nor pydicom have pixels of it.
    NoPixels,
    /// We read pixels that pydicom does not.
    OnlyHere,
    Wrong(String),
}

#[test]
fn every_test_file_of_pydicom_opens_to_the_same_pixels_or_names_what_is_unsupported() {
    if std::env::var("PLUMBRAY_OUTSIDE").is_ok_and(|wish| wish == "skip") {
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let output = outside_script("pydicom/expected_pixels.py")
        .arg(folder.path())
        .output()
        .expect("the Python of target/outside-venv runs");
    assert!(
        output.status.success(),
        "expected_pixels.py failed: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    let manifest = fs::read(folder.path().join("manifest.json")).expect("a manifest");
    let entries: Vec<Value> = serde_json::from_slice(&manifest).expect("a list");

    let mut exact = 0;
    let mut within_tolerance = 0;
    let mut unsupported = String::new();
    let mut wrong = String::new();
    for entry in &entries {
        let path = text(entry, "path");
        match outcome(entry, folder.path()) {
            Outcome::Exact => exact += 1,
            Outcome::WithinTolerance => within_tolerance += 1,
            Outcome::Unsupported(why) => writeln!(unsupported, "  {path}: {why}").expect("text"),
            Outcome::NoPixels => {}
            Outcome::OnlyHere => writeln!(unsupported, "  {path}: only here").expect("text"),
            Outcome::Wrong(why) => writeln!(wrong, "  {path}: {why}").expect("text"),
        }
    }
    let summary = format!(
        "{exact} files exact, {within_tolerance} lossy ones within {LOSSY_TOLERANCE}; \
         unsupported:\n{unsupported}"
    );
    assert!(wrong.is_empty(), "wrong:\n{wrong}{summary}");
    assert!(
        exact >= EXACT_FILES,
        "fewer than {EXACT_FILES} exact; {summary}"
    );
}

fn text<'a>(entry: &'a Value, key: &str) -> &'a str {
    entry[key].as_str().unwrap_or_default()
}

fn outcome(entry: &Value, folder: &Path) -> Outcome {
    let bytes = fs::read(text(entry, "path")).expect("a file of the package");
    let film = Film::from_bytes(&bytes);
    let is_decoded = text(entry, "pixels") == "decoded";
    match film {
        Ok(film) if is_decoded => compared(entry, folder, &film),
        Ok(_) => Outcome::OnlyHere,
        Err(_) if !is_decoded => Outcome::NoPixels,
        Err(
            problem @ (FilmProblem::Unsupported { .. }
            | FilmProblem::UnsupportedTransferSyntax { .. }),
        ) => Outcome::Unsupported(problem.to_string()),
        Err(problem) => Outcome::Wrong(problem.to_string()),
    }
}

fn compared(entry: &Value, folder: &Path, film: &Film) -> Outcome {
    let size = (entry["width"].as_u64(), entry["height"].as_u64());
    if size != (Some(film.width() as u64), Some(film.height() as u64)) {
        return Outcome::Wrong(format!("{} by {} pixels", film.width(), film.height()));
    }
    let expected = fs::read(folder.join(text(entry, "codes"))).expect("the codes of an entry");
    let expected = expected
        .chunks_exact(2)
        .map(|pair| u16::from_le_bytes([pair[0], pair[1]]));
    let mut largest = 0;
    let mut different = 0_usize;
    for (actual, expected) in film.samples().iter().zip(expected) {
        let distance = actual.abs_diff(expected);
        largest = largest.max(distance);
        different += usize::from(distance > 0);
    }
    match largest {
        0 => Outcome::Exact,
        1..=LOSSY_TOLERANCE if entry["lossy"] == true => Outcome::WithinTolerance,
        _ => Outcome::Wrong(format!(
            "{different} of {} samples differ, by up to {largest}; {} {}",
            film.samples().len(),
            text(entry, "syntax"),
            text(entry, "meaning"),
        )),
    }
}
