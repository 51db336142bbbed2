//! A true tracing with one thing moved: the lesson blames that thing, by as much as the number errs.

use std::collections::BTreeSet;

use crate::support::{Chance, Sample, move_cortices, samples};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Origin, PlacedPoint, Tracing, View};
use plumbray_measure::{Choices, Measurement, Source, measure};
use plumbray_practise::{Blame, HEADLINES, Lesson, PlacedThing};

/// What may remain unexplained: a share of the error, and a little beside it in the number's unit. The sesamoid's
/// share in per cent answers less evenly than an angle in degrees does.
fn tolerance(measurement: Measurement, [beside, share]: [f64; 2], error: f64) -> f64 {
    let beside = if measurement == Measurement::TibialSesamoidShare {
        1.0
    } else {
        beside
    };
    beside + share * error.abs()
}

/// For one thing that was moved by up to 2 mm.
const OF_ONE: [f64; 2] = [0.02, 0.03];

/// For everything moved by up to 1 mm, where cortices meet new levels too.
const OF_SEVERAL: [f64; 2] = [0.05, 0.05];

/// The number behind a measurement.
fn behind(measurement: Measurement) -> Measurement {
    match measurement {
        Measurement::TibialSesamoidGrade => Measurement::TibialSesamoidShare,
        number => number,
    }
}

/// Everything placed that the reference's number depends on.
fn things_that_matter(sample: &Sample, measurement: Measurement) -> BTreeSet<PlacedThing> {
    let foot = sample.foot.traced(&sample.reference.tracing);
    let outcome = measure(&foot, &Choices::default(), behind(measurement));
    let reading = outcome
        .reading()
        .expect("the truth gives every headline number");
    reading
        .sensitivities
        .iter()
        .filter_map(|sensitivity| match sensitivity.source {
            Source::Landmark(view, landmark) => Some(PlacedThing::Landmark(view, landmark)),
            Source::CortexVertex { view, bone, .. } => Some(PlacedThing::Cortices(view, bone)),
            Source::Cortex { .. } | Source::Calibration(_) => None,
        })
        .collect()
}

/// Moves a thing by a random amount of up to so many millimetres.
fn moved(sample: &Sample, tracing: &mut Tracing, thing: PlacedThing, mm: f64, chance: &mut Chance) {
    let longest = mm * sample.px_per_mm(thing.view());
    let film = tracing.on_mut(thing.view());
    match thing {
        PlacedThing::Landmark(_, landmark) => {
            let placed = film.points.get_mut(&landmark).expect("placed");
            let step = chance.step(longest);
            placed.at = FilmPoint::new(placed.at.x_px + step.x, placed.at.y_px + step.y);
        }
        PlacedThing::Cortices(_, bone) => {
            let (shift, tilt) = (chance.signed() * longest, chance.signed() * longest);
            move_cortices(film, bone, shift, tilt);
        }
    }
}

fn blame_of(lesson: &Lesson, measurement: Measurement) -> &Blame {
    lesson
        .measurements
        .iter()
        .find(|row| row.measurement == measurement)
        .and_then(|row| row.blame.as_ref())
        .expect("both have the number")
}

fn amount_of(blame: &Blame, thing: PlacedThing) -> f64 {
    blame
        .parts
        .iter()
        .flat_map(|part| &part.things)
        .filter(|own| own.thing == thing)
        .map(|own| own.amount)
        .sum()
}

/// Whether the shown share of the sesamoid is limited to 0 or 100 %, so that it no longer answers.
fn is_limited(sample: &Sample, lesson: &Lesson) -> bool {
    let blame = blame_of(lesson, Measurement::TibialSesamoidGrade);
    let foot = sample.foot.traced(&sample.reference.tracing);
    let outcome = measure(&foot, &Choices::default(), Measurement::TibialSesamoidShare);
    let reference = outcome.reading().expect("the truth gives it").value;
    [reference, reference + blame.error]
        .iter()
        .any(|share| *share <= 0.0 || *share >= 100.0)
}

#[test]
fn the_one_thing_that_was_moved_is_blamed_for_the_whole_error() {
    let mut cases = 0;
    let mut chance = Chance::of(5);
    for sample in samples(0, 6) {
        for measurement in HEADLINES {
            for thing in things_that_matter(&sample, measurement) {
                let mut tracing = sample.reference.tracing.clone();
                moved(&sample, &mut tracing, thing, 2.0, &mut chance);
                let lesson = sample.lesson_of(tracing);
                if measurement == Measurement::TibialSesamoidGrade && is_limited(&sample, &lesson) {
                    continue;
                }
                let blame = blame_of(&lesson, measurement);
                let amount = amount_of(blame, thing);
                let off = (amount - blame.error).abs();
                assert!(
                    off <= tolerance(blame.measurement, OF_ONE, blame.error),
                    "{}, {measurement:?}, {}: explains {amount} of {}",
                    sample.foot.identifier,
                    thing.name(),
                    blame.error
                );
                let others = blame.explained - amount;
                assert!(
                    others.abs() < 1e-6,
                    "nothing else moved, and {others} is blamed elsewhere"
                );
                cases += 1;
            }
        }
    }
    assert!(cases >= 200, "{cases} cases");
}

fn the_parts_add_up(sample: &Sample, lesson: &Lesson) {
    for measurement in HEADLINES {
        if measurement == Measurement::TibialSesamoidGrade && is_limited(sample, lesson) {
            continue;
        }
        let blame = blame_of(lesson, measurement);
        let parts: f64 = blame.parts.iter().map(|part| part.amount).sum();
        assert!(
            (parts - blame.explained).abs() < 1e-9,
            "parts add up to what is explained"
        );
        assert!(
            (blame.explained + blame.unexplained - blame.error).abs() < 1e-9,
            "explained and unexplained add up to the error"
        );
        assert!(
            blame.unexplained.abs() <= tolerance(blame.measurement, OF_SEVERAL, blame.error),
            "{}, {measurement:?}: {} of {} is unexplained",
            sample.foot.identifier,
            blame.unexplained,
            blame.error
        );
    }
}

#[test]
fn of_several_things_that_were_moved_the_explained_parts_add_up_to_the_error() {
    let mut chance = Chance::of(11);
    for sample in samples(20, 6) {
        let things: BTreeSet<PlacedThing> = HEADLINES
            .into_iter()
            .flat_map(|measurement| things_that_matter(&sample, measurement))
            .collect();
        for _ in 0..5 {
            let mut tracing = sample.reference.tracing.clone();
            for thing in &things {
                moved(&sample, &mut tracing, *thing, 1.0, &mut chance);
            }
            the_parts_add_up(&sample, &sample.lesson_of(tracing));
        }
    }
}

/// The truth with the shafts of M1, M2 and the proximal phalanx drawn as strokes by hand, each end off by a random
/// amount of up to so many millimetres.
fn drawn_by_hand(sample: &Sample, mm: f64, chance: &mut Chance) -> Tracing {
    let mut tracing = sample.reference.tracing.clone();
    let longest = mm * sample.px_per_mm(View::Ap);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let cortices = tracing.ap.cortices.remove(&bone).expect("in the truth");
        let middle = |share: f64| {
            let of = |line: &[FilmPoint]| {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    clippy::cast_precision_loss,
                    reason = "a place within a short list"
                )]
                let place = ((line.len() - 1) as f64 * share) as usize;
                line[place]
            };
            of(&cortices.one).toward(of(&cortices.two), 0.5)
        };
        for (landmark, share) in [
            (Landmark::ShaftStart(bone), 0.25),
            (Landmark::ShaftEnd(bone), 0.75),
        ] {
            let (at, step) = (middle(share), chance.step(longest));
            let placed = PlacedPoint {
                at: FilmPoint::new(at.x_px + step.x, at.y_px + step.y),
                sd_px: 2.0,
                origin: Origin::Hand,
            };
            tracing.ap.points.insert(landmark, placed);
        }
    }
    tracing
}

#[test]
fn a_stroke_by_hand_is_held_against_the_references_axis_and_explains_the_whole_error() {
    let mut chance = Chance::of(11);
    for sample in samples(0, 6) {
        for _ in 0..5 {
            let lesson = sample.lesson_of(drawn_by_hand(&sample, 2.0, &mut chance));
            for measurement in [
                Measurement::HalluxValgusAngle,
                Measurement::IntermetatarsalAngle12,
            ] {
                let blame = blame_of(&lesson, measurement);
                assert!(
                    blame.unexplained.abs() <= tolerance(measurement, OF_SEVERAL, blame.error),
                    "{measurement:?} of {}: {} of {} remains",
                    sample.foot.identifier,
                    blame.unexplained,
                    blame.error
                );
            }
            let film = lesson.film(View::Ap).expect("traced");
            let told = |landmark| film.landmarks.iter().any(|own| own.landmark == landmark);
            assert!(told(Landmark::ShaftStart(LongBone::M1)), "the stroke");
            assert!(!told(Landmark::Tip(LongBone::M1)), "nobody pointed at it");
        }
    }
}
