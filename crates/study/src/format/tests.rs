use std::path::Path;

use plumbray_anatomy::{
    CalibrationBasis, FilmPoint, Landmark, LongBone, Origin, PlacedPoint, Side,
};
use plumbray_plan::{Aim, AimAt, CutDirection, Extent, Goal};
use proptest::prelude::*;

use super::*;
use crate::{arbitrary, study::Stance};

/// A study of version 1 with every kind of landmark, calibration and choice, as it was first
/// written. It must load for ever.
const STORED: &str = "../../tests/suite/study/version-1.study.ron";

/// A study of version 1 with plans of an osteotomy that have every field, likewise.
const STORED_PLANS: &str = "../../tests/suite/study/version-1-plans.study.ron";

fn stored() -> String {
    stored_at(STORED)
}

fn stored_at(path: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    std::fs::read_to_string(path).expect("the stored study")
}

/// A small study that the tests spoil.
const SMALL: &str = r#"(
    format_version: 1,
    films: (
        ap: Some((
            file: "ap.png",
            blake3: "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262",
            width_px: 400,
            height_px: 300,
            pixel_height_over_width: 1.0,
            calibration: Some((
                spacing: (between_rows_mm: 0.1, between_columns_mm: 0.1),
                basis: round_object(diameter_mm: 25.0),
                relative_sd: 0.01,
            )),
            date: Some("2024-05-31"),
        )),
    ),
    reader: (name: "", traced_at: Some("2024-06-01T08:30:00Z")),
    tracing: (
        ap: (
            points: {
                "m1_tip": (x_px: 10.0, y_px: 20.0, sd_px: 1.0, origin: hand),
            },
            cortices: {
                "m1": (sd_px: 1.0, origin: snapped, one: [(1.0, 2.0)], two: [(3.0, 4.0)]),
            },
        ),
    ),
)
"#;

#[test]
fn a_stored_study_of_version_1_still_loads_and_says_what_it_said() {
    let study = study_from_text(&stored()).expect("version 1 loads");
    assert_eq!(study.foot(), Some(Side::Left), "foot");
    let ap = study.ap.as_ref().expect("an AP film");
    assert_eq!(ap.file, "foot-ap.png", "AP film");
    assert_eq!(
        ap.calibration.map(|calibration| calibration.basis),
        Some(CalibrationBasis::RoundObject { diameter_mm: 25.0 }),
        "calibration"
    );
    assert_eq!(study.visit.stance, Stance::Standing, "stance");
    assert_eq!(
        study.tracing.ap.points[&Landmark::HeadCentre],
        PlacedPoint {
            at: FilmPoint::new(602.25, 418.5),
            sd_px: 1.2,
            origin: Origin::Snapped
        },
        "a point"
    );
    let placed: usize = [&study.tracing.ap, &study.tracing.lateral]
        .iter()
        .map(|tracing| tracing.points.len())
        .sum();
    assert_eq!(placed, 52, "every landmark of version 1");
    assert_eq!(study.history.entries().len(), 2, "history");
}

#[test]
fn stored_plans_still_load_and_say_what_they_said() {
    let study = study_from_text(&stored_at(STORED_PLANS)).expect("plans load");
    let [first, second] = study.plans.as_slice() else {
        panic!("two plans: {:?}", study.plans);
    };
    assert_eq!(first.name, "Straight, 75 %", "name");
    assert_eq!(first.head.shift, Extent::Share(0.75), "shift");
    assert_eq!(first.screws.len(), 2, "screws");
    let aim = Aim {
        bone: LongBone::M3,
        at: AimAt::Neck,
    };
    assert_eq!(second.cut.direction, CutDirection::Toward(aim), "aim");
    assert_eq!(second.cut.level, Extent::Millimetres(23.0), "level");
}

#[test]
fn a_stored_study_is_written_again_byte_for_byte() {
    for path in [STORED, STORED_PLANS] {
        let text = stored_at(path);
        let document = read(&text).expect("loads");
        assert_eq!(write(&document).expect("storable"), text, "{path}");
    }
}

#[test]
fn a_goal_that_is_held_is_kept_and_none_leaves_no_word() {
    let sound = "format_version: 1,";
    let plans =
        "plans: [(head: (goal: Some(intermetatarsal_angle(6.0))), screws_suggested: true), ()],";
    let text = SMALL.replacen(sound, &format!("{sound} {plans}"), 1);
    let study = study_from_text(&text).expect("plans load");
    let goals: Vec<Option<Goal>> = study.plans.iter().map(|plan| plan.head.goal).collect();
    assert_eq!(
        goals,
        [Some(Goal::IntermetatarsalAngle(6.0)), None],
        "the first one holds a goal"
    );
    let written = study_to_text(&study).expect("storable");
    for (word, count) in [
        ("goal: Some", 1),
        ("goal", 1),
        ("screws_suggested: true", 1),
        ("screws_suggested", 1),
    ] {
        assert_eq!(written.matches(word).count(), count, "{word}: {written}");
    }
    assert_eq!(study_from_text(&written).ok(), Some(study), "and again");
}

#[test]
fn a_plan_that_no_operation_can_be_is_refused_with_what_to_do() {
    let sound = "format_version: 1,";
    for (plan, reason) in [
        ("(lost_share: NaN)", "The share that may be lost"),
        ("(lost_share: 0.9)", "take this plan out"),
        ("(head: (shift: share(inf)))", "The shift"),
        ("(head: (shift: millimetres(NaN)))", "The shift"),
        ("(cut: (level: millimetres(500.0)))", "The level of the cut"),
        (
            "(head: (goal: Some(intermetatarsal_angle(70.0))))",
            "The intermetatarsal angle aimed for",
        ),
        (
            "(cut: (direction: tilt_degrees(90.0)))",
            "The tilt of the cut",
        ),
        (
            "(cut: (direction: toward((bone: \"m5\", at: neck))))",
            "m2, m3 or m4",
        ),
        ("(lengths: (step_mm: 0.0))", "step of screw lengths"),
        (
            "(screws: [(kind: screw, diameter: millimetres(3.0), entry: (along: NaN, lateral: \
             0.0, dorsal: 0.0), tip: (along: 1.0, lateral: 0.0, dorsal: 0.0))])",
            "The place of a screw",
        ),
        ("(colour: 3)", "colour"),
    ] {
        let text = SMALL.replacen(sound, &format!("{sound} plans: [{plan}],"), 1);
        match study_from_text(&text) {
            Err(FormatError::Damaged { what, .. }) => {
                assert!(what.contains(reason), "{plan}: {what}");
            }
            other => panic!("{plan}: {other:?}"),
        }
    }
    let many = "(),".repeat(Study::MOST_PLANS + 1);
    let text = SMALL.replacen(sound, &format!("{sound} plans: [{many}],"), 1);
    let message = study_from_text(&text).expect_err("refused").to_string();
    assert!(message.contains("at most 12"), "{message}");
}

#[test]
fn a_study_without_plans_has_no_word_of_them() {
    let text = study_to_text(&Study::default()).expect("storable");
    assert!(!text.contains("plans"), "{text}");
}

#[test]
fn a_newer_version_is_refused_whatever_else_it_holds() {
    let newer = "(format_version: 2, revision: 3, films: [some, (new: \"thing\")], plan: {1: 2})";
    assert_eq!(
        study_from_text(newer),
        Err(FormatError::Newer { found: 2 }),
        "newer"
    );
    let message = study_from_text(newer).expect_err("refused").to_string();
    assert!(message.contains("update Plumbray"), "{message}");
    assert!(
        study_from_text("(format_version: 0)").is_err(),
        "no such version"
    );
}

#[test]
fn every_word_of_version_1_still_loads() {
    let in_place_of = |sound: &str, words: &[&str]| {
        for word in words {
            let text = SMALL.replacen(sound, word, 1);
            assert_ne!(text, SMALL.replacen(sound, "", 1), "{sound} is replaced");
            let study = study_from_text(&text);
            assert!(study.is_ok(), "{word}: {study:?}");
        }
    };
    in_place_of(
        "round_object(diameter_mm: 25.0)",
        &[
            "file_by_geometry",
            "file_by_fiducial",
            "file_origin_unsaid",
            "file_accepted_by_user",
            "at_detector",
            "estimated_magnification(factor: 1.05)",
            "known_distance(distance_mm: 100.0)",
        ],
    );
    in_place_of("origin: hand", &["origin: derived", "origin: imported"]);
    in_place_of(
        "format_version: 1,",
        &[
            "format_version: 1, side: Some((foot: left, source: film_file, confirmed: false)),",
            "format_version: 1, side: Some((foot: right, source: bones, confirmed: true)),",
            "format_version: 1, side: Some((foot: right, source: user, confirmed: true)),",
            "format_version: 1, side: Some((foot: right, source: marker, confirmed: true)),",
            "format_version: 1, visit: (label: \"\", operated: false, stance: unknown),",
            "format_version: 1, visit: (label: \"\", operated: false, stance: not_standing),",
        ],
    );
}

#[test]
fn the_small_study_is_sound_before_it_is_spoilt() {
    assert!(
        study_from_text(SMALL).is_ok(),
        "{:?}",
        study_from_text(SMALL)
    );
}

#[test]
fn nonsense_is_refused_with_its_line_and_reason() {
    let spoilt = [
        ("x_px: 10.0", "x_px: NaN", "coordinate"),
        ("x_px: 10.0", "x_px: inf", "coordinate"),
        ("x_px: 10.0", "x_px: 1e30", "coordinate"),
        ("[(1.0, 2.0)]", "[(1.0, -inf)]", "coordinate"),
        (
            "sd_px: 1.0, origin: hand",
            "sd_px: -1.0, origin: hand",
            "sd_px",
        ),
        (
            "sd_px: 1.0, origin: hand",
            "sd_px: NaN, origin: hand",
            "sd_px",
        ),
        ("origin: hand", "origin: foot", "foot"),
        ("m1_tip", "m9_tip", "m9_tip"),
        ("\"m1\": (", "\"m8\": (", "m8"),
        ("width_px: 400", "width_px: 0", "wide"),
        ("width_px: 400", "width_px: 4000000", "wide"),
        ("width_px: 400", "width_px: -4", "out of bounds"),
        ("af1349", "zz1349", "64 hexadecimal"),
        (
            "over_width: 1.0",
            "over_width: 0.0",
            "pixel_height_over_width",
        ),
        ("between_rows_mm: 0.1", "between_rows_mm: -0.1", "spacing"),
        ("diameter_mm: 25.0", "diameter_mm: NaN", "diameter_mm"),
        ("relative_sd: 0.01", "relative_sd: -0.01", "relative_sd"),
        ("2024-05-31", "2024-02-30", "day"),
        ("2024-06-01T08:30:00Z", "yesterday", "yesterday"),
        ("file: \"ap.png\"", "file: \"\"", "name of a film"),
        ("file: \"ap.png\"", "file: \"/etc/passwd\"", "relative"),
        ("file: \"ap.png\"", "file: \"..\"", "name of a film"),
        ("width_px: 400", "picture: 0, width_px: 400", "nonzero"),
        ("date: Some", "day: Some", "day"),
        (
            "format_version: 1,",
            "format_version: 1, choices: (axis_levels: Some((metatarsal_mm: -1.0, \
             proximal_phalanx_mm: 1.0, distal_phalanx_mm: 1.0))),",
            "mm from the end",
        ),
    ];
    for (sound, nonsense, reason) in spoilt {
        let text = SMALL.replacen(sound, nonsense, 1);
        assert_ne!(text, SMALL, "{sound} stands in the study");
        let expected_line = 1 + text
            .find(nonsense)
            .map_or(0, |at| text[..at].matches('\n').count());
        match study_from_text(&text) {
            Err(FormatError::Damaged { line, what, .. }) => {
                assert!(what.contains(reason), "{nonsense}: {what}");
                assert_eq!(line, expected_line, "line of {nonsense}: {what}");
            }
            other => panic!("{nonsense}: {other:?}"),
        }
    }
}

#[test]
fn a_name_that_stands_twice_is_refused() {
    let point = "\"m1_tip\": (x_px: 10.0, y_px: 20.0, sd_px: 1.0, origin: hand),";
    let text = SMALL.replace(point, &format!("{point}\n{point}"));
    let message = study_from_text(&text).expect_err("refused").to_string();
    assert!(message.contains("\"m1_tip\" stands twice"), "{message}");
}

#[test]
fn a_landmark_on_the_wrong_film_is_refused() {
    for (sound, misplaced) in [
        ("\"m1_tip\"", "\"talus_anterior\""),
        (
            "ap: (\n            points",
            "lateral: (\n            points",
        ),
    ] {
        let text = SMALL.replacen(sound, misplaced, 1).replace(
            "\"m1\": (",
            if misplaced.starts_with('l') {
                "\"m2\": ("
            } else {
                "\"m1\": ("
            },
        );
        let message = study_from_text(&text).expect_err("refused").to_string();
        assert!(message.contains("is not read on the"), "{message}");
    }
}

#[test]
fn every_cut_off_study_is_refused() {
    let end = SMALL.trim_end().len();
    for length in 0..end {
        assert!(
            study_from_text(&SMALL[..length]).is_err(),
            "cut off after {length} bytes"
        );
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_line() {
    let mut bytes = SMALL.as_bytes().to_vec();
    let at = SMALL.find("width_px").expect("stands in the study");
    bytes[at] = 0xff;
    let line = 1 + SMALL[..at].matches('\n').count();
    assert_eq!(
        read_bytes(&bytes),
        Err(FormatError::NotText { line }),
        "line"
    );
}

#[test]
fn a_file_larger_than_any_study_is_refused() {
    let bytes = vec![b' '; usize::try_from(MAX_FILE_BYTES).expect("fits") + 1];
    assert!(
        matches!(read_bytes(&bytes), Err(FormatError::TooLarge { .. })),
        "too large"
    );
}

#[test]
fn deep_nesting_is_refused_without_overflowing_the_stack() {
    for opening in ["(", "[", "{", "Some(", "(a:"] {
        assert!(
            study_from_text(&opening.repeat(1_000_000)).is_err(),
            "{opening}"
        );
        let text = format!("(format_version: 1, films: {}", opening.repeat(1_000_000));
        assert!(study_from_text(&text).is_err(), "films: {opening}");
    }
}

#[test]
fn a_study_that_could_not_be_read_back_is_not_written() {
    let mut study = Study::default();
    study.tracing.ap.points.insert(
        Landmark::HeadCentre,
        PlacedPoint {
            at: FilmPoint::new(f64::NAN, 0.0),
            sd_px: 1.0,
            origin: Origin::Hand,
        },
    );
    let message = study_to_text(&study).expect_err("refused").to_string();
    assert!(message.contains("coordinate"), "{message}");
}

#[test]
fn an_empty_study_needs_only_its_version() {
    assert_eq!(
        study_from_text("(format_version: 1)"),
        Ok(Study::default()),
        "empty"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_study_comes_back_as_it_was(study in arbitrary::study()) {
        let text = study_to_text(&study).expect("storable");
        prop_assert_eq!(study_from_text(&text), Ok(study), "{}", text);
    }

    #[test]
    fn writing_reading_and_writing_again_gives_the_same_bytes(
        study in arbitrary::study(),
        revision: u64,
        original: Option<String>,
    ) {
        let recovery = original.map(|original| Recovery {
            based_on: original.contains('a').then(|| ContentHash::of_bytes(original.as_bytes())),
            original,
        });
        let document = Document { revision, recovery, study };
        let first = write(&document).expect("storable");
        let again = read_bytes(first.as_bytes()).expect("readable");
        prop_assert_eq!(&again, &document, "document");
        prop_assert_eq!(write(&again).expect("storable"), first, "text");
    }

    #[test]
    fn a_study_with_changed_bytes_never_panics(
        study in arbitrary::study(),
        changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>(), 0_u8..3), 1..20),
    ) {
        let mut bytes = study_to_text(&study).expect("storable").into_bytes();
        for (place, byte, kind) in changes {
            let at = place.index(bytes.len());
            match kind {
                0 => bytes[at] = byte,
                1 => bytes.insert(at, byte),
                _ => { bytes.remove(at); }
            }
        }
        // Whatever still reads as a study must be one that can be written.
        if let Ok(document) = read_bytes(&bytes) {
            prop_assert!(write(&document).is_ok(), "readable but not writable");
        }
    }

    #[test]
    fn any_text_is_read_without_a_panic(text in "\\PC{0,200}") {
        drop(read_bytes(text.as_bytes()));
        drop(read_bytes(format!("(format_version: 1, {text})").as_bytes()));
    }
}

#[test]
fn a_film_without_a_picture_number_is_its_first_picture_and_is_written_without_one() {
    let study = study_from_text(SMALL).expect("loads");
    assert_eq!(
        study.ap.as_ref().expect("a film").picture.get(),
        1,
        "the first"
    );
    let text = study_to_text(&study).expect("storable");
    assert!(!text.contains("picture"), "{text}");
}

#[test]
fn the_picture_of_a_film_of_several_is_remembered() {
    let text = SMALL.replacen("width_px: 400", "picture: 17, width_px: 400", 1);
    let study = study_from_text(&text).expect("loads");
    assert_eq!(study.ap.as_ref().expect("a film").picture.get(), 17, "read");
    let again = study_from_text(&study_to_text(&study).expect("storable")).expect("loads");
    assert_eq!(again, study, "written and read");
}
