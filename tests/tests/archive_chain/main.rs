//! The whole way of a foot among the clinic's systems, as a script goes it: its films are found in the archive and
//! fetched, measured, what was measured is exported and sent back, and the next question brings it again. What comes
//! back is read by pydicom and highdicom, and its numbers are those of the worksheet, to the last bit.
#![cfg(unix)]

#[path = "../archive_servers/mod.rs"]
#[allow(dead_code, reason = "each test program uses a part of the servers")]
mod servers;

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
};

use plumbray_tests::answered_outside;
use serde::Deserialize;
use serde_json::{Value, json};

use crate::servers::{
    dcmqrscp, files,
    films::{modify, opened, sample},
    free_port,
    orthanc::orthanc,
    script::Home,
};

/// The study in which the clinic has the two films.
const STUDY: &str = "2.25.7400";

/// What pydicom and highdicom read of what came back.
#[derive(Deserialize)]
struct CameBack {
    films: BTreeMap<String, Pixels>,
    drawings: BTreeMap<String, BTreeSet<String>>,
    reports: Vec<Report>,
    sheets: Vec<String>,
    equal: BTreeSet<String>,
}

#[derive(Debug, Deserialize, PartialEq, Eq)]
struct Pixels {
    are_same_bytes: bool,
    are_same_values: bool,
}

#[derive(Deserialize)]
struct Report {
    /// Numbers, and codes of classes, by the program's identifier.
    values: BTreeMap<String, Value>,
    /// Numbers as highdicom finds them by itself.
    highdicom: BTreeMap<String, f64>,
    films: BTreeSet<String>,
}

/// The two films of a foot as the clinic took them, and put them into its archive.
fn films_in_the_archive(home: &Home) -> [PathBuf; 2] {
    let folder = home.file("clinic");
    fs::create_dir(&folder).expect("made");
    let films = ["ap", "lateral"].map(|view| {
        let path = folder.join(format!("{view}.dcm"));
        fs::copy(sample(&format!("alder-{view}.dcm")), &path).expect("copied");
        modify(
            &path,
            &[
                "PatientID=C-4",
                "PatientName=Cedar^Dora",
                "StudyDate=20260412",
                &format!("StudyInstanceUID={STUDY}"),
            ],
        );
        path
    });
    send(home, &films);
    films
}

/// Sends files to the archive; all are there afterwards.
fn send(home: &Home, files: &[PathBuf]) {
    let names: Vec<String> = files.iter().map(|one| one.display().to_string()).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let sent = home.printed(&[&["send", "Clinic"], &names[..]].concat());
    let taken = sent.lines().filter(|line| line.ends_with(": sent")).count();
    assert_eq!(taken, files.len(), "{sent}");
}

/// How many objects the archive has of the study, series by series, with the modality of each.
fn found(home: &Home) -> BTreeMap<String, usize> {
    let found = home.printed(&["find", "Clinic", "--patient-id", "C-4", "--json"]);
    let found: Value = serde_json::from_str(&found).expect("JSON");
    assert_eq!(
        found["studies"].as_array().map(Vec::len),
        Some(1),
        "{found}"
    );
    let study = found["studies"][0]["study"].as_str().expect("a study");
    assert_eq!(
        study, STUDY,
        "what is sent back belongs to the films' study"
    );
    let films = home.printed(&["find", "Clinic", "--study", study, "--json"]);
    let films: Value = serde_json::from_str(&films).expect("JSON");
    let mut counts = BTreeMap::new();
    for series in films["studies"][0]["series"].as_array().expect("series") {
        let modality = series["modality"].as_str().expect("a modality");
        let films = series["films"].as_array().expect("films").len();
        *counts.entry(modality.to_owned()).or_default() += films;
    }
    counts
}

fn fetch(home: &Home, into: &str) -> Vec<PathBuf> {
    home.printed(&["fetch", "Clinic", "--study", STUDY, "--into", into]);
    files(&home.file(into))
}

/// Fetches the first series of the study alone: one of the two films.
fn one_series_comes_alone(home: &Home) {
    let found = home.printed(&["find", "Clinic", "--study", STUDY, "--json"]);
    let found: Value = serde_json::from_str(&found).expect("JSON");
    let series = &found["studies"][0]["series"][0];
    let uid = series["series"].as_str().expect("a series");
    let fetch = ["fetch", "Clinic", "--study", STUDY, "--series", uid];
    home.printed(&[&fetch[..], &["--into", "series"]].concat());
    let film = series["films"][0]["film"].as_str().expect("a film");
    let expected = home.file(&format!("series/{film}.dcm"));
    assert_eq!(files(&home.file("series")), [expected], "its film alone");
}

/// The fetched films, AP first, with the pixels that were sent.
fn fetched_films(home: &Home, sent: &[PathBuf; 2]) -> [PathBuf; 2] {
    let came = fetch(home, "fetched");
    assert_eq!(came.len(), 2, "{came:?}");
    sent.each_ref().map(|film| {
        let film = opened(film);
        let name = format!("fetched/{}.dcm", film.identity().instance);
        let path = home.file(&name);
        assert!(
            opened(&path).data_set() == film.data_set(),
            "{name}: byte for byte"
        );
        path
    })
}

/// Finds, fetches, measures, sends back, asks again: and all is equal.
fn there_measured_and_back(home: &Home) {
    let sent = films_in_the_archive(home);
    assert_eq!(
        found(home),
        BTreeMap::from([("DX".to_owned(), 2)]),
        "the films alone"
    );
    one_series_comes_alone(home);
    let [ap, lateral] = fetched_films(home, &sent).map(|path| path.display().to_string());
    // The side is the reader's word, as a click is in the window.
    home.printed(&["trace", "--side", "right", "--save", &ap, &lateral]);
    let study = format!("{ap}.study.ron");
    let worksheet = home.printed(&["measure", "--json", &study]);
    let worksheet: Value = serde_json::from_str(&worksheet).expect("JSON");
    home.printed(&[
        "export",
        &study,
        "--into",
        "objects",
        "--report",
        "--drawing",
        "--sheet",
    ]);
    let objects = files(&home.file("objects"));
    assert_eq!(
        objects.len(),
        4,
        "a report, two drawings, a sheet: {objects:?}"
    );
    send(home, &objects);

    let counts = [("DX", 2), ("DOC", 1), ("PR", 2), ("SR", 1)];
    let counts = counts.map(|(modality, count)| (modality.to_owned(), count));
    assert_eq!(found(home), BTreeMap::from(counts), "beside the films");
    let came = fetch(home, "again");
    assert_eq!(came.len(), 6, "{came:?}");
    assert_is_what_was_measured(&home.file("again"), &sent, &objects, &worksheet[0]);
}

/// What others read of what came back is what the worksheet says, about the films that were sent.
fn assert_is_what_was_measured(
    folder: &Path,
    sent: &[PathBuf; 2],
    objects: &[PathBuf],
    worksheet: &Value,
) {
    let question = json!({ "folder": folder, "films": sent, "objects": objects });
    let came: CameBack = answered_outside("archive/came_back.py", &question);
    let instances = |paths: &[PathBuf]| -> BTreeSet<String> {
        let opened = paths.iter().map(|path| opened(path));
        opened
            .map(|object| object.identity().instance.to_string())
            .collect()
    };
    assert_eq!(
        came.equal,
        instances(objects),
        "every element as it was sent"
    );
    let films = instances(sent);
    let same = Pixels {
        are_same_bytes: true,
        are_same_values: true,
    };
    assert!(
        came.films.values().all(|pixels| *pixels == same),
        "{:?}",
        came.films
    );
    assert!(came.films.keys().eq(films.iter()), "both films");
    assert_eq!(came.sheets, ["%PDF-"], "one sheet");
    let drawn: BTreeSet<String> = came.drawings.values().flatten().cloned().collect();
    assert_eq!(
        (came.drawings.len(), &drawn),
        (2, &films),
        "one drawing over each film"
    );

    let [report] = &came.reports[..] else {
        panic!("one report, not {}", came.reports.len())
    };
    assert_eq!(report.films, films, "the report is about both films");
    let mut compared = 0;
    for row in worksheet["measurements"].as_array().expect("rows") {
        let identifier = row["identifier"].as_str().expect("a name");
        let read = report.values.get(identifier);
        let Some(value) = row["value"].as_f64() else {
            assert_eq!(read, None, "{identifier} has no number");
            continue;
        };
        compared += 1;
        let read = read.unwrap_or_else(|| panic!("{identifier} is in the report"));
        if matches!(row["unit"].as_str(), Some("position" | "grade")) {
            assert_eq!(*read, format!("{identifier}.{value:.0}"), "{identifier}");
            continue;
        }
        let exact = read.as_f64().expect("a number");
        assert_eq!(
            exact.to_bits(),
            value.to_bits(),
            "{identifier}: {exact} for {value}"
        );
        let found = report.highdicom[identifier];
        assert!(
            (found - value).abs() <= 1e-8 * value.abs().max(1.0),
            "{identifier}: {found} for {value}"
        );
    }
    assert!(compared > 15, "the foot has many numbers: {compared}");
}

#[test]
fn a_foot_of_an_archive_of_associations_is_measured_and_its_report_comes_back_equal() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let home = Home::new();
    home.knows_clinic_at(server.port);
    there_measured_and_back(&home);
}

#[test]
fn a_foot_of_an_archive_of_the_web_is_measured_and_its_report_comes_back_equal() {
    let orthanc = orthanc(&json!({}));
    let home = Home::new();
    let url = format!("http://127.0.0.1:{}/dicom-web", orthanc.server.port);
    home.printed(&["archives", "add", "Clinic", "--url", &url]);
    there_measured_and_back(&home);
}
