//! `plumbray trace`: what it prints and saves, what it refuses, and what a broken film does to the rest.

use std::{
    collections::BTreeSet,
    fmt::Write as _,
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::{FilmTracing, Origin, Side};
use plumbray_study::{Study, load};
use serde_json::Value;
use tempfile::TempDir;

mod samples;
mod script;

use samples::{sample_images, truth_of};

/// A folder with a film and a table that points at its landmarks, each a few pixels off.
struct Desk {
    folder: TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let desk = Self { folder };
        for film in ["sample-foot-ap", "sample-foot-lateral"] {
            let name = format!("{film}.dcm");
            fs::copy(sample_images().join(&name), desk.path(&name)).expect("a sample film");
            let mut table = "landmark,x_px,y_px\n".to_owned();
            for (landmark, point) in truth_of(film).feet[0].tracing.points.clone() {
                let (x, y) = (point.at.x_px + 4.0, point.at.y_px - 3.0);
                writeln!(table, "{landmark},{x:.1},{y:.1}").expect("a line");
            }
            fs::write(desk.path(&format!("{film}.csv")), table).expect("writable");
        }
        desk
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn printed(&self, arguments: &[&str]) -> String {
        script::printed(self.folder.path(), &[&["trace"], arguments].concat())
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let said = script::refused(self.folder.path(), &[&["trace"], arguments].concat());
        assert_eq!(said.lines().count(), 1, "one line and no stack: {said}");
        said
    }

    fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.printed(arguments)).expect("JSON")
    }

    fn study(&self, name: &str) -> Study {
        load(&self.path(name)).expect("a study")
    }
}

const AP_BY_HINTS: [&str; 3] = ["--hints", "sample-foot-ap.csv", "sample-foot-ap.dcm"];

fn angle(worksheet: &Value, identifier: &str) -> f64 {
    let rows = worksheet["measurements"].as_array().expect("rows");
    let row = rows.iter().find(|row| row["identifier"] == identifier);
    row.expect("a row")["value"].as_f64().expect("a number")
}

#[test]
fn hints_give_landmarks_with_their_spread_and_the_worksheet() {
    let desk = Desk::new();
    let text = desk.printed(&AP_BY_HINTS);
    assert!(text.contains("nobody has looked at it"), "{text}");
    assert!(
        text.contains("spread mm, calibrated by geometry"),
        "whose millimetres: {text}"
    );
    assert!(text.contains("m1_tip"), "landmarks: {text}");
    assert!(text.contains("Hallux valgus angle"), "worksheet: {text}");
    assert!(
        !desk.path("sample-foot-ap.dcm.study.ron").exists(),
        "not saved"
    );
}

#[test]
fn the_json_of_hints_reads_the_film_as_it_is() {
    let desk = Desk::new();
    let json = desk.json(&[
        "--json",
        "--hints",
        "sample-foot-ap.csv",
        "sample-foot-ap.dcm",
    ]);
    let [foot] = json.as_array().expect("a list").as_slice() else {
        panic!("one foot: {json}");
    };
    let valgus = angle(&foot["worksheet"], "hallux_valgus_angle");
    // The sample foot was made with 32°.
    assert!((30.0..34.0).contains(&valgus), "{valgus}");
    let film = &foot["films"][0];
    assert_eq!(film["view"], "ap", "the view");
    let landmarks = film["landmarks"].as_array().expect("landmarks");
    assert!(landmarks.len() > 15, "{} landmarks", landmarks.len());
    for landmark in landmarks {
        assert!(
            landmark["spread_mm"].as_f64().is_some_and(|mm| mm > 0.0),
            "{landmark}"
        );
    }
}

#[test]
fn a_view_that_is_named_decides_what_hints_mean() {
    let desk = Desk::new();
    let lateral = [
        "--hints",
        "sample-foot-lateral.csv",
        "sample-foot-lateral.dcm",
    ];
    let json = desk.json(&[&["--json", "--view", "lateral"], lateral.as_slice()].concat());
    let inclination = angle(&json[0]["worksheet"], "calcaneal_inclination_angle");
    assert!((16.0..26.0).contains(&inclination), "{inclination}");
}

#[test]
fn save_writes_a_study_and_never_over_landmarks() {
    let desk = Desk::new();
    let saving = [&["--save"], AP_BY_HINTS.as_slice()].concat();
    let text = desk.printed(&saving);
    assert!(
        text.contains("Saved: sample-foot-ap.dcm.study.ron"),
        "{text}"
    );
    let study = desk.study("sample-foot-ap.dcm.study.ron");
    let points = &study.tracing.ap.points;
    assert!(
        !points.is_empty()
            && points
                .values()
                .all(|point| point.origin == Origin::Proposed),
        "as proposed: {points:?}"
    );
    assert_eq!(study.foot(), Some(Side::Left), "as the file says");
    assert!(study.side.is_some_and(|side| !side.confirmed), "by nobody");
    let before = fs::read(desk.path("sample-foot-ap.dcm.study.ron")).expect("there");
    let said = desk.refused(&saving);
    assert!(
        said.contains("has landmarks of the AP film already"),
        "{said}"
    );
    let after = fs::read(desk.path("sample-foot-ap.dcm.study.ron")).expect("there");
    assert_eq!(before, after, "not touched");
}

#[test]
fn landmarks_go_into_the_study_that_is_there_if_it_has_none() {
    let desk = Desk::new();
    let saving = [&["--save", "--side", "left"], AP_BY_HINTS.as_slice()].concat();
    desk.printed(&saving);
    let name = "sample-foot-ap.dcm.study.ron";
    let mut study = desk.study(name);
    study.visit.label = "before surgery".to_owned();
    study.tracing.ap = FilmTracing::default();
    let (mut file, _) = plumbray_study::StudyFile::open_with(
        &desk.path(name),
        &plumbray_study::UserFolders::below(desk.folder.path()),
    )
    .expect("the study");
    file.save(&study).expect("writable");
    drop(file);
    desk.printed(&saving);
    let after = desk.study(name);
    assert_eq!(after.visit.label, "before surgery", "what was there stays");
    assert!(!after.tracing.ap.points.is_empty(), "and is traced");
}

#[test]
fn in_a_folder_a_broken_film_does_not_stop_the_rest() {
    let desk = Desk::new();
    fs::create_dir(desk.path("films")).expect("writable");
    for name in ["a.png", "b.png", "c.png"] {
        fs::write(desk.path("films").join(name), "no film").expect("writable");
    }
    fs::write(desk.path("films/notes.txt"), "no film either").expect("writable");
    let output = script::run(desk.folder.path(), &["trace", "--json", "films"]);
    assert_eq!(output.status.code(), Some(1), "something failed");
    let said = String::from_utf8(output.stderr).expect("text");
    for (number, name) in ["a.png", "b.png", "c.png"].iter().enumerate() {
        assert!(
            said.contains(&format!("{} of 3: films/{name}", number + 1)),
            "progress: {said}"
        );
    }
    let json: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let entries = json.as_array().expect("a list");
    assert_eq!(entries.len(), 3, "each film that failed: {json}");
    for entry in entries {
        assert!(entry["error"].is_string(), "{entry}");
    }
}

#[test]
fn what_cannot_be_traced_is_refused_in_one_line_that_says_what_to_do() {
    let desk = Desk::new();
    image::GrayImage::from_pixel(600, 600, image::Luma([90]))
        .save(desk.path("blank.png"))
        .expect("writable");
    fs::create_dir(desk.path("empty")).expect("writable");
    fs::write(desk.path("wrong.csv"), "landmark,x_px,y_px\nm1_tipp,1,2\n").expect("writable");
    let cases: [(&[&str], &str); 6] = [
        (&["none.dcm"], "none.dcm"),
        (&["blank.png"], "without --hints"),
        (&["empty"], "no film in this folder: empty"),
        (
            &["--hints", "none.csv", "blank.png"],
            "cannot be read: none.csv",
        ),
        (&["--hints", "wrong.csv", "blank.png"], "line 2"),
        (
            &["--hints", "sample-foot-ap.csv", "blank.png", "blank.png"],
            "exactly one film",
        ),
    ];
    for (arguments, expected) in cases {
        let said = desk.refused(arguments);
        assert!(said.contains(expected), "{arguments:?}: {said}");
    }
    let said = desk.refused(&["--hints", "sample-foot-ap.csv", "blank.png"]);
    assert!(said.contains("--view ap or --view lateral"), "{said}");
}

/// Names of all fields in some JSON but those of the worksheet, which has a page of its own.
fn fields(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                found.insert(name.clone());
                if name != "worksheet" {
                    fields(member, found);
                }
            }
        }
        Value::Array(members) => members.iter().for_each(|member| fields(member, found)),
        _ => {}
    }
}

#[test]
fn the_documentation_names_every_field() {
    let desk = Desk::new();
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/command-line.md");
    let page = fs::read_to_string(page).expect("the page");
    let documented: BTreeSet<String> = page
        .lines()
        .skip_while(|line| *line != "### The JSON of traced films")
        .skip(1)
        .take_while(|line| !line.starts_with('#'))
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`'))
        .map(|(name, _)| name.to_owned())
        .collect();
    let mut table = "landmark,x_px,y_px\n".to_owned();
    // A sesamoid outside the film is left to the reader.
    table.push_str("tibial_sesamoid_centre,-900,-900\nm1_base_centre,574,802\nm1_tip,664,416\n");
    fs::write(desk.path("some.csv"), table).expect("writable");
    let json = desk.json(&["--json", "--hints", "some.csv", "sample-foot-ap.dcm"]);
    let mut found = BTreeSet::new();
    fields(&json, &mut found);
    let missing: Vec<_> = found.difference(&documented).collect();
    assert!(missing.is_empty(), "not documented: {missing:?}");
    assert!(
        documented.contains("error"),
        "what stands for a film that failed"
    );
}

/// A compressed DICOM film as the second of two pictures of a file; of the first there is nothing that could be decoded.
fn second_of_two(film: &[u8]) -> Vec<u8> {
    let at = |wanted: &[u8]| {
        let mut windows = film.windows(wanted.len());
        windows.position(|window| window == wanted).expect("there")
    };
    let rows = at(b"\x28\0\x10\0US\x02\0");
    // The pixels begin with an item for offsets, which is empty.
    let pixels = at(b"\xe0\x7f\x10\0OB\0\0\xff\xff\xff\xff\xfe\xff\0\xe0\0\0\0\0") + 20;
    [
        &film[..rows],
        b"\x28\0\x08\0IS\x02\x002 ",
        &film[rows..pixels],
        b"\xfe\xff\0\xe0\x04\0\0\0none",
        &film[pixels..],
    ]
    .concat()
}

#[test]
fn one_picture_of_several_is_traced_and_the_study_remembers_it() {
    let desk = Desk::new();
    let film = fs::read(desk.path("sample-foot-ap.dcm")).expect("a film");
    fs::write(desk.path("run.dcm"), second_of_two(&film)).expect("writable");
    let alone = desk.json(&["--json", "sample-foot-ap.dcm"]);
    let of_run = desk.json(&["--json", "--picture", "2", "--save", "run.dcm"]);
    let found = |traced: &Value| traced[0]["films"][0]["landmarks"].clone();
    assert_eq!(found(&of_run), found(&alone), "the very same film");
    let study = desk.study("run.dcm.study.ron");
    let record = study.ap.as_ref().expect("an AP film");
    assert_eq!(record.picture.get(), 2, "remembered");
    let measured = script::printed(desk.folder.path(), &["measure", "run.dcm.study.ron"]);
    assert!(measured.contains("Hallux valgus angle"), "{measured}");
    for (arguments, words) in [
        (
            &["--picture", "3", "run.dcm"][..],
            "the file holds 2 pictures",
        ),
        (
            &["--picture", "2", "run.dcm", "sample-foot-lateral.dcm"],
            "exactly one film",
        ),
    ] {
        let said = desk.refused(arguments);
        assert!(said.contains(words), "{said}");
    }
}
