//! Which part of a film each pixel of the screen shows.
//!
//! Both ways of drawing follow one rule. Zoomed out, a screen pixel shows the mean of the area of film
//! that it covers, so that neither trabeculae nor the lines of a grid make false patterns. Zoomed in, it
//! shows the film pixel under its centre, so that no detail is made up.

use egui::Pos2;
use plumbray_anatomy::FilmPoint;

use super::transform::{FilmStep, ScreenFromFilm};

/// Added to a place on the film before its pixel is looked up, in film pixels.
///
/// At whole zooms the centres of screen pixels may fall exactly between two film pixels, where rounding
/// would choose now one and now the other. This decides for the latter always; it is less than a
/// tenth of a screen pixel at the largest zoom.
pub(super) const TIE_BREAK_PX: f64 = 1.0 / 256.0;

/// A rectangle of screen pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct PixelRect {
    /// Pixels between the screen's left edge and the rectangle.
    pub(super) left: i32,
    /// Pixels between the screen's upper edge and the rectangle.
    pub(super) top: i32,
    /// Its width in pixels.
    pub(super) width: i32,
    /// Its height in pixels.
    pub(super) height: i32,
}

/// The film under a rectangle of screen pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PixelGrid {
    /// The film point under the upper left corner of the first pixel.
    pub(super) origin: FilmPoint,
    /// From a pixel to the next one on its right.
    pub(super) across: FilmStep,
    /// From a pixel to the next one below.
    pub(super) down: FilmStep,
}

impl PixelGrid {
    /// The film under `pixels` of a screen with so many pixels per screen point.
    pub(super) fn new(
        screen_from_film: &ScreenFromFilm,
        pixels: PixelRect,
        pixels_per_point: f32,
    ) -> Self {
        let point = 1.0 / pixels_per_point;
        let corner = Pos2::new(pixels.left as f32 * point, pixels.top as f32 * point);
        Self {
            origin: screen_from_film.film_point(corner),
            across: screen_from_film.film_step(egui::vec2(point, 0.0)),
            down: screen_from_film.film_step(egui::vec2(0.0, point)),
        }
    }

    /// The film point under the centre of the pixel in this column and row of the rectangle.
    pub(super) fn centre(&self, column: usize, row: usize) -> FilmPoint {
        let (x, y) = (column as f64 + 0.5, row as f64 + 0.5);
        FilmPoint::new(
            self.origin.x_px + x * self.across.across_px + y * self.down.across_px,
            self.origin.y_px + x * self.across.down_px + y * self.down.down_px,
        )
    }

    /// The sides of the upright box of film that stands for a screen pixel, in film pixels: exactly
    /// the pixel where the film is not turned, and of the same size where it is.
    pub(super) fn footprint(&self) -> FilmStep {
        FilmStep::new(
            self.across.across_px.hypot(self.down.across_px),
            self.across.down_px.hypot(self.down.down_px),
        )
    }

    /// The coarsest level of a pyramid at which the footprint still spans `least_span` pixels.
    ///
    /// The more pixels it spans, the closer their mean is to the mean of the film itself: a reduced copy
    /// already holds false patterns of whatever was finer than its own pixels.
    pub(super) fn level(&self, level_count: usize, least_span: f64) -> usize {
        let footprint = self.footprint();
        let mut span = footprint.across_px.min(footprint.down_px);
        let mut level = 0;
        while span >= 2.0 * least_span && level + 1 < level_count {
            span /= 2.0;
            level += 1;
        }
        level
    }
}
