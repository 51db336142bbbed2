//! How long a bone, a head, a sesamoid, a ball and a point take on a film of twelve megapixels.

use std::{hint::black_box, time::Duration};

use criterion::{Criterion, criterion_group, criterion_main};
use plumbray_anatomy::{FilmPoint, LongBone, Proportions};
use plumbray_film::GreyView;
use plumbray_trace::{
    Stroke, fit_head_circle, fit_round_object, fit_sesamoid, snap_point, trace_long_bone,
};

const WIDTH: usize = 3000;
const HEIGHT: usize = 4000;

/// A straight bright bone 1,600 pixels long and 330 wide, with brighter cortices, on grey.
fn film() -> Vec<u16> {
    let mut samples = Vec::with_capacity(WIDTH * HEIGHT);
    for row in 0..HEIGHT {
        for column in 0..WIDTH {
            let (across, along) = (column.abs_diff(1500), row.abs_diff(2000));
            let texture = u16::try_from((row * 31 + column * 17) % 257).unwrap_or(0);
            let value = match (across, along) {
                (_, 801..) | (165.., _) => 18_000,
                (130.., _) => 42_000,
                _ => 30_000,
            };
            samples.push(value + texture);
        }
    }
    samples
}

fn tracing(criterion: &mut Criterion) {
    let samples = film();
    let view = GreyView {
        width: WIDTH,
        height: HEIGHT,
        samples: &samples,
        bone_is_bright: true,
        proportions: Proportions::SQUARE,
    };
    let stroke = Stroke::new(
        FilmPoint::new(1540.0, 2500.0),
        FilmPoint::new(1460.0, 1500.0),
    );
    let axis = Stroke::new(
        FilmPoint::new(1500.0, 2800.0),
        FilmPoint::new(1500.0, 1200.0),
    );
    let near = FilmPoint::new(1520.0, 1420.0);
    criterion.bench_function("a long bone on 12 megapixels", |bencher| {
        bencher.iter(|| trace_long_bone(black_box(&view), LongBone::M1, &stroke));
    });
    criterion.bench_function("a head circle on 12 megapixels", |bencher| {
        bencher.iter(|| fit_head_circle(black_box(&view), near, None, Some(axis)));
    });
    criterion.bench_function("a sesamoid on 12 megapixels", |bencher| {
        bencher.iter(|| fit_sesamoid(black_box(&view), near, None, Some(axis)));
    });
    criterion.bench_function("a ball of 125 pixels radius on 12 megapixels", |bencher| {
        bencher.iter(|| fit_round_object(black_box(&view), near, 125.0));
    });
    for reach in [20.0, 45.0] {
        let name = format!("a point within {reach} pixels on 12 megapixels");
        criterion.bench_function(&name, |bencher| {
            let edge = FilmPoint::new(1660.0, 2000.0);
            bencher.iter(|| snap_point(black_box(&view), edge, reach));
        });
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(20)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    targets = tracing
}
criterion_main!(benches);
