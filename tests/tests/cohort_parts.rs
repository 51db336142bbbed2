//! The parts of a series that a Dask cluster measured, read by DuckDB as one table (`tests/outside/cohort`).

use std::{fs, path::Path, process::Command};

use plumbray_tests::{answered_outside, plumbray_program, repository};
use serde_json::{Value, json};

const STUDIES: usize = 200;
const SHARDS: usize = 8;

/// Copies of the sample foot's study, the first metatarsal's head a little elsewhere in each.
fn put_studies(folder: &Path) {
    let sample = repository().join("sample-images/sample-foot-ap.dcm.study.ron");
    let text = fs::read_to_string(sample).expect("the sample");
    for number in 0..STUDIES {
        let below = folder.join(format!("patient-{:03}", number / 4));
        fs::create_dir_all(&below).expect("made");
        let moved = with_head_moved(&text, number);
        fs::write(below.join(format!("{number}, “foot”.study.ron")), moved).expect("written");
    }
}

/// The study with the head of the first metatarsal a hundredth of a pixel further for each number, so that no two
/// studies measure the same.
fn with_head_moved(text: &str, number: usize) -> String {
    let mark = "\"m1_head_centre\": (x_px: ";
    let (before, rest) = text.split_once(mark).expect("a head");
    let (x, after) = rest.split_once(',').expect("a coordinate");
    let x: f64 = x.parse().expect("a number");
    let step = f64::from(u32::try_from(number).expect("small")) / 100.0;
    format!("{before}{mark}{},{after}", x + step)
}

#[test]
fn the_shards_of_a_cluster_are_one_table_and_the_same_as_one_process_writes() {
    let folder = tempfile::tempdir().expect("a folder");
    let (studies, parts) = (folder.path().join("studies"), folder.path().join("parts"));
    put_studies(&studies);
    let program = plumbray_program();
    let ran: Value = answered_outside(
        "cohort/shards_by_dask.py",
        &json!({ "program": program, "studies": studies, "parts": parts, "shards": SHARDS }),
    );
    assert_eq!(ran["workers"], 2, "both workers had jobs: {ran}");
    assert_eq!(
        ran["said"].as_array().map(Vec::len),
        Some(SHARDS),
        "jobs: {ran}"
    );

    let output = Command::new(program)
        .args(["measure", "--csv"])
        .arg(&studies)
        .output()
        .expect("the program starts");
    assert!(output.status.success(), "{output:?}");
    let csv = folder.path().join("whole.csv");
    fs::write(&csv, output.stdout).expect("written");
    let compared: Value = answered_outside(
        "cohort/parts_as_table.py",
        &json!({ "parts": parts, "csv": csv }),
    );
    assert_eq!(compared["only_in_parts"], 0, "{compared}");
    assert_eq!(compared["only_in_csv"], 0, "{compared}");
    assert_eq!(
        compared["lines_of_parts"], compared["lines_of_csv"],
        "{compared}"
    );
    let lines = compared["lines_of_csv"].as_u64().expect("a number");
    assert!(
        lines > 200 * 52,
        "every measurement of every study: {compared}"
    );
    assert_eq!(
        compared["types"]["value"], "DOUBLE",
        "numbers are numbers: {compared}"
    );
}
