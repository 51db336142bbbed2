//! The simulated films and their truth, from outside.

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, Proportions, Sesamoid, Side, View,
};
use plumbray_measure::{
    Choices, Foot as MeasuredFoot, Measurement, TracedFilm, measure, side_from_bones,
};
use plumbray_phantom::{
    Exposure, FilmTruth, Foot, FootParameters, SimulatedFilm, render_ap, render_lateral,
};

fn moderate_foot(side: Side) -> Foot {
    Foot::new(FootParameters {
        side,
        hallux_valgus_angle: 32.0,
        intermetatarsal_angle_1_2: 14.0,
        distal_metatarsal_articular_angle: 9.0,
        sesamoid_displacement: 0.62,
        ..FootParameters::default()
    })
    .expect("possible parameters")
}

/// A small film for tests that look at the truth and not at the picture.
fn coarse() -> Exposure {
    Exposure {
        pixel_mm: 1.5,
        ..Exposure::default()
    }
}

fn reading(ap: Option<&FilmTracing>, lateral: Option<&FilmTracing>, what: Measurement) -> f64 {
    let traced = |tracing| TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration: None,
    };
    let foot = MeasuredFoot {
        ap: ap.map(traced),
        lateral: lateral.map(traced),
        operated: false,
    };
    let outcome = measure(&foot, &Choices::default(), what);
    outcome
        .reading()
        .unwrap_or_else(|| panic!("{what:?}: {:?}", outcome.why_not()))
        .value
}

/// Angle in the floor plane from the foot's length toward lateral, in degrees.
fn azimuth(foot: &Foot, bone: LongBone) -> f64 {
    let [from, to] = foot.axis(bone);
    (to[0] - from[0]).atan2(to[1] - from[1]).to_degrees()
}

#[test]
fn the_angles_asked_for_are_the_angles_of_the_axes_in_space() {
    for side in [Side::Left, Side::Right] {
        let foot = moderate_foot(side);
        let asked = foot.parameters();
        let m1 = azimuth(&foot, LongBone::M1);
        let [medial, lateral] = foot.articular_ends();
        let [base, end] = foot.axis(LongBone::M1);
        let along: Vec<f64> = (0..3).map(|axis| end[axis] - base[axis]).collect();
        let dot = |u: &[f64], v: &[f64]| u.iter().zip(v).map(|(a, b)| a * b).sum::<f64>();
        let chord: Vec<f64> = (0..3).map(|axis| lateral[axis] - medial[axis]).collect();
        let behind = -dot(&chord, &along) / dot(&along, &along).sqrt();
        let tilt = (behind / dot(&chord, &chord).sqrt()).asin().to_degrees();
        for (name, angle, expected) in [
            (
                "hallux valgus",
                azimuth(&foot, LongBone::ProximalPhalanx) - m1,
                asked.hallux_valgus_angle,
            ),
            (
                "intermetatarsal",
                azimuth(&foot, LongBone::M2) - m1,
                asked.intermetatarsal_angle_1_2,
            ),
            (
                "interphalangeal",
                azimuth(&foot, LongBone::DistalPhalanx) - azimuth(&foot, LongBone::ProximalPhalanx),
                asked.hallux_interphalangeal_angle,
            ),
            ("articular", tilt, asked.distal_metatarsal_articular_angle),
            (
                "M2 length",
                length(foot.axis(LongBone::M2)),
                asked.metatarsal_lengths_mm[1],
            ),
        ] {
            assert!((angle - expected).abs() < 1e-6, "{name}: {angle}");
        }
    }
}

fn length([from, to]: [[f64; 3]; 2]) -> f64 {
    (0..3)
        .map(|axis| (to[axis] - from[axis]).powi(2))
        .sum::<f64>()
        .sqrt()
}

#[test]
fn the_engine_reads_the_truth_near_the_angles_asked_for_on_either_side() {
    for side in [Side::Left, Side::Right] {
        let foot = moderate_foot(side);
        let ap = render_ap(&foot, &coarse()).expect("a film").truth;
        let lateral = render_lateral(&foot, &coarse()).expect("a film").truth;
        let (ap, lateral) = (&ap.feet[0].tracing, &lateral.feet[0].tracing);
        // The tilted tube and the fall of the bones change the angles on the film by a few degrees.
        for (what, expected, within) in [
            (Measurement::HalluxValgusAngle, 32.0, 3.0),
            (Measurement::IntermetatarsalAngle12, 14.0, 2.0),
            (Measurement::DistalMetatarsalArticularAngle, 9.0, 3.0),
            (Measurement::HalluxInterphalangealAngle, 8.0, 2.0),
            (Measurement::TaloFirstMetatarsalAngle, -2.0, 3.0),
            (Measurement::CalcanealInclinationAngle, 21.0, 3.0),
            (Measurement::FirstMetatarsalInclinationAngle, 21.0, 2.0),
        ] {
            let value = reading(Some(ap), Some(lateral), what);
            assert!(
                (value - expected).abs() < within,
                "{side:?} {what:?}: {value} instead of {expected}"
            );
        }
        let film = TracedFilm {
            tracing: ap,
            proportions: Proportions::SQUARE,
            calibration: None,
        };
        assert_eq!(side_from_bones(film), Some(side), "the side of the bones");
    }
}

#[test]
fn every_landmark_of_an_unoperated_foot_is_in_the_truth() {
    let foot = moderate_foot(Side::Right);
    for view in View::ALL {
        let film = match view {
            View::Ap => render_ap(&foot, &coarse()),
            View::Lateral => render_lateral(&foot, &coarse()),
        }
        .expect("a film");
        let tracing = &film.truth.feet[0].tracing;
        for landmark in Landmark::all() {
            let is_expected = landmark.is_on(view) && landmark != Landmark::OsteotomyLevel;
            assert_eq!(
                tracing.point(landmark).is_some(),
                is_expected,
                "{landmark} on {view:?}"
            );
        }
    }
}

#[test]
fn the_articular_ends_lie_on_the_head_circle() {
    let film = render_ap(
        &moderate_foot(Side::Right),
        &Exposure {
            pixel_mm: 1.0,
            ..coarse()
        },
    )
    .expect("a film");
    let tracing = &film.truth.feet[0].tracing;
    let at = |landmark| tracing.point(landmark).expect("placed");
    let radius = at(Landmark::HeadCentre).distance_px(at(Landmark::HeadEdge));
    for end in [Landmark::ArticularMedial, Landmark::ArticularLateral] {
        let off = at(Landmark::HeadCentre).distance_px(at(end)) - radius;
        assert!(
            off.abs() < 1.0,
            "{end}: {off} mm off a circle of {radius} mm"
        );
    }
}

/// The steepest place of a film along a line, in pixels from `from` toward `to`.
fn steepest(film: &SimulatedFilm, from: FilmPoint, to: FilmPoint) -> f64 {
    let grey = |at: FilmPoint| {
        let (x, y) = (at.x_px - 0.5, at.y_px - 0.5);
        let (column, row) = (x.floor(), y.floor());
        let sample = |dx: f64, dy: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "landmarks of the test lie well within the film"
            )]
            let index = (row + dy) as usize * film.width + (column + dx) as usize;
            f64::from(film.samples[index])
        };
        let (u, v) = (x - column, y - row);
        (sample(0.0, 0.0) * (1.0 - u) + sample(1.0, 0.0) * u) * (1.0 - v)
            + (sample(0.0, 1.0) * (1.0 - u) + sample(1.0, 1.0) * u) * v
    };
    let reach = from.distance_px(to);
    let mut best = (0.0, 0.0);
    for step in 0..400 {
        let place = reach * f64::from(step) / 400.0;
        let here = |shift: f64| grey(from.toward(to, (place + shift) / reach));
        let rise = here(0.5) - here(-0.5);
        if rise > best.0 {
            best = (rise, place);
        }
    }
    best.1
}

#[test]
fn the_true_cortices_lie_where_the_film_turns_bright() {
    let exposure = Exposure {
        pixel_mm: 0.4,
        photons_per_pixel: 1e8,
        blur_mm: 0.1,
        ..Exposure::default()
    };
    let film = render_ap(&moderate_foot(Side::Right), &exposure).expect("a film");
    let tracing = &film.truth.feet[0].tracing;
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let cortices = &tracing.cortices[&bone];
        let middle = cortices.one.len() / 2;
        for line in middle - 4..=middle + 4 {
            let pair = [cortices.one[line], cortices.two[line]];
            for (edge, opposite) in [(pair[0], pair[1]), (pair[1], pair[0])] {
                // From 4 pixels outside to 4 inside; the true edge lies at 4.
                let width = edge.distance_px(opposite);
                let outside = edge.toward(opposite, -4.0 / width);
                let inside = edge.toward(opposite, 4.0 / width);
                let found = steepest(&film, outside, inside);
                assert!(
                    (found - 4.0).abs() < 1.0,
                    "{bone:?}, line {line}: the film turns bright {:.2} px off",
                    found - 4.0
                );
            }
        }
    }
}

#[test]
fn the_sesamoids_lie_where_they_were_asked_to() {
    for asked in [0.1, 0.5, 0.9] {
        let foot = Foot::new(FootParameters {
            sesamoid_displacement: asked,
            ..FootParameters::default()
        })
        .expect("possible");
        let [base, end] = foot.axis(LongBone::M1);
        let centre = foot.sesamoid_centre(Sesamoid::Tibial);
        let along = (centre[1] - base[1]) / (end[1] - base[1]);
        let across = centre[0] - base[0] - along * (end[0] - base[0]);
        let expected = (asked - 0.5) * 9.4;
        assert!(
            (across - expected).abs() < 0.6,
            "{across} mm lateral of the axis instead of {expected}"
        );
    }
}

#[test]
fn the_same_seed_gives_the_same_film_and_another_seed_other_noise() {
    let foot = moderate_foot(Side::Left);
    let samples = |seed| {
        render_ap(&foot, &Exposure { seed, ..coarse() })
            .expect("a film")
            .samples
    };
    assert!(samples(7) == samples(7), "the same seed");
    assert!(samples(7) != samples(8), "another seed");
}

#[test]
fn files_hold_the_film_and_its_truth() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = render_lateral(&moderate_foot(Side::Left), &coarse()).expect("a film");
    let path = |end: &str| folder.path().join(format!("film.{end}"));
    film.write_png(&path("png")).expect("a picture");
    film.write_dicom(&path("dcm")).expect("a DICOM object");
    film.write_truth(&path("truth.ron")).expect("the truth");

    let picture = image::open(path("png")).expect("readable").into_luma16();
    assert!(picture.into_raw() == film.samples, "the picture's samples");

    let object = dicom_object::open_file(path("dcm")).expect("readable");
    let stored = object
        .element_by_name("PixelData")
        .expect("pixels")
        .to_multi_int::<u16>()
        .expect("words");
    let shifted: Vec<u16> = film
        .samples
        .iter()
        .map(|sample| sample >> (16 - film.bits_stored))
        .collect();
    assert!(stored == shifted, "the object's samples");
    let side = object.element_by_name("ImageLaterality").expect("a side");
    assert_eq!(side.to_str().expect("text"), "L", "the object's side");

    let text = std::fs::read_to_string(path("truth.ron")).expect("readable");
    let truth: FilmTruth = ron::from_str(&text).expect("the truth");
    assert_eq!(truth, film.truth, "the truth as it was written");
}

#[test]
fn copies_in_8_bits_lie_near_the_film_and_lossy_ones_less_near() {
    let folder = tempfile::tempdir().expect("a folder");
    let film = render_lateral(&moderate_foot(Side::Right), &coarse()).expect("a film");
    let path = |name: &str| folder.path().join(name);
    film.write_png_in_8_bits(&path("copy.png")).expect("a copy");
    film.write_jpeg(&path("good.jpg"), 90).expect("a copy");
    film.write_jpeg(&path("bad.jpg"), 20).expect("a copy");
    let off = |name: &str| {
        let copy = image::open(path(name)).expect("readable").into_luma8();
        let sum: f64 = copy
            .into_raw()
            .iter()
            .zip(&film.samples)
            .map(|(grey, sample)| (f64::from(*grey) - f64::from(*sample) / 256.0).abs())
            .sum();
        sum / film.samples.iter().map(|_| 1.0).sum::<f64>()
    };
    assert!(off("copy.png") < 1.0, "a step at most: {}", off("copy.png"));
    let (good, bad) = (off("good.jpg"), off("bad.jpg"));
    assert!(good < 4.0 && good < bad, "{good} and {bad} steps");
}

#[test]
fn a_film_that_cannot_be_written_says_where() {
    let film = render_lateral(&moderate_foot(Side::Left), &coarse()).expect("a film");
    let nowhere = std::path::Path::new("/no/such/folder/film.png");
    let error = film.write_png(nowhere).expect_err("no such folder");
    assert!(error.to_string().contains("/no/such/folder"), "{error}");
}
