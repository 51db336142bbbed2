//! `plumbray export`: what it writes, and what it refuses with words that say what to do. What is in the objects is
//! read back by others in `tests/tests/dicom_objects`.

use std::{
    collections::BTreeSet,
    fs,
    path::{Path, PathBuf},
};

use clap::CommandFactory as _;
use plumbray::command_line::CommandLine;
use plumbray_film::{FilmObject, FilmValue};
use plumbray_study::ContentHash;
use tempfile::TempDir;

mod script;

use script::{printed, refused, run};

const STUDY: &str = "sample-foot-ap.dcm.study.ron";

/// The folder of the sample films.
fn sample_images() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images")
}

/// A folder with the traced sample foot.
fn desk() -> TempDir {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for name in [STUDY, "sample-foot-ap.dcm", "sample-foot-lateral.dcm"] {
        fs::copy(sample_images().join(name), folder.path().join(name)).expect("a sample");
    }
    folder
}

fn change(file: &Path, old: &str, new: &str) {
    let text = fs::read_to_string(file).expect("a study");
    assert!(text.contains(old), "{old}");
    fs::write(file, text.replace(old, new)).expect("writable");
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .map(|entries| {
            let names = entries.map(|entry| entry.expect("an entry").file_name());
            names
                .map(|name| name.to_string_lossy().into_owned())
                .collect()
        })
        .unwrap_or_default();
    names.sort();
    names
}

#[test]
fn each_choice_writes_its_objects_under_names_that_name_nobody() {
    let desk = desk();
    for (choice, expected) in [
        ("--report", &["report.dcm"][..]),
        ("--drawing", &["drawing-ap.dcm", "drawing-lateral.dcm"]),
        ("--sheet", &["sheet.dcm"]),
        ("--picture", &["picture-ap.dcm", "picture-lateral.dcm"]),
        ("--film", &["film-ap.dcm", "film-lateral.dcm"]),
    ] {
        let into = format!("out{choice}");
        let text = printed(desk.path(), &["export", STUDY, "--into", &into, choice]);
        assert_eq!(names(&desk.path().join(&into)), expected, "{choice}");
        let told: Vec<&str> = text.lines().collect();
        let paths: Vec<String> = expected
            .iter()
            .map(|name| Path::new(&into).join(name).display().to_string())
            .collect();
        assert_eq!(told, paths, "{choice}: where they lie");
    }
    let copied = fs::read(desk.path().join("out--film/film-ap.dcm")).expect("a film");
    let original = fs::read(desk.path().join("sample-foot-ap.dcm")).expect("a film");
    assert!(copied == original, "a DICOM film goes as it is");
}

#[test]
fn nothing_leaves_before_somebody_confirmed_the_side() {
    let desk = desk();
    change(
        &desk.path().join(STUDY),
        "confirmed: true",
        "confirmed: false",
    );
    for choice in ["--report", "--drawing", "--sheet", "--picture"] {
        let words = refused(desk.path(), &["export", STUDY, "--into", "out", choice]);
        assert!(words.contains("confirm it"), "{choice}: {words}");
    }
    printed(desk.path(), &["export", STUDY, "--into", "films", "--film"]);
    assert_eq!(
        names(&desk.path().join("out")),
        [""; 0],
        "nothing half done"
    );
}

#[test]
fn a_side_against_the_films_file_leaves_only_by_a_person_who_looked() {
    let desk = desk();
    change(&desk.path().join(STUDY), "foot: left", "foot: right");
    for choice in ["--report", "--drawing", "--sheet", "--picture"] {
        for identity in [&[][..], &["--without-identity"]] {
            let arguments = [&["export", STUDY, "--into", "out", choice], identity].concat();
            let words = refused(desk.path(), &arguments);
            let said = "the AP film’s file says left foot (Image Laterality), the study says right";
            assert!(words.contains(said), "{choice}: {words}");
            assert!(words.contains("--films-looked-at"), "the way on: {words}");
        }
    }
    assert_eq!(names(&desk.path().join("out")), [""; 0], "nothing written");
    printed(desk.path(), &["export", STUDY, "--into", "films", "--film"]);
    let looked = ["export", STUDY, "--into", "looked", "--report", "--sheet"];
    printed(desk.path(), &[&looked[..], &["--films-looked-at"]].concat());
    let report = fs::read(desk.path().join("looked/report.dcm")).expect("a report");
    let told = "Look again: the AP film’s file says left foot";
    let tells = report
        .windows(told.len())
        .any(|bytes| bytes == told.as_bytes());
    assert!(tells, "the report tells it");
}

#[test]
fn a_view_against_the_films_file_leaves_only_by_a_person_who_looked() {
    let desk = desk();
    // Of equal length, so that nothing else of the file changes: dorsoplantar becomes lateral.
    patch_film(
        desk.path(),
        "sample-foot-ap.dcm",
        b"399335002",
        b"399067008",
    );
    let arguments = ["export", STUDY, "--into", "out", "--report"];
    let words = refused(desk.path(), &arguments);
    let said = "the file of the film that is read as AP says lateral (View Code Sequence)";
    assert!(words.contains(said), "{words}");
    printed(
        desk.path(),
        &[&arguments[..], &["--films-looked-at"]].concat(),
    );
}

#[test]
fn nothing_that_lies_there_is_written_over() {
    let desk = desk();
    let arguments = ["export", STUDY, "--into", "out", "--report", "--drawing"];
    fs::create_dir(desk.path().join("out")).expect("a folder");
    fs::write(desk.path().join("out/drawing-ap.dcm"), b"mine").expect("writable");
    let words = refused(desk.path(), &arguments);
    assert!(words.contains("another folder"), "{words}");
    assert_eq!(
        names(&desk.path().join("out")),
        ["drawing-ap.dcm"],
        "no other"
    );
    let mine = fs::read(desk.path().join("out/drawing-ap.dcm")).expect("still there");
    assert_eq!(mine, b"mine", "untouched");
}

#[test]
fn a_film_that_is_missing_or_was_changed_is_told_with_what_to_do() {
    let desk = desk();
    let lateral = desk.path().join("sample-foot-lateral.dcm");
    let arguments = ["export", STUDY, "--into", "out", "--report"];
    let mut bytes = fs::read(&lateral).expect("a film");
    bytes.push(0);
    fs::write(&lateral, bytes).expect("writable");
    let words = refused(desk.path(), &arguments);
    assert!(words.contains("lateral film was changed"), "{words}");
    let bare = [&arguments[..], &["--without-identity"]].concat();
    let words = refused(desk.path(), &bare);
    assert!(words.contains("lateral film was changed"), "{words}");
    fs::remove_file(&lateral).expect("removable");
    let words = refused(desk.path(), &arguments);
    assert!(words.contains("put its file back"), "{words}");
}

#[test]
fn a_picture_that_its_file_does_not_have_is_refused() {
    let desk = desk();
    let later = "picture: 2,\n            width_px: 911";
    change(&desk.path().join(STUDY), "width_px: 911", later);
    for choice in ["--report", "--film"] {
        let words = refused(desk.path(), &["export", STUDY, "--into", "out", choice]);
        assert!(words.contains("sample-foot-ap.dcm"), "{choice}: {words}");
    }
    assert_eq!(
        names(&desk.path().join("out")),
        [""; 0],
        "nothing half done"
    );
}

/// Writes a film with other bytes, and the study with its hash.
fn patch_film(desk: &Path, name: &str, old: &[u8], new: &[u8]) {
    let film = desk.join(name);
    let mut bytes = fs::read(&film).expect("a film");
    let before = ContentHash::of_bytes(&bytes).to_string();
    let at = bytes
        .windows(old.len())
        .position(|window| window == old)
        .expect("it is there");
    bytes[at..at + new.len()].copy_from_slice(new);
    let after = ContentHash::of_bytes(&bytes).to_string();
    fs::write(&film, bytes).expect("writable");
    change(&desk.join(STUDY), &before, &after);
}

#[test]
fn films_of_two_patients_are_refused() {
    let desk = desk();
    patch_film(desk.path(), "sample-foot-lateral.dcm", b"SAMPLE", b"OTHERS");
    let words = refused(desk.path(), &["export", STUDY, "--into", "out", "--report"]);
    assert!(words.contains("two different patients"), "{words}");
}

#[test]
fn letters_of_other_languages_arrive_in_utf_8() {
    let desk = desk();
    for film in ["sample-foot-ap.dcm", "sample-foot-lateral.dcm"] {
        patch_film(desk.path(), film, b"ISO_IR 192", b"ISO_IR 100");
        patch_film(desk.path(), film, b"Sample^Foot", b"S\xe4mple^F\xf8\xf8t");
    }
    printed(desk.path(), &["export", STUDY, "--into", "out", "--report"]);
    let bytes = fs::read(desk.path().join("out/report.dcm")).expect("a report");
    let report = FilmObject::read(&bytes).expect("DICOM").expect("an object");
    let said = |tag: (u16, u16)| {
        let tag = dicom_tag(tag);
        match &report.element(tag).expect("there").value {
            FilmValue::Bytes(bytes) => String::from_utf8(bytes.clone()).expect("UTF-8"),
            FilmValue::Items(_) => panic!("a text"),
        }
    };
    assert_eq!(said((0x0008, 0x0005)), "ISO_IR 192", "character set");
    assert_eq!(
        said((0x0010, 0x0010)).trim(),
        "Sämple^Føøt",
        "the same name"
    );
}

fn dicom_tag((group, element): (u16, u16)) -> dicom_core::Tag {
    dicom_core::Tag(group, element)
}

#[test]
fn the_command_line_says_what_is_missing_and_how_a_mask_is_written() {
    let desk = desk();
    let words = |arguments: &[&str]| {
        let output = run(desk.path(), arguments);
        assert!(!output.status.success(), "{arguments:?}");
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let nothing = words(&["export", STUDY, "--into", "out"]);
    assert!(nothing.contains("--report"), "{nothing}");
    let bare = ["export", STUDY, "--into", "out", "--film"];
    let alone = words(&[&bare[..], &["--mask", "ap:1,2,3,4"]].concat());
    assert!(alone.contains("--without-identity"), "{alone}");
    let odd = [&bare[..], &["--without-identity", "--mask", "ap:1,2,3"]].concat();
    assert!(words(&odd).contains("ap:20,15,300,80"), "{}", words(&odd));
    let beside = [
        &bare[..],
        &["--without-identity", "--mask", "ap:5000,0,9,9"],
    ]
    .concat();
    assert!(
        words(&beside).contains("does not lie on the film of 911 by 1056"),
        "{}",
        words(&beside)
    );
    let output: PathBuf = desk.path().join("out");
    assert_eq!(names(&output), [""; 0], "nothing half done");
}

#[test]
fn without_identity_it_is_said_that_letters_stay_unless_somebody_looked() {
    let desk = desk();
    let arguments = [
        "export",
        STUDY,
        "--into",
        "out",
        "--film",
        "--without-identity",
    ];
    let text = printed(desk.path(), &arguments);
    assert!(text.contains("look at each film"), "{text}");
    let looked = [
        "export",
        STUDY,
        "--into",
        "looked",
        "--film",
        "--without-identity",
        "--no-text-in-picture",
    ];
    let text = printed(desk.path(), &looked);
    assert!(!text.contains("look at each film"), "{text}");
    for name in ["film-ap.dcm", "film-lateral.dcm"] {
        let bytes = fs::read(desk.path().join("out").join(name)).expect("a film");
        let named = bytes.windows(6).any(|window| window == b"Sample");
        assert!(!named, "{name} names nobody");
    }
}

#[test]
fn the_documentation_names_every_option_and_no_other() {
    let command = CommandLine::command();
    let export = command.find_subcommand("export").expect("the subcommand");
    let options: BTreeSet<String> = export
        .get_arguments()
        .filter_map(|argument| argument.get_long())
        .map(|name| format!("--{name}"))
        .collect();
    let page = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/command-line.md");
    let page = fs::read_to_string(page).expect("the page");
    let (_, chapter) = page.split_once("## Export\n").expect("its chapter");
    let chapter = chapter.split("\n## ").next().unwrap_or_default();
    let named: BTreeSet<String> = chapter
        .lines()
        .filter_map(|line| line.strip_prefix("| `--"))
        .map(|rest| {
            let name = rest.split(['`', ' ']).next().unwrap_or_default();
            format!("--{name}")
        })
        .collect();
    assert_eq!(named, options, "options");
}
