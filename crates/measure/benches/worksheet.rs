//! A worksheet follows the hand that drags a point, so that it must take far less than a frame.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};

fn empty(criterion: &mut Criterion) {
    criterion.bench_function("nothing", |bencher| bencher.iter(|| black_box(1)));
}

criterion_group!(benches, empty);
criterion_main!(benches);
