//! The lead letter beside the foot.

use plumbray_anatomy::Side;

/// Width of a stroke of the letter in shares of its height.
const STROKE: f64 = 0.2;

/// A letter on the detector: R or L, of given height, its lower left corner at a place in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SideLetter {
    side: Side,
    corner_mm: [f64; 2],
    height_mm: f64,
}

impl SideLetter {
    /// A letter with its lower left corner at `corner_mm`, x to the right and y up.
    pub(crate) const fn new(side: Side, corner_mm: [f64; 2], height_mm: f64) -> Self {
        Self {
            side,
            corner_mm,
            height_mm,
        }
    }

    /// Distance from a place in mm on the detector, x to the right and y up, to the letter's outline,
    /// negative within a stroke.
    pub(crate) fn distance_mm(&self, place_mm: [f64; 2]) -> f64 {
        let x = (place_mm[0] - self.corner_mm[0]) / self.height_mm;
        let y = (place_mm[1] - self.corner_mm[1]) / self.height_mm;
        let stem = segment([x, y], [0.0, 0.0], [0.0, 1.0]);
        let middle = match self.side {
            Side::Left => segment([x, y], [0.0, 0.0], [0.5, 0.0]),
            Side::Right => {
                // A half circle about the middle of the bowl, closed by two short bars.
                let bowl = if x > 0.28 {
                    ((x - 0.28).hypot(y - 0.74) - 0.26).abs()
                } else {
                    f64::INFINITY
                };
                bowl.min(segment([x, y], [0.0, 1.0], [0.28, 1.0]))
                    .min(segment([x, y], [0.0, 0.48], [0.28, 0.48]))
                    .min(segment([x, y], [0.26, 0.48], [0.56, 0.0]))
            }
        };
        (stem.min(middle) - STROKE / 2.0) * self.height_mm
    }
}

/// Distance from a point to the line between two others.
fn segment(point: [f64; 2], from: [f64; 2], to: [f64; 2]) -> f64 {
    let (along_x, along_y) = (to[0] - from[0], to[1] - from[1]);
    let (x, y) = (point[0] - from[0], point[1] - from[1]);
    let share =
        ((x * along_x + y * along_y) / (along_x * along_x + along_y * along_y)).clamp(0.0, 1.0);
    (x - share * along_x).hypot(y - share * along_y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_letter_of_a_left_foot_has_a_foot_and_no_bowl() {
        let left = SideLetter::new(Side::Left, [0.0, 0.0], 10.0);
        let right = SideLetter::new(Side::Right, [0.0, 0.0], 10.0);
        assert!(left.distance_mm([4.0, 0.0]) < 0.0, "the foot of an L");
        assert!(right.distance_mm([4.0, 0.0]) > 0.0, "an R has none there");
        assert!(right.distance_mm([5.4, 7.4]) < 0.0, "the bowl of an R");
        assert!(left.distance_mm([5.4, 7.4]) > 0.0, "an L has none");
    }
}
