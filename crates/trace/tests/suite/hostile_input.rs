//! Input that no film and no hand should give: a clear error, never a panic.

use plumbray_anatomy::{FilmPoint, LongBone, Proportions};
use plumbray_film::GreyView;
use plumbray_trace::{
    Stroke, TraceError, fit_head_circle, fit_round_object, fit_sesamoid, snap_point,
    trace_long_bone,
};
use proptest::prelude::*;

use crate::film::Film;

fn trace(view: &GreyView<'_>, from: (f64, f64), to: (f64, f64)) -> Result<(), TraceError> {
    let stroke = Stroke::new(FilmPoint::new(from.0, from.1), FilmPoint::new(to.0, to.1));
    trace_long_bone(view, LongBone::M1, &stroke).map(|_| ())
}

#[test]
fn a_film_without_pixels_is_refused() {
    let empty = GreyView {
        width: 0,
        height: 0,
        samples: &[],
        bone_is_bright: true,
        proportions: Proportions::SQUARE,
    };
    let short = GreyView {
        width: 1000,
        height: 1000,
        samples: &[0; 100],
        ..empty
    };
    let overflowing = GreyView {
        width: usize::MAX,
        height: usize::MAX,
        ..short
    };
    for view in [empty, short, overflowing] {
        let found = trace(&view, (10.0, 10.0), (90.0, 90.0));
        assert_eq!(
            found,
            Err(TraceError::NoPixels),
            "{} by {}",
            view.width,
            view.height
        );
        assert_eq!(
            snap_point(&view, FilmPoint::new(1.0, 1.0), 9.0),
            None,
            "no pixels"
        );
    }
}

#[test]
fn a_bad_stroke_is_refused_with_advice() {
    let film = Film::flat(200, 300);
    let view = film.view();
    let cases = [
        ((f64::NAN, 1.0), (9.0, 90.0), "point again"),
        (
            (100.0, 100.0),
            (100.0, 100.0),
            "sweep along the shaft again, a little longer",
        ),
        (
            (100.0, 100.0),
            (104.0, 103.0),
            "sweep along the shaft again, a little longer",
        ),
        ((-500.0, 10.0), (-400.0, 90.0), "point at the bone"),
        ((0.0, 0.0), (1e12, 1e12), "point at the bone"),
        (
            (100.0, 50.0),
            (100.0, 250.0),
            "sweep along the shaft again, a little longer",
        ),
    ];
    for (from, to, advice) in cases {
        let error = trace(&view, from, to).expect_err("nothing is there");
        assert!(
            error.to_string().contains(advice),
            "{from:?} to {to:?}: {error}"
        );
    }
}

#[test]
fn impossible_sizes_are_refused() {
    let film = Film::flat(200, 300);
    let near = FilmPoint::new(100.0, 100.0);
    for size in [0.0, -4.0, f64::NAN, f64::INFINITY, 1e9] {
        assert!(
            matches!(
                fit_round_object(&film.view(), near, size),
                Err(TraceError::BadSize { .. })
            ),
            "{size}"
        );
        assert!(
            fit_sesamoid(&film.view(), near, Some(size), None).is_err(),
            "{size}"
        );
        assert_eq!(
            snap_point(&film.view(), FilmPoint::new(size, size), size),
            None,
            "{size}"
        );
    }
}

/// Any number at all, ordinary ones about half of the time.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![-50.0..250.0_f64, any::<f64>()]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn nothing_panics_on_noise(
        numbers in prop::collection::vec(any_number(), 7),
        samples in prop::collection::vec(any::<u16>(), 60 * 50),
        is_bright in any::<bool>(),
    ) {
        let view = GreyView {
            width: 60,
            height: 50,
            samples: &samples,
            bone_is_bright: is_bright,
            proportions: Proportions::SQUARE,
        };
        let near = FilmPoint::new(numbers[0], numbers[1]);
        let axis = Stroke::new(near, FilmPoint::new(numbers[2], numbers[3]));
        for bone in LongBone::ALL {
            if let Ok(trace) = trace_long_bone(&view, bone, &axis) {
                prop_assert!(trace.cortices.one.iter().all(|point| point.is_finite()), "cortex");
                prop_assert!(trace.cortices.sd_px >= 0.0, "spread");
            }
        }
        if let Some(snap) = snap_point(&view, near, numbers[4]) {
            prop_assert!(snap.at.is_finite() && snap.sd_px >= 0.0, "{snap:?}");
        }
        for axis in [None, Some(axis)] {
            if let Ok(fit) = fit_head_circle(&view, near, Some(numbers[5]), axis) {
                prop_assert!(fit.centre.at.is_finite() && fit.radius_px > 0.0, "{fit:?}");
            }
            if let Ok(fit) = fit_sesamoid(&view, near, Some(numbers[6]), axis) {
                prop_assert!(fit.centre.at.is_finite(), "{fit:?}");
            }
        }
        if let Ok(fit) = fit_round_object(&view, near, numbers[5]) {
            prop_assert!(fit.radius_px > 0.0, "{fit:?}");
        }
    }
}
