//! `plumbray archives` and `plumbray send`, as a script runs them, without an archive. What needs one is in
//! `tests/tests/archive_command_line`.

mod script;

use std::path::Path;

use plumbray_tests::free_port;

use crate::script::{printed, refused, run};

fn film() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images/alder-ap.dcm");
    path.display().to_string()
}

#[test]
fn archives_are_added_listed_changed_and_removed() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    assert_eq!(printed(folder, &["archives"]), "", "none yet");
    let add = [
        "archives",
        "add",
        "Clinic",
        "--host",
        "archive.example",
        "--called",
        "CLINIC",
    ];
    printed(folder, &add);
    let web = [
        "archives",
        "add",
        "Web",
        "--url",
        "https://web.example/dicom-web",
        "--user",
        "ann",
    ];
    printed(folder, &web);
    let listed = printed(folder, &["archives"]);
    assert_eq!(
        listed,
        "Clinic: CLINIC at archive.example:104, called by PLUMBRAY; not encrypted\n\
         Web: https://web.example/dicom-web, as ann\n",
        "both"
    );
    printed(folder, &[&add[..], &["--port", "11112"]].concat());
    assert!(
        printed(folder, &["archives"]).contains("archive.example:11112"),
        "changed"
    );
    printed(folder, &["archives", "remove", "Clinic"]);
    assert!(
        !printed(folder, &["archives"]).contains("Clinic"),
        "removed"
    );
    let everything = refused(folder, &["find", "Web", "--modality", "DX"]);
    assert!(everything.contains("Say at least a number"), "{everything}");
    let unknown = refused(folder, &["find", "Clinic", "--patient-id", "1"]);
    assert!(unknown.contains("known are: Web"), "{unknown}");
}

#[test]
fn a_secret_over_an_open_line_is_refused_and_a_missing_one_is_told() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    let open = [
        "archives",
        "add",
        "Web",
        "--url",
        "http://web.example/dicom-web",
        "--bearer",
    ];
    let said = refused(folder, &open);
    assert!(said.contains("everybody on the way can read it"), "{said}");
    let local = [
        "archives",
        "add",
        "Web",
        "--url",
        "http://127.0.0.1:1/dicom-web",
        "--bearer",
    ];
    printed(folder, &local);
    let said = refused(folder, &["archives", "echo", "Web"]);
    assert!(
        said.contains("secret") || said.contains("keyring"),
        "{said}"
    );
}

#[test]
fn what_cannot_be_sent_now_waits_in_the_queue_and_can_be_taken_back() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    let port = free_port().to_string();
    printed(
        folder,
        &[
            "archives",
            "add",
            "Clinic",
            "--host",
            "127.0.0.1",
            "--port",
            &port,
        ],
    );
    let said = refused(folder, &["send", "Nobody", &film()]);
    assert!(said.contains("no archive “Nobody”"), "{said}");
    assert_eq!(
        printed(folder, &["send", "--queue"]),
        "",
        "nothing was queued for nobody"
    );

    let sent = run(folder, &["send", "Clinic", &film()]);
    assert_eq!(sent.status.code(), Some(1), "it is away");
    let waiting = printed(folder, &["send", "--queue"]);
    assert!(waiting.contains("waiting (tries: 1)"), "{waiting}");
    assert!(waiting.contains("cannot be reached"), "{waiting}");
    assert!(!waiting.contains("Sample"), "no patient's name: {waiting}");

    let retried = run(folder, &["send", "--retry", "all"]);
    assert_eq!(retried.status.code(), Some(1), "still away");
    assert!(
        printed(folder, &["send", "--queue"]).contains("(tries: 2)"),
        "tried again"
    );
    let job = waiting.split_whitespace().next().expect("a job").to_owned();
    printed(folder, &["send", "--cancel", &job]);
    assert_eq!(printed(folder, &["send", "--queue"]), "", "taken back");
    let gone = refused(folder, &["send", "--cancel", &job]);
    assert!(gone.contains("there is no job"), "{gone}");
}

#[test]
fn a_damaged_list_of_archives_is_told() {
    let home = tempfile::tempdir().expect("a folder");
    let folder = home.path();
    printed(
        folder,
        &["archives", "add", "Clinic", "--host", "archive.example"],
    );
    let path = folder.join(".config/plumbray/archives.ron");
    std::fs::write(&path, "(archives: nonsense").expect("written");
    let said = refused(folder, &["archives"]);
    assert!(said.contains("archives.ron"), "{said}");
}
