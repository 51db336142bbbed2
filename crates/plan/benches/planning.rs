//! A plan follows the hand that drags the head, so that it must take far less than a frame; a pair of screws may take as
//! long as a person waits.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use plumbray_measure::{Foot as FootOnFilm, TracedFilm};
use plumbray_phantom::{Exposure, Foot, FootParameters, truth_of_ap, truth_of_lateral};
use plumbray_plan::{Extent, Goal, Plan, carry_out, held, suggest_pair};

fn planning(criterion: &mut Criterion) {
    let foot = Foot::new(FootParameters::default()).expect("possible");
    let exposure = Exposure::default();
    let films = [
        truth_of_ap(&foot, &exposure).expect("a film"),
        truth_of_lateral(&foot, &exposure).expect("a film"),
    ];
    let calibrations = films
        .each_ref()
        .map(|film| film.calibration(&film.feet[0]).expect("possible"));
    let film = |view: usize| {
        Some(TracedFilm {
            tracing: &films[view].feet[0].tracing,
            proportions: calibrations[view].proportions(),
            calibration: Some(&calibrations[view]),
        })
    };
    let foot = FootOnFilm {
        ap: film(0),
        lateral: film(1),
        operated: false,
    };
    let plan = suggest_pair(&foot, &Plan::usual(true), Extent::Millimetres(4.0)).expect("a plan");
    criterion.bench_function("a plan carried out, with two screws", |bencher| {
        bencher.iter(|| carry_out(black_box(&foot), black_box(&plan)));
    });
    let mut at_goal = plan.clone();
    at_goal.head.goal = Some(Goal::IntermetatarsalAngle(7.0));
    criterion.bench_function("a shift found for the goal that is held", |bencher| {
        bencher.iter(|| held(black_box(&foot), black_box(&at_goal)).expect("within reach"));
    });
    criterion.bench_function("a pair of screws suggested", |bencher| {
        bencher.iter(|| suggest_pair(black_box(&foot), black_box(&plan), Extent::Millimetres(4.0)));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10);
    targets = planning
}
criterion_main!(benches);
