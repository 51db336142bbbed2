//! The four blades that limit the beam.

use serde::{Deserialize, Serialize};

/// How far the blades of the collimator reach onto the film from its four edges, in mm at the detector.
/// A negative value holds a blade clear of the film.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Collimation {
    /// From the left edge.
    pub left_mm: f64,
    /// From the right edge.
    pub right_mm: f64,
    /// From the upper edge.
    pub top_mm: f64,
    /// From the lower edge.
    pub bottom_mm: f64,
}

/// Blades let this share of the beam pass (common practice, no source).
const LEAKAGE: f64 = 0.001;

/// Distance of the blades from the focus as a share of the distance to the detector (common practice:
/// about 30 cm of 100).
const BLADE_DISTANCE_SHARE: f64 = 0.3;

impl Collimation {
    /// Blades clear of the film.
    pub const OPEN: Self = Self::even(-20.0);

    /// Blades that reach equally far from all four edges, in mm.
    #[must_use]
    pub const fn even(margin_mm: f64) -> Self {
        Self {
            left_mm: margin_mm,
            right_mm: margin_mm,
            top_mm: margin_mm,
            bottom_mm: margin_mm,
        }
    }

    /// The places of the blades' edges along a line of the film, in mm from its start.
    pub(super) fn across_mm(&self, length_mm: f64) -> [f64; 2] {
        [self.left_mm, length_mm - self.right_mm]
    }

    /// The places of the upper and the lower blade's edge, in mm from the top.
    pub(super) fn down_mm(&self, length_mm: f64) -> [f64; 2] {
        [self.top_mm, length_mm - self.bottom_mm]
    }

    /// The share of the beam that two opposite blades let pass at each pixel along a line.
    ///
    /// The focal spot sees a blade's edge from different sides: seen through the edge as through a
    /// pinhole it is drawn larger than itself, and over that width the beam falls off.
    pub(super) fn shares(
        edges_mm: [f64; 2],
        count: usize,
        pixel_mm: f64,
        focal_spot_mm: f64,
    ) -> Vec<f64> {
        let penumbra = (focal_spot_mm * (1.0 / BLADE_DISTANCE_SHARE - 1.0)).max(pixel_mm);
        (0..count)
            .map(|index| {
                #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
                let place = (index as f64 + 0.5) * pixel_mm;
                let within = (place - edges_mm[0]).min(edges_mm[1] - place);
                LEAKAGE + (1.0 - LEAKAGE) * (within / penumbra + 0.5).clamp(0.0, 1.0)
            })
            .collect()
    }
}

impl Default for Collimation {
    /// Four millimetres of every edge are covered.
    fn default() -> Self {
        Self::even(4.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_the_beam_passes_at_the_edge_of_a_blade_and_next_to_none_behind_it() {
        let edges = Collimation {
            left_mm: 10.0,
            right_mm: 20.0,
            ..Collimation::OPEN
        }
        .across_mm(100.0);
        let shares = Collimation::shares(edges, 1000, 0.1, 1.0);
        for (index, expected) in [
            (0, LEAKAGE),
            (99, 0.5),
            (500, 1.0),
            (799, 0.5),
            (999, LEAKAGE),
        ] {
            let share: f64 = shares[index];
            assert!((share - expected).abs() < 0.03, "{share} at {index}");
        }
        // 1 mm of focus, blades at 0.3 of the way: 2.33 mm of penumbra.
        let partial = shares[..500]
            .iter()
            .filter(|share| (0.01..0.99).contains(*share))
            .count();
        assert!((21..=25).contains(&partial), "{partial} pixels of 0.1 mm");
    }

    #[test]
    fn open_blades_leave_the_film_alone() {
        let edges = Collimation::OPEN.down_mm(240.0);
        let shares = Collimation::shares(edges, 1200, 0.2, 1.2);
        assert!(shares.iter().all(|share| *share >= 1.0), "all pass");
    }
}
