//! Turning, mirroring, moving and scaling from one plane to another.

use crate::geometry::{PhysicalPoint, PhysicalVector};

/// A place, the place that belongs to it on the other plane, and how much the two count (not negative).
pub type WeightedPair = (PhysicalPoint, PhysicalPoint, f64);

/// A map from one plane to another that keeps angles: it mirrors, if at all, then turns and scales, then
/// moves.
///
/// ```text
/// x' = a·x − b·y + u        with −x for x where it mirrors
/// y' = b·x + a·y + v
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Similarity {
    mirrored: bool,
    a: f64,
    b: f64,
    origin: PhysicalPoint,
}

impl Similarity {
    /// The map that leaves everything where it is.
    pub const IDENTITY: Self = Self {
        mirrored: false,
        a: 1.0,
        b: 0.0,
        origin: PhysicalPoint { x: 0.0, y: 0.0 },
    };

    /// The map that takes (0, 0) to `origin`, enlarges by `scale` (above 0) and turns by `turn` radians from
    /// x to y, after mirroring left and right if `mirrored`.
    #[must_use]
    pub fn new(origin: PhysicalPoint, scale: f64, turn: f64, mirrored: bool) -> Self {
        Self {
            mirrored,
            a: scale * turn.cos(),
            b: scale * turn.sin(),
            origin,
        }
    }

    /// Whether it exchanges left and right before it turns.
    #[must_use]
    pub const fn is_mirrored(&self) -> bool {
        self.mirrored
    }

    /// Where (0, 0) comes to lie.
    #[must_use]
    pub const fn origin(&self) -> PhysicalPoint {
        self.origin
    }

    /// By how much lengths grow.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.a.hypot(self.b)
    }

    /// By how much it turns, in radians from x to y.
    #[must_use]
    pub fn turn(&self) -> f64 {
        self.b.atan2(self.a)
    }

    fn flipped(&self, x: f64) -> f64 {
        if self.mirrored { -x } else { x }
    }

    /// Where a point comes to lie.
    #[must_use]
    pub fn of(&self, point: PhysicalPoint) -> PhysicalPoint {
        let x = self.flipped(point.x);
        PhysicalPoint::new(
            self.origin.x + self.a * x - self.b * point.y,
            self.origin.y + self.b * x + self.a * point.y,
        )
    }

    /// Which point comes to lie there.
    #[must_use]
    pub fn back(&self, point: PhysicalPoint) -> PhysicalPoint {
        let away = point - self.origin;
        let square = self.a * self.a + self.b * self.b;
        PhysicalPoint::new(
            self.flipped((self.a * away.x + self.b * away.y) / square),
            (self.a * away.y - self.b * away.x) / square,
        )
    }

    /// The map that brings weighted places closest to the places that belong to them, by least squares:
    ///
    /// ```text
    /// Σ w · |map(from) − to|² → least
    /// ```
    ///
    /// Whether it mirrors is given. Nothing where fewer than two places count, or where either all `from` or
    /// all `to` lie in one place. Closed form after Umeyama, IEEE Trans Pattern Anal Mach Intell
    /// 1991;13:376–380, which in the plane needs no decomposition.
    #[must_use]
    pub fn fitted(pairs: &[WeightedPair], mirrored: bool) -> Option<Self> {
        let counted = pairs.iter().filter(|(.., weight)| *weight > 0.0).count();
        let total: f64 = pairs.iter().map(|(.., weight)| weight).sum();
        if counted < 2 || total <= 0.0 {
            return None;
        }
        let sign = if mirrored { -1.0 } else { 1.0 };
        let mean = |value: &dyn Fn(&WeightedPair) -> f64| {
            pairs.iter().map(|pair| pair.2 * value(pair)).sum::<f64>() / total
        };
        let from_mean = PhysicalVector::new(mean(&|pair| sign * pair.0.x), mean(&|pair| pair.0.y));
        let to_mean = PhysicalPoint::new(mean(&|pair| pair.1.x), mean(&|pair| pair.1.y));
        let (mut along, mut across, mut square) = (0.0, 0.0, 0.0);
        for (from, to, weight) in pairs {
            let from = PhysicalVector::new(sign * from.x, from.y) - from_mean;
            let to = *to - to_mean;
            along += weight * from.dot(to);
            across += weight * from.cross(to);
            square += weight * from.dot(from);
        }
        if square <= SMALLEST_SPREAD || along.hypot(across) <= SMALLEST_SPREAD {
            return None;
        }
        let (a, b) = (along / square, across / square);
        Some(Self {
            mirrored,
            a,
            b,
            origin: PhysicalPoint::new(
                to_mean.x - (a * from_mean.x - b * from_mean.y),
                to_mean.y - (b * from_mean.x + a * from_mean.y),
            ),
        })
    }
}

/// Places whose weighted squares about their mean come to no more than this lie in one place.
const SMALLEST_SPREAD: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(found: PhysicalPoint, expected: PhysicalPoint) {
        assert!(
            (found - expected).length() < 1e-9,
            "{found:?} for {expected:?}"
        );
    }

    #[test]
    fn there_and_back_is_the_same_place_also_mirrored() {
        for mirrored in [false, true] {
            let map = Similarity::new(PhysicalPoint::new(300.0, 120.0), 4.0, 0.7, mirrored);
            let place = PhysicalPoint::new(13.0, -27.0);
            assert_near(map.back(map.of(place)), place);
        }
    }

    #[test]
    fn a_map_is_found_again_from_what_it_does() {
        for mirrored in [false, true] {
            let map = Similarity::new(PhysicalPoint::new(-30.0, 12.0), 2.5, -2.0, mirrored);
            let pairs: Vec<WeightedPair> = [(0.0, 1.0, 1.0), (30.0, 2.0, 0.5), (-4.0, 55.0, 3.0)]
                .map(|(x, y, weight)| {
                    let place = PhysicalPoint::new(x, y);
                    (place, map.of(place), weight)
                })
                .to_vec();
            let found = Similarity::fitted(&pairs, mirrored).expect("three places");
            assert!((found.scale() - 2.5).abs() < 1e-9, "scale");
            assert!((found.turn() + 2.0).abs() < 1e-9, "turn");
            assert_near(found.origin(), map.origin());
        }
    }

    #[test]
    fn too_few_places_or_all_in_one_have_no_map() {
        let here = PhysicalPoint::new(3.0, 4.0);
        let there = PhysicalPoint::new(9.0, 4.0);
        for (pairs, what) in [
            (vec![(here, there, 1.0)], "one"),
            (vec![(here, here, 1.0), (there, there, 0.0)], "one counts"),
            (vec![(here, here, 1.0), (here, there, 1.0)], "one place"),
            (vec![(here, here, 1.0), (there, here, 1.0)], "to one place"),
        ] {
            assert_eq!(Similarity::fitted(&pairs, false), None, "{what}");
        }
    }
}
