//! The whole way as a script goes it: an archive is added, films are sent, found and fetched.
#![cfg(unix)]

#[path = "../archive_servers/mod.rs"]
#[allow(dead_code, reason = "each test program uses a part of the servers")]
mod servers;

use std::process::Command;

use serde_json::{Value, json};

use crate::servers::{
    dcmqrscp, files,
    films::{films, opened},
    free_port,
    orthanc::orthanc,
    script::Home,
    temporary,
};

/// Sends six films to an archive that is known as Clinic, and gets those of one patient back.
fn there_and_back(home: &Home) {
    assert!(
        home.printed(&["archives", "echo", "Clinic"])
            .starts_with("Clinic: "),
        "it answers"
    );
    let folder = temporary("films");
    let films = films(folder.path());
    let paths: Vec<String> = films
        .iter()
        .map(|film| film.path.display().to_string())
        .collect();
    let names: Vec<&str> = paths.iter().map(String::as_str).collect();
    let sent = home.printed(&[&["send", "Clinic"], &names[..]].concat());
    assert_eq!(
        sent.lines().filter(|line| line.ends_with(": sent")).count(),
        6,
        "{sent}"
    );
    assert_eq!(home.printed(&["send", "--queue"]), "", "nothing waits");

    let birches = home.printed(&["find", "Clinic", "--name", "Birch*", "--from", "2026-02-01"]);
    assert_eq!(birches.lines().count(), 2, "{birches}");
    assert!(
        birches.contains("2026-02-10  Birch, Björn  B-2  Foot, birch"),
        "{birches}"
    );
    let study = opened(&films[0].path).identity().study.to_string();
    let found = home.printed(&["find", "Clinic", "--study", &study, "--json"]);
    let found: Value = serde_json::from_str(&found).expect("JSON");
    assert_eq!(found["studies"][0]["patient_id"], "A-1", "{found}");
    let listed: usize = found["studies"][0]["series"]
        .as_array()
        .expect("series")
        .iter()
        .map(|series| series["films"].as_array().expect("films").len())
        .sum();
    assert_eq!(listed, 2, "{found}");

    let fetched = home.printed(&["fetch", "Clinic", "--study", &study, "--into", "fetched"]);
    assert_eq!(fetched.lines().count(), 2, "{fetched}");
    let origins = home.file("config/plumbray/fetched-from.ron");
    let origins = std::fs::read_to_string(origins).expect("where they came from");
    assert_eq!(origins.matches("Clinic").count(), 2, "{origins}");
    assert!(!origins.contains("Alder"), "no patient: {origins}");
    let came = files(&home.file("fetched"));
    assert_eq!(came.len(), 2, "{came:?}");
    for film in &films[..2] {
        let film = opened(&film.path);
        let path = home.file(&format!("fetched/{}.dcm", film.identity().instance));
        assert!(
            opened(&path).data_set() == film.data_set(),
            "{}",
            path.display()
        );
    }
}

#[test]
fn films_go_to_an_archive_of_associations_and_back() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let home = Home::new();
    home.knows_clinic_at(server.port);
    there_and_back(&home);
}

#[test]
fn films_go_to_an_archive_of_the_web_and_back_with_a_password() {
    let orthanc = orthanc(&json!({
        "AuthenticationEnabled": true,
        "RegisteredUsers": { "reader": "open sesame" },
    }));
    let home = Home::new();
    let url = format!("http://127.0.0.1:{}/dicom-web", orthanc.server.port);
    home.printed(&[
        "archives", "add", "Clinic", "--url", &url, "--user", "reader",
    ]);
    there_and_back(&home);
    // The secret is in no file that the program wrote.
    let found = Command::new("grep")
        .args(["-rl", "open sesame"])
        .arg(home.path())
        .output()
        .expect("grep");
    assert!(found.stdout.is_empty(), "{found:?}");
}
