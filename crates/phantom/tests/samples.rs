//! The films that are committed in `sample-images/`.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::View;
use plumbray_phantom::{FilmTruth, Foot, truth_of_ap, truth_of_lateral};

/// Another machine's mathematical functions may differ in the last digit; a foot that has changed is
/// off by far more.
const MOST_OFF_PX: f64 = 0.05;

/// The most that all samples together may take, in bytes.
const MOST_BYTES: u64 = 40_000_000;

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images")
}

fn names() -> Vec<String> {
    fs::read_dir(samples())
        .expect("the samples")
        .map(|entry| entry.expect("a file").file_name())
        .map(|name| name.into_string().expect("a plain name"))
        .collect()
}

#[test]
fn the_committed_samples_are_those_of_these_feet() {
    for name in [
        "sample-foot-ap",
        "sample-foot-lateral",
        "oak-half-a-year-ap",
    ] {
        let path = samples().join(format!("{name}.truth.ron"));
        let text = fs::read_to_string(&path).expect("readable");
        let committed: FilmTruth = ron::from_str(&text).expect("the truth");
        let foot = Foot::new(committed.feet[0].parameters).expect("possible");
        let fresh = match committed.view {
            View::Ap => truth_of_ap(&foot, &committed.exposure),
            View::Lateral => truth_of_lateral(&foot, &committed.exposure),
        }
        .expect("a film");
        for (landmark, placed) in &committed.feet[0].tracing.points {
            let now = fresh.feet[0].tracing.point(*landmark).expect("placed");
            let off = now.distance_px(placed.at);
            assert!(
                off < MOST_OFF_PX,
                "{name}: {landmark} moved by {off} px; run the example make_samples again"
            );
        }
    }
}

#[test]
fn every_sample_film_has_its_truth_beside_it() {
    let names = names();
    let mut films = 0;
    for name in &names {
        let Some((film, "png" | "dcm")) = name.rsplit_once('.') else {
            continue;
        };
        films += 1;
        let truth = format!("{film}.truth.ron");
        assert!(names.contains(&truth), "{name} has no {truth}");
    }
    assert!(films >= 20, "{films} films");
}

#[test]
fn the_samples_together_are_small_enough_to_carry() {
    let bytes: u64 = names()
        .iter()
        .map(|name| fs::metadata(samples().join(name)).expect("a file").len())
        .sum();
    assert!(bytes <= MOST_BYTES, "{bytes} bytes");
}
