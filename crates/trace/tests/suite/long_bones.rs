//! Long bones from rough strokes.

use plumbray_anatomy::{FilmPoint, LongBone, PhysicalVector, Proportions};
use plumbray_trace::{BoneTrace, Stroke, trace_long_bone};

use crate::{drawn_bone::Ray, film::Film};

/// How far off a trace is, in pixel widths and degrees.
#[derive(Clone, Copy, Debug)]
struct Errors {
    /// The worst cortex vertex over the middle 60 % of the bone.
    cortex: f64,
    /// The line through the midpoints at the quarters against the true one.
    direction: f64,
    tip_along: f64,
    base_along: f64,
    /// Where the cortices begin and end, as shares of half the length.
    covered: (f64, f64),
}

fn errors(ray: &Ray, trace: &BoneTrace) -> Errors {
    let bone = ray.metatarsal;
    let place = |point: &FilmPoint| bone.coordinates(ray.film.proportions.physical(*point));
    let half = 0.5 * bone.length;
    let mut cortex = 0.0_f64;
    for line in [&trace.cortices.one, &trace.cortices.two] {
        for (u, v) in line.iter().map(place).filter(|(u, _)| u.abs() < 0.6 * half) {
            let off_centre = (v - bone.centre_line(u)).abs();
            cortex = cortex.max((off_centre - bone.half_width(u)).abs());
        }
    }
    let middle = |u: f64| {
        let across = |line: &[FilmPoint]| {
            let places: Vec<(f64, f64)> = line.iter().map(place).collect();
            let piece = places
                .windows(2)
                .find(|piece| piece[0].0 <= u && u <= piece[1].0)
                .expect("the cortices reach the quarters");
            let share = (u - piece[0].0) / (piece[1].0 - piece[0].0);
            piece[0].1 + share * (piece[1].1 - piece[0].1)
        };
        f64::midpoint(across(&trace.cortices.one), across(&trace.cortices.two))
    };
    let turn = (middle(0.5 * half) - middle(-0.5 * half)).atan2(half);
    let first = place(&trace.cortices.one[0]).0 / half;
    let last = place(&trace.cortices.one[trace.cortices.one.len() - 1]).0 / half;
    Errors {
        cortex,
        direction: turn.to_degrees().abs(),
        tip_along: (place(&trace.tip.expect("a tip").at).0 - half).abs(),
        base_along: (place(&trace.base_centre.expect("a base").at).0 + half).abs(),
        covered: (first, last),
    }
}

/// A stroke over the middle `share` of the metatarsal, each end off by so much along and across.
fn stroke(ray: &Ray, share: f64, from: (f64, f64), to: (f64, f64)) -> Stroke {
    let half = 0.5 * share * ray.metatarsal.length;
    Stroke::new(
        ray.point(-half + from.0, from.1),
        ray.point(half + to.0, to.1),
    )
}

fn traced(film: &Film, stroke: Stroke) -> BoneTrace {
    trace_long_bone(&film.view(), LongBone::M1, &stroke).expect("the bone is there")
}

#[test]
fn a_good_stroke_finds_both_cortices_and_ends() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.01);
    let found = errors(
        &ray,
        &traced(&ray.film, stroke(&ray, 0.6, (0.0, 0.0), (0.0, 0.0))),
    );
    assert!(found.cortex < 0.6, "cortices: {found:?}");
    assert!(found.direction < 0.15, "direction: {found:?}");
    assert!(
        found.tip_along < 4.0 && found.base_along < 4.0,
        "ends: {found:?}"
    );
    assert!(
        found.covered.0 < -0.8 && found.covered.1 > 0.8,
        "length: {found:?}"
    );
}

#[test]
fn strokes_off_by_millimetres_and_of_any_length_find_the_same_bone() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.01);
    for share in [0.5, 0.65, 0.85, 1.0] {
        for from_off in [-22.0, 0.0, 22.0] {
            for to_off in [-22.0, 0.0, 22.0] {
                let sweep = stroke(&ray, share, (8.0, from_off), (-8.0, to_off));
                let found = errors(&ray, &traced(&ray.film, sweep));
                assert!(
                    found.direction < 0.3 && found.cortex < 1.5,
                    "share {share}, off by {from_off} and {to_off}: {found:?}"
                );
                assert!(
                    found.tip_along < 8.0 && found.base_along < 8.0,
                    "ends, share {share}, off by {from_off} and {to_off}: {found:?}"
                );
            }
        }
    }
}

#[test]
fn the_trace_runs_the_way_of_the_stroke() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.01);
    let sweep = stroke(&ray, 0.7, (0.0, 6.0), (0.0, -4.0));
    let there = traced(&ray.film, sweep);
    let back = traced(&ray.film, sweep.reversed());
    let tip = there.tip.expect("a tip").at;
    let base = back.base_centre.expect("a base").at;
    assert!(
        tip.distance_px(base) < 1.0,
        "{tip:?} is {base:?} the other way"
    );
    let first = there.cortices.one[0];
    let last = back.cortices.two[back.cortices.two.len() - 1];
    assert!(
        first.distance_px(last) < 8.0,
        "{first:?} and {last:?} are one end of one cortex"
    );
}

#[test]
fn an_inverted_film_gives_the_same_trace() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.02);
    let sweep = stroke(&ray, 0.6, (0.0, 10.0), (0.0, -10.0));
    let dark = traced(&ray.film.clone().inverted(), sweep);
    assert_same(&traced(&ray.film, sweep), &dark, |point| point, 1e-3);
}

#[test]
fn a_mirrored_film_gives_the_mirrored_trace() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.02);
    let sweep = stroke(&ray, 0.6, (0.0, 10.0), (0.0, -10.0));
    let width = ray.film.width as f64;
    let mirror = |point: FilmPoint| FilmPoint::new(width - point.x_px, point.y_px);
    let mirrored = Stroke::new(mirror(sweep.from), mirror(sweep.to));
    let mut found = traced(&ray.film.clone().mirrored(), mirrored);
    std::mem::swap(&mut found.cortices.one, &mut found.cortices.two);
    assert_same(&traced(&ray.film, sweep), &found, mirror, 0.5);
}

#[test]
fn a_film_turned_by_quarter_turns_gives_the_turned_trace() {
    let ray = Ray::drawn(1.0, Proportions::SQUARE, 0.02);
    let mut sweep = stroke(&ray, 0.6, (0.0, 10.0), (0.0, -10.0));
    let straight = traced(&ray.film, sweep);
    let mut film = ray.film.clone();
    let mut expected: Vec<FilmPoint> = straight.cortices.one.clone();
    for quarter in 1..=3 {
        let height = film.height as f64;
        let turn = |point: FilmPoint| FilmPoint::new(height - point.y_px, point.x_px);
        film = film.turned();
        sweep = Stroke::new(turn(sweep.from), turn(sweep.to));
        expected = expected.into_iter().map(turn).collect();
        let found = traced(&film, sweep);
        let worst = worst_distance(&expected, &found.cortices.one);
        assert!(
            worst < 0.5,
            "{quarter} quarter turns: cortex off by {worst}"
        );
    }
}

#[test]
fn half_and_double_resolution_give_the_same_bone() {
    for scale in [0.5, 2.0] {
        let ray = Ray::drawn(scale, Proportions::SQUARE, 0.01);
        let off = 15.0 * scale;
        let found = errors(
            &ray,
            &traced(&ray.film, stroke(&ray, 0.6, (0.0, off), (0.0, -off))),
        );
        assert!(found.direction < 0.3, "scale {scale}: {found:?}");
        assert!(
            found.cortex < 1.5 * scale.max(0.7),
            "scale {scale}: {found:?}"
        );
    }
}

#[test]
fn pixels_taller_than_wide_give_the_same_bone() {
    for shape in [0.5, 1.6] {
        let proportions = Proportions::new(shape).expect("possible");
        let ray = Ray::drawn(1.0, proportions, 0.01);
        let found = errors(
            &ray,
            &traced(&ray.film, stroke(&ray, 0.6, (0.0, 12.0), (0.0, -12.0))),
        );
        assert!(
            found.direction < 0.3 && found.cortex < 2.0,
            "shape {shape}: {found:?}"
        );
        assert!(found.tip_along < 6.0, "shape {shape}: {found:?}");
    }
}

#[test]
fn a_noisy_film_is_traced_with_a_larger_spread() {
    let clear = Ray::drawn(1.0, Proportions::SQUARE, 0.005);
    let noisy = Ray::drawn(1.0, Proportions::SQUARE, 0.08);
    let trace = |ray: &Ray| traced(&ray.film, stroke(ray, 0.6, (0.0, 8.0), (0.0, -8.0)));
    let (clear_trace, noisy_trace) = (trace(&clear), trace(&noisy));
    let found = errors(&noisy, &noisy_trace);
    assert!(found.direction < 0.6, "noisy: {found:?}");
    assert!(
        noisy_trace.cortices.sd_px > clear_trace.cortices.sd_px,
        "{} against {}",
        noisy_trace.cortices.sd_px,
        clear_trace.cortices.sd_px
    );
}

#[test]
fn a_film_of_noise_has_no_shaft() {
    let film = Film::drawn((400, 500), Proportions::SQUARE, 0.1, |_| 0.4);
    let sweep = Stroke::new(FilmPoint::new(200.0, 400.0), FilmPoint::new(210.0, 120.0));
    let found = trace_long_bone(&film.view(), LongBone::M1, &sweep);
    assert!(found.is_err(), "{found:?}");
}

fn worst_distance(expected: &[FilmPoint], found: &[FilmPoint]) -> f64 {
    let middle = |line: &[FilmPoint]| line[line.len() / 4..3 * line.len() / 4].to_vec();
    let to_line = |point: FilmPoint| {
        found
            .windows(2)
            .map(|piece| distance_to_piece(point, piece[0], piece[1]))
            .fold(f64::INFINITY, f64::min)
    };
    middle(expected)
        .into_iter()
        .map(to_line)
        .fold(0.0, f64::max)
}

fn distance_to_piece(point: FilmPoint, start: FilmPoint, end: FilmPoint) -> f64 {
    let physical = |point: FilmPoint| Proportions::SQUARE.physical(point);
    let piece: PhysicalVector = physical(end) - physical(start);
    let offset = physical(point) - physical(start);
    let share = (offset.dot(piece) / piece.dot(piece)).clamp(0.0, 1.0);
    (offset - piece * share).length()
}

/// Both traces are the same when the points of the first are moved by `moved`.
fn assert_same(
    first: &BoneTrace,
    second: &BoneTrace,
    moved: impl Fn(FilmPoint) -> FilmPoint,
    bound: f64,
) {
    let pairs = [
        ("one", &first.cortices.one, &second.cortices.one),
        ("two", &first.cortices.two, &second.cortices.two),
    ];
    for (name, from, to) in pairs {
        let expected: Vec<FilmPoint> = from.iter().map(|point| moved(*point)).collect();
        let worst = worst_distance(&expected, to);
        assert!(worst < bound, "cortex {name} is off by {worst}");
    }
    let tip = moved(first.tip.expect("a tip").at).distance_px(second.tip.expect("a tip").at);
    assert!(tip < 4.0 * bound, "tip is off by {tip}");
}
