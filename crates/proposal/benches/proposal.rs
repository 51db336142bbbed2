//! How long a point, a bone with hints and a whole film take on a simulated film of twelve megapixels.
//!
//! The film is simulated first, which takes a minute or two.

use std::{hint::black_box, time::Duration};

use criterion::{Criterion, criterion_group, criterion_main};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Proportions, View};
use plumbray_film::GreyView;
use plumbray_phantom::{Exposure, Foot, FootParameters, SimulatedFilm, render_ap};
use plumbray_proposal::{Hints, Sight};
use plumbray_trace::Hand;

/// Size of a pixel in mm at which an AP film of one foot has twelve megapixels.
const PIXEL_MM: f64 = 0.051;

/// How far the hints lie from the truth, in mm to the right and down.
const MISS_MM: [f64; 2] = [2.5, -1.5];

fn film() -> SimulatedFilm {
    let foot = Foot::new(FootParameters::default()).expect("the usual foot can be built");
    let exposure = Exposure {
        pixel_mm: PIXEL_MM,
        ..Exposure::default()
    };
    render_ap(&foot, &exposure).expect("the usual film can be taken")
}

fn missed(at: FilmPoint) -> FilmPoint {
    let [right, down] = MISS_MM.map(|miss| miss / PIXEL_MM);
    FilmPoint::new(at.x_px + right, at.y_px + down)
}

/// A rough stroke along the first metatarsal.
fn stroke_hints(truth: &FilmTracing) -> Hints {
    let bone = LongBone::M1;
    let point = |landmark| truth.point(landmark).expect("the truth has every bone");
    let (base, tip) = (
        point(Landmark::BaseCentre(bone)),
        point(Landmark::Tip(bone)),
    );
    Hints {
        points: [
            (Landmark::ShaftStart(bone), missed(base.toward(tip, 0.2))),
            (Landmark::ShaftEnd(bone), missed(base.toward(tip, 0.8))),
        ]
        .into(),
    }
}

fn proposal(criterion: &mut Criterion) {
    let film = film();
    let truth = &film.truth.feet[0].tracing;
    let view = GreyView {
        width: film.width,
        height: film.height,
        samples: &film.samples,
        bone_is_bright: true,
        proportions: Proportions::SQUARE,
    };
    let hand = Hand::on(&view, None);
    let near = truth
        .point(Landmark::ArticularMedial)
        .expect("the truth has the joint");
    let near = FilmPoint::new(near.x_px + 0.5 * hand.reach_px, near.y_px);
    criterion.bench_function("a point on 12 megapixels", |bencher| {
        bencher.iter(|| hand.snapped(black_box(&view), near));
    });
    criterion.bench_function("a whole film of 12 megapixels", |bencher| {
        bencher.iter(|| Sight::of(black_box(&view)).map(|sight| sight.proposals(&view)));
    });
    let Ok(sight) = Sight::of(&view) else {
        eprintln!("no foot is recognised on the film: there is no bone to trace by hints");
        return;
    };
    let hints = stroke_hints(truth);
    criterion.bench_function("a bone with hints on 12 megapixels", |bencher| {
        bencher.iter(|| sight.traced(black_box(&view), View::Ap, &hints));
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(3));
    targets = proposal
}
criterion_main!(benches);
