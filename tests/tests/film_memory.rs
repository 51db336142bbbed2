//! A film of 12 megapixels and 16 bits opens to 8-bit greys within three times its pixels of memory, in each transfer
//! syntax but JPEG 2000, whose decoder holds 32 bits for each pixel (`docs/films.md`).
#![cfg(target_os = "linux")]

use std::{
    env, fs,
    path::{Path, PathBuf},
    process::Command,
};

use plumbray_tests::printed_outside;
use serde_json::Value;

const NAME: &str = "a_film_of_12_megapixels_opens_within_three_times_its_pixels";

/// Set where this test runs again, in a process of its own, to open one film.
const FILM: &str = "PLUMBRAY_FILM_THAT_IS_MEASURED";

const COLUMNS: u64 = 3000;
const ROWS: u64 = 4000;

/// The pixels of the film, in KiB.
const PIXELS_KIB: u64 = COLUMNS * ROWS * 2 / 1024;

/// JPEG 2000 and its high-throughput kind.
const BY_32_BITS: [&str; 2] = ["1.2.840.10008.1.2.4.90", "1.2.840.10008.1.2.4.201"];

#[test]
fn a_film_of_12_megapixels_opens_within_three_times_its_pixels() {
    if let Some(film) = env::var_os(FILM) {
        open_to_greys(&PathBuf::from(film));
        return;
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let [columns, rows] = [COLUMNS, ROWS].map(|side| side.to_string().into());
    printed_outside(
        "imagecodecs/encoded_films.py",
        [folder.path().as_os_str().to_owned(), columns, rows],
    );
    let manifest = fs::read(folder.path().join("manifest.json")).expect("a manifest");
    let films: Vec<Value> = serde_json::from_slice(&manifest).expect("a list");
    assert_eq!(films.len(), 8, "one in each transfer syntax");
    for about in &films {
        let syntax = about["syntax"].as_str().expect("an identifier");
        let times = if BY_32_BITS.contains(&syntax) { 4 } else { 3 };
        let film = folder.path().join(about["film"].as_str().expect("a name"));
        let peak = peak_kib(&film);
        assert!(
            (PIXELS_KIB..=times * PIXELS_KIB).contains(&peak),
            "{} of {syntax} needs {peak} KiB, with pixels of {PIXELS_KIB} KiB",
            about["name"]
        );
    }
}

/// The peak memory of a process that opens a film and does nothing else.
fn peak_kib(film: &Path) -> u64 {
    let output = Command::new(env::current_exe().expect("a test knows where it is"))
        .args(["--exact", NAME, "--nocapture"])
        .env(FILM, film)
        .output()
        .expect("this test runs again");
    let told = String::from_utf8_lossy(&output.stderr);
    let peak = told.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let number = peak.and_then(|peak| peak.split_whitespace().next()?.parse().ok());
    number.unwrap_or_else(|| panic!("{} was not opened: {told}", film.display()))
}

/// Opens a film to 8-bit greys of all pixels, and says what this process needed at most.
fn open_to_greys(path: &Path) {
    let film = plumbray_film::open(path).expect("the film opens");
    let grey = film.grey();
    let table = grey.named_table(grey.default_window(), false);
    let mut greys = vec![0; film.samples().len()];
    table.apply(film.samples(), &mut greys);
    assert!(
        greys.contains(&0) && greys.contains(&255),
        "dark and bright"
    );
    let status = fs::read_to_string("/proc/self/status").expect("the system tells of memory");
    let peak = status.lines().find(|line| line.starts_with("VmHWM:"));
    eprintln!("{}", peak.expect("a peak"));
}
