//! `plumbray phantom`: what it writes, and what it refuses.

use std::{
    fs,
    path::Path,
    process::{Command, Output},
};

use plumbray_phantom::FilmTruth;

/// Coarse pixels, so that a film is quick.
const COARSE: [&str; 2] = ["--exposure", "pixel_mm=1.5"];

fn run(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_plumbray"))
        .arg("phantom")
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program starts")
}

fn printed(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert!(
        output.status.success(),
        "{arguments:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).expect("text")
}

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(1), "{arguments:?} must fail");
    String::from_utf8(output.stderr).expect("text")
}

fn truth(path: &Path) -> FilmTruth {
    let text = fs::read_to_string(path).expect("a truth");
    ron::from_str(&text).expect("a truth that can be read")
}

#[test]
fn a_seed_gives_the_same_films_each_time_and_another_seed_others() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, seed) in [("one", "7"), ("two", "7"), ("other", "8")] {
        let said = printed(
            folder.path(),
            &[&COARSE[..], &["--seed", seed, "--view", "ap", name]].concat(),
        );
        assert_eq!(said.lines().count(), 2, "film and truth: {said}");
    }
    let bytes = |name: &str| {
        let path = folder.path().join(name);
        fs::read(&path).unwrap_or_else(|problem| panic!("{}: {problem}", path.display()))
    };
    for ending in ["dcm", "truth.ron"] {
        let one = bytes(&format!("one/simulated-foot-7-ap.{ending}"));
        assert!(
            one == bytes(&format!("two/simulated-foot-7-ap.{ending}")),
            "{ending}, same seed"
        );
        assert!(
            one != bytes(&format!("other/simulated-foot-8-ap.{ending}")),
            "{ending}, other seed"
        );
    }
}

#[test]
fn parameters_and_exposure_are_those_asked_for() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let arguments = [
        &COARSE[..],
        &["--set", "side=left", "--set", "hallux_valgus_angle=31.5"],
        &[
            "--exposure",
            "tube_tilt_degrees=20",
            "--format",
            "png",
            "films",
        ],
    ]
    .concat();
    let said = printed(folder.path(), &arguments);
    assert_eq!(said.lines().count(), 4, "two films and two truths: {said}");
    for name in ["ap", "lateral"] {
        let film = folder
            .path()
            .join(format!("films/simulated-foot-1-{name}.png"));
        assert!(film.exists(), "{}", film.display());
        let truth = truth(&film.with_extension("truth.ron"));
        let parameters = &truth.feet[0].parameters;
        assert_eq!(parameters.side, plumbray_anatomy::Side::Left, "the side");
        for (asked, got) in [
            (31.5, parameters.hallux_valgus_angle),
            (20.0, truth.exposure.tube_tilt_degrees),
            (1.5, truth.exposure.pixel_mm),
        ] {
            assert!((asked - got).abs() < 1e-12, "{got} instead of {asked}");
        }
    }
}

#[test]
fn an_older_file_is_never_replaced() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let arguments = [&COARSE[..], &["--view", "ap", "films"]].concat();
    printed(folder.path(), &arguments);
    let message = refused(folder.path(), &arguments);
    assert!(
        message.contains("simulated-foot-1-ap.dcm") && message.contains("another"),
        "{message}"
    );
}

#[test]
fn a_poor_film_is_taken_as_its_name_says_and_a_jpeg_is_small() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let arguments = [
        &COARSE[..],
        &["--view", "ap", "--poor", "tilted-tube"],
        &["--format", "jpeg", "films"],
    ]
    .concat();
    printed(folder.path(), &arguments);
    let film = folder.path().join("films/simulated-foot-1-ap.jpg");
    let bytes = fs::read(&film).expect("a film");
    assert!(bytes.starts_with(&[0xff, 0xd8]), "the start of a JPEG");
    let tilt = truth(&film.with_extension("truth.ron"))
        .exposure
        .tube_tilt_degrees;
    assert!((tilt - 30.0).abs() < 1e-12, "{tilt}");
}

#[test]
fn what_no_foot_or_film_can_be_is_told_in_one_line() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (arguments, named) in [
        (["--set", "hallux_valgus_angle=99", "films"], "-15 to 50"),
        (["--set", "bunion=1", "films"], "hallux_valgus_angle"),
        (["--exposure", "pixel_mm=0", "films"], "pixel_mm"),
        (["--exposure", "pixel_mm=NaN", "films"], "pixel_mm"),
    ] {
        let message = refused(folder.path(), &arguments);
        assert_eq!(message.lines().count(), 1, "{message}");
        assert!(message.contains(named), "{message}");
    }
}

#[test]
fn the_list_holds_every_parameter_and_every_setting() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let said = printed(folder.path(), &["--list"]);
    for line in [
        "--set hallux_valgus_angle=10.0",
        "--set side=right",
        "--exposure tube_tilt_degrees=15.0",
    ] {
        assert!(
            said.lines().any(|known| known == line),
            "{line} is not in {said}"
        );
    }
}
