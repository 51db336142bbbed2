//! Every test file of pydicom, pydicom-data and pynetdicom that has pixels opens to the same pixels as in
//! pydicom, frame by frame where it has several, or gives an error that names what is unsupported.

use std::{fmt::Write as _, fs, panic::catch_unwind, path::Path, sync::LazyLock};

use plumbray_film::{Film, FilmProblem};
use plumbray_report::{DicomError, NewUids, TextInPicture, object_without_identity};
use plumbray_tests::printed_outside;
use serde_json::Value;
use tempfile::TempDir;

/// How many frames opened to exactly pydicom's pixels when this was written.
const EXACT_FRAMES: usize = 200;

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

/// The files of the packages and pydicom's pixels of them.
static CORPUS: LazyLock<Corpus> = LazyLock::new(Corpus::computed);

struct Corpus {
    folder: TempDir,
    entries: Vec<Value>,
}

impl Corpus {
    fn computed() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        printed_outside("pydicom/expected_pixels.py", [folder.path()]);
        let manifest = fs::read(folder.path().join("manifest.json")).expect("a manifest");
        Self {
            entries: serde_json::from_slice(&manifest).expect("a list"),
            folder,
        }
    }
}

#[test]
fn every_test_file_of_pydicom_opens_to_the_same_pixels_or_names_what_is_unsupported() {
    let Corpus { folder, entries } = &*CORPUS;
    let mut exact = 0;
    let mut within_tolerance = 0;
    let mut unsupported = String::new();
    let mut wrong = String::new();
    for entry in entries {
        let path = text(entry, "path");
        match outcome(entry, folder.path()) {
            Outcome::Exact => exact += 1,
            Outcome::WithinTolerance => within_tolerance += 1,
            Outcome::Unsupported(why) => {
                writeln!(unsupported, "  {path} frame {}: {why}", entry["frame"]).expect("text");
            }
            Outcome::NoPixels => {}
            Outcome::OnlyHere => writeln!(unsupported, "  {path}: only here").expect("text"),
            Outcome::Wrong(why) => {
                writeln!(wrong, "  {path} frame {}: {why}", entry["frame"]).expect("text");
            }
        }
    }
    let summary = format!(
        "{exact} frames exact, {within_tolerance} lossy ones within {LOSSY_TOLERANCE}; \
         unsupported:\n{unsupported}"
    );
    assert!(wrong.is_empty(), "wrong:\n{wrong}{summary}");
    let with_overlays = entries
        .iter()
        .filter(|entry| !entry["overlays"].as_array().is_none_or(Vec::is_empty));
    assert!(with_overlays.count() >= 2, "files with overlays");
    assert!(
        exact >= EXACT_FRAMES,
        "fewer than {EXACT_FRAMES} exact; {summary}"
    );
}

#[test]
fn damaged_test_files_of_pydicom_are_errors_or_films() {
    const LARGEST_FILE: usize = 150_000;
    const MUTATIONS: usize = 10;
    let Corpus { entries, .. } = &*CORPUS;
    let mut damaged_files = 0;
    for (number, entry) in entries.iter().enumerate() {
        let path = text(entry, "path");
        let original = fs::read(path).expect("a file of the package");
        if original.len() > LARGEST_FILE || text(entry, "pixels") == "none" || entry["frame"] != 0 {
            continue;
        }
        for mutation in 0..MUTATIONS {
            let mut bytes = original.clone();
            // Places that differ from file to file and mutation to mutation, and are the same in each run.
            let step = 7919 * (mutation + 1) + 104_729 * number;
            for change in 0..=mutation % 3 {
                let at = 132 + (step + change * 31_337) % bytes.len().saturating_sub(132).max(1);
                if let Some(byte) = bytes.get_mut(at) {
                    *byte ^= [0xFF, 0x80, 0x01][change];
                }
            }
            let outcome = catch_unwind(|| Film::from_bytes(&bytes).map(drop));
            assert!(outcome.is_ok(), "{path} panics with mutation {mutation}");
            damaged_files += 1;
        }
    }
    assert!(
        damaged_files > 1000,
        "only {damaged_files} files were damaged"
    );
}

/// How many of the files came out without identity when this was written: every one that opens.
const WITHOUT_IDENTITY: usize = 219;

/// Colours of which two pixels share the differences become red, green and blue, whose luminance is rounded again; some of
/// this file lie a little beyond what red, green and blue can hold.
const SHARED_COLOURS: (&str, u16) = ("SC_ybr_full_422_uncompressed.dcm", 2);

#[test]
fn every_test_file_of_pydicom_comes_out_without_identity_with_the_same_greys() {
    let mut written = 0;
    let mut wrong = String::new();
    for entry in &CORPUS.entries {
        let path = text(entry, "path");
        let bytes = fs::read(path).expect("a file of the package");
        let Ok(film) = Film::from_bytes(&bytes) else {
            continue;
        };
        let mut uids = NewUids::default();
        match object_without_identity(&bytes, &[], TextInPicture::NotLookedAt, &mut uids) {
            Ok(left) => match Film::from_bytes(&left) {
                Ok(again) if largest_difference(&again, &film) <= tolerance(path) => written += 1,
                Ok(_) => writeln!(wrong, "  {path}: other greys").expect("text"),
                Err(problem) => writeln!(wrong, "  {path}: {problem}").expect("text"),
            },
            Err(DicomError::Film(FilmProblem::Unsupported { .. })) => {}
            Err(problem) => writeln!(wrong, "  {path}: {problem}").expect("text"),
        }
    }
    assert!(wrong.is_empty(), "{written} right, wrong:\n{wrong}");
    assert!(written >= WITHOUT_IDENTITY, "only {written}");
}

fn tolerance(path: &str) -> u16 {
    let (name, tolerance) = SHARED_COLOURS;
    if path.ends_with(name) { tolerance } else { 0 }
}

fn largest_difference(one: &Film, other: &Film) -> u16 {
    assert_eq!(one.samples().len(), other.samples().len(), "of one size");
    let pairs = one.samples().iter().zip(other.samples());
    pairs
        .map(|(one, other)| one.abs_diff(*other))
        .max()
        .unwrap_or_default()
}

fn text<'a>(entry: &'a Value, key: &str) -> &'a str {
    entry[key].as_str().unwrap_or_default()
}

fn outcome(entry: &Value, folder: &Path) -> Outcome {
    let bytes = fs::read(text(entry, "path")).expect("a file of the package");
    let frame = entry["frame"]
        .as_u64()
        .and_then(|frame| u32::try_from(frame + 1).ok());
    let film = Film::from_bytes_of_frame(&bytes, frame.expect("the frame of an entry"));
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

/// Whether the overlays with data of their own lie where pydicom has them, bit by bit.
fn overlays_agree(entry: &Value, folder: &Path, film: &Film) -> bool {
    let expected = entry["overlays"].as_array().map_or(&[][..], Vec::as_slice);
    expected.iter().all(|one| {
        let bits = fs::read(folder.join(text(one, "bits"))).expect("the bits of an overlay");
        film.overlays().iter().any(|overlay| {
            let place = [i64::from(overlay.top), i64::from(overlay.left)];
            let is_set = |at: usize| overlay.covers(at % overlay.width, at / overlay.width);
            [one["top"].as_i64(), one["left"].as_i64()] == place.map(Some)
                && bits.len() == overlay.width * overlay.height
                && bits
                    .iter()
                    .enumerate()
                    .all(|(at, bit)| is_set(at) == (*bit == 1))
        })
    })
}

fn compared(entry: &Value, folder: &Path, film: &Film) -> Outcome {
    if !overlays_agree(entry, folder, film) {
        return Outcome::Wrong("another overlay".to_owned());
    }
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
