//! The lead letter beside the foot.

use plumbray_anatomy::Side;

/// Half the width of a stroke in shares of the letter's height between the middles of its strokes.
const HALF_STROKE: f64 = 0.09;

/// Thickness of the lead in mm.
const THICKNESS_MM: f64 = 1.2;

/// The cast lead thins out at its edges over this width in mm, half of it on either side of the
/// outline.
const BEVEL_MM: f64 = 0.5;

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

    /// Thickness of the lead at a place in mm on the detector, x to the right and y up.
    pub(crate) fn thickness_mm(&self, place_mm: [f64; 2]) -> f64 {
        THICKNESS_MM * (0.5 - self.distance_mm(place_mm) / BEVEL_MM).clamp(0.0, 1.0)
    }

    /// Distance from a place to the letter's outline in mm, negative within a stroke.
    fn distance_mm(&self, place_mm: [f64; 2]) -> f64 {
        let [x, y] = [0, 1].map(|axis| (place_mm[axis] - self.corner_mm[axis]) / self.height_mm);
        let stem = bar([x, y], [0.0, 0.0], [0.0, 1.0]);
        let rest = match self.side {
            Side::Left => bar([x, y], [0.0, 0.0], [0.52, 0.0]),
            Side::Right => {
                // A half circle about the middle of the bowl, closed by two short bars.
                let bowl = if x > 0.28 {
                    ((x - 0.28).hypot(y - 0.74) - 0.26).abs() - HALF_STROKE
                } else {
                    f64::INFINITY
                };
                // The leg runs on below the line and is cut off level with the stem.
                let leg = segment([x, y], [0.24, 0.48], [0.62, -0.2]) - HALF_STROKE;
                bowl.min(bar([x, y], [0.0, 1.0], [0.28, 1.0]))
                    .min(bar([x, y], [0.0, 0.48], [0.28, 0.48]))
                    .min(leg.max(-HALF_STROKE - y))
            }
        };
        stem.min(rest) * self.height_mm
    }
}

/// Distance from a point to an upright or level bar with square ends, half a stroke beyond the line
/// between two corners.
fn bar(point: [f64; 2], low: [f64; 2], high: [f64; 2]) -> f64 {
    let [beyond_x, beyond_y] =
        [0, 1].map(|axis| (low[axis] - point[axis]).max(point[axis] - high[axis]) - HALF_STROKE);
    beyond_x.max(0.0).hypot(beyond_y.max(0.0)) + beyond_x.max(beyond_y).min(0.0)
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

    #[test]
    fn the_lead_is_full_within_a_stroke_half_at_its_outline_and_none_outside() {
        let left = SideLetter::new(Side::Left, [0.0, 0.0], 10.0);
        for (x, expected) in [(0.0, 1.2), (-0.9, 0.6), (-1.2, 0.0)] {
            let thickness = left.thickness_mm([x, 5.0]);
            assert!((thickness - expected).abs() < 1e-9, "{thickness} at {x}");
        }
    }
}
