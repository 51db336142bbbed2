//! What to draw over a film where pieces of it come to lie elsewhere.
//!
//! A list of layers, each within an outline, from the lowest to the uppermost: the places that the pieces have left,
//! darkened; the pieces where they come to lie, in the order given; and what stays although a piece moves over or
//! from under it. Every place that is left comes before every piece, because a piece may come to lie where another
//! one was.

use egui::{Color32, Pos2, Rect};
use plumbray_anatomy::{FilmPoint, MovedPiece, Proportions, Similarity};
use plumbray_film::FilmGrid;

use super::{
    sampling::{PixelRect, grid_under},
    transform::ScreenFromFilm,
};

/// The most corners of an outline that is drawn: what every graphics processor can take, in half of the room that
/// OpenGL ES 3.0 grants at least.
pub(super) const MOST_CORNERS: usize = 160;

/// The edge of a layer is soft over so many screen pixels to each side.
const SOFT_PX: f32 = 1.0;

/// Pieces of one film, and what stays in its place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pieces<'a> {
    pub(super) proportions: Proportions,
    pub(super) moved: &'a [MovedPiece],
    pub(super) stay: &'a [Vec<FilmPoint>],
    /// What darkens a place that was left.
    pub(super) former_place: Color32,
}

/// Something drawn within an outline.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layer {
    /// The part of the screen that holds all of it that can be seen; not empty.
    pub(super) pixels: PixelRect,
    /// The corners of its outline, in screen pixels from the upper left corner of `pixels`: 3 to
    /// [`MOST_CORNERS`], all of them numbers.
    pub(super) outline: Vec<Pos2>,
    pub(super) content: Content,
}

/// What is seen within an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Content {
    /// A colour that lets some of what lies beneath through.
    Shade(Color32),
    /// The film under a grid that begins with the first of the layer's pixels.
    Film(FilmGrid),
}

/// The layers that can be seen, the lowest first.
pub(super) fn layers(
    screen_from_film: &ScreenFromFilm,
    pixels_per_point: f32,
    pieces: &Pieces<'_>,
) -> Vec<Layer> {
    let view = View {
        screen_from_film,
        pixels_per_point,
    };
    let proportions = pieces.proportions;
    // A piece that has not moved has left no place.
    let left = pieces
        .moved
        .iter()
        .filter(|piece| piece.motion != Similarity::IDENTITY)
        .filter_map(|piece| view.layer(&piece.outline, |_| Content::Shade(pieces.former_place)));
    let moved = pieces.moved.iter().filter_map(|piece| {
        view.layer(&piece.outline_after(proportions), |grid| {
            Content::Film(grid.of_piece(piece, proportions))
        })
    });
    let stay = pieces
        .stay
        .iter()
        .filter_map(|outline| view.layer(outline, Content::Film));
    left.chain(moved).chain(stay).collect()
}

/// How the film lies on the pixels of the screen.
#[derive(Clone, Copy)]
struct View<'a> {
    screen_from_film: &'a ScreenFromFilm,
    pixels_per_point: f32,
}

impl View<'_> {
    /// The layer within an outline on the film; its content is made from the film under its pixels. Nothing where
    /// none of it can be seen.
    fn layer(
        self,
        outline: &[FilmPoint],
        content: impl FnOnce(FilmGrid) -> Content,
    ) -> Option<Layer> {
        let on_screen = |point: &FilmPoint| {
            (self.screen_from_film.screen(*point).to_vec2() * self.pixels_per_point).to_pos2()
        };
        let corners: Vec<Pos2> = outline.iter().map(on_screen).collect();
        if corners.len() < 3 || !corners.iter().all(|corner| corner.is_finite()) {
            return None;
        }
        let viewport = PixelRect::covered(self.screen_from_film.viewport(), self.pixels_per_point);
        let reach = Rect::from_points(&corners).expand(SOFT_PX);
        let whole_pixels = Rect::from_min_max(reach.min.floor(), reach.max.ceil());
        let seen = whole_pixels.intersect(viewport.in_points(1.0));
        let pixels = PixelRect::covered(seen, 1.0);
        if pixels.width == 0 || pixels.height == 0 {
            return None;
        }
        let grid = grid_under(self.screen_from_film, pixels, self.pixels_per_point);
        let to_first_pixel = pixels.in_points(1.0).min.to_vec2();
        let outline = simplified(corners, MOST_CORNERS)
            .into_iter()
            .map(|corner| corner - to_first_pixel)
            .collect();
        Some(Layer {
            pixels,
            outline,
            content: content(grid),
        })
    }
}

/// An outline with at most so many corners: those are left out, one after the other, whose triangle with their
/// neighbours is smallest (after Visvalingam and Whyatt, Cartogr J 1993;30:46–51).
fn simplified(mut corners: Vec<Pos2>, most: usize) -> Vec<Pos2> {
    while corners.len() > most.max(3) {
        let count = corners.len();
        let area = |index: usize| {
            let corner = corners[index];
            let before = corners[(index + count - 1) % count] - corner;
            let after = corners[(index + 1) % count] - corner;
            (before.x * after.y - before.y * after.x).abs()
        };
        let least = (0..count).min_by(|one, other| area(*one).total_cmp(&area(*other)));
        corners.remove(least.unwrap_or(0));
    }
    corners
}

#[cfg(test)]
mod tests {
    use egui::{pos2, vec2};
    use plumbray_anatomy::PhysicalPoint;

    use super::*;
    use crate::canvas::{FilmExtent, Orientation, Placement};

    const SQUARE: [(f64, f64); 4] = [(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)];

    fn square(shift: f64) -> Vec<FilmPoint> {
        SQUARE.map(|(x, y)| FilmPoint::new(x + shift, y)).to_vec()
    }

    fn to_the_right(shift: f64) -> MovedPiece {
        MovedPiece {
            outline: square(0.0),
            motion: Similarity::new(PhysicalPoint::new(shift, 0.0), 1.0, 0.0, false),
        }
    }

    /// The layers on a screen that shows a film of 100 × 100 pixels one to one.
    fn layers_of(moved: &[MovedPiece], stay: &[Vec<FilmPoint>]) -> Vec<Layer> {
        let film = FilmExtent {
            width_px: 100.0,
            height_px: 100.0,
            proportions: Proportions::SQUARE,
        };
        let viewport = Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 100.0));
        let map = ScreenFromFilm::new(film, viewport, Orientation::default(), Placement::Fit);
        let pieces = Pieces {
            proportions: Proportions::SQUARE,
            moved,
            stay,
            former_place: Color32::BLACK,
        };
        layers(&map, 1.0, &pieces)
    }

    fn lefts(layers: &[Layer]) -> Vec<i32> {
        layers.iter().map(|layer| layer.pixels.left).collect()
    }

    #[test]
    fn every_place_that_was_left_lies_beneath_every_piece_and_what_stays_lies_above() {
        let pieces = [to_the_right(20.0), to_the_right(40.0)];
        let layers = layers_of(&pieces, &[square(60.0)]);
        assert_eq!(lefts(&layers), [9, 9, 29, 49, 69], "from below");
        let is_shade = |layer: &Layer| matches!(layer.content, Content::Shade(_));
        let shades: Vec<bool> = layers.iter().map(is_shade).collect();
        assert_eq!(shades, [true, true, false, false, false], "what is shaded");
        let Content::Film(grid) = layers[2].content else {
            panic!("a piece is film");
        };
        assert!(
            grid.origin.distance_px(FilmPoint::new(9.0, 9.0)) < 1e-3,
            "the piece shows where it was: {grid:?}"
        );
    }

    #[test]
    fn a_piece_that_has_not_moved_has_left_no_place() {
        let layers = layers_of(&[to_the_right(0.0)], &[]);
        assert!(
            matches!(
                layers[..],
                [Layer {
                    content: Content::Film(_),
                    ..
                }]
            ),
            "the piece alone: {layers:?}"
        );
    }

    #[test]
    fn only_what_can_be_seen_is_a_layer() {
        let seen = layers_of(&[], &[square(85.0), square(200.0)]);
        assert_eq!(seen.len(), 1, "the second lies beside the screen");
        let PixelRect {
            left,
            top,
            width,
            height,
        } = seen[0].pixels;
        assert_eq!(
            (left, top, width, height),
            (94, 9, 6, 22),
            "cut off at the edge"
        );
        let mut broken = square(0.0);
        broken[1].x_px = f64::NAN;
        assert_eq!(layers_of(&[], &[broken, Vec::new()]), [], "no outlines");
    }

    #[test]
    fn an_outline_with_many_corners_keeps_its_shape() {
        let circle: Vec<Pos2> = (0..1000_u16)
            .map(|index| {
                let angle = f32::from(index) / 1000.0 * std::f32::consts::TAU;
                pos2(50.0, 50.0) + 40.0 * egui::Vec2::angled(angle)
            })
            .collect();
        let kept = simplified(circle, MOST_CORNERS);
        assert_eq!(kept.len(), MOST_CORNERS, "as many as allowed");
        // The middle of a side lies 1 − cos(180°/160) of the radius within the circle, were all sides alike.
        for (index, corner) in kept.iter().enumerate() {
            let middle = corner.lerp(kept[(index + 1) % kept.len()], 0.5);
            let inward = 40.0 - middle.distance(pos2(50.0, 50.0));
            assert!(inward < 0.05, "{inward} px at corner {index}");
        }
        let few = vec![pos2(0.0, 0.0), pos2(1.0, 0.0), pos2(2.0, 0.0)];
        assert_eq!(
            simplified(few.clone(), MOST_CORNERS),
            few,
            "nothing to leave out"
        );
    }
}
