//! How long it takes to build a foot and to take its films: an AP film of 1.5 megapixels is to be ready
//! within 15 seconds on two cores.

use std::{hint::black_box, time::Duration};

use criterion::{Criterion, criterion_group, criterion_main};
use plumbray_phantom::{Exposure, Foot, FootParameters, render_ap, render_lateral};

/// With this size of a pixel the AP field of one foot has 1.5 megapixels.
const PIXEL_MM: f64 = 0.144;

fn films(criterion: &mut Criterion) {
    let parameters = FootParameters::default();
    let exposure = Exposure {
        pixel_mm: PIXEL_MM,
        ..Exposure::default()
    };
    let mut group = criterion.benchmark_group("phantom");
    group
        .sample_size(10)
        .measurement_time(Duration::from_secs(30));
    group.bench_function("a foot is built", |bencher| {
        bencher.iter(|| Foot::new(black_box(parameters)));
    });
    let Ok(foot) = Foot::new(parameters) else {
        return;
    };
    group.bench_function("an AP film of 1.5 megapixels", |bencher| {
        bencher.iter(|| render_ap(black_box(&foot), &exposure));
    });
    group.bench_function("a lateral film", |bencher| {
        bencher.iter(|| render_lateral(black_box(&foot), &exposure));
    });
    group.finish();
}

criterion_group!(benches, films);
criterion_main!(benches);
