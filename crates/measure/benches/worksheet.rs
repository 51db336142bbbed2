//! A worksheet follows the hand that drags a point, so that it must take far less than a frame.

use std::{collections::BTreeMap, hint::black_box};

use criterion::{Criterion, criterion_group, criterion_main};
use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PixelSpacing, PlacedPoint, Proportions, View,
};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, TracedFilm, all_conventions, worksheet,
};

/// Vertices on each cortex: as many as a careful sweep of a shaft leaves.
const VERTICES: u32 = 120;

/// A tracing in which everything that any measurement of this view asks for was placed: bones side by
/// side, points somewhere near.
fn full_tracing(view: View) -> FilmTracing {
    let mut tracing = FilmTracing::default();
    for (landmark, place) in Landmark::all()
        .into_iter()
        .filter(|landmark| landmark.is_on(view))
        .zip(0u32..)
    {
        let place = f64::from(place);
        let at = FilmPoint::new(300.0 + 37.0 * place, 500.0 + 190.0 * (place * 1.7).sin());
        tracing.points.insert(landmark, hand_placed(at));
    }
    for (bone, place) in LongBone::ALL.into_iter().zip(0u32..) {
        let (x, top) = (400.0 + 160.0 * f64::from(place), 500.0);
        let ends = [FilmPoint::new(x, top + 600.0), FilmPoint::new(x, top)];
        if Landmark::Tip(bone).is_on(view) {
            tracing
                .points
                .insert(Landmark::BaseCentre(bone), hand_placed(ends[0]));
            tracing
                .points
                .insert(Landmark::Tip(bone), hand_placed(ends[1]));
            tracing.cortices.insert(bone, shaft(ends));
        }
    }
    tracing.points.insert(
        Landmark::HeadCentre,
        hand_placed(FilmPoint::new(420.0, 540.0)),
    );
    tracing
}

fn hand_placed(at: FilmPoint) -> PlacedPoint {
    PlacedPoint {
        at,
        sd_px: 1.0,
        origin: Origin::Hand,
    }
}

fn shaft([base, tip]: [FilmPoint; 2]) -> Cortices {
    let cortex = |side: f64| {
        (0..=VERTICES)
            .map(|vertex| {
                let share = f64::from(vertex) / f64::from(VERTICES);
                let middle = base.toward(tip, share);
                FilmPoint::new(middle.x_px + side + (9.0 * share).sin(), middle.y_px)
            })
            .collect()
    };
    Cortices {
        one: cortex(-40.0),
        two: cortex(40.0),
        sd_px: 0.5,
        together_sd_px: 0.0,
        proximal_sd_px: None,
        origin: Origin::Snapped,
    }
}

fn benchmark(criterion: &mut Criterion) {
    let tracings: BTreeMap<View, FilmTracing> = View::ALL
        .into_iter()
        .map(|view| (view, full_tracing(view)))
        .collect();
    let calibration = Calibration {
        spacing: PixelSpacing::new(0.1, 0.1).expect("possible"),
        basis: CalibrationBasis::AtDetector,
        relative_sd: 0.02,
    };
    let film = |view| TracedFilm {
        tracing: &tracings[&view],
        proportions: Proportions::SQUARE,
        calibration: Some(&calibration),
    };
    let foot = Foot {
        ap: Some(film(View::Ap)),
        lateral: Some(film(View::Lateral)),
        operated: false,
    };
    for convention in AxisConvention::ALL {
        let choices = Choices {
            convention: Some(convention),
            ..Choices::default()
        };
        let sheet = worksheet(&foot, &choices);
        assert!(
            sheet.rows.iter().all(|row| row.outcome.reading().is_some()),
            "every row has a number: {:?}",
            sheet
                .rows
                .iter()
                .filter_map(|row| row.outcome.why_not())
                .collect::<Vec<_>>()
        );
        let name = format!("a whole worksheet by {}", convention.identifier());
        criterion.bench_function(&name, |bencher| {
            bencher.iter(|| worksheet(black_box(&foot), &choices));
        });
    }
    criterion.bench_function("one angle by all conventions", |bencher| {
        bencher.iter(|| {
            all_conventions(
                black_box(&foot),
                &Choices::default(),
                Measurement::HalluxValgusAngle,
            )
        });
    });
}

criterion_group!(benches, benchmark);
criterion_main!(benches);
