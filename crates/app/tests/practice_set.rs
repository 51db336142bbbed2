//! `plumbray practice-set`: what it writes, and what it refuses.

use std::{fs, path::Path};

use plumbray_anatomy::{Side, View};
use plumbray_practise::PracticeSet;
use plumbray_study::{FilmRecord, SideChoice, Stance, Study, StudyFile, UserFolders};

mod samples;
mod script;

use samples::{sample_images, truth_of};

/// A traced study of a sample film in this folder, by a file name that could be a patient's.
fn oak_is_traced(folder: &Path) -> String {
    let film = folder.join("Jane Doe.dcm");
    fs::copy(sample_images().join("oak-before-ap.dcm"), &film).expect("a sample film");
    let opened = plumbray_film::open(&film).expect("a film");
    let size = [opened.width(), opened.height()].map(|side| u32::try_from(side).expect("small"));
    let mut study = Study {
        side: Some(SideChoice::entered(Side::Right)),
        ap: Some(FilmRecord::of_file(&film, folder, size[0], size[1]).expect("a film")),
        ..Study::default()
    };
    study.visit.stance = Stance::Standing;
    study.reader.name = "Dr Reed".to_owned();
    study.tracing.ap = truth_of("oak-before-ap").feet[0].tracing.clone();
    let path = folder.join("Jane Doe.dcm.study.ron");
    let (mut file, _) =
        StudyFile::open_with(&path, &UserFolders::below(folder)).expect("a new study");
    file.save(&study).expect("writable");
    "Jane Doe.dcm.study.ron".to_owned()
}

#[test]
fn simulated_feet_become_a_set_that_opens_and_is_never_replaced() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let arguments = [
        "practice-set",
        "ward",
        "--simulated",
        "--feet",
        "2",
        "--seed",
        "7",
        "--name",
        "Monday",
    ];
    let said = script::printed(folder.path(), &arguments);
    for word in ["ward", "“Monday”: 2 feet", "seed 7"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    assert!(!said.contains("burnt"), "nobody’s films: {said}");
    let set = PracticeSet::open(&folder.path().join("ward")).expect("a set that opens");
    assert_eq!(set.feet.len(), 2, "as many as asked for");
    assert_ne!(set.feet[0].side, set.feet[1].side, "a left and a right one");
    let refused = script::refused(folder.path(), &arguments);
    assert!(
        refused.contains("already") && refused.contains("new name"),
        "{refused}"
    );
}

#[test]
fn a_supervisors_study_becomes_a_set_without_its_name_and_with_a_warning() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let study = oak_is_traced(folder.path());
    let said = script::printed(
        folder.path(),
        &[
            "practice-set",
            "ward",
            "--from",
            &study,
            "--supervisor",
            "Dr Reed",
            "--snapping",
        ],
    );
    for word in ["1 foot, 1 easy", "Dr Reed", "burnt into", "look at each"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let made = folder.path().join("ward");
    let set = PracticeSet::open(&made).expect("a set that opens");
    let [foot] = &set.feet[..] else {
        panic!("one foot: {:?}", set.feet)
    };
    assert_eq!(foot.side, Side::Right, "the side of the study");
    assert!(set.defaults.snapping, "as it was asked for");
    assert!(foot.lateral.is_none(), "the study has no lateral film");
    let picture = plumbray_film::open(&made.join(&foot.ap.as_ref().expect("an AP film").file))
        .expect("a picture");
    let film = plumbray_film::open(&folder.path().join("Jane Doe.dcm")).expect("the film");
    assert_eq!(
        (picture.width(), picture.height()),
        (film.width(), film.height()),
        "the film’s pixels"
    );
    let reference = foot.reference(&made).expect("a reference");
    let truth = truth_of("oak-before-ap").feet[0].tracing.points.len();
    assert_eq!(
        reference.tracing.on(View::Ap).points.len(),
        truth,
        "the supervisor’s landmarks"
    );
    for entry in fs::read_dir(&made).expect("a folder") {
        let path = entry.expect("an entry").path();
        let bytes = fs::read(&path).expect("readable");
        let tells = bytes.windows(8).any(|part| part == b"Jane Doe");
        assert!(!tells, "{} names the patient", path.display());
    }
}

#[test]
fn what_makes_no_set_is_refused_in_one_line_and_leaves_nothing() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (arguments, word) in [
        (vec!["ward", "--simulated", "--feet", "0"], "from 1 to 2000"),
        (
            vec![
                "ward",
                "--from",
                "absent.study.ron",
                "--supervisor",
                "Dr Reed",
            ],
            "absent.study.ron",
        ),
        (
            vec!["ward", "--from", "absent.study.ron", "--supervisor", " "],
            "name the supervisor",
        ),
        (
            vec!["no/such/place/ward", "--simulated", "--feet", "1"],
            "check that the folder exists",
        ),
    ] {
        let said = script::refused(folder.path(), &[&["practice-set"], &arguments[..]].concat());
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(!folder.path().join("ward").exists(), "nothing half made");
    }
    for arguments in [
        vec!["practice-set", "ward"],
        vec!["practice-set", "ward", "--from", "absent.study.ron"],
        vec!["practice-set", "ward", "--simulated", "--supervisor", "X"],
        vec!["practice-set", "ward", "--seed", "7"],
    ] {
        let code = script::run(folder.path(), &arguments).status.code();
        assert_eq!(code, Some(2), "{arguments:?} lacks something");
    }
}
