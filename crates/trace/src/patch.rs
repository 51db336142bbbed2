//! A square piece of the film around a point, with its gradient.

use plumbray_anatomy::PhysicalPoint;

use crate::{
    edge::{median, quantile},
    raster::{Raster, cell_and_share, count_from},
    smooth,
    strip::{Frame, Grid, Ruler, straightened},
};

/// Slopes of a square piece of film along both axes of a frame whose origin is its middle.
#[derive(Clone, Debug)]
pub(crate) struct Patch {
    pub(crate) frame: Frame,
    /// Places along both axes of the frame, the same for each.
    pub(crate) ruler: Ruler,
    /// Brightness as it was read.
    pub(crate) values: Grid,
    /// Slope per step along `u`, the rows.
    pub(crate) slope_u: Grid,
    /// Slope per step along `v`, the columns.
    pub(crate) slope_v: Grid,
    /// The slope that counts as half an edge.
    half: f64,
}

/// Samples from the middle of a patch to its side, at most: 201 by 201 samples.
const MOST_HALF_COUNT: usize = 100;

impl Patch {
    /// Reads `reach` to each side of the frame's origin in steps of `step`, smoothed by `sigma`
    /// steps. The step grows where the patch would become too large.
    pub(crate) fn around(
        raster: &Raster<'_>,
        frame: Frame,
        reach: f64,
        step: f64,
        sigma: f64,
    ) -> Self {
        let half_count = count_from((reach / step).ceil(), 4, MOST_HALF_COUNT);
        let step = step.max(reach / half_count as f64);
        let ruler = Ruler {
            start: -(half_count as f64) * step,
            step,
            count: 2 * half_count + 1,
        };
        let values = straightened(raster, &frame, ruler, ruler);
        let slope_v = smooth::slope_across(&values, sigma, sigma);
        let slope_u = smooth::slope_across(&values.transposed(), sigma, sigma).transposed();
        let steepness: Vec<f64> = slope_u
            .values
            .iter()
            .zip(&slope_v.values)
            .map(|(u, v)| u.hypot(*v))
            .collect();
        // The edges of interest are among the steepest tenth, and stand out of the middle.
        let half = (0.3 * quantile(&steepness, 0.9)).max(1.5 * median(&steepness));
        Self {
            frame,
            ruler,
            values,
            slope_u,
            slope_v,
            half: half.max(f64::MIN_POSITIVE),
        }
    }

    /// The slope at a place, between samples.
    pub(crate) fn slope_at(&self, u: f64, v: f64) -> (f64, f64) {
        (
            bilinear(&self.slope_u, &self.ruler, u, v),
            bilinear(&self.slope_v, &self.ruler, u, v),
        )
    }

    /// How strongly brightness falls at a place in a direction of length one: 0 to 1, and below zero
    /// where it rises.
    pub(crate) fn fall(&self, place: (f64, f64), direction: (f64, f64)) -> f64 {
        let (slope_u, slope_v) = self.slope_at(place.0, place.1);
        let ratio = -(slope_u * direction.0 + slope_v * direction.1) / self.half;
        ratio * ratio.abs() / (1.0 + ratio * ratio)
    }

    /// Whether a place lies on the patch.
    pub(crate) fn contains(&self, u: f64, v: f64) -> bool {
        let end = -self.ruler.start;
        u.abs() <= end && v.abs() <= end
    }

    /// The steepest slope on the patch over its middle one: below about 4 there is only noise.
    pub(crate) fn contrast(&self) -> f64 {
        let steepness: Vec<f64> = self
            .slope_u
            .values
            .iter()
            .zip(&self.slope_v.values)
            .map(|(u, v)| u.hypot(*v))
            .collect();
        let top = quantile(&steepness, 0.99);
        if top > 0.0 {
            top / median(&steepness).max(1e-9 * top)
        } else {
            0.0
        }
    }

    pub(crate) fn point(&self, u: f64, v: f64) -> PhysicalPoint {
        self.frame.point(u, v)
    }
}

fn bilinear(grid: &Grid, ruler: &Ruler, u: f64, v: f64) -> f64 {
    let (row, row_share) = cell_and_share(ruler.position(u), grid.rows);
    let (column, column_share) = cell_and_share(ruler.position(v), grid.columns);
    let across = |row: usize| {
        let first = grid.at(row, column);
        first + column_share * (grid.at(row, column + 1) - first)
    };
    let first = across(row);
    first + row_share * (across(row + 1) - first)
}
