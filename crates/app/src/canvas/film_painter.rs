//! Draws a film by whichever way the machine allows.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};

use egui::{Color32, Painter, Rect};
use plumbray_anatomy::{FilmPoint, MovedPiece, Proportions};
use plumbray_film::{FilmGrid, Pyramid};

use super::{
    film_cpu::{CpuPicture, FilmCpu},
    film_gl::{Cut, FilmGl, FilmGlError, GlPicture, software_driver},
    look::FilmLook,
    magnifier::Magnifier,
    moved_pieces::{Content, Pieces, layers},
    pieces_cpu::{FilmShown, PiecesCpu},
    sampling::{PixelRect, grid_under},
    transform::ScreenFromFilm,
};
use crate::window::theme;

/// By which way a film is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DrawnBy {
    /// By the graphics processor.
    Graphics,
    /// By the processor, for this reason; to be shown where the program describes itself.
    Processor {
        /// Why the graphics processor does not draw, as a sentence without full stop.
        reason: String,
    },
}

/// Draws the film of one pane and its magnifier, and keeps what that needs between frames.
///
/// Starts with the graphics processor. When that refuses a film, the film is drawn by the processor from
/// the next frame on; another film gets another try. When the driver turns out to have no graphics
/// processor, every film is drawn by the processor from the second frame on: the processor then works only
/// when something changes, where such a driver would compute every pixel anew at each frame.
#[derive(Debug)]
pub struct FilmPainter {
    surround: Color32,
    /// Nothing where the processor was asked for.
    graphics: Option<Arc<Mutex<Graphics>>>,
    film: FilmCpu,
    magnifier: FilmCpu,
    pieces: PiecesCpu,
}

/// In which form a film is drawn.
#[derive(Clone, Copy, Debug)]
struct Form {
    /// Only the largest circle within its rectangle.
    round: bool,
    /// How strongly it covers what lies beneath, from 0 to 1.
    opacity: f32,
}

impl Form {
    const WHOLE: Self = Self {
        round: false,
        opacity: 1.0,
    };
}

/// What is kept for the graphics processor; used within egui's paint callback, when the context is
/// current.
#[derive(Debug, Default)]
struct Graphics {
    film_gl: Option<FilmGl>,
    /// Whether a driver without graphics processor is good enough.
    accepts_software: bool,
    /// The driver's name, once it turned out to have no graphics processor.
    software_driver: Option<String>,
    /// The film that could not be drawn, and why.
    refused: Option<(Weak<Pyramid>, FilmGlError)>,
}

impl FilmPainter {
    /// A painter for one pane that has drawn nothing yet. `surround` is the colour beside the film and
    /// in place of its padding.
    #[must_use]
    pub fn new(surround: Color32) -> Self {
        Self {
            graphics: Some(Arc::default()),
            ..Self::on_processor(surround)
        }
    }

    /// A painter that draws by OpenGL even where the driver has no graphics processor.
    #[must_use]
    pub fn on_graphics(surround: Color32) -> Self {
        let graphics = Graphics {
            accepts_software: true,
            ..Graphics::default()
        };
        Self {
            graphics: Some(Arc::new(Mutex::new(graphics))),
            ..Self::on_processor(surround)
        }
    }

    /// A painter that leaves the graphics processor alone.
    #[must_use]
    pub fn on_processor(surround: Color32) -> Self {
        Self {
            surround,
            graphics: None,
            film: FilmCpu::default(),
            magnifier: FilmCpu::default(),
            pieces: PiecesCpu::default(),
        }
    }

    /// By which way this film is drawn, as far as known before its first frame was shown.
    #[must_use]
    pub fn drawn_by(&self, pyramid: &Arc<Pyramid>) -> DrawnBy {
        let Some(graphics) = &self.graphics else {
            return DrawnBy::Processor {
                reason: "drawing by the processor was asked for".to_owned(),
            };
        };
        let graphics = locked(graphics);
        if let Some(driver) = &graphics.software_driver {
            return DrawnBy::Processor {
                reason: format!("the graphics driver ({driver}) has no graphics processor"),
            };
        }
        match &graphics.refused {
            Some((film, error)) if film.ptr_eq(&Arc::downgrade(pyramid)) => DrawnBy::Processor {
                reason: error.to_string(),
            },
            _ => DrawnBy::Graphics,
        }
    }

    /// Draws a film into the viewport of its map.
    pub fn film_ui(
        &mut self,
        painter: &Painter,
        screen_from_film: &ScreenFromFilm,
        pyramid: &Arc<Pyramid>,
        look: &FilmLook,
    ) {
        self.film_over_ui(painter, screen_from_film, pyramid, look, 1.0);
    }

    /// The same over what was drawn before, which it covers by `opacity`, from 0 to 1.
    pub fn film_over_ui(
        &mut self,
        painter: &Painter,
        screen_from_film: &ScreenFromFilm,
        pyramid: &Arc<Pyramid>,
        look: &FilmLook,
        opacity: f32,
    ) {
        let painter =
            painter.with_clip_rect(painter.clip_rect().intersect(screen_from_film.viewport()));
        let form = Form {
            opacity,
            ..Form::WHOLE
        };
        self.picture_ui(&painter, screen_from_film, pyramid, look, form);
    }

    /// Draws pieces of the film where they come to lie, over the film that [`film_ui`](Self::film_ui) has drawn
    /// with the same map and look; call it once a frame.
    ///
    /// First the places that the pieces have left are darkened. Then each piece is drawn from the film's own
    /// pixels, later ones over earlier ones, and at last what lies within the outlines of `stay` is drawn once
    /// more as it is on the film: the sesamoids, which stay where they are. `proportions` are those in which the
    /// motions are meant. An outline has at most 160 corners; of one with more, those are left out that shape it
    /// least.
    #[expect(
        clippy::too_many_arguments,
        reason = "the first four are those of every film that is drawn, and the rest has no name of its own"
    )]
    pub fn moved_pieces_ui(
        &mut self,
        painter: &Painter,
        screen_from_film: &ScreenFromFilm,
        pyramid: &Arc<Pyramid>,
        look: &FilmLook,
        proportions: Proportions,
        pieces: &[MovedPiece],
        stay: &[Vec<FilmPoint>],
    ) {
        let viewport = screen_from_film.viewport();
        let painter = &painter.with_clip_rect(painter.clip_rect().intersect(viewport));
        let pieces = Pieces {
            proportions,
            moved: pieces,
            stay,
            former_place: theme::film::FORMER_PLACE,
        };
        let layers = layers(screen_from_film, painter.ctx().pixels_per_point(), &pieces);
        let (Some(graphics), DrawnBy::Graphics) = (&self.graphics, self.drawn_by(pyramid)) else {
            let film = FilmShown {
                pyramid,
                look,
                surround: self.surround,
            };
            self.pieces.paint(painter, &film, layers);
            return;
        };
        for layer in layers {
            let (grid, shade) = match layer.content {
                Content::Film(grid) => (grid, None),
                Content::Shade(colour) => (FilmGrid::default(), Some(colour)),
            };
            let picture = GlPicture {
                pyramid: Arc::clone(pyramid),
                look: look.clone(),
                surround: self.surround,
                pixels: layer.pixels,
                grid,
                round: false,
                opacity: 1.0,
                cut: Some(Cut {
                    outline: layer.outline,
                    shade,
                }),
            };
            painter.add(paint_callback(
                painter,
                viewport,
                Arc::clone(graphics),
                picture,
            ));
        }
    }

    /// Draws a magnifier with its ring and cross over the film of this pane.
    pub fn magnifier_ui(
        &mut self,
        painter: &Painter,
        magnifier: &Magnifier,
        pyramid: &Arc<Pyramid>,
        look: &FilmLook,
    ) {
        let form = Form {
            round: true,
            ..Form::WHOLE
        };
        self.picture_ui(painter, magnifier.screen_from_film(), pyramid, look, form);
        magnifier.frame_ui(painter);
    }

    /// Gives back what the graphics processor holds. Call it when the window closes, while its context
    /// is current (`eframe::App::on_exit`).
    pub fn destroy(&self, gl: &glow::Context) {
        if let Some(graphics) = &self.graphics
            && let Some(film_gl) = locked(graphics).film_gl.take()
        {
            film_gl.destroy(gl);
        }
    }

    fn picture_ui(
        &mut self,
        painter: &Painter,
        screen_from_film: &ScreenFromFilm,
        pyramid: &Arc<Pyramid>,
        look: &FilmLook,
        Form { round, opacity }: Form,
    ) {
        let pixels_per_point = painter.ctx().pixels_per_point();
        let pixels = PixelRect::covered(screen_from_film.viewport(), pixels_per_point);
        let grid = grid_under(screen_from_film, pixels, pixels_per_point);
        match (&self.graphics, self.drawn_by(pyramid)) {
            (Some(graphics), DrawnBy::Graphics) => {
                let picture = GlPicture {
                    pyramid: Arc::clone(pyramid),
                    look: look.clone(),
                    surround: self.surround,
                    pixels,
                    grid,
                    round,
                    opacity,
                    cut: None,
                };
                let viewport = screen_from_film.viewport();
                painter.add(paint_callback(
                    painter,
                    viewport,
                    Arc::clone(graphics),
                    picture,
                ));
            }
            _ => {
                let picture = CpuPicture {
                    pyramid,
                    look,
                    surround: self.surround,
                    pixels,
                    grid,
                    round,
                    opacity,
                };
                let kept = if round {
                    &mut self.magnifier
                } else {
                    &mut self.film
                };
                kept.paint(painter, &picture);
            }
        }
    }
}

/// The shape that has egui draw a picture by the graphics processor.
fn paint_callback(
    painter: &Painter,
    rect: Rect,
    graphics: Arc<Mutex<Graphics>>,
    picture: GlPicture,
) -> egui::PaintCallback {
    let context = painter.ctx().clone();
    let callback = egui_glow::CallbackFn::new(move |info, gl_painter| {
        let [_, rows] = info.screen_size_px;
        let Ok(screen_height) = i32::try_from(rows) else {
            return;
        };
        let mut graphics = locked(&graphics);
        let outcome = graphics.paint(gl_painter.gl(), &picture, screen_height);
        if let Err(error) = outcome {
            graphics.refused = Some((Arc::downgrade(&picture.pyramid), error));
            context.request_repaint();
        }
        if graphics.gives_way_to_processor(gl_painter.gl()) {
            context.request_repaint();
        }
    });
    egui::PaintCallback {
        rect,
        callback: Arc::new(callback),
    }
}

impl Graphics {
    fn paint(
        &mut self,
        gl: &glow::Context,
        picture: &GlPicture,
        screen_height: i32,
    ) -> Result<(), FilmGlError> {
        let film_gl = match &mut self.film_gl {
            Some(film_gl) => film_gl,
            none => none.insert(FilmGl::new(gl)?),
        };
        film_gl.paint(gl, picture, screen_height)
    }

    /// Leaves the drawing to the processor where the driver would use it anyway; says whether it did.
    fn gives_way_to_processor(&mut self, gl: &glow::Context) -> bool {
        if self.accepts_software {
            return false;
        }
        self.software_driver = software_driver(gl);
        if self.software_driver.is_some()
            && let Some(film_gl) = self.film_gl.take()
        {
            film_gl.destroy(gl);
        }
        self.software_driver.is_some()
    }
}

/// What a panic elsewhere left behind is still fit for drawing: each call sets all that it uses.
fn locked(graphics: &Mutex<Graphics>) -> MutexGuard<'_, Graphics> {
    graphics.lock().unwrap_or_else(PoisonError::into_inner)
}
