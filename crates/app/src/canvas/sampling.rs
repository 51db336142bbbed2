//! Which part of a film each pixel of the screen shows.
//!
//! Both ways of drawing follow one rule. Zoomed out, a screen pixel shows the mean of the area of film
//! that it covers, so that neither trabeculae nor the lines of a grid make false patterns. Zoomed in, it
//! shows the film pixel under its centre, so that no detail is made up.

use egui::{Pos2, Rect};
use plumbray_film::FilmGrid;

use super::transform::ScreenFromFilm;

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

impl PixelRect {
    /// The pixels that a rectangle of screen points covers, rounded as egui rounds them.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a screen has far fewer pixels than a 32-bit number can count, and the cast saturates"
    )]
    pub(super) fn covered(rect: Rect, pixels_per_point: f32) -> Self {
        let pixel = |place: f32| (place * pixels_per_point).round() as i32;
        let (left, top) = (pixel(rect.left()), pixel(rect.top()));
        Self {
            left,
            top,
            width: pixel(rect.right()).saturating_sub(left).max(0),
            height: pixel(rect.bottom()).saturating_sub(top).max(0),
        }
    }

    /// The same place in screen points.
    pub(super) fn in_points(self, pixels_per_point: f32) -> Rect {
        let point = 1.0 / pixels_per_point;
        Rect::from_min_size(
            Pos2::new(self.left as f32 * point, self.top as f32 * point),
            egui::vec2(self.width as f32 * point, self.height as f32 * point),
        )
    }
}

/// The film under `pixels` of a screen with so many pixels per screen point.
pub(super) fn grid_under(
    screen_from_film: &ScreenFromFilm,
    pixels: PixelRect,
    pixels_per_point: f32,
) -> FilmGrid {
    let point = 1.0 / pixels_per_point;
    let corner = Pos2::new(pixels.left as f32 * point, pixels.top as f32 * point);
    FilmGrid {
        origin: screen_from_film.film_point(corner),
        across: screen_from_film.film_step(egui::vec2(point, 0.0)),
        down: screen_from_film.film_step(egui::vec2(0.0, point)),
    }
}
