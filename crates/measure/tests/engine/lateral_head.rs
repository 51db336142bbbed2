//! Where the first metatarsal's head lies against its proximal shaft on a lateral film that is worked by hand.

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, View, testing::assert_close};
use plumbray_measure::{head_offset_on_lateral_px, head_reach_px, proximal_shaft};

use crate::made_feet::{direction, lateral_only, put, put_bone, step};

const BASE: [f64; 2] = [400.0, 500.0];

/// A shaft that falls by 20° to the floor, with its head 30 pixel widths on the dorsal side of it and 360 distal.
fn falling_shaft() -> FilmTracing {
    let mut tracing = FilmTracing::default();
    put(&mut tracing, Landmark::FloorPosterior, [100.0, 1000.0]);
    put(&mut tracing, Landmark::FloorAnterior, [1400.0, 1000.0]);
    put_bone(&mut tracing, LongBone::M1, BASE, 110.0, 400.0, 60.0);
    let head = step(step(BASE, direction(110.0), 360.0), direction(20.0), 30.0);
    put(&mut tracing, Landmark::HeadCentre, head);
    tracing
}

fn mirrored(mut tracing: FilmTracing) -> FilmTracing {
    let mirror = |x: &mut f64| *x = 2000.0 - *x;
    for placed in tracing.points.values_mut() {
        mirror(&mut placed.at.x_px);
    }
    for cortices in tracing.cortices.values_mut() {
        let line = cortices.one.iter_mut().chain(&mut cortices.two);
        line.for_each(|at| mirror(&mut at.x_px));
    }
    tracing
}

#[test]
fn a_head_dorsal_of_its_shaft_reads_so_whichever_way_the_film_lies() {
    for tracing in [falling_shaft(), mirrored(falling_shaft())] {
        let foot = lateral_only(&tracing);
        for (outcome, expected) in [
            (head_offset_on_lateral_px(&foot), 30.0),
            (head_reach_px(&foot, View::Lateral), 360.0),
        ] {
            let reading = outcome.reading().expect("a number");
            assert_close(reading.value, expected, 1e-6, "by hand");
            assert!(reading.sd > 0.0, "the tracing spreads: {}", reading.sd);
        }
    }
}

#[test]
fn a_lateral_film_without_the_head_or_the_floor_names_what_it_needs() {
    for missing in [Landmark::HeadCentre, Landmark::FloorAnterior] {
        let mut tracing = falling_shaft();
        tracing.points.remove(&missing);
        let outcome = head_offset_on_lateral_px(&lateral_only(&tracing));
        assert_eq!(outcome.status(), "needs", "{missing:?}: {outcome:?}");
    }
}

#[test]
fn the_proximal_shaft_points_distal_and_is_as_wide_as_it_was_made() {
    let tracing = falling_shaft();
    let shaft = proximal_shaft(&lateral_only(&tracing), View::Lateral).expect("a swept shaft");
    let [x, y] = direction(110.0);
    assert_close(shaft.along.x, x, 1e-9, "toward the tip");
    assert_close(shaft.along.y, y, 1e-9, "toward the tip");
    for width in shaft.widths {
        assert_close(width, 60.0, 1e-6, "at each level");
    }
    let mut unswept = tracing;
    unswept.cortices.clear();
    let why = proximal_shaft(&lateral_only(&unswept), View::Lateral).expect_err("no cortices");
    assert_eq!(why.status(), "needs", "{why:?}");
}
