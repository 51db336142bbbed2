//! What the film looks like on the screen, pixel by pixel, against what its samples say.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "made films and screens are small, and samples wrap on purpose"
)]

mod offscreen;
mod pictures;

use std::{
    cell::RefCell,
    f64::consts::{PI, TAU},
    rc::Rc,
    sync::Arc,
};

use egui::{Color32, Pos2, Rect, pos2, vec2};
use egui_kittest::Harness;
use image::RgbaImage;
use offscreen::{Dialect, OffscreenRenderer};
use pictures::{SURROUND, bright_centre, film, largest_difference};
use plumbray::canvas::{
    DrawnBy, FilmExtent, FilmLook, FilmPainter, Magnifier, Orientation, Placement, ScreenFromFilm,
};
use plumbray_anatomy::{Angle, FilmPoint, Proportions};
use plumbray_film::{DisplayTable, Film, Pyramid, Window};

/// A DICOM film on which small values are bright, whose pixels of value `padding` are no picture.
fn padded_film(width: u16, height: u16, padding: u16, samples: &[u16]) -> Arc<Pyramid> {
    let text = |value: &str, filler: u8| {
        let mut bytes = value.as_bytes().to_vec();
        if bytes.len() % 2 == 1 {
            bytes.push(filler);
        }
        bytes
    };
    let short = |value: u16| value.to_le_bytes().to_vec();
    let element = |group: u16, element: u16, representation: &[u8; 2], value: &[u8]| {
        let mut bytes = [group.to_le_bytes(), element.to_le_bytes()].concat();
        bytes.extend(representation);
        if representation == b"OW" {
            bytes.extend([0, 0]);
            bytes.extend((value.len() as u32).to_le_bytes());
        } else {
            bytes.extend((value.len() as u16).to_le_bytes());
        }
        bytes.extend(value);
        bytes
    };
    let computed_radiography = text("1.2.840.10008.5.1.4.1.1.1", 0);
    let meta = [
        element(0x0002, 0x0002, b"UI", &computed_radiography),
        element(0x0002, 0x0003, b"UI", &text("2.25.1", 0)),
        element(0x0002, 0x0010, b"UI", &text("1.2.840.10008.1.2.1", 0)),
    ]
    .concat();
    let pixels: Vec<u8> = samples
        .iter()
        .flat_map(|sample| sample.to_le_bytes())
        .collect();
    let file = [
        vec![0; 128],
        b"DICM".to_vec(),
        element(0x0002, 0x0000, b"UL", &(meta.len() as u32).to_le_bytes()),
        meta,
        element(0x0008, 0x0016, b"UI", &computed_radiography),
        element(0x0008, 0x0018, b"UI", &text("2.25.1", 0)),
        element(0x0008, 0x0060, b"CS", b"CR"),
        element(0x0028, 0x0002, b"US", &short(1)),
        element(0x0028, 0x0004, b"CS", &text("MONOCHROME1", b' ')),
        element(0x0028, 0x0010, b"US", &short(height)),
        element(0x0028, 0x0011, b"US", &short(width)),
        element(0x0028, 0x0100, b"US", &short(16)),
        element(0x0028, 0x0101, b"US", &short(16)),
        element(0x0028, 0x0102, b"US", &short(15)),
        element(0x0028, 0x0103, b"US", &short(0)),
        element(0x0028, 0x0120, b"US", &short(padding)),
        element(0x7FE0, 0x0010, b"OW", &pixels),
    ]
    .concat();
    let film = Film::from_bytes(&file).expect("a DICOM film");
    assert_eq!(film.samples(), samples, "the file holds the samples");
    Arc::new(film.pyramid())
}

/// Samples without pattern, the same at every run.
fn scattered(x: u32, y: u32) -> u16 {
    let mixed =
        (x.wrapping_mul(0x9E37_79B1) ^ y.wrapping_mul(0x85EB_CA77)).wrapping_mul(0xC2B2_AE3D);
    (mixed >> 16) as u16
}

/// Samples that change slowly: a soft tissue like slope with a bright disc.
fn smooth(x: u32, y: u32) -> u16 {
    let (x, y) = (f64::from(x), f64::from(y));
    let disc = (-((x - 150.0).powi(2) + (y - 210.0).powi(2)) / 9000.0).exp();
    (8000.0 + 20.0 * x + 12.0 * y + 30_000.0 * disc) as u16
}

/// One picture to be made.
#[derive(Clone)]
struct Scene {
    pyramid: Arc<Pyramid>,
    look: FilmLook,
    size: (f32, f32),
    proportions: Proportions,
    orientation: Orientation,
    placement: Placement,
}

impl Scene {
    fn new(pyramid: &Arc<Pyramid>, size: (f32, f32), placement: Placement) -> Self {
        Self {
            pyramid: Arc::clone(pyramid),
            look: FilmLook::of_film(pyramid.film()).with_window(Window::between(9000.0, 43_210.0)),
            size,
            proportions: Proportions::SQUARE,
            orientation: Orientation::default(),
            placement,
        }
    }

    fn map(&self) -> ScreenFromFilm {
        ScreenFromFilm::new(
            FilmExtent::of_film(self.pyramid.film(), self.proportions),
            Rect::from_min_size(Pos2::ZERO, vec2(self.size.0, self.size.1)),
            self.orientation,
            self.placement,
        )
    }

    /// The picture and by which way it was drawn in the end.
    fn drawn(&self, painter: FilmPainter, dialect: Dialect) -> (RgbaImage, DrawnBy) {
        self.drawn_with(painter, dialect, |_, _| {})
    }

    fn drawn_with(
        &self,
        painter: FilmPainter,
        dialect: Dialect,
        more_ui: impl Fn(&mut FilmPainter, &egui::Painter) + 'static,
    ) -> (RgbaImage, DrawnBy) {
        let painter = Rc::new(RefCell::new(painter));
        let scene = self.clone();
        let kept = Rc::clone(&painter);
        let mut harness = Harness::builder()
            .with_size(vec2(self.size.0, self.size.1))
            .renderer(OffscreenRenderer::new(dialect))
            .build_ui(move |ui| {
                let background = ui.ctx().layer_painter(egui::LayerId::background());
                let mut painter = kept.borrow_mut();
                painter.film_ui(&background, &scene.map(), &scene.pyramid, &scene.look);
                more_ui(&mut painter, &background);
            });
        harness
            .render()
            .expect("a first picture, which may show that OpenGL refuses");
        harness.run();
        let picture = harness.render().expect("a picture");
        let by = painter.borrow().drawn_by(&self.pyramid);
        (picture, by)
    }

    fn by_graphics(&self) -> RgbaImage {
        let (picture, by) = self.drawn(FilmPainter::on_graphics(SURROUND), Dialect::OpenGl);
        assert_eq!(by, DrawnBy::Graphics, "drawn by the graphics processor");
        picture
    }

    fn by_processor(&self) -> RgbaImage {
        self.drawn(FilmPainter::on_processor(SURROUND), Dialect::OpenGl)
            .0
    }

    /// The greys that the film's own table gives its codes.
    fn table(&self) -> DisplayTable {
        let grey = self.pyramid.film().grey();
        match &self.look.curve {
            Some(curve) => grey.curve_table(curve, self.look.inverted),
            None => grey.ramp_table(self.look.window, self.look.inverted),
        }
    }
}

fn at(x_px: f64, y_px: f64, zoom: f64) -> Placement {
    Placement::At {
        centre: FilmPoint::new(x_px, y_px),
        zoom,
    }
}

/// Checks that every pixel shows exactly the film pixel under it.
fn assert_shows_samples(scene: &Scene, picture: &RgbaImage, sample: impl Fn(u32, u32) -> u16) {
    let map = scene.map();
    let film = scene.pyramid.film();
    let table = scene.table();
    for (x, y, pixel) in picture.enumerate_pixels() {
        let under = map.film_point(pos2(x as f32 + 0.5, y as f32 + 0.5));
        let (column, row) = (under.x_px.floor(), under.y_px.floor());
        let on_film = (0.0..film.width() as f64).contains(&column)
            && (0.0..film.height() as f64).contains(&row);
        let expected = if on_film {
            Color32::from_gray(table.grey(sample(column as u32, row as u32)))
        } else {
            SURROUND
        };
        assert_eq!(
            pixel.0,
            expected.to_array(),
            "pixel {x}, {y} over {under:?}"
        );
    }
}

#[test]
fn one_to_one_every_pixel_is_exact_to_the_last_bit() {
    let pyramid = film(300, 420, scattered);
    for inverted in [false, true] {
        let mut scene = Scene::new(&pyramid, (256.0, 256.0), at(150.0, 200.0, 1.0));
        scene.look.inverted = inverted;
        assert_shows_samples(&scene, &scene.by_graphics(), scattered);
        assert_shows_samples(&scene, &scene.by_processor(), scattered);
    }
}

#[test]
fn eightfold_every_pixel_is_one_of_the_film_and_nothing_in_between() {
    let pyramid = film(64, 64, scattered);
    let scene = Scene::new(&pyramid, (240.0, 200.0), at(7.0, 30.0, 8.0));
    assert_shows_samples(&scene, &scene.by_graphics(), scattered);
    assert_shows_samples(&scene, &scene.by_processor(), scattered);
}

#[test]
fn at_the_largest_zoom_every_pixel_is_one_of_the_film() {
    let pyramid = film(64, 64, scattered);
    let scene = Scene::new(&pyramid, (240.0, 200.0), at(32.0, 31.0, 20.0));
    assert_shows_samples(&scene, &scene.by_graphics(), scattered);
    assert_shows_samples(&scene, &scene.by_processor(), scattered);
}

#[test]
fn at_one_to_one_no_column_is_doubled_when_the_centre_lies_between_two_pixels() {
    let pyramid = film(2000, 64, |x, _| (x * 31) as u16);
    let scene = Scene::new(&pyramid, (1501.0, 64.0), at(1000.0, 32.0, 1.0));
    let table = scene.table();
    for picture in [scene.by_graphics(), scene.by_processor()] {
        let first = 1000 - 750;
        for x in 0..1501 {
            let expected = table.grey(((first + x) * 31) as u16);
            assert_eq!(picture.get_pixel(x, 32).0[0], expected, "column {x}");
        }
    }
}

#[test]
fn a_curve_is_followed_code_by_code() {
    let pyramid = film(256, 256, scattered);
    let curve: Arc<[u16]> = (0..=u16::MAX).map(|code| code.rotate_left(5)).collect();
    let mut scene = Scene::new(&pyramid, (256.0, 256.0), at(128.0, 128.0, 1.0));
    scene.look.curve = Some(curve);
    assert_shows_samples(&scene, &scene.by_graphics(), scattered);
    assert_shows_samples(&scene, &scene.by_processor(), scattered);
}

#[test]
fn padding_looks_like_the_surround_on_a_film_whose_small_values_are_bright() {
    const PADDING: u16 = 63_000;
    let sample = |x: u32, y: u32| if x < 40 { PADDING } else { scattered(x, y) };
    let samples: Vec<u16> = (0..128)
        .flat_map(|y| (0..128).map(move |x| sample(x, y)))
        .collect();
    let pyramid = padded_film(128, 128, PADDING, &samples);
    for inverted in [false, true] {
        let mut scene = Scene::new(&pyramid, (128.0, 128.0), at(64.0, 64.0, 1.0));
        scene.look.inverted = inverted;
        let table = scene.table();
        for picture in [scene.by_graphics(), scene.by_processor()] {
            for (x, y, pixel) in picture.enumerate_pixels() {
                let code = sample(x, y);
                let expected = if code == PADDING {
                    SURROUND
                } else {
                    Color32::from_gray(table.grey(code))
                };
                assert_eq!(pixel.0, expected.to_array(), "pixel {x}, {y}");
            }
        }
    }
    let scene = Scene::new(&pyramid, (128.0, 128.0), at(64.0, 64.0, 1.0));
    let table = scene.table();
    assert!(
        table.grey(10_000) > table.grey(40_000),
        "small values are bright"
    );
}

#[test]
fn a_window_without_width_is_a_step() {
    let pyramid = film(64, 64, scattered);
    let mut scene = Scene::new(&pyramid, (64.0, 64.0), at(32.0, 32.0, 1.0));
    scene.look.window = Window::between(30_000.0, 30_000.0);
    assert_shows_samples(&scene, &scene.by_graphics(), scattered);
}

#[test]
fn fine_patterns_average_to_their_mean_when_zoomed_out() {
    type Pattern = (&'static str, fn(u32, u32) -> bool);
    let patterns: [Pattern; 3] = [
        ("checkerboard", |x, y| (x + y) % 2 == 0),
        ("lines of one pixel", |x, _| x % 2 == 0),
        ("rows of one pixel", |_, y| y % 2 == 0),
    ];
    for (name, is_bright) in patterns {
        let pyramid = film(
            1024,
            1024,
            |x, y| if is_bright(x, y) { 60_000 } else { 20_000 },
        );
        let mut scene = Scene::new(&pyramid, (128.0, 128.0), at(512.0, 512.0, 0.125));
        scene.look.window = Window::between(20_000.0, 60_000.0);
        for picture in [scene.by_graphics(), scene.by_processor()] {
            for (x, y, pixel) in picture.enumerate_pixels() {
                let [grey, ..] = pixel.0;
                assert!(grey.abs_diff(128) <= 1, "{name}: {grey} at {x}, {y}");
            }
        }
    }
}

#[test]
fn the_lines_of_a_grid_leave_no_false_bands_at_any_zoom() {
    // Lines with a period of 2.6 pixels, as an anti-scatter grid of 40 lines a centimetre leaves them
    // on pixels of 0.096 mm: no screen that shows the film at half its size can carry them.
    const PERIOD_PX: f64 = 2.6;
    let line = |x: u32, _: u32| {
        let phase = f64::from(x) / PERIOD_PX * TAU;
        (40_000.0 + 10_000.0 * phase.sin()) as u16
    };
    // What the mean over a box lets through of the lines, and of the images at higher frequencies that
    // the film's own square pixels add: sin(πfw) / (πfw) of each.
    let passed_by_box = |width_px: f64| {
        let frequency = 1.0 / PERIOD_PX;
        let through = |share: f64| ((PI * share).sin() / (PI * share)).abs();
        (0..20)
            .map(f64::from)
            .flat_map(|image| [image + frequency, image + 1.0 - frequency])
            .map(|f| through(f) * through(f * width_px))
            .sum::<f64>()
    };
    let pyramid = film(2000, 400, line);
    for zoom in [0.5, 0.37, 0.3, 0.21, 0.126] {
        let mut scene = Scene::new(&pyramid, (200.0, 40.0), at(1000.0, 200.0, zoom));
        scene.look.window = Window::between(20_000.0, 60_000.0);
        let width_px: f64 = 1.0 / zoom;
        // The processor reads a reduced copy, whose pixels are boxes of a power of two.
        let copy_px = 2.0_f64.powf(width_px.log2().floor());
        for (name, picture, passed) in [
            ("graphics", scene.by_graphics(), passed_by_box(width_px)),
            ("processor", scene.by_processor(), passed_by_box(copy_px)),
        ] {
            let allowed = 63.75 * passed + 1.0;
            for pixel in picture.pixels() {
                let swing = (f64::from(pixel.0[0]) - 127.5).abs();
                assert!(
                    swing <= allowed,
                    "{name}, zoom {zoom}: a swing of {swing} where {allowed} is allowed"
                );
            }
        }
    }
}

#[test]
fn a_marked_pixel_lands_where_the_map_says_however_the_film_lies() {
    let pyramid = film(90, 120, |x, y| if (x, y) == (61, 23) { 65_535 } else { 0 });
    let marked = FilmPoint::new(61.5, 23.5);
    for turn in [0.0, 17.0, 90.0, -133.0, 180.0] {
        for flipped in [false, true] {
            for tall in [1.0, 1.6] {
                let mut scene = Scene::new(&pyramid, (300.0, 260.0), at(61.0, 30.0, 5.0));
                scene.look.window = Window::between(0.0, 65_535.0);
                scene.proportions = Proportions::new(tall).expect("possible");
                scene.orientation = Orientation {
                    turn: Angle::from_degrees(turn),
                    flipped,
                };
                let expected = scene.map().screen(marked);
                for picture in [scene.by_graphics(), scene.by_processor()] {
                    let bright = bright_centre(&picture).expect("the mark is on the screen");
                    let distance = bright.distance(expected);
                    assert!(
                        distance < 0.4,
                        "turn {turn}, flipped {flipped}, tall {tall}: {bright:?}, not {expected:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn both_ways_of_drawing_show_the_same_picture() {
    let pyramid = film(700, 501, smooth);
    for (zoom, turn, flipped) in [
        (1.0, 0.0, false),
        (1.0, 0.0, true),
        (0.6, 0.0, false),
        (0.6, 25.0, true),
        (0.37, -80.0, false),
        (3.0, 10.0, false),
    ] {
        let mut scene = Scene::new(&pyramid, (256.0, 256.0), at(300.0, 260.0, zoom));
        scene.orientation = Orientation {
            turn: Angle::from_degrees(turn),
            flipped,
        };
        let difference = largest_difference(&scene.by_graphics(), &scene.by_processor());
        assert!(
            difference <= 1,
            "zoom {zoom}, turn {turn}, flipped {flipped}: {difference} grey levels"
        );
    }
}

#[test]
fn the_fitted_film_lies_in_its_surround_without_a_seam() {
    let pyramid = film(400, 100, |_, _| 65_535);
    let scene = Scene::new(&pyramid, (200.0, 200.0), Placement::Fit);
    for picture in [scene.by_graphics(), scene.by_processor()] {
        for (x, y, pixel) in picture.enumerate_pixels() {
            let expected = if (75..125).contains(&y) {
                Color32::WHITE
            } else {
                SURROUND
            };
            assert_eq!(pixel.0, expected.to_array(), "pixel {x}, {y}");
        }
    }
}

#[test]
fn the_small_dialect_of_opengl_draws_the_same() {
    let pyramid = film(300, 420, scattered);
    let scene = Scene::new(&pyramid, (256.0, 256.0), at(150.0, 200.0, 1.0));
    let (picture, by) = scene.drawn(FilmPainter::on_graphics(SURROUND), Dialect::OpenGlEs);
    assert_eq!(by, DrawnBy::Graphics, "OpenGL ES draws");
    assert_shows_samples(&scene, &picture, scattered);
}

#[test]
fn a_film_too_long_for_the_graphics_processor_is_drawn_by_the_processor_and_says_why() {
    let pyramid = film(33_000, 200, |x, _| (x * 2) as u16);
    let scene = Scene::new(&pyramid, (64.0, 8.0), at(32_990.0, 100.0, 1.0));
    let (picture, by) = scene.drawn(FilmPainter::on_graphics(SURROUND), Dialect::OpenGl);
    let DrawnBy::Processor { reason } = by else {
        panic!("33,000 columns exceed what OpenGL takes here");
    };
    assert!(
        reason.contains("33000"),
        "the reason names the size: {reason}"
    );
    assert_shows_samples(&scene, &picture, |x, _| (x * 2) as u16);
}

#[test]
fn a_driver_without_graphics_processor_leaves_the_film_to_the_processor_and_is_named() {
    let pyramid = film(300, 420, scattered);
    let scene = Scene::new(&pyramid, (256.0, 256.0), at(150.0, 200.0, 1.0));
    let (picture, by) = scene.drawn(FilmPainter::new(SURROUND), Dialect::OpenGl);
    let DrawnBy::Processor { reason } = by else {
        panic!("the driver of this test draws in software");
    };
    assert!(
        reason.contains("has no graphics processor"),
        "the reason says so: {reason}"
    );
    assert_shows_samples(&scene, &picture, scattered);
}

#[test]
fn another_film_in_the_same_pane_replaces_the_first() {
    let first = film(64, 64, |_, _| 0);
    let second = film(64, 64, |_, _| 65_535);
    let scene = Scene::new(&first, (64.0, 64.0), at(32.0, 32.0, 1.0));
    let other = Scene::new(&second, (64.0, 64.0), at(32.0, 32.0, 1.0));
    let other_map = other.map();
    let look = other.look.clone();
    let (picture, _) = scene.drawn_with(
        FilmPainter::on_graphics(SURROUND),
        Dialect::OpenGl,
        move |painter, background| {
            painter.film_ui(background, &other_map, &other.pyramid, &look);
        },
    );
    assert!(
        picture.pixels().all(|pixel| pixel.0 == [255; 4]),
        "only the film drawn last is seen"
    );
}

#[test]
fn the_magnifier_shows_a_round_piece_of_film_and_leaves_the_rest() {
    let pyramid = film(1000, 1000, |x, _| if x < 500 { 0 } else { 65_535 });
    for painter in [
        FilmPainter::on_graphics(SURROUND),
        FilmPainter::on_processor(SURROUND),
    ] {
        let mut scene = Scene::new(&pyramid, (400.0, 400.0), at(200.0, 500.0, 1.0));
        scene.look.window = Window::between(0.0, 65_535.0);
        let map = scene.map();
        let magnifier = Magnifier::new(
            &map,
            FilmPoint::new(510.0, 500.0),
            pos2(350.0, 50.0),
            Color32::RED,
            Color32::BLACK,
        );
        let square = magnifier.screen_from_film().viewport();
        let shown = Scene { ..scene.clone() };
        let (picture, _) =
            scene.drawn_with(painter, Dialect::OpenGl, move |painter, background| {
                painter.magnifier_ui(background, &magnifier, &shown.pyramid, &shown.look);
            });
        let grey = |place: Pos2| picture.get_pixel(place.x as u32, place.y as u32).0;
        let middle = square.center();
        assert_eq!(
            grey(middle + vec2(20.0, 20.0)),
            [255; 4],
            "bright at the point"
        );
        // The edge of the bright half lies 10 film pixels, so 40 points, to the left of the middle.
        assert_eq!(grey(middle + vec2(-37.0, 20.0)), [255; 4], "still bright");
        assert_eq!(
            grey(middle + vec2(-44.0, 20.0)),
            [0, 0, 0, 255],
            "dark beyond the edge"
        );
        assert_eq!(
            grey(square.min + vec2(3.0, 3.0)),
            [0, 0, 0, 255],
            "the film in the corner"
        );
    }
}
