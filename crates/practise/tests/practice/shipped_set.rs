//! The practice set that comes with the program: it opens, its truth gives the numbers, and a perfect attempt is perfect.

use std::path::{Path, PathBuf};

use plumbray_anatomy::{Side, View};
use plumbray_measure::Measurement;
use plumbray_practise::{
    Attempt, DifficultyGrade, PracticeSet, ReferenceSource, lesson, reference_to_bytes,
};
use plumbray_study::Study;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images/practice")
}

#[test]
fn every_foot_opens_and_a_perfect_attempt_at_it_scores_zero() {
    let folder = folder();
    let set = PracticeSet::open(&folder).expect("the set opens");
    assert_eq!(set.feet.len(), 10, "ten feet");
    assert!(
        set.made_with.contains("seed 2026"),
        "the seed is noted: {}",
        set.made_with
    );
    for foot in &set.feet {
        let name = &foot.identifier;
        for view in View::ALL {
            let film = foot.open_film(view, &folder).expect("the film opens");
            let film = film.expect("both views are there");
            let record = foot.film(view).expect("both views are there");
            let size =
                [film.width(), film.height()].map(|side| u32::try_from(side).expect("small"));
            assert_eq!(size, [record.width_px, record.height_px], "{name}: size");
            assert!(film.bone_is_bright(), "{name}: bone is bright");
        }
        let reference = foot.reference(&folder).expect("the reference opens");
        assert_eq!(
            reference.source,
            ReferenceSource::ExactTruth,
            "{name}: exact"
        );
        for needed in [
            Measurement::HalluxValgusAngle,
            Measurement::IntermetatarsalAngle12,
        ] {
            assert!(
                reference.measurements.contains(&needed),
                "{name}: {needed:?}"
            );
        }
        let study = Study {
            tracing: reference.tracing.clone(),
            ..foot.blank_study()
        };
        let attempt = Attempt {
            study: &study,
            snapping: false,
            seconds: 1.0,
        };
        let lesson =
            lesson(foot, &reference, &attempt, &set.defaults).expect("they belong together");
        assert!(!lesson.is_missed(), "{name}: not missed");
        for row in &lesson.measurements {
            let difference = row.difference().expect("measured");
            assert!(
                difference.abs() < 1e-9,
                "{name}: {:?}: {difference}",
                row.measurement
            );
        }
        let farthest = lesson
            .films
            .iter()
            .flat_map(|film| &film.landmarks)
            .map(|row| row.distance)
            .fold(0.0, f64::max);
        assert!(farthest < 1e-9, "{name}: {farthest} off");
    }
}

#[test]
fn both_sides_and_every_difficulty_are_in_it() {
    let set = PracticeSet::open(&folder()).expect("the set opens");
    for side in [Side::Left, Side::Right] {
        assert!(set.feet.iter().any(|foot| foot.side == side), "{side:?}");
    }
    for grade in DifficultyGrade::ALL {
        let count = set
            .feet
            .iter()
            .filter(|foot| foot.difficulty.grade == grade)
            .count();
        assert!(count >= 3, "{grade:?}: {count}");
    }
}

#[test]
fn it_is_small_and_says_nothing_of_the_answers() {
    let folder = folder();
    let mut bytes = 0;
    for entry in std::fs::read_dir(&folder).expect("the folder is there") {
        bytes += entry
            .and_then(|entry| entry.metadata())
            .expect("a file")
            .len();
    }
    assert!(bytes < 6_000_000, "{bytes} bytes");
    let list = std::fs::read_to_string(folder.join(plumbray_practise::SET_FILE)).expect("text");
    assert!(!list.contains("m1_head_centre"), "no answer in the list");
    let set = PracticeSet::open(&folder).expect("the set opens");
    let foot = &set.feet[0];
    let reference = foot.reference(&folder).expect("the reference opens");
    let sealed = std::fs::read(folder.join(&foot.reference)).expect("bytes");
    let again = reference_to_bytes(&reference).expect("written");
    assert_eq!(
        sealed, again,
        "the reference is written as this program writes it"
    );
}
