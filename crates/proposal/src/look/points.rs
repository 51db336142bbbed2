//! From a network's scores to a point with its spread.

use plumbray_anatomy::Landmark;

use super::{PIXEL_MM, millimetres};
use crate::proposal::Doubt;

/// A point as it was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct SeenPoint {
    /// Its place in millimetres from the middle of the picture.
    pub(crate) at: [f64; 2],
    /// Standard deviation in each direction, in millimetres: what is left of the network's own spread.
    pub(crate) spread_mm: f64,
    /// Why it should be looked at again, if it should.
    pub(crate) doubt: Option<Doubt>,
}

/// Whether a point has a place of its own, or only lies somewhere along a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    Place,
    AlongLine,
}

impl Shape {
    pub(super) const fn of(landmark: Landmark) -> Self {
        match landmark {
            Landmark::FloorPosterior | Landmark::FloorAnterior => Self::AlongLine,
            _ => Self::Place,
        }
    }
}

/// Spread of the bells that the network learned to draw, in millimetres: of a point that it is sure of, it
/// draws just this.
const LEARNED_SPREAD_MM: f64 = 0.6;
/// How far from its highest place a point's bell reaches, in pixels.
const BELL_REACH: usize = 6;
/// The same for a point that lies somewhere along a line.
const LINE_REACH: usize = 40;
/// Of a point that has less than this share of all scores around its highest place there is a second
/// place as likely.
const LEAST_SHARE: f64 = 0.55;
/// A point that is absent with at least this share is not on the picture.
const ABSENT_SHARE: f64 = 0.5;
/// A point whose own spread is larger than this, in millimetres, is faint.
const FAINT_MM: f64 = 1.6;

/// The point of one map of scores.
pub(super) fn seen(scores: &[f32], size: [usize; 2], absent: f32, shape: Shape) -> SeenPoint {
    let [width, height] = size;
    let highest = scores.iter().copied().fold(absent, f32::max);
    let weight = |score: f32| f64::from(score - highest).exp();
    let total: f64 = scores.iter().map(|score| weight(*score)).sum::<f64>() + weight(absent);
    let top = scores
        .iter()
        .enumerate()
        .max_by(|one, two| one.1.total_cmp(two.1))
        .map_or(0, |(index, _)| index);
    let (column, row) = (top % width, top / width);
    let reach = match shape {
        Shape::Place => BELL_REACH,
        Shape::AlongLine => LINE_REACH,
    };
    let mut bell = Bell::default();
    for y in row.saturating_sub(reach)..(row + reach + 1).min(height) {
        for x in column.saturating_sub(reach)..(column + reach + 1).min(width) {
            bell.add(
                x as f64 + 0.5,
                y as f64 + 0.5,
                weight(scores[y * width + x]),
            );
        }
    }
    let (at, [small, large]) = bell.middle_and_spreads();
    let own = |variance: f64| {
        (variance * PIXEL_MM * PIXEL_MM - LEARNED_SPREAD_MM * LEARNED_SPREAD_MM)
            .max(0.0)
            .sqrt()
    };
    let spread_mm = match shape {
        Shape::Place => (0.5 * (own(small).powi(2) + own(large).powi(2))).sqrt(),
        Shape::AlongLine => own(small),
    };
    let is_at_edge = weight(absent) / total > ABSENT_SHARE;
    let doubt = if is_at_edge {
        Some(Doubt::AtTheEdge)
    } else if bell.total / total < LEAST_SHARE {
        Some(Doubt::Ambiguous)
    } else if spread_mm > FAINT_MM {
        Some(Doubt::Faint)
    } else {
        None
    };
    SeenPoint {
        at: millimetres(size, at),
        spread_mm,
        doubt,
    }
}

/// Weighted places: their middle and how they spread.
#[derive(Clone, Copy, Debug, Default)]
struct Bell {
    total: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
    yy: f64,
}

impl Bell {
    fn add(&mut self, x: f64, y: f64, weight: f64) {
        self.total += weight;
        self.x += weight * x;
        self.y += weight * y;
        self.xx += weight * x * x;
        self.xy += weight * x * y;
        self.yy += weight * y * y;
    }

    /// The middle, and the variances along the short and the long axis.
    fn middle_and_spreads(&self) -> ([f64; 2], [f64; 2]) {
        let (x, y) = (self.x / self.total, self.y / self.total);
        let xx = self.xx / self.total - x * x;
        let yy = self.yy / self.total - y * y;
        let xy = self.xy / self.total - x * y;
        let mean = 0.5 * (xx + yy);
        let apart = (0.25 * (xx - yy) * (xx - yy) + xy * xy).sqrt();
        ([x, y], [mean - apart, mean + apart])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Scores whose weights make a bell of the learned spread around a place in pixels.
    fn bell(size: [usize; 2], at: [f64; 2], height: f64) -> Vec<f32> {
        let spread = LEARNED_SPREAD_MM / PIXEL_MM;
        (0..size[0] * size[1])
            .map(|index| {
                let x = (index % size[0]) as f64 + 0.5 - at[0];
                let y = (index / size[0]) as f64 + 0.5 - at[1];
                (height - 0.5 * (x * x + y * y) / (spread * spread)) as f32
            })
            .collect()
    }

    #[test]
    fn a_clear_point_is_found_between_the_pixels() {
        let size = [40, 30];
        let seen = seen(&bell(size, [21.3, 9.8], 0.0), size, -20.0, Shape::Place);
        let expected = millimetres(size, [21.3, 9.8]);
        let away = (seen.at[0] - expected[0]).hypot(seen.at[1] - expected[1]);
        assert!(away < 0.02, "{away} mm away");
        assert!(seen.spread_mm < 0.15, "spread {}", seen.spread_mm);
        assert_eq!(seen.doubt, None, "clear");
    }

    #[test]
    fn a_point_with_a_rival_is_ambiguous_and_an_absent_one_is_beyond_the_edge() {
        let size = [60, 30];
        let one = bell(size, [15.0, 10.0], 0.0);
        let both: Vec<f32> = one
            .iter()
            .zip(bell(size, [45.0, 20.0], -0.05))
            .map(|(one, two)| one.max(two))
            .collect();
        let rivals = seen(&both, size, -20.0, Shape::Place);
        assert_eq!(rivals.doubt, Some(Doubt::Ambiguous), "two as likely");
        let absent = seen(&one, size, 10.0, Shape::Place);
        assert_eq!(absent.doubt, Some(Doubt::AtTheEdge), "absent");
    }
}
