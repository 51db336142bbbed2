//! What a change of window and level costs the program, by either way of drawing, beside copying the
//! film's bytes: a film of 12 megapixels in a pane of 1600 × 1200 pixels.
//!
//! By the graphics processor it is the setting of uniforms and the handing over of the draw call by
//! egui's painter, not the drawing itself. By the processor it is everything up to the picture that egui uploads; moving the
//! film is timed beside it, upright and turned. So is a step of dragging pieces of the film, a head and a toe beside
//! two sesamoids that stay, by both ways.
#![expect(
    clippy::cast_possible_truncation,
    reason = "made films and screens are small, and samples wrap on purpose"
)]

#[path = "../tests/offscreen/mod.rs"]
mod offscreen;

use std::{
    hint::black_box,
    io::Cursor,
    sync::Arc,
    time::{Duration, Instant},
};

use criterion::{Criterion, criterion_group, criterion_main};
use egui::{Color32, Pos2, Rect, vec2};
use egui_kittest::TestRenderer as _;
use image::{ImageBuffer, Luma};
use offscreen::{Dialect, OffscreenRenderer};
use plumbray::canvas::{FilmExtent, FilmLook, FilmPainter, Orientation, Placement, ScreenFromFilm};
use plumbray_anatomy::{Angle, FilmPoint, MovedPiece, PhysicalPoint, Proportions, Similarity};
use plumbray_film::{Film, Pyramid, Window};

/// A film of 3000 × 4000 pixels of 16 bits.
fn film() -> Arc<Pyramid> {
    let pixels = ImageBuffer::from_fn(3000, 4000, |x, y| Luma([((x * 13) ^ (y * 7)) as u16]));
    let mut file = Cursor::new(Vec::new());
    pixels
        .write_to(&mut file, image::ImageFormat::Tiff)
        .expect("a film file");
    Arc::new(Film::from_bytes(file.get_ref()).expect("a film").pyramid())
}

/// A pane of 1600 × 1200 pixels around this point of the film, turned.
fn pane(pyramid: &Pyramid, centre: FilmPoint, turn: Angle) -> ScreenFromFilm {
    ScreenFromFilm::new(
        FilmExtent::of_film(pyramid.film(), Proportions::SQUARE),
        Rect::from_min_size(Pos2::ZERO, vec2(1600.0, 1200.0)),
        Orientation {
            turn,
            flipped: false,
        },
        Placement::At { centre, zoom: 0.6 },
    )
}

/// The look after so many changes of window and level; each differs from the one before.
fn look(pyramid: &Pyramid, change: u32) -> FilmLook {
    let low = (change % 1000) as f32;
    FilmLook::of_film(pyramid.film()).with_window(Window::between(low, low + 40_000.0))
}

/// The time that drawing the film takes in a frame of its own, and what that frame gives.
fn time_frame(
    context: &egui::Context,
    draw: impl FnOnce(&egui::Painter),
) -> (Duration, egui::FullOutput) {
    let input = egui::RawInput {
        screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1600.0, 1200.0))),
        ..Default::default()
    };
    let mut spent = Duration::ZERO;
    let mut draw = Some(draw);
    let output = context.run_ui(input, |ui| {
        if let Some(draw) = draw.take() {
            let painter = ui.ctx().layer_painter(egui::LayerId::background());
            let start = Instant::now();
            draw(&painter);
            spent = start.elapsed();
        }
    });
    (spent, output)
}

/// The middle of the film; the film covers the whole pane around it.
const MIDDLE: FilmPoint = FilmPoint::new(1500.0, 2000.0);

fn window_changes(criterion: &mut Criterion) {
    let pyramid = film();
    let mut group = criterion.benchmark_group("window and level, 12 megapixels");
    group.bench_function("copy of the film's 24 MB, for scale", |bencher| {
        let mut copy = vec![0_u16; pyramid.film().samples().len()];
        bencher.iter(|| copy.copy_from_slice(black_box(pyramid.film().samples())));
    });
    let map = pane(&pyramid, MIDDLE, Angle::default());
    group.bench_function("by the graphics processor, own time", |bencher| {
        let mut renderer = OffscreenRenderer::new(Dialect::OpenGl);
        let mut painter = FilmPainter::on_graphics(Color32::BLACK);
        let context = egui::Context::default();
        let mut frame = |change| {
            let look = look(&pyramid, change);
            // Clipped to a few pixels: OpenGL in software would draw the rest on this processor.
            let (building, mut output) = time_frame(&context, |background| {
                let corner = Rect::from_min_size(Pos2::ZERO, vec2(8.0, 8.0));
                let background = background.with_clip_rect(corner);
                painter.film_ui(&background, &map, &pyramid, &look);
            });
            renderer.handle_delta(&mut output.textures_delta);
            building + renderer.time_painting(&context, output).expect("a frame")
        };
        // The first frame uploads the film, which is not part of a change.
        frame(0);
        bencher.iter_custom(|count| (0..count).map(|change| frame(change as u32 + 1)).sum());
    });
    group.bench_function("by the processor", |bencher| {
        let mut painter = FilmPainter::on_processor(Color32::BLACK);
        let context = egui::Context::default();
        bencher.iter_custom(|count| {
            (0..count)
                .map(|change| {
                    let look = look(&pyramid, change as u32);
                    let draw = |background: &egui::Painter| {
                        painter.film_ui(background, &map, &pyramid, &look);
                    };
                    let (spent, mut output) = time_frame(&context, draw);
                    output.textures_delta.clear();
                    spent
                })
                .sum()
        });
    });
    group.finish();
}

fn moves_by_the_processor(criterion: &mut Criterion) {
    let pyramid = film();
    let mut group = criterion.benchmark_group("moving the film by the processor, 12 megapixels");
    for (name, turn) in [("upright", 0.0), ("turned", 12.0)] {
        group.bench_function(name, |bencher| {
            let mut painter = FilmPainter::on_processor(Color32::BLACK);
            let context = egui::Context::default();
            let look = look(&pyramid, 0);
            bencher.iter_custom(|count| {
                (0..count)
                    .map(|step| {
                        let centre = FilmPoint::new(1500.0 + (step % 100) as f64, 2000.0);
                        let map = pane(&pyramid, centre, Angle::from_degrees(turn));
                        let draw = |background: &egui::Painter| {
                            painter.film_ui(background, &map, &pyramid, &look);
                        };
                        let (spent, mut output) = time_frame(&context, draw);
                        output.textures_delta.clear();
                        spent
                    })
                    .sum()
            });
        });
    }
    group.finish();
}

/// A closed outline of 64 corners, as wide and high as asked.
fn oval(x: f64, y: f64, half_width: f64, half_height: f64) -> Vec<FilmPoint> {
    (0..64)
        .map(|corner| {
            let angle = f64::from(corner) / 64.0 * std::f64::consts::TAU;
            FilmPoint::new(x + half_width * angle.cos(), y + half_height * angle.sin())
        })
        .collect()
}

/// The head of the first metatarsal and the great toe after so many steps of a drag, of the size that they have on a
/// film with 0.1 mm to the pixel: 25 mm wide, and 30 by 65 mm.
fn dragged(step: u64) -> [MovedPiece; 2] {
    let piece = |outline, share: f64| MovedPiece {
        outline,
        motion: Similarity::new(
            PhysicalPoint::new(30.0 + share, 0.01 * share),
            1.0,
            -0.001 * share,
            false,
        ),
    };
    let share = (step % 90) as f64;
    [
        piece(oval(1500.0, 2200.0, 125.0, 140.0), share),
        piece(oval(1480.0, 1760.0, 150.0, 325.0), 1.5 * share),
    ]
}

fn steps_of_a_drag(criterion: &mut Criterion) {
    let pyramid = film();
    let look = look(&pyramid, 0);
    let stay = [
        oval(1460.0, 2240.0, 40.0, 55.0),
        oval(1550.0, 2240.0, 40.0, 55.0),
    ];
    let mut group = criterion.benchmark_group("a step of dragging pieces, 12 megapixels");
    for (name, turn) in [("upright", 0.0), ("turned", 12.0)] {
        let map = pane(&pyramid, MIDDLE, Angle::from_degrees(turn));
        let draw = |painter: &mut FilmPainter, background: &egui::Painter, step| {
            let pieces = dragged(step);
            painter.film_ui(background, &map, &pyramid, &look);
            let proportions = Proportions::SQUARE;
            painter.moved_pieces_ui(
                background,
                &map,
                &pyramid,
                &look,
                proportions,
                &pieces,
                &stay,
            );
        };
        group.bench_function(format!("by the processor, {name}"), |bencher| {
            let mut painter = FilmPainter::on_processor(Color32::BLACK);
            let context = egui::Context::default();
            let mut frame = |step| {
                let (spent, mut output) =
                    time_frame(&context, |background| draw(&mut painter, background, step));
                output.textures_delta.clear();
                spent
            };
            // The first frame samples the film, which is not part of a step.
            frame(0);
            bencher.iter_custom(|count| (1..=count).map(&mut frame).sum());
        });
        group.bench_function(
            format!("by the graphics processor, own time, {name}"),
            |bencher| {
                let mut renderer = OffscreenRenderer::new(Dialect::OpenGl);
                let mut painter = FilmPainter::on_graphics(Color32::BLACK);
                let context = egui::Context::default();
                let mut frame = |step| {
                    let (building, mut output) = time_frame(&context, |background| {
                        let corner = Rect::from_min_size(Pos2::ZERO, vec2(8.0, 8.0));
                        draw(&mut painter, &background.with_clip_rect(corner), step);
                    });
                    renderer.handle_delta(&mut output.textures_delta);
                    building + renderer.time_painting(&context, output).expect("a frame")
                };
                frame(0);
                bencher.iter_custom(|count| (1..=count).map(&mut frame).sum());
            },
        );
    }
    group.finish();
}

criterion_group!(
    benches,
    window_changes,
    moves_by_the_processor,
    steps_of_a_drag
);
criterion_main!(benches);
