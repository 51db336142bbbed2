//! Objects about one picture of a file that holds several.

use std::{collections::BTreeMap, fs};

use plumbray_study::ContentHash;
use plumbray_tests::{answered_outside, repository};
use serde::Deserialize;
use serde_json::{Value, json};

use super::{
    assert_reported, assert_valid,
    exported::{Exported, copy_sample},
};

/// Where letters are masked, on each picture.
const BOX: [u32; 4] = [100, 200, 60, 40];

#[derive(Deserialize)]
struct Told {
    frames: BTreeMap<String, Vec<Option<u32>>>,
    pictures: usize,
    differ_outside: Vec<usize>,
    values_inside: Vec<usize>,
}

/// The sample foot, its AP film the second of three pictures of its file.
fn run(further: &[&str]) -> (Exported, Told) {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let film = folder.path().join("sample-foot-ap.dcm");
    copy_sample("sample-foot-lateral.dcm", folder.path());
    let sample = repository().join("sample-images/sample-foot-ap.dcm");
    let made: Value = answered_outside(
        "dicom/runs.py",
        &json!({"write": {"film": sample, "run": film}}),
    );
    assert_eq!(made, json!({}), "the run is made");
    let hash = |path| ContentHash::of_file(path).expect("a film").to_string();
    let study = repository().join("sample-images/sample-foot-ap.dcm.study.ron");
    let text = fs::read_to_string(study).expect("the sample study");
    let text = text.replace(&hash(&sample), &hash(&film)).replacen(
        "width_px: 911",
        "picture: 2,\n            width_px: 911",
        1,
    );
    let study = folder.path().join("sample-foot-ap.dcm.study.ron");
    fs::write(&study, text).expect("writable");
    let exported = Exported::of(folder, study, further);
    let read = json!({"film": film, "folder": exported.objects(), "box": BOX});
    let told = answered_outside("dicom/runs.py", &json!({"read": read}));
    (exported, told)
}

fn assert_refers_to_the_traced_picture(told: &Told) {
    for name in ["drawing-ap", "picture-ap"] {
        assert_eq!(told.frames[name], [Some(2)], "{name}: the traced one");
    }
    // Its evidence lists whole objects.
    assert_eq!(told.frames["report"], [Some(2), None], "report");
    assert_eq!(told.frames["sheet"], [None], "a sheet knows no frames");
    for name in ["drawing-lateral", "picture-lateral"] {
        assert!(told.frames[name].is_empty(), "{name}: of the other film");
    }
}

#[test]
fn what_refers_to_a_film_of_several_pictures_names_the_traced_one() {
    let (exported, told) = run(&[]);
    assert_refers_to_the_traced_picture(&told);
    assert_eq!(told.differ_outside, [0; 3], "the film is as it was");
    assert_valid(&exported, false);
    assert_reported(&exported, &[]);
    for (name, picture) in exported.read().pictures {
        assert!(picture.is_same, "{name}: as the program draws it");
    }
}

#[test]
fn without_identity_every_picture_stays_and_every_one_has_the_box() {
    let [left, top, width, height] = BOX;
    let mask = format!("ap:{left},{top},{width},{height}");
    let (exported, told) = run(&["--without-identity", "--mask", &mask]);
    assert_refers_to_the_traced_picture(&told);
    assert_eq!(told.pictures, 3, "all of them");
    assert_eq!(told.differ_outside, [0; 3], "value by value");
    assert_eq!(told.values_inside, [1; 3], "filled on each");
    assert_valid(&exported, false);
    assert_reported(&exported, &[]);
}
