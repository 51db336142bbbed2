//! A resident's progress: kept whole, told over time, and what it chooses next.

use std::collections::BTreeSet;

use crate::support::{move_cortices, samples};
use jiff::civil::{DateTime, date};
use plumbray_agreement::Chart;
use plumbray_anatomy::{Landmark, LongBone, View};
use plumbray_measure::{Measurement, Part};
use plumbray_practise::{
    Blame, Difficulty, DifficultyReason, INTERVALS, LengthUnit, LessonDefaults, MISSES_LIMIT,
    PartBlame, PastAttempt, PastNumber, PastThing, PlacedThing, PracticeSet, Progress,
    ProgressError, ThingBlame, Why, add_attempt, load_progress, miss_rates, next_foot,
    progress_path, save_progress,
};

const WEAK: PlacedThing = PlacedThing::Landmark(View::Ap, Landmark::BaseCentre(LongBone::M2));
const STRONG: PlacedThing = PlacedThing::Landmark(View::Ap, Landmark::BaseCentre(LongBone::M1));

const OTHER_END: PlacedThing = PlacedThing::Landmark(View::Ap, Landmark::Tip(LongBone::M2));

fn moment(minute: usize) -> DateTime {
    let minute = i8::try_from(minute % 60).expect("below 60");
    date(2026, 11, 28).at(9, minute, 0, 0)
}

/// An attempt at a foot of the set "S", on which the second metatarsal's base lay so many times too far off.
fn attempt(foot: &str, missed: bool, relative: f64, index: usize) -> PastAttempt {
    let thing = |thing, relative: f64, cost_degrees| PastThing {
        thing,
        distance: relative * 0.7,
        unit: LengthUnit::Millimetres {
            calibration: "by a 25 mm ball or coin".to_owned(),
        },
        relative,
        cost_degrees,
    };
    PastAttempt {
        set: "S".to_owned(),
        foot: foot.to_owned(),
        when: moment(index),
        seconds: 200.0,
        snapping: false,
        missed,
        numbers: vec![PastNumber {
            measurement: Measurement::HalluxValgusAngle,
            difference: Some(if missed { -6.5 } else { 1.25 }),
            missed,
        }],
        things: vec![thing(STRONG, 0.4, 0.2), thing(WEAK, relative, 1.5)],
    }
}

/// A set "S" of feet named 0, 1, …: the first third easy, the second medium, the rest hard.
fn set_of(count: usize) -> PracticeSet {
    let sample = samples(3, 1).remove(0);
    let reasons = [DifficultyReason::Deformity, DifficultyReason::Exposure];
    PracticeSet {
        name: "S".to_owned(),
        made_by: String::new(),
        made_with: String::new(),
        defaults: LessonDefaults::default(),
        feet: (0..count)
            .map(|index| {
                let grade = (3 * index / count).min(2);
                let mut foot = sample.foot.clone();
                foot.identifier = index.to_string();
                foot.difficulty = Difficulty::by_reasons(reasons[..grade].to_vec());
                foot
            })
            .collect(),
    }
}

fn progress_of(attempts: Vec<PastAttempt>) -> Progress {
    Progress {
        resident: "R".to_owned(),
        attempts,
    }
}

#[test]
fn attempts_are_kept_one_after_the_other_and_come_back_as_they_were() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = progress_path(folder.path(), "Ärztin / Meyer");
    assert_eq!(
        path.parent(),
        Some(folder.path()),
        "the name leads nowhere else"
    );
    assert!(
        load_progress(&path).expect("nothing yet").is_none(),
        "nothing yet"
    );
    let attempts: Vec<PastAttempt> = (0..3)
        .map(|index| attempt("1", index == 1, 2.0, index))
        .collect();
    for one in &attempts {
        add_attempt(&path, "Ärztin / Meyer", one.clone()).expect("kept");
    }
    let progress = load_progress(&path).expect("read").expect("there");
    assert_eq!(progress.attempts, attempts, "all of them, in order");
    let files = std::fs::read_dir(folder.path()).expect("listed").count();
    assert_eq!(files, 1, "one file and no litter");
    let other = add_attempt(&path, "Somebody else", attempts[0].clone());
    assert!(
        matches!(other, Err(ProgressError::OtherResident { .. })),
        "{other:?}"
    );
}

#[test]
fn a_file_that_cannot_be_read_is_never_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = progress_path(folder.path(), "R");
    for damaged in [
        "(format_version: 1, resident: \"R\", attempts: [",
        "\u{0}\u{1}",
        "(format_version: 2)",
    ] {
        std::fs::write(&path, damaged).expect("written");
        assert!(
            add_attempt(&path, "R", attempt("1", true, 1.0, 0)).is_err(),
            "{damaged}"
        );
        let left = std::fs::read_to_string(&path).expect("there");
        assert_eq!(left, damaged, "it is left as it is");
    }
}

#[test]
fn an_attempt_with_a_number_that_is_none_is_refused_before_it_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = progress_path(folder.path(), "R");
    let mut bad = attempt("1", false, 1.0, 0);
    bad.seconds = f64::NAN;
    assert!(
        save_progress(&path, &progress_of(vec![bad])).is_err(),
        "not a number"
    );
    assert!(!path.exists(), "nothing is written");
}

#[test]
fn a_lesson_is_remembered_with_what_each_thing_cost() {
    let sample = samples(3, 1).remove(0);
    let mut tracing = sample.reference.tracing.clone();
    move_cortices(&mut tracing.ap, LongBone::M2, 0.0, 20.0);
    let lesson = sample.lesson_of(tracing);
    let past = PastAttempt::of(&lesson, "S", moment(0));
    let thing = PlacedThing::Cortices(View::Ap, LongBone::M2);
    let row = past.thing(thing).expect("traced");
    let angle = past
        .numbers
        .iter()
        .find(|number| number.measurement == Measurement::IntermetatarsalAngle12)
        .and_then(|number| number.difference)
        .expect("measured");
    assert!(
        (row.cost_degrees - angle.abs()).abs() < 0.2,
        "{} for {angle}",
        row.cost_degrees
    );
    let progress = progress_of(vec![past.clone()]);
    let weakest = progress.weakest().expect("one attempt");
    assert_eq!(weakest.thing, thing, "the bone that was turned");
    assert!(weakest.relative_square > 1.0, "{}", weakest.relative_square);
    assert!(
        (weakest.relative_square - row.relative.powi(2)).abs() < 1e-9,
        "one attempt alone"
    );
}

#[test]
fn errors_over_time_and_the_charts_of_misses_follow_the_attempts() {
    let attempts = (0..20)
        .map(|index| attempt("1", index >= 10, 1.0, index))
        .collect();
    let mut progress = progress_of(attempts);
    let errors = progress.errors(Measurement::HalluxValgusAngle);
    assert_eq!(errors.len(), 20, "one for each attempt");
    assert_eq!(errors[0], (0, 1.25), "the first");
    assert_eq!(errors[19], (19, -6.5), "the last");
    let chart = |progress: &Progress, snapping| {
        progress
            .chart(Chart::Misses, snapping, miss_rates(), MISSES_LIMIT)
            .expect("possible")
    };
    assert_eq!(chart(&progress, true), None, "none was with snapping");
    let curve = chart(&progress, false).expect("attempts without snapping");
    assert_eq!(curve.misses, 10, "ten misses");
    // ln 3 = 1.0986 for each miss: the third in a row exceeds 2.2.
    assert_eq!(
        curve.signals.first(),
        Some(&12),
        "the alarm: {:?}",
        curve.signals
    );
    // What was done with snapping is a curve of its own and leaves the other one as it is.
    let mut eased = attempt("2", true, 1.0, 20);
    eased.snapping = true;
    progress.attempts.insert(5, eased);
    let with = chart(&progress, true).expect("an attempt with snapping");
    assert_eq!((with.sums.len(), with.misses), (1, 1), "that one alone");
    assert_eq!(chart(&progress, false), Some(curve), "the other as before");
}

#[test]
fn errors_that_undo_each_other_within_a_bone_cost_what_is_left_of_them() {
    let sample = samples(3, 1).remove(0);
    let mut lesson = sample.lesson_of(sample.reference.tracing.clone());
    let thing = |thing, amount| ThingBlame { thing, amount };
    for row in &mut lesson.measurements {
        row.blame = None;
    }
    lesson.measurements[0].blame = Some(Blame {
        measurement: lesson.measurements[0].measurement,
        error: 4.0,
        parts: vec![
            PartBlame {
                part: Part::LongBone(LongBone::M2),
                amount: 1.0,
                things: vec![thing(WEAK, 5.0), thing(OTHER_END, -4.0)],
            },
            PartBlame {
                part: Part::LongBone(LongBone::M1),
                amount: 3.0,
                things: vec![thing(STRONG, 3.0)],
            },
        ],
        explained: 4.0,
        unexplained: 0.0,
    });
    for (thing, cost) in [(WEAK, 5.0 / 9.0), (OTHER_END, 4.0 / 9.0), (STRONG, 3.0)] {
        let found = lesson.cost_degrees(thing);
        assert!((found - cost).abs() < 1e-9, "{found} for {}", thing.name());
    }
}

#[test]
fn what_costs_most_is_told_and_chosen_by_the_same_degrees() {
    // It lies off less than the other, and costs more.
    let far_and_harmless = attempt("1", false, 9.0, 0);
    let progress = progress_of(vec![far_and_harmless.clone(); 2]);
    let mut near_and_costly = far_and_harmless;
    for (thing, cost) in near_and_costly.things.iter_mut().zip([2.5, 0.1]) {
        thing.cost_degrees = cost;
    }
    assert_eq!(progress.weakest().map(|own| own.thing), Some(WEAK), "1.5°");
    let progress = progress_of(vec![near_and_costly; 2]);
    let listed = progress.weaknesses();
    assert_eq!(listed[0].thing, STRONG, "the list: {listed:?}");
    assert_eq!(
        progress.weakest().map(|own| own.thing),
        Some(STRONG),
        "the choice of the next foot"
    );
    assert!(
        (listed[0].cost_degrees - 2.5).abs() < 1e-9,
        "the mean, in degrees: {}",
        listed[0].cost_degrees
    );
}

#[test]
fn the_first_foot_is_an_easy_one_and_the_choice_follows_the_seed() {
    let set = set_of(9);
    let choices: Vec<_> = (0..40)
        .map(|seed| next_foot(&set, &Progress::default(), seed).expect("a foot"))
        .collect();
    for choice in &choices {
        assert!(
            ["0", "1", "2"].contains(&choice.foot.as_str()),
            "easy: {}",
            choice.foot
        );
        assert!(matches!(choice.why, Why::Begin { .. }), "{:?}", choice.why);
    }
    let feet: BTreeSet<&str> = choices.iter().map(|choice| choice.foot.as_str()).collect();
    assert_eq!(feet.len(), 3, "any of the three");
    let again = next_foot(&set, &Progress::default(), 7).expect("a foot");
    assert_eq!(again, choices[7], "the same seed chooses the same");
    assert_eq!(
        next_foot(&set_of(0), &Progress::default(), 0),
        None,
        "no foot, no choice"
    );
}

#[test]
fn a_missed_foot_comes_back_after_one_three_seven_and_sixteen_others() {
    let set = set_of(60);
    let mut progress = progress_of(vec![attempt("0", true, 3.0, 0)]);
    let mut gaps = Vec::new();
    let mut others = 0;
    for index in 1..60 {
        let next = next_foot(&set, &progress, 5).expect("a foot");
        if next.foot == "0" {
            gaps.push(others);
            let sentence = next.why.sentence();
            let since = match others {
                1 => "missed this foot and have handed in another one since".to_owned(),
                others => format!("missed this foot and have handed in {others} others since"),
            };
            assert!(sentence.contains(&since), "{sentence}");
            assert!(
                sentence.contains("Second metatarsal, centre of the base"),
                "{sentence}"
            );
            others = 0;
        } else {
            others += 1;
        }
        progress
            .attempts
            .push(attempt(&next.foot, false, 3.0, index));
    }
    assert_eq!(gaps, INTERVALS, "the gaps between its attempts");
}

#[test]
fn three_hits_lead_to_a_harder_foot_and_a_miss_keeps_the_grade() {
    let set = set_of(30);
    let hits = ["0", "1", "2"]
        .map(|foot| attempt(foot, false, 1.0, 0))
        .to_vec();
    let next = next_foot(&set, &progress_of(hits.clone()), 1).expect("a foot");
    assert!(matches!(&next.why, Why::New { .. }), "{:?}", next.why);
    assert!(
        (10..20).contains(&next.foot.parse::<usize>().expect("a number")),
        "medium: {}",
        next.foot
    );
    let mut two = hits;
    two.truncate(2);
    let next = next_foot(&set, &progress_of(two), 1).expect("a foot");
    assert!(
        next.foot.parse::<usize>().expect("a number") < 10,
        "easy: {}",
        next.foot
    );
}

#[test]
fn when_all_feet_are_known_the_one_on_which_the_weakest_point_cost_most_comes_and_never_the_last_again()
 {
    let set = set_of(4);
    let degrees = [1.0, 4.0, 2.0, 9.0];
    let attempts = (0..4).map(|index| {
        let mut own = attempt(&index.to_string(), false, 1.0, index);
        own.things[1].cost_degrees = degrees[index];
        own
    });
    let next = next_foot(&set, &progress_of(attempts.collect()), 1).expect("a foot");
    assert_eq!(next.foot, "1", "the costliest but for the last one");
    let sentence = next.why.sentence();
    assert!(
        sentence.contains("4.0° of the judged angles on this foot"),
        "{sentence}"
    );
}
