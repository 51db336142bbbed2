//! Circles and ellipses on drawn films.

use plumbray_anatomy::{FilmPoint, PhysicalPoint, PhysicalVector, Proportions};
use plumbray_trace::{Stroke, TraceError, fit_head_circle, fit_round_object, fit_sesamoid};

use crate::{drawn_bone::Ray, film::Film};

const CENTRE: PhysicalPoint = PhysicalPoint { x: 151.3, y: 118.7 };

/// A coin, or a ball whose shadow is thin at its edge, on a grey slope.
fn film_of_disc(radius: f64, is_ball: bool, proportions: Proportions, noise: f64) -> Film {
    let rows = if proportions.height_over_width() > 1.5 {
        130
    } else {
        240
    };
    Film::drawn((300, rows), proportions, noise, |point| {
        let share = (point - CENTRE).length() / radius;
        let metal = match share {
            outside if outside >= 1.0 => 0.0,
            inside if is_ball => (1.0 - inside * inside).sqrt(),
            _ => 1.0,
        };
        0.2 + 0.0004 * point.x + 0.5 * metal
    })
}

#[test]
fn a_coin_is_measured_to_a_fifth_of_a_pixel() {
    let film = film_of_disc(48.4, false, Proportions::SQUARE, 0.02);
    let fit = fit_round_object(&film.view(), FilmPoint::new(160.0, 110.0), 58.0).expect("a coin");
    assert!((fit.radius_px - 48.4).abs() < 0.2, "{fit:?}");
    let off = (film.proportions.physical(fit.centre.at) - CENTRE).length();
    assert!(off < 0.2, "centre off by {off}");
    let edge = (film.proportions.physical(fit.edge.at) - CENTRE).length();
    assert!(
        (edge - 48.4).abs() < 0.4,
        "the edge point lies on it: {edge}"
    );
    assert!(fit.radius_sd_px > 0.0 && fit.radius_sd_px < 0.5, "{fit:?}");
}

#[test]
fn a_ball_is_measured_to_a_pixel_and_not_too_small_by_more() {
    let film = film_of_disc(48.4, true, Proportions::SQUARE, 0.01);
    let fit = fit_round_object(&film.view(), FilmPoint::new(145.0, 125.0), 42.0).expect("a ball");
    assert!((fit.radius_px - 48.4).abs() < 1.0, "{fit:?}");
}

#[test]
fn a_coin_darker_than_its_surroundings_is_found_too() {
    let mut film = film_of_disc(40.0, false, Proportions::SQUARE, 0.01).inverted();
    film.bone_is_bright = true;
    let fit = fit_round_object(&film.view(), FilmPoint::new(150.0, 110.0), 44.0).expect("a coin");
    assert!((fit.radius_px - 40.0).abs() < 0.2, "{fit:?}");
}

#[test]
fn a_coin_on_tall_pixels_is_a_circle_in_physical_proportions() {
    let proportions = Proportions::new(2.0).expect("possible");
    let film = film_of_disc(48.4, false, proportions, 0.01);
    let near = proportions.film(PhysicalPoint::new(158.0, 112.0));
    let fit = fit_round_object(&film.view(), near, 52.0).expect("a coin");
    let off = (proportions.physical(fit.centre.at) - CENTRE).length();
    assert!(
        off < 0.4 && (fit.radius_px - 48.4).abs() < 0.4,
        "off by {off}: {fit:?}"
    );
}

#[test]
fn a_flat_film_has_nothing_round() {
    let film = Film::flat(300, 240);
    let coin = fit_round_object(&film.view(), FilmPoint::new(150.0, 110.0), 44.0);
    assert_eq!(coin, Err(TraceError::NoRoundEdge), "coin");
    let head = fit_head_circle(&film.view(), FilmPoint::new(150.0, 110.0), Some(44.0), None);
    assert_eq!(head, Err(TraceError::NoRoundEdge), "head");
}

/// A sesamoid over a shaft's brightness, long axis turned by half a radian.
fn film_of_sesamoid(noise: f64) -> Film {
    let long = PhysicalVector::new(0.5_f64.cos(), 0.5_f64.sin());
    Film::drawn((300, 240), Proportions::SQUARE, noise, |point| {
        let offset = point - CENTRE;
        let share = (offset.dot(long) / 32.0).hypot(offset.dot(long.perpendicular()) / 23.0);
        let sesamoid = (1.0 - share * share).max(0.0).sqrt();
        0.35 + 0.0005 * point.y + 0.2 * sesamoid
    })
}

#[test]
fn a_sesamoid_is_outlined_from_a_rough_click() {
    let film = film_of_sesamoid(0.01);
    for near in [(140.0, 130.0), (165.0, 110.0), (151.0, 119.0)] {
        let near = FilmPoint::new(near.0, near.1);
        let fit = fit_sesamoid(&film.view(), near, Some(60.0), None).expect("a sesamoid");
        let centre = film.proportions.physical(fit.centre.at);
        let off = (centre - CENTRE).length();
        assert!(off < 1.5, "from {near:?}: centre off by {off}");
        let long = (film.proportions.physical(fit.long_end.at) - centre).length();
        let short = (film.proportions.physical(fit.short_end.at) - centre).length();
        assert!(
            (long - 32.0).abs() < 2.5 && (short - 23.0).abs() < 2.5,
            "{long} by {short}"
        );
        assert!(fit.confidence > 0.5, "clear: {fit:?}");
    }
}

#[test]
fn the_head_circle_follows_the_distal_contour() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.01);
    let half = 0.5 * ray.metatarsal.length;
    let axis = Stroke::new(ray.point(-half, 0.0), ray.point(half, 0.0));
    let near = ray.point(half - 38.0, 9.0);
    let fit = fit_head_circle(&ray.film.view(), near, None, Some(axis)).expect("a head");
    let centre = ray
        .metatarsal
        .coordinates(ray.film.proportions.physical(fit.centre.at));
    assert!(
        centre.1.abs() < 2.0,
        "the centre lies on the axis: {centre:?}"
    );
    let top = centre.0 + fit.radius_px;
    assert!(
        (top - half).abs() < 4.0,
        "the circle meets the tip: {top} against {half}"
    );
}
