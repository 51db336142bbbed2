//! `plumbray cohort`, and shards of `plumbray measure`, as a script runs them.

mod script;

use std::{fs, path::Path};

use serde_json::Value;

use crate::script::{printed, refused, run};

/// A folder of copies of the sample foot's study: visits of some patients, and one file that is no study.
fn series(folder: &Path, patients: usize) {
    let sample = samples_study();
    for patient in 0..patients {
        for (visit, operated) in [("2025-01-05", "false"), ("2025-09-05", "true")] {
            let text = sample
                .replace("operated: false", &format!("operated: {operated}"))
                .replace("2026-01-05", visit)
                // A film of its own: several studies of one film would be one foot.
                .replace(
                    "16fdef8a",
                    &format!("{patient:04x}{}", &visit.replace('-', "")[2..6]),
                );
            let below = folder.join(format!("series/patient-{patient:03}"));
            fs::create_dir_all(&below).expect("made");
            fs::write(below.join(format!("{visit}.study.ron")), text).expect("written");
        }
    }
}

fn samples_study() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-images/sample-foot-ap.dcm.study.ron");
    fs::read_to_string(path).expect("the sample")
}

#[test]
fn a_series_is_listed_summed_up_and_written_in_three_forms() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    series(folder, 4);
    fs::write(folder.join("series/torn.study.ron"), "(format_version: 1").expect("written");
    let arguments = [
        "cohort",
        "series",
        "--rows",
        "3",
        "--csv",
        "t.csv",
        "--parquet",
        "t.parquet",
        "--json",
        "t.json",
    ];
    let text = printed(folder, &arguments);
    assert!(
        text.contains("9 studies and 0 time lines; 9 measured now"),
        "{text}"
    );
    assert!(text.contains("and 6 more"), "{text}");
    assert!(
        text.contains("torn.study.ron"),
        "the torn one is a row: {text}"
    );
    assert!(text.contains("not a medical device"), "{text}");
    assert!(text.contains("4 feet"), "{text}");
    let lines = fs::read_to_string(folder.join("t.csv")).expect("a table");
    assert_eq!(lines.lines().count(), 10, "a head and nine rows");
    let bytes = fs::read(folder.join("t.parquet")).expect("a table");
    assert!(
        bytes.starts_with(b"PAR1") && bytes.ends_with(b"PAR1"),
        "whole"
    );
    let json: Value = serde_json::from_slice(&fs::read(folder.join("t.json")).expect("a document"))
        .expect("JSON");
    assert_eq!(json["rows"].as_array().map(Vec::len), Some(9), "rows");
    assert_eq!(json["summary"]["unreadable"], 1, "{}", json["summary"]);
    assert_eq!(json["summary"]["feet"], 4, "{}", json["summary"]);

    let again = printed(folder, &["cohort", "series", "--filter", "operated=yes"]);
    assert!(
        again.contains("9 studies and 0 time lines; 0 measured now"),
        "{again}"
    );
    assert!(again.contains("Summary: 4 studies of "), "{again}");
    let rebuilt = printed(folder, &["cohort", "series", "--rebuild"]);
    assert!(rebuilt.contains("9 measured now"), "{rebuilt}");
}

#[test]
fn what_is_wrong_is_told_and_nothing_is_overwritten() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    series(folder, 1);
    let told = refused(folder, &["cohort", "series", "--filter", "shoe=42"]);
    assert!(told.contains("hva>=30"), "{told}");
    let told = refused(folder, &["cohort", "nowhere"]);
    assert!(told.contains("nowhere"), "{told}");
    fs::write(folder.join("letter.txt"), "dear patient").expect("written");
    let told = refused(folder, &["cohort", "series", "--index", "letter.txt"]);
    assert!(told.contains("no index of Plumbray"), "{told}");
    assert_eq!(
        fs::read(folder.join("letter.txt")).expect("there"),
        b"dear patient",
        "as it was"
    );
    let study = "series/patient-000/2025-01-05.study.ron";
    let before = fs::read(folder.join(study)).expect("there");
    let told = refused(folder, &["cohort", "series", "--csv", study]);
    assert!(told.contains("choose another"), "{told}");
    assert_eq!(
        fs::read(folder.join(study)).expect("there"),
        before,
        "as it was"
    );
    let told = refused(
        folder,
        &[
            "cohort",
            "series",
            "--index",
            "postgresql://u:topsecret@/?host=%2Fnowhere&port=1x",
        ],
    );
    assert!(!told.contains("topsecret"), "{told}");
}

#[test]
fn shards_measure_each_study_of_a_folder_once() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    series(folder, 6);
    let lines = |arguments: &[&str]| -> Vec<String> {
        let text = printed(folder, arguments);
        text.lines().skip(1).map(str::to_owned).collect()
    };
    let mut whole = lines(&["measure", "series", "--csv"]);
    let mut together = Vec::new();
    for shard in ["1/3", "2/3", "3/3"] {
        together.extend(lines(&["measure", "series", "--csv", "--shard", shard]));
    }
    whole.sort();
    together.sort();
    assert!(whole.len() > 12 * 52, "every measurement of twelve studies");
    assert_eq!(together, whole, "the same lines");

    fs::write(folder.join("series/torn.study.ron"), "(format_version: 1").expect("written");
    let output = run(folder, &["measure", "series", "--parquet-parts", "parts"]);
    assert_eq!(output.status.code(), Some(1), "one study failed");
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(
        text.contains("13 studies in 1 parts, 0 of them there already"),
        "{text}"
    );
    let text = printed(folder, &["measure", "series", "--parquet-parts", "parts"]);
    assert!(
        text.contains("1 of them there already"),
        "nothing is done twice: {text}"
    );
    let told = refused(
        folder,
        &[
            "measure",
            "series",
            "--parquet-parts",
            "parts",
            "--shard",
            "1/2",
        ],
    );
    assert!(told.contains("another number of shards"), "{told}");
}

#[test]
fn films_that_a_killed_job_saved_are_traced_again_into_the_same_part() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    fs::create_dir(folder.join("films")).expect("made");
    let sample =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images/sample-foot-ap.png");
    fs::copy(sample, folder.join("films/foot.png")).expect("copied");
    let arguments = ["trace", "films", "--save", "--parquet-parts", "parts"];
    let text = printed(folder, &arguments);
    assert!(
        text.contains("1 films in 1 parts, 0 of them there already"),
        "{text}"
    );
    let study = folder.join("films/foot.png.study.ron");
    let saved = fs::read(&study).expect("saved");
    let part = folder.join("parts/part-000001-of-000001-000000.parquet");
    let first = fs::read(&part).expect("a part");
    // As if the job had been killed between the study and the part.
    fs::remove_file(&part).expect("removed");
    let text = printed(folder, &arguments);
    assert!(text.contains("0 of them there already"), "{text}");
    assert!(fs::read(&part).expect("a part") == first, "the same part");
    assert!(
        fs::read(&study).expect("there") == saved,
        "the study as it was"
    );
    let text = printed(folder, &arguments);
    assert!(text.contains("1 of them there already"), "{text}");
}
