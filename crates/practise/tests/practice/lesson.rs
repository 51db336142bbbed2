//! What a lesson says of a perfect tracing, of free choices, of directions, of what is missing and of misses.

use crate::support::{Chance, Sample, move_cortices, samples};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Sesamoid, Side, View};
use plumbray_measure::{Measurement, Need};
use plumbray_practise::{Attempt, Judgement, LengthUnit, LessonDefaults, Toward, lesson};
use plumbray_study::Study;

fn one_sample() -> Sample {
    samples(3, 1).remove(0)
}

#[test]
fn a_perfect_attempt_has_no_error_anywhere() {
    let sample = one_sample();
    let lesson = sample.lesson_of(sample.reference.tracing.clone());
    assert!(!lesson.is_missed(), "nothing is missed");
    assert_eq!(lesson.measurements.len(), 7, "every headline measurement");
    for row in &lesson.measurements {
        let difference = row.difference().expect("measured");
        assert!(
            difference.abs() < 1e-9,
            "{:?}: {difference}",
            row.measurement
        );
        let blame = row.blame.as_ref().expect("both have the number");
        assert_eq!(blame.sentence(), None, "nobody is to blame");
    }
    for film in &lesson.films {
        assert!(
            film.missing.is_empty(),
            "nothing is missing: {:?}",
            film.missing
        );
        for row in &film.landmarks {
            assert!(row.distance < 1e-9, "{}: {}", row.landmark, row.distance);
        }
        for row in &film.cortices {
            assert!(row.distance < 1e-9, "{:?}: {}", row.bone, row.distance);
            assert_eq!(row.toward, None, "it lies nowhere off");
        }
    }
}

#[test]
fn free_choices_of_the_hand_are_no_errors() {
    let sample = one_sample();
    let mut tracing = sample.reference.tracing.clone();
    for cortices in tracing.ap.cortices.values_mut() {
        std::mem::swap(&mut cortices.one, &mut cortices.two);
    }
    // The opposite end of one axis, and the two axes exchanged.
    let [centre, long, short] = Landmark::of_sesamoid(Sesamoid::Tibial);
    let original = tracing.ap.clone();
    let at = |landmark| original.point(landmark).expect("placed");
    let (c, l, s) = (at(centre), at(long), at(short));
    let opposite = FilmPoint::new(2.0 * c.x_px - l.x_px, 2.0 * c.y_px - l.y_px);
    for (landmark, place) in [(long, s), (short, opposite)] {
        tracing.ap.points.get_mut(&landmark).expect("placed").at = place;
    }
    // Another point of the head's circle.
    let (centre, edge) = (at(Landmark::HeadCentre), at(Landmark::HeadEdge));
    let turned = FilmPoint::new(
        centre.x_px - (edge.y_px - centre.y_px),
        centre.y_px + (edge.x_px - centre.x_px),
    );
    tracing
        .ap
        .points
        .get_mut(&Landmark::HeadEdge)
        .expect("placed")
        .at = turned;
    // Another point of the floor.
    let floor = [Landmark::FloorPosterior, Landmark::FloorAnterior]
        .map(|end| tracing.lateral.point(end).expect("placed"));
    let between = floor[0].toward(floor[1], 0.3);
    tracing
        .lateral
        .points
        .get_mut(&Landmark::FloorPosterior)
        .expect("placed")
        .at = between;

    let lesson = sample.lesson_of(tracing);
    for row in &lesson.measurements {
        let difference = row.difference().expect("a number");
        assert!(
            difference.abs() < 1e-9,
            "{:?}: {difference}",
            row.measurement
        );
    }
    for film in &lesson.films {
        for row in &film.landmarks {
            assert!(row.distance < 1e-6, "{}: {}", row.landmark, row.distance);
        }
        for row in &film.cortices {
            assert!(row.distance < 1e-6, "{:?}: {}", row.bone, row.distance);
        }
    }
}

#[test]
fn directions_are_those_of_the_foot_on_either_side() {
    let mut sides = Vec::new();
    for sample in samples(0, 6) {
        sides.push(sample.foot.side);
        let mut tracing = sample.reference.tracing.clone();
        let tip = Landmark::Tip(LongBone::M3);
        let [from, to] = [LongBone::M2, LongBone::M4]
            .map(|bone| tracing.ap.point(Landmark::Tip(bone)).expect("placed"));
        // Toward the fourth from the second is lateral, whichever side of the film that is.
        let placed = tracing.ap.points.get_mut(&tip).expect("placed");
        placed.at.x_px += 0.1 * (to.x_px - from.x_px);
        let up = Landmark::BaseCentre(LongBone::M1);
        tracing.lateral.points.get_mut(&up).expect("placed").at.y_px -= 10.0;
        let lesson = sample.lesson_of(tracing);
        let toward = |view, landmark| {
            let film = lesson.film(view).expect("a film");
            let row = film.landmarks.iter().find(|row| row.landmark == landmark);
            row.expect("placed").toward.clone()
        };
        assert!(
            toward(View::Ap, tip).contains(&Toward::Lateral),
            "{}: {:?}",
            sample.foot.identifier,
            toward(View::Ap, tip)
        );
        assert!(
            toward(View::Lateral, up).contains(&Toward::Dorsal),
            "{}: {:?}",
            sample.foot.identifier,
            toward(View::Lateral, up)
        );
    }
    for side in [Side::Left, Side::Right] {
        assert!(sides.contains(&side), "{side:?} is among the feet");
    }
}

#[test]
fn the_medial_and_the_lateral_cortex_are_told_apart_and_their_shift_is_measured() {
    let sample = one_sample();
    let shift_px = 1.5 * sample.px_per_mm(View::Ap);
    let mut tracing = sample.reference.tracing.clone();
    move_cortices(&mut tracing.ap, LongBone::M2, shift_px, 0.0);
    let lesson = sample.lesson_of(tracing);
    let film = lesson.film(View::Ap).expect("a film");
    assert!(
        matches!(film.unit, LengthUnit::Millimetres { .. }),
        "the film is calibrated: {:?}",
        film.unit
    );
    let rows: Vec<_> = film
        .cortices
        .iter()
        .filter(|row| row.bone == LongBone::M2)
        .collect();
    let mut names: Vec<_> = rows.iter().map(|row| row.cortex).collect();
    names.sort();
    assert_eq!(
        names,
        [Some(Toward::Medial), Some(Toward::Lateral)],
        "both cortices"
    );
    for row in rows {
        assert!((row.distance - 1.5).abs() < 0.1, "{} mm", row.distance);
        assert!(
            (row.together - 1.5).abs() < 0.1,
            "{} mm together",
            row.together
        );
        assert!(row.toward.is_some(), "it lies off to one side");
    }
}

#[test]
fn without_calibration_distances_are_per_cent_of_the_first_metatarsal() {
    let mut sample = one_sample();
    if let Some(film) = &mut sample.foot.ap {
        film.calibration = None;
    }
    let at = |landmark| sample.reference.tracing.ap.point(landmark).expect("placed");
    let length =
        at(Landmark::BaseCentre(LongBone::M1)).distance_px(at(Landmark::Tip(LongBone::M1)));
    let mut tracing = sample.reference.tracing.clone();
    let tip = Landmark::Tip(LongBone::M2);
    tracing.ap.points.get_mut(&tip).expect("placed").at.x_px += 0.02 * length;
    let lesson = sample.lesson_of(tracing);
    let film = lesson.film(View::Ap).expect("a film");
    assert_eq!(film.unit, LengthUnit::PerCentOfFirstMetatarsal, "the unit");
    let row = film
        .landmarks
        .iter()
        .find(|row| row.landmark == tip)
        .expect("placed");
    assert!(
        (row.distance - 2.0).abs() < 1e-9,
        "{} per cent",
        row.distance
    );
}

#[test]
fn what_is_missing_is_named_and_a_limited_number_that_is_missing_is_a_miss() {
    let sample = one_sample();
    let mut tracing = sample.reference.tracing.clone();
    tracing.ap.cortices.remove(&LongBone::M2);
    // The rough stroke along the bone would give an axis of its own.
    for end in [
        Landmark::ShaftStart(LongBone::M2),
        Landmark::ShaftEnd(LongBone::M2),
    ] {
        tracing.ap.points.remove(&end);
    }
    let lesson = sample.lesson_of(tracing);
    let film = lesson.film(View::Ap).expect("a film");
    assert_eq!(film.missing, [Need::Shaft(View::Ap, LongBone::M2)], "M2");
    let row = |measurement| {
        let found = lesson
            .measurements
            .iter()
            .find(|row| row.measurement == measurement);
        found.expect("a headline measurement")
    };
    let angle = row(Measurement::IntermetatarsalAngle12);
    assert_eq!(
        angle.judgement,
        Judgement::LimitedButMissing,
        "the angle needs M2"
    );
    assert_eq!(angle.why_not.as_deref(), Some("needs M2"), "and says so");
    assert!(lesson.is_missed(), "so the foot is missed");
    let valgus = row(Measurement::HalluxValgusAngle);
    assert_eq!(
        valgus.judgement,
        Judgement::Within { limit: 5.0 },
        "the other is right"
    );
}

#[test]
fn an_axis_turned_by_more_than_the_limit_is_a_miss_and_the_sentence_names_the_bone() {
    let sample = one_sample();
    let mut tracing = sample.reference.tracing.clone();
    let half_length = 35.0 * sample.px_per_mm(View::Ap);
    let tilt = half_length * 7.0_f64.to_radians().tan();
    move_cortices(&mut tracing.ap, LongBone::M2, 0.0, tilt);
    let lesson = sample.lesson_of(tracing);
    assert!(lesson.is_missed(), "an axis turned by some seven degrees");
    let row = lesson
        .measurements
        .iter()
        .find(|row| row.measurement == Measurement::IntermetatarsalAngle12)
        .expect("a headline measurement");
    assert_eq!(row.judgement, Judgement::Beyond { limit: 3.0 }, "{row:?}");
    let sentence = row
        .blame
        .as_ref()
        .and_then(plumbray_practise::Blame::sentence);
    let sentence = sentence.expect("an error to explain");
    assert!(
        sentence.starts_with("Your second metatarsal explains"),
        "{sentence}"
    );
}

#[test]
fn an_attempt_on_another_film_or_against_another_reference_is_refused() {
    let mut both = samples(0, 2);
    let (other, sample) = (both.remove(1), both.remove(0));
    let study = sample.foot.blank_study();
    let attempt = |study| Attempt {
        study,
        snapping: true,
        seconds: 1.0,
    };
    let limits = LessonDefaults::default();
    let wrong = lesson(&sample.foot, &other.reference, &attempt(&study), &limits);
    assert!(wrong.is_err(), "another foot's reference");
    let mut elsewhere = study.clone();
    if let Some(film) = &mut elsewhere.ap {
        film.hash = plumbray_study::ContentHash::of_bytes(b"another film");
    }
    let wrong = lesson(
        &sample.foot,
        &sample.reference,
        &attempt(&elsewhere),
        &limits,
    );
    assert!(wrong.is_err(), "another film");
}

#[test]
fn any_tracing_however_wild_gives_a_lesson_without_a_number_that_is_none() {
    let sample = one_sample();
    let mut chance = Chance::of(17);
    for round in 0..40 {
        let mut tracing = sample.reference.tracing.clone();
        for film in [&mut tracing.ap, &mut tracing.lateral] {
            for placed in film.points.values_mut() {
                let step = chance.step(if round % 2 == 0 { 3000.0 } else { 100.0 });
                placed.at = FilmPoint::new(placed.at.x_px + step.x, placed.at.y_px + step.y);
            }
            for cortices in film.cortices.values_mut() {
                if chance.signed() > 0.0 {
                    cortices.one.truncate(1);
                }
                if chance.signed() > 0.5 {
                    cortices.two.clear();
                }
            }
        }
        let study = Study {
            tracing,
            ..sample.foot.blank_study()
        };
        let attempt = Attempt {
            study: &study,
            snapping: false,
            seconds: 0.0,
        };
        let lesson = lesson(
            &sample.foot,
            &sample.reference,
            &attempt,
            &LessonDefaults::default(),
        )
        .expect("they belong together");
        for film in &lesson.films {
            for row in &film.landmarks {
                assert!(row.distance.is_finite(), "{}", row.landmark);
            }
            for row in &film.cortices {
                assert!(row.distance.is_finite(), "{:?}", row.bone);
            }
        }
        for row in &lesson.measurements {
            assert!(
                row.attempt.is_none_or(f64::is_finite),
                "{:?}",
                row.measurement
            );
            let explained = row.blame.as_ref().map_or(0.0, |blame| blame.explained);
            assert!(explained.is_finite(), "{:?}", row.measurement);
        }
    }
}
