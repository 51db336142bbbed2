//! How long series of growing size take, cold and warm, and how much memory: a printed run, since ten thousand studies
//! are no matter for repeated samples. `cargo bench -p plumbray-cohort` prints the table of `docs/cohort.md`.

use std::{
    fs,
    ops::ControlFlow,
    path::Path,
    time::{Duration, Instant, SystemTime},
};

use plumbray_cohort::{Filter, IndexPlace, Summary, open_refreshed, read};
use plumbray_compare::Recurrence;

const SIZES: [usize; 4] = [1_000, 2_500, 5_000, 10_000];

#[expect(clippy::print_stdout, reason = "the table is what the run is for")]
fn main() {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-images/sample-foot-ap.dcm.study.ron");
    let sample = fs::read_to_string(sample).expect("the sample");
    let folder = tempfile::tempdir().expect("a folder");
    let series = folder.path().join("series");
    println!(
        "studies   cold s  ms each   warm s  ms each   one changed s   index MB   most memory MB"
    );
    let mut made = 0;
    for size in SIZES {
        for number in made..size {
            put(&series, &sample, number);
        }
        made = size;
        let cache = folder.path().join(format!("cache-{size}"));
        let place = IndexPlace::CacheFolder(cache.clone());
        let cold = timed(&place, &series, size);
        let warm = timed(&place, &series, 0);
        put(&series, &sample, 0);
        age(&series.join("patient-00000/0.study.ron"), 1);
        let changed = timed(&place, &series, 1);
        println!(
            "{size:>7} {:>8.2} {:>8.2} {:>8.2} {:>8.3} {:>15.2} {:>10.1} {:>16.0}",
            cold.as_secs_f64(),
            each(cold, size),
            warm.as_secs_f64(),
            each(warm, size),
            changed.as_secs_f64(),
            megabytes(&cache),
            most_memory(),
        );
    }
}

/// A study as large as a traced foot, four to a patient, an hour old.
fn put(series: &Path, sample: &str, number: usize) {
    let below = series.join(format!("patient-{:05}", number / 4));
    fs::create_dir_all(&below).expect("made");
    let operated = number % 4 > 1;
    let label = format!("label: \"visit {number} {:?}\"", Instant::now());
    let text = sample
        .replacen("label: \"\"", &label.replace(['{', '}'], ""), 1)
        .replace("operated: false", &format!("operated: {operated}"))
        .replace("2026-01-05", &format!("2026-0{}-05", 1 + number % 4));
    let path = below.join(format!("{number}.study.ron"));
    fs::write(&path, text).expect("written");
    age(&path, 3_600);
}

fn age(path: &Path, seconds: u64) {
    let file = fs::File::options().write(true).open(path).expect("there");
    file.set_modified(SystemTime::now() - Duration::from_secs(seconds))
        .expect("set");
}

/// Everything that `plumbray cohort` does without printing.
fn timed(place: &IndexPlace, series: &Path, measured: usize) -> Duration {
    let begun = Instant::now();
    let (mut index, refreshed) = open_refreshed(place, "series", series, false, &mut |_| {
        ControlFlow::Continue(())
    })
    .expect("an index");
    let summary: Summary = read(
        &mut index,
        &Filter::default(),
        Recurrence::default(),
        &mut |_, _| Ok(()),
    )
    .expect("a summary");
    let took = begun.elapsed();
    assert_eq!(refreshed.measured, measured as u64, "measured");
    assert_eq!(summary.studies, refreshed.studies, "all of them");
    took
}

fn each(took: Duration, size: usize) -> f64 {
    took.as_secs_f64() * 1_000.0 / f64::from(u32::try_from(size).expect("small"))
}

fn megabytes(folder: &Path) -> f64 {
    let files = fs::read_dir(folder).expect("a cache").flatten();
    let bytes: u64 = files
        .filter_map(|file| Some(file.metadata().ok()?.len()))
        .sum();
    f64::from(u32::try_from(bytes >> 10).expect("small")) / 1_024.0
}

/// The most memory that this process has had so far, as Linux tells it; 0 elsewhere.
fn most_memory() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    status
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| {
            rest.trim()
                .trim_end_matches(" kB")
                .trim()
                .parse::<f64>()
                .ok()
        })
        .map_or(0.0, |kilobytes| kilobytes / 1_024.0)
}
