//! Turning, mirroring, moving and scaling between a picture and a film.

use plumbray_anatomy::PhysicalPoint;

/// A place of a picture, the place on the film that belongs to it, and how much the two count.
pub(crate) type WeightedPair = ([f64; 2], PhysicalPoint, f64);

/// A map from millimetres of a picture, counted from its middle, to places on a film in pixel widths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Similarity {
    /// Whether the picture is mirrored before it is turned.
    pub(crate) mirrored: bool,
    /// The picture's own x direction on the film, unmirrored, times the scale.
    a: f64,
    b: f64,
    /// Where the picture's middle lies.
    pub(crate) middle: PhysicalPoint,
}

impl Similarity {
    /// The picture's middle, the film's pixel widths to its millimetre, and how far it is turned (radians,
    /// from x to y).
    pub(crate) fn new(middle: PhysicalPoint, scale: f64, turn: f64, mirrored: bool) -> Self {
        Self {
            mirrored,
            a: scale * turn.cos(),
            b: scale * turn.sin(),
            middle,
        }
    }

    /// Pixel widths of the film to a millimetre of the picture.
    pub(crate) fn scale(&self) -> f64 {
        self.a.hypot(self.b)
    }

    /// How far the picture is turned on the film, in radians.
    pub(crate) fn turn(&self) -> f64 {
        self.b.atan2(self.a)
    }

    fn flipped(&self, x: f64) -> f64 {
        if self.mirrored { -x } else { x }
    }

    /// The place on the film of a place on the picture.
    pub(crate) fn film(&self, [x, y]: [f64; 2]) -> PhysicalPoint {
        let x = self.flipped(x);
        PhysicalPoint::new(
            self.middle.x + self.a * x - self.b * y,
            self.middle.y + self.b * x + self.a * y,
        )
    }

    /// The place on the picture of a place on the film.
    pub(crate) fn picture(&self, point: PhysicalPoint) -> [f64; 2] {
        let (dx, dy) = (point.x - self.middle.x, point.y - self.middle.y);
        let square = self.a * self.a + self.b * self.b;
        let x = (self.a * dx + self.b * dy) / square;
        let y = (self.a * dy - self.b * dx) / square;
        [self.flipped(x), y]
    }

    /// The map that brings weighted places of a picture closest to places on a film, by least squares.
    /// Nothing when they are too few, or all in one place.
    pub(crate) fn fitted(pairs: &[WeightedPair], mirrored: bool) -> Option<Self> {
        let total: f64 = pairs.iter().map(|(.., weight)| weight).sum();
        if pairs.len() < 2 || total <= 0.0 {
            return None;
        }
        let sign = if mirrored { -1.0 } else { 1.0 };
        let mean = |value: &dyn Fn(&WeightedPair) -> f64| {
            pairs.iter().map(|pair| pair.2 * value(pair)).sum::<f64>() / total
        };
        let (px, py) = (mean(&|pair| sign * pair.0[0]), mean(&|pair| pair.0[1]));
        let (fx, fy) = (mean(&|pair| pair.1.x), mean(&|pair| pair.1.y));
        let (mut along, mut across, mut square) = (0.0, 0.0, 0.0);
        for ([x, y], film, weight) in pairs {
            let (x, y) = (sign * x - px, y - py);
            let (u, v) = (film.x - fx, film.y - fy);
            along += weight * (x * u + y * v);
            across += weight * (x * v - y * u);
            square += weight * (x * x + y * y);
        }
        if square <= 1e-9 || along.hypot(across) <= 1e-9 {
            return None;
        }
        let (a, b) = (along / square, across / square);
        Some(Self {
            mirrored,
            a,
            b,
            middle: PhysicalPoint::new(fx - (a * px - b * py), fy - (b * px + a * py)),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_the_same_place_also_mirrored() {
        for mirrored in [false, true] {
            let map = Similarity::new(PhysicalPoint::new(300.0, 120.0), 4.0, 0.7, mirrored);
            let place = [13.0, -27.0];
            let back = map.picture(map.film(place));
            assert!(
                (back[0] - place[0]).hypot(back[1] - place[1]) < 1e-9,
                "{back:?}"
            );
        }
    }

    #[test]
    fn a_map_is_found_again_from_what_it_does() {
        for mirrored in [false, true] {
            let map = Similarity::new(PhysicalPoint::new(-30.0, 12.0), 2.5, -2.0, mirrored);
            let pairs: Vec<_> = [[0.0, 1.0], [30.0, 2.0], [-4.0, 55.0]]
                .into_iter()
                .map(|place| (place, map.film(place), 1.0))
                .collect();
            let found = Similarity::fitted(&pairs, mirrored).expect("three places");
            assert!(
                (found.scale() - 2.5).abs() < 1e-9,
                "scale {}",
                found.scale()
            );
            assert!((found.turn() + 2.0).abs() < 1e-9, "turn {}", found.turn());
        }
    }
}
