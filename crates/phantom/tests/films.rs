//! The simulated films and their truth, from outside.

use plumbray_anatomy::{FilmPoint, LongBone, Side};
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
    let pixels = object.element_by_name("PixelData").expect("pixels");
    let fragment = &pixels.value().fragments().expect("compressed")[0];
    let stored: Vec<u16> = jpeg_decoder::Decoder::new(&fragment[..])
        .decode()
        .expect("a JPEG stream")
        .chunks_exact(2)
        .map(|pair| u16::from_ne_bytes([pair[0], pair[1]]))
        .collect();
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
