//! What pieces of a film look like where they come to lie, by either way of drawing.
#![expect(
    clippy::cast_possible_truncation,
    reason = "made films and screens are small"
)]

mod offscreen;
mod pictures;

use std::{cell::RefCell, rc::Rc, sync::Arc};

use egui::{Pos2, Rect, vec2};
use egui_kittest::Harness;
use image::RgbaImage;
use offscreen::{Dialect, OffscreenRenderer};
use pictures::{SURROUND, bright_centre, largest_difference};
use plumbray::canvas::{
    DrawnBy, FilmExtent, FilmLook, FilmPainter, Orientation, Placement, ScreenFromFilm,
};
use plumbray_anatomy::{
    Angle, FORMER_PLACE_DARKNESS, FilmPoint, MovedPiece, PhysicalPoint, Proportions, Similarity,
};
use plumbray_film::{Pyramid, Window};

/// Points on a screen.
const SIDE: f32 = 256.0;

/// A film of 300 × 420 pixels of these samples.
fn film(sample: impl Fn(u32, u32) -> u16) -> Arc<Pyramid> {
    pictures::film(300, 420, sample)
}

/// Samples that differ from pixel to pixel, between a third and two thirds of the range.
fn uneven(x: u32, y: u32) -> u16 {
    (20_000 + (x * 7919 + y * 104_729) % 20_000) as u16
}

/// Samples that change slowly.
fn smooth(x: u32, y: u32) -> u16 {
    (9000 + 90 * x + 60 * y) as u16
}

/// A film with pieces moved on it.
#[derive(Clone)]
struct Scene {
    pyramid: Arc<Pyramid>,
    look: FilmLook,
    proportions: Proportions,
    orientation: Orientation,
    placement: Placement,
    pieces: Vec<MovedPiece>,
    stay: Vec<Vec<FilmPoint>>,
}

impl Scene {
    /// A film one to one, about the point (150, 200).
    fn new(pyramid: &Arc<Pyramid>) -> Self {
        Self {
            pyramid: Arc::clone(pyramid),
            look: FilmLook::of_film(pyramid.film()).with_window(Window::between(0.0, 65_535.0)),
            proportions: Proportions::SQUARE,
            orientation: Orientation::default(),
            placement: Placement::At {
                centre: FilmPoint::new(150.0, 200.0),
                zoom: 1.0,
            },
            pieces: Vec::new(),
            stay: Vec::new(),
        }
    }

    fn with(&self, pieces: &[MovedPiece], stay: &[Vec<FilmPoint>]) -> Self {
        Self {
            pieces: pieces.to_vec(),
            stay: stay.to_vec(),
            ..self.clone()
        }
    }

    fn map(&self) -> ScreenFromFilm {
        ScreenFromFilm::new(
            FilmExtent::of_film(self.pyramid.film(), self.proportions),
            Rect::from_min_size(Pos2::ZERO, vec2(SIDE, SIDE)),
            self.orientation,
            self.placement,
        )
    }

    fn draw(&self, painter: &mut FilmPainter, background: &egui::Painter) {
        let map = self.map();
        painter.film_ui(background, &map, &self.pyramid, &self.look);
        painter.moved_pieces_ui(
            background,
            &map,
            &self.pyramid,
            &self.look,
            self.proportions,
            &self.pieces,
            &self.stay,
        );
    }

    /// The last of some scenes, drawn one after the other by one painter.
    fn last_of(
        scenes: &[Self],
        painter: FilmPainter,
        dialect: Dialect,
        pixels_per_point: f32,
    ) -> (RgbaImage, DrawnBy) {
        let painter = Rc::new(RefCell::new(painter));
        let shown = Rc::new(RefCell::new(scenes[0].clone()));
        let (kept, current) = (Rc::clone(&painter), Rc::clone(&shown));
        let mut harness = Harness::builder()
            .with_size(vec2(SIDE, SIDE))
            .with_pixels_per_point(pixels_per_point)
            .renderer(OffscreenRenderer::new(dialect))
            .build_ui(move |ui| {
                let background = ui.ctx().layer_painter(egui::LayerId::background());
                current.borrow().draw(&mut kept.borrow_mut(), &background);
            });
        let mut picture = None;
        for scene in scenes {
            shown.replace(scene.clone());
            harness.run();
            picture = Some(harness.render().expect("a picture"));
        }
        let by = painter.borrow().drawn_by(&scenes[0].pyramid);
        (picture.expect("at least one scene"), by)
    }

    fn by_graphics(&self) -> RgbaImage {
        let painter = FilmPainter::on_graphics(SURROUND);
        let (picture, by) =
            Self::last_of(std::slice::from_ref(self), painter, Dialect::OpenGl, 1.0);
        assert_eq!(by, DrawnBy::Graphics, "drawn by the graphics processor");
        picture
    }

    fn by_processor(&self) -> RgbaImage {
        let painter = FilmPainter::on_processor(SURROUND);
        Self::last_of(std::slice::from_ref(self), painter, Dialect::OpenGl, 1.0).0
    }

    fn both(&self) -> [(&'static str, RgbaImage); 2] {
        [
            ("graphics", self.by_graphics()),
            ("processor", self.by_processor()),
        ]
    }
}

fn upright(left: f64, top: f64, right: f64, bottom: f64) -> Vec<FilmPoint> {
    [(left, top), (right, top), (right, bottom), (left, bottom)]
        .map(|(x, y)| FilmPoint::new(x, y))
        .to_vec()
}

fn moved(outline: Vec<FilmPoint>, x: f64, y: f64, degrees: f64) -> MovedPiece {
    MovedPiece {
        outline,
        motion: Similarity::new(PhysicalPoint::new(x, y), 1.0, degrees.to_radians(), false),
    }
}

/// The motion that turns about a place and then shifts.
fn turned_about(centre: PhysicalPoint, degrees: f64, x: f64, y: f64) -> Similarity {
    let turn = Similarity::new(PhysicalPoint::default(), 1.0, degrees.to_radians(), false);
    let step = centre - turn.of(centre);
    let origin = PhysicalPoint::new(step.x + x, step.y + y);
    Similarity::new(origin, 1.0, degrees.to_radians(), false)
}

#[test]
fn every_pixel_shows_the_piece_or_the_dark_place_that_it_left_or_the_unmoved_film() {
    // One to one, with the film's corner 22 columns left of the screen's and 72 rows above.
    let scene = Scene::new(&film(uneven));
    let piece = upright(60.0, 100.0, 120.0, 160.0);
    let stays = upright(130.0, 120.0, 150.0, 140.0);
    let scene = scene.with(&[moved(piece, 40.0, 10.0, 0.0)], &[stays]);
    let within = |x: u32, y: u32, [left, top, right, bottom]: [u32; 4]| {
        (left..right).contains(&x) && (top..bottom).contains(&y)
    };
    let grey = |x, y| (f32::from(uneven(x, y)) / 65_535.0 * 255.0).round();
    let left_over = 1.0 - f32::from(FORMER_PLACE_DARKNESS) / 255.0;
    for (by, picture) in scene.both() {
        let mut counts = [0; 4];
        for (x, y, pixel) in picture.enumerate_pixels() {
            let (x, y) = (x + 22, y + 72);
            let (kind, expected) = if within(x, y, [130, 120, 150, 140]) {
                (0, grey(x, y))
            } else if within(x, y, [100, 110, 160, 170]) {
                (1, grey(x - 40, y - 10))
            } else if within(x, y, [60, 100, 120, 160]) {
                (2, grey(x, y) * left_over)
            } else {
                (3, grey(x, y))
            };
            counts[kind] += 1;
            let off = (f32::from(pixel.0[0]) - expected).abs();
            let allowed = if kind == 2 { 1.0 } else { 0.01 };
            assert!(
                off <= allowed,
                "{by}: {pixel:?} at {x}, {y} of the film, not {expected}"
            );
        }
        assert_eq!(counts[..3], [400, 3200, 2600], "{by}: pixels of each kind");
    }
}

#[test]
fn the_look_of_the_film_is_the_look_of_the_piece() {
    let pyramid = film(uneven);
    for (window, inverted) in [((25_000.0, 35_000.0), false), ((0.0, 65_535.0), true)] {
        let mut scene = Scene::new(&pyramid);
        scene.look = scene.look.with_window(Window::between(window.0, window.1));
        scene.look.inverted = inverted;
        let film_alone = scene.by_processor();
        let scene = scene.with(
            &[moved(upright(60.0, 100.0, 120.0, 160.0), 70.0, 0.0, 0.0)],
            &[],
        );
        for (by, picture) in scene.both() {
            for (x, y) in [(140, 110), (150, 120), (180, 150)] {
                let moved = picture.get_pixel(x - 22, y - 72);
                let before = film_alone.get_pixel(x - 70 - 22, y - 72);
                assert_eq!(moved, before, "{by}, inverted {inverted}: {x}, {y}");
            }
        }
    }
}

/// Two pieces that overlap where they come to lie, one of them notched, and two that stay.
fn busy(scene: &Scene) -> Scene {
    let mut notched = upright(90.0, 120.0, 150.0, 190.0);
    notched.insert(2, FilmPoint::new(120.0, 140.0));
    let middle = scene.proportions.physical(FilmPoint::new(120.0, 150.0));
    let first = MovedPiece {
        outline: notched,
        motion: turned_about(middle, 15.0, 30.0, 20.0),
    };
    let circle = |x, y, radius| {
        let centre = FilmPoint::new(x, y);
        let edge = FilmPoint::new(x + radius, y);
        scene.proportions.circle(centre, edge, 300)
    };
    let second = MovedPiece {
        outline: circle(180.0, 240.0, 35.0),
        motion: turned_about(middle, -40.0, -8.0, 3.0),
    };
    scene.with(
        &[first, second],
        &[circle(150.0, 190.0, 9.0), circle(170.0, 200.0, 12.0)],
    )
}

#[test]
fn both_ways_of_drawing_show_the_same_pieces_however_the_film_lies() {
    let pyramid = film(smooth);
    for (zoom, turn, flipped, tall) in [
        (1.0, 0.0, false, 1.0),
        (1.0, 0.0, true, 1.0),
        (0.6, 25.0, true, 1.4),
        (0.6, 0.0, false, 0.7),
        (3.0, -80.0, false, 1.0),
        (2.2, 170.0, true, 1.25),
    ] {
        let mut scene = Scene::new(&pyramid);
        scene.proportions = Proportions::new(tall).expect("possible");
        scene.orientation = Orientation {
            turn: Angle::from_degrees(turn),
            flipped,
        };
        scene.placement = Placement::At {
            centre: FilmPoint::new(150.0, 200.0),
            zoom,
        };
        let scene = busy(&scene);
        let [(_, graphics), (_, processor)] = scene.both();
        let difference = largest_difference(&graphics, &processor);
        assert!(
            difference <= 3,
            "zoom {zoom}, turn {turn}, flipped {flipped}, tall {tall}: {difference} grey levels"
        );
    }
}

#[test]
fn a_marked_pixel_lands_where_the_motion_and_the_map_say_however_the_film_lies() {
    let pyramid = film(|x, y| if (x, y) == (101, 133) { 65_535 } else { 0 });
    let marked = FilmPoint::new(101.5, 133.5);
    for turn in [0.0, 17.0, -133.0] {
        for flipped in [false, true] {
            for tall in [1.0, 1.6] {
                let mut scene = Scene::new(&pyramid);
                scene.proportions = Proportions::new(tall).expect("possible");
                scene.orientation = Orientation {
                    turn: Angle::from_degrees(turn),
                    flipped,
                };
                scene.placement = Placement::At {
                    centre: FilmPoint::new(115.0, 130.0),
                    zoom: 5.0,
                };
                let piece = MovedPiece {
                    outline: upright(96.0, 128.0, 107.0, 139.0),
                    motion: turned_about(scene.proportions.physical(marked), 25.0, 16.0, -3.0),
                };
                let expected = scene
                    .map()
                    .screen(piece.place_after(marked, scene.proportions));
                for (by, picture) in scene.with(&[piece], &[]).both() {
                    let bright = bright_centre(&picture).expect("the mark is on the screen");
                    assert!(
                        bright.distance(expected) < 0.5,
                        "{by}, turn {turn}, flipped {flipped}, tall {tall}: {bright:?}, not {expected:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn what_has_not_moved_looks_as_before() {
    let pyramid = film(uneven);
    for (zoom, turn) in [(1.0, 0.0), (3.0, 0.0), (0.6, 0.0), (1.3, 33.0)] {
        let mut scene = Scene::new(&pyramid);
        scene.orientation.turn = Angle::from_degrees(turn);
        scene.placement = Placement::At {
            centre: FilmPoint::new(150.0, 200.0),
            zoom,
        };
        let outline = upright(97.3, 120.0, 160.0, 190.6);
        let unmoved = MovedPiece {
            outline: outline.clone(),
            motion: Similarity::IDENTITY,
        };
        let alone = scene.both();
        for (what, scene) in [
            ("a piece", scene.with(&[unmoved], &[])),
            ("what stays", scene.with(&[], &[outline])),
        ] {
            for ((by, with), (_, without)) in scene.both().iter().zip(&alone) {
                let difference = largest_difference(with, without);
                assert!(
                    difference <= 1,
                    "{what}, {by}, zoom {zoom}, turn {turn}: {difference}"
                );
            }
        }
    }
}

#[test]
fn a_change_of_motion_look_or_number_of_pieces_is_followed() {
    let first = busy(&Scene::new(&film(smooth)));
    let mut second = first.clone();
    second.pieces[0].motion = turned_about(PhysicalPoint::new(120.0, 150.0), 5.0, 44.0, 1.0);
    let mut third = second.clone();
    third.look.inverted = true;
    let fewer = third.with(&third.pieces[1..], &[]);
    let none = fewer.with(&[], &[]);
    let other_film = Scene {
        pyramid: film(uneven),
        ..first.clone()
    };
    let scenes = [first.clone(), second, third, fewer, none, first, other_film];
    for count in 2..=scenes.len() {
        let painter = FilmPainter::on_processor(SURROUND);
        let shown = &scenes[..count];
        let (followed, _) = Scene::last_of(shown, painter, Dialect::OpenGl, 1.0);
        let fresh = shown[count - 1].by_processor();
        assert_eq!(largest_difference(&followed, &fresh), 0, "change {count}");
        let before = shown[count - 2].by_processor();
        assert!(largest_difference(&before, &fresh) > 3, "it is a change");
    }
}

#[test]
fn a_screen_with_fine_pixels_and_the_small_dialect_of_opengl_show_the_same_pieces() {
    let scenes = [busy(&Scene::new(&film(smooth)))];
    let drawn = |painter, dialect| Scene::last_of(&scenes, painter, dialect, 1.5).0;
    let desktop = drawn(FilmPainter::on_graphics(SURROUND), Dialect::OpenGl);
    let small = drawn(FilmPainter::on_graphics(SURROUND), Dialect::OpenGlEs);
    let processor = drawn(FilmPainter::on_processor(SURROUND), Dialect::OpenGl);
    assert_eq!(desktop.dimensions(), (384, 384), "fine pixels");
    assert!(largest_difference(&desktop, &small) <= 1, "OpenGL ES");
    assert!(
        largest_difference(&desktop, &processor) <= 3,
        "the processor"
    );
    let plain = scenes[0].with(&[], &[]);
    let painter = FilmPainter::on_graphics(SURROUND);
    let (alone, _) = Scene::last_of(&[plain], painter, Dialect::OpenGl, 1.5);
    assert!(largest_difference(&desktop, &alone) > 50, "pieces are seen");
}
