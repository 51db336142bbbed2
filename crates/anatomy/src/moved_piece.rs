//! A piece of a film that comes to lie elsewhere, as a fragment of bone does in an operation.

use crate::{
    geometry::{FilmPoint, Proportions},
    similarity::Similarity,
};

/// How strongly a picture darkens the place that a piece has left, from 0, not at all, to 255, black. Ours: dark
/// enough that nobody takes what stood there for bone, light enough to see where it was.
pub const FORMER_PLACE_DARKNESS: u8 = 178;

/// A piece of a film and where it comes to lie.
#[derive(Clone, Debug, PartialEq)]
pub struct MovedPiece {
    /// The piece where it was: a closed polygon on the film, whose last corner is joined to its first.
    pub outline: Vec<FilmPoint>,
    /// From where it was to where it comes to lie, in physical proportions; a rigid piece neither grows nor is
    /// mirrored.
    pub motion: Similarity,
}

impl MovedPiece {
    /// The piece where it comes to lie, corner by corner.
    #[must_use]
    pub fn outline_after(&self, proportions: Proportions) -> Vec<FilmPoint> {
        let after = |point: &FilmPoint| self.place_after(*point, proportions);
        self.outline.iter().map(after).collect()
    }

    /// Where a point of the piece comes to lie.
    #[must_use]
    pub fn place_after(&self, point: FilmPoint, proportions: Proportions) -> FilmPoint {
        proportions.film(self.motion.of(proportions.physical(point)))
    }

    /// Which point comes to lie there, whether or not it belongs to the piece.
    #[must_use]
    pub fn place_before(&self, point: FilmPoint, proportions: Proportions) -> FilmPoint {
        proportions.film(self.motion.back(proportions.physical(point)))
    }

    /// Whether a point belongs to the piece where it was, by the even-odd rule: where the outline crosses itself,
    /// what it surrounds twice lies outside. An outline of fewer than three corners holds nothing.
    #[must_use]
    pub fn contains(&self, point: FilmPoint) -> bool {
        let Some(last) = self.outline.last() else {
            return false;
        };
        let mut inside = false;
        let mut from = *last;
        for to in &self.outline {
            // An edge counts from its upper end, included, to its lower end, excluded, so that a ray through
            // a corner crosses one of two edges and not both.
            if (from.y_px > point.y_px) != (to.y_px > point.y_px) {
                let share = (point.y_px - from.y_px) / (to.y_px - from.y_px);
                if point.x_px < from.toward(*to, share).x_px {
                    inside = !inside;
                }
            }
            from = *to;
        }
        inside
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::{geometry::PhysicalPoint, testing::assert_close};

    fn piece(corners: &[(f64, f64)], motion: Similarity) -> MovedPiece {
        MovedPiece {
            outline: corners
                .iter()
                .map(|(x, y)| FilmPoint::new(*x, *y))
                .collect(),
            motion,
        }
    }

    fn turned(x: f64, y: f64, turn: f64) -> Similarity {
        Similarity::new(PhysicalPoint::new(x, y), 1.0, turn, false)
    }

    #[test]
    fn a_notched_piece_holds_what_its_edge_surrounds() {
        let notched = piece(
            &[
                (0.0, 0.0),
                (10.0, 0.0),
                (10.0, 10.0),
                (5.0, 2.0),
                (0.0, 10.0),
            ],
            Similarity::IDENTITY,
        );
        for (x, y, expected) in [
            (1.0, 1.0, true),
            (9.0, 5.0, true),
            (5.0, 5.0, false),
            (5.0, 1.0, true),
            (-1.0, 2.0, false),
            (11.0, 2.0, false),
        ] {
            let found = notched.contains(FilmPoint::new(x, y));
            assert_eq!(found, expected, "at {x}, {y}");
        }
    }

    #[test]
    fn what_the_edge_surrounds_twice_lies_outside() {
        let twice = piece(
            &[
                (0.0, 0.0),
                (10.0, 0.0),
                (10.0, 10.0),
                (0.0, 10.0),
                (0.0, 0.0),
                (5.0, 0.0),
                (5.0, 5.0),
                (0.0, 5.0),
            ],
            Similarity::IDENTITY,
        );
        assert!(
            !twice.contains(FilmPoint::new(2.0, 2.0)),
            "surrounded twice"
        );
        assert!(twice.contains(FilmPoint::new(7.0, 2.0)), "surrounded once");
    }

    #[test]
    fn fewer_than_three_corners_hold_nothing() {
        for corners in [&[][..], &[(1.0, 1.0)], &[(0.0, 0.0), (2.0, 2.0)]] {
            let flat = piece(corners, Similarity::IDENTITY);
            assert!(!flat.contains(FilmPoint::new(1.0, 1.0)), "{corners:?}");
        }
    }

    #[test]
    fn a_quarter_turn_is_one_on_the_foot_where_pixels_are_tall() {
        let tall = Proportions::new(2.0).expect("possible");
        let lying = piece(
            &[(10.0, 0.0)],
            turned(0.0, 0.0, std::f64::consts::FRAC_PI_2),
        );
        let after = lying.outline_after(tall);
        assert_close(after[0].x_px, 0.0, 1e-12, "across");
        assert_close(
            after[0].y_px,
            5.0,
            1e-12,
            "ten pixel widths are five heights",
        );
    }

    proptest! {
        #[test]
        fn the_way_there_and_back_leads_to_the_same_point(
            x in -9e3..9e3, y in -9e3..9e3, u in -500.0..500.0, v in -500.0..500.0,
            turn in -4.0..4.0, tall in 0.3..3.0,
        ) {
            let tall = Proportions::new(tall).expect("possible");
            let point = FilmPoint::new(x, y);
            let moved = piece(&[(x, y)], turned(u, v, turn));
            let back = moved.place_before(moved.outline_after(tall)[0], tall);
            prop_assert!(back.distance_px(point) < 1e-7, "{back:?} for {point:?}");
        }

        #[test]
        fn a_piece_holds_what_comes_to_lie_within_its_new_outline(
            corners in prop::collection::vec((0.0..100.0, 0.0..100.0), 0..9),
            x in -10.0..110.0, y in -10.0..110.0, turn in -4.0..4.0, tall in 0.3..3.0,
        ) {
            let tall = Proportions::new(tall).expect("possible");
            let moved = piece(&corners, turned(31.0, -7.0, turn));
            let there = MovedPiece { outline: moved.outline_after(tall), motion: Similarity::IDENTITY };
            let point = FilmPoint::new(x, y);
            prop_assert_eq!(
                moved.contains(point), there.contains(moved.place_after(point, tall)),
                "{:?}", point
            );
        }

        #[test]
        fn it_does_not_matter_at_which_corner_an_outline_begins_nor_which_way_it_runs(
            corners in prop::collection::vec((0.0..100.0, 0.0..100.0), 1..9),
            x in -10.0..110.0, y in -10.0..110.0, first in 0_usize..9,
        ) {
            let point = FilmPoint::new(x, y);
            let held = piece(&corners, Similarity::IDENTITY).contains(point);
            let mut other = corners.clone();
            other.rotate_left(first % corners.len());
            prop_assert_eq!(held, piece(&other, Similarity::IDENTITY).contains(point), "another corner");
            other.reverse();
            prop_assert_eq!(held, piece(&other, Similarity::IDENTITY).contains(point), "the other way");
        }
    }
}
