//! Single points drawn to edges and corners.

use plumbray_anatomy::{FilmPoint, Proportions};
use plumbray_trace::{SnapKind, snap_point};
use proptest::prelude::*;

use crate::film::Film;

/// Bright beyond a slanted line through (60.35, 50) with the normal (cos 20°, sin 20°).
fn film_of_edge(noise: f64) -> Film {
    Film::drawn((120, 100), Proportions::SQUARE, noise, |point| {
        if distance_from_edge(point.x, point.y) > 0.0 {
            0.7
        } else {
            0.2
        }
    })
}

fn distance_from_edge(x: f64, y: f64) -> f64 {
    let normal = 20.0_f64.to_radians();
    (x - 60.35) * normal.cos() + (y - 50.0) * normal.sin()
}

#[test]
fn a_point_snaps_onto_an_edge_to_a_tenth_of_a_pixel() {
    let film = film_of_edge(0.0);
    let snap = snap_point(&film.view(), FilmPoint::new(66.0, 47.0), 12.0).expect("an edge");
    assert_eq!(snap.kind, SnapKind::Edge, "a straight line has no corner");
    let off = distance_from_edge(snap.at.x_px, snap.at.y_px).abs();
    assert!(off < 0.1, "off by {off}");
}

#[test]
fn noise_makes_the_stated_spread_larger() {
    let near = FilmPoint::new(66.0, 47.0);
    let clear = snap_point(&film_of_edge(0.002).view(), near, 12.0).expect("an edge");
    let noisy = snap_point(&film_of_edge(0.08).view(), near, 12.0).expect("an edge");
    assert!(
        noisy.sd_px > 1.2 * clear.sd_px,
        "{} against {}",
        noisy.sd_px,
        clear.sd_px
    );
}

#[test]
fn a_point_snaps_onto_a_corner() {
    let film = Film::drawn((120, 100), Proportions::SQUARE, 0.005, |point| {
        if point.x > 60.4 && point.y > 49.7 {
            0.7
        } else {
            0.2
        }
    });
    let snap = snap_point(&film.view(), FilmPoint::new(63.0, 46.0), 14.0).expect("a corner");
    assert_eq!(snap.kind, SnapKind::Corner, "{snap:?}");
    let off = snap.at.distance_px(FilmPoint::new(60.4, 49.7));
    assert!(off < 0.8, "off by {off}");
}

#[test]
fn nothing_to_snap_to_is_none() {
    let flat = Film::flat(120, 100);
    assert_eq!(
        snap_point(&flat.view(), FilmPoint::new(60.0, 50.0), 12.0),
        None,
        "flat"
    );
    let edge = film_of_edge(0.0);
    let far = snap_point(&edge.view(), FilmPoint::new(20.0, 50.0), 12.0);
    assert_eq!(far, None, "the edge is out of reach");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn an_edge_within_reach_is_met_from_any_side(x in 50.0..70.0_f64, y in 30.0..70.0_f64) {
        prop_assume!(distance_from_edge(x, y).abs() < 9.0);
        let film = film_of_edge(0.01);
        let snap = snap_point(&film.view(), FilmPoint::new(x, y), 14.0).expect("an edge");
        let off = distance_from_edge(snap.at.x_px, snap.at.y_px).abs();
        prop_assert!(off < 0.4, "off by {off}");
    }
}
