//! The round magnifier that follows the point being placed.

use egui::{Color32, Painter, Pos2, Rect, Stroke, Vec2, pos2, vec2};
use plumbray_anatomy::FilmPoint;

use super::transform::ScreenFromFilm;

/// How many times larger the magnifier shows the film than the pane does.
pub const MAGNIFICATION: f64 = 4.0;

/// The magnifier shows every film pixel at least this large, in screen points.
const LEAST_ZOOM: f64 = 1.0;

/// The radius of the magnifier, in screen points.
const RADIUS: f32 = 72.0;

/// Half the length of the cross at the magnified point, in screen points.
const CROSS: f32 = 28.0;

/// The gap between the magnifier and the edges of its pane, in screen points.
const GAP: f32 = 24.0;

/// A round magnifier over a film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Magnifier {
    screen_from_film: ScreenFromFilm,
    ink: Color32,
    halo: Color32,
}

impl Magnifier {
    /// A magnifier that shows `around` in its middle, in the corner of the film's pane that is farthest
    /// out of the way of `pointer`: the lower left one, or the lower right one while the pointer is near
    /// the first.
    #[must_use]
    pub fn new(
        pane: &ScreenFromFilm,
        around: FilmPoint,
        pointer: Pos2,
        ink: Color32,
        halo: Color32,
    ) -> Self {
        let square = Rect::from_center_size(
            resting_place(pane.viewport(), pointer),
            Vec2::splat(2.0 * RADIUS),
        );
        let zoom = (pane.zoom() * MAGNIFICATION).max(LEAST_ZOOM);
        Self {
            screen_from_film: pane.magnified(around, zoom, square),
            ink,
            halo,
        }
    }

    /// The map from the film into the magnifier, for drawing lines in it.
    #[must_use]
    pub const fn screen_from_film(&self) -> &ScreenFromFilm {
        &self.screen_from_film
    }

    /// Draws the ring and the cross.
    pub(super) fn frame_ui(&self, painter: &Painter) {
        let centre = self.screen_from_film.viewport().center();
        let ink = Stroke::new(1.5, self.ink);
        let halo = Stroke::new(4.0, self.halo);
        for stroke in [halo, ink] {
            painter.circle_stroke(centre, RADIUS, stroke);
        }
        for (stroke, half) in [(halo, CROSS + 1.0), (ink, CROSS)] {
            for arm in [vec2(half, 0.0), vec2(0.0, half)] {
                painter.line_segment([centre - arm, centre + arm], stroke);
            }
        }
    }
}

/// Where the middle of a magnifier rests in a pane.
fn resting_place(pane: Rect, pointer: Pos2) -> Pos2 {
    let inset = RADIUS + GAP;
    let low = pane.bottom() - inset;
    let left = pos2(pane.left() + inset, low);
    let right = pos2(pane.right() - inset, low);
    if pointer.distance(left) < 2.0 * RADIUS && pointer.distance(right) > pointer.distance(left) {
        right
    } else {
        left
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::Proportions;

    use super::*;
    use crate::canvas::transform::{FilmExtent, Orientation, Placement};

    fn pane(zoom: f64) -> ScreenFromFilm {
        ScreenFromFilm::new(
            FilmExtent {
                width_px: 2000.0,
                height_px: 3000.0,
                proportions: Proportions::SQUARE,
            },
            Rect::from_min_size(pos2(0.0, 0.0), vec2(500.0, 700.0)),
            Orientation::default(),
            Placement::At {
                centre: FilmPoint::new(1000.0, 1500.0),
                zoom,
            },
        )
    }

    fn magnifier(zoom: f64, pointer: Pos2) -> Magnifier {
        let around = FilmPoint::new(3.0, 4.0);
        Magnifier::new(&pane(zoom), around, pointer, Color32::WHITE, Color32::BLACK)
    }

    #[test]
    fn the_magnified_point_lies_in_the_middle_even_at_the_edge_of_the_film() {
        let map = *magnifier(1.0, pos2(300.0, 300.0)).screen_from_film();
        let at = map.screen(FilmPoint::new(3.0, 4.0));
        assert!(at.distance(map.viewport().center()) < 1e-3, "at {at:?}");
    }

    #[test]
    fn the_film_is_magnified_beyond_the_largest_zoom_of_a_pane() {
        let zoom = magnifier(20.0, pos2(300.0, 300.0))
            .screen_from_film()
            .zoom();
        assert!((zoom - 80.0).abs() < 1e-9, "{zoom}");
    }

    #[test]
    fn the_magnifier_gives_way_to_the_pointer() {
        let place = |pointer| {
            magnifier(1.0, pointer)
                .screen_from_film()
                .viewport()
                .center()
        };
        let rests = place(pos2(300.0, 100.0));
        let yields = place(rests);
        assert!(rests.x < 250.0, "rests at the left, at {rests:?}");
        assert!(yields.x > 250.0, "yields to the right, at {yields:?}");
    }
}
