//! The outer edge of both cortices to a fraction of a pixel.

use crate::{
    edge::{crest_near, median},
    line_fit::bisquare_weights,
    outline::Outline,
    raster::Raster,
    smooth,
    strip::{Frame, Grid, Ruler, straightened},
};

/// Both cortices as points `(u, v)` of the outline's frame.
#[derive(Clone, Debug)]
pub(crate) struct RefinedCortices {
    pub(crate) one: Vec<(f64, f64)>,
    pub(crate) two: Vec<(f64, f64)>,
    /// Standard deviation of each point across the shaft, in pixel widths.
    pub(crate) sd: f64,
    /// How clearly the edges were seen, from 0 to 1.
    pub(crate) strength: f64,
}

/// Which way brightness changes along `v` where the bone's edge is.
#[derive(Clone, Copy, Debug)]
enum Flank {
    Rising,
    Falling,
}

impl Flank {
    const fn sign(self) -> f64 {
        match self {
            Self::Rising => 1.0,
            Self::Falling => -1.0,
        }
    }
}

/// The edge of one flank at each place along, relative to the outline's frame.
struct FlankEdge {
    /// Smoothed place across at each place along.
    places: Vec<f64>,
    /// Standard deviation of a single edge about the smoothed ones.
    scatter: f64,
}

/// Refines both sides of an outline between two places along it.
pub(crate) fn refined(
    raster: &Raster<'_>,
    outline: &Outline,
    waist: f64,
    span: (f64, f64),
) -> Option<RefinedCortices> {
    let part = outline.between(span.0, span.1);
    if part.along.count < 6 {
        return None;
    }
    let first = flank_edge(raster, &part, &part.one, waist, Flank::Rising);
    let second = flank_edge(raster, &part, &part.two, waist, Flank::Falling);
    let points = |places: &[f64]| -> Vec<(f64, f64)> {
        places
            .iter()
            .enumerate()
            .map(|(index, place)| (part.along.at(index), *place))
            .collect()
    };
    Some(RefinedCortices {
        one: points(&first.places),
        two: points(&second.places),
        sd: f64::midpoint(first.scatter, second.scatter).hypot(FLOOR_PX),
        strength: part.typical_strength(),
    })
}

/// What no film tells better: a quarter of a pixel.
const FLOOR_PX: f64 = 0.25;

/// How far inside a tube's silhouette its steepest place lies once it is smoothed, over the standard
/// deviation of the smoothing: where the convolution of the square root of depth with a Gaussian has
/// its greatest slope (computed numerically).
const LIMB_SHIFT: f64 = 0.765;

/// How far profiles are averaged along the flank, in rows.
const SIGMA_ROWS: f64 = 1.5;
/// How far the series of edges is smoothed, in rows.
const SIGMA_SERIES: f64 = 3.0;

/// Finds one flank to a fraction of a pixel: profiles are averaged along the flank as it runs, their
/// steepest place is taken, and the series of places is smoothed. Done twice, because profiles that
/// are averaged along a rough guide carry the guide's steps into the result.
fn flank_edge(
    raster: &Raster<'_>,
    part: &Outline,
    rough: &[f64],
    waist: f64,
    flank: Flank,
) -> FlankEdge {
    let step = (waist / 50.0).clamp(0.4, 3.0);
    let half = (0.16 * waist).max(4.0 * step);
    let window = Ruler::spanning(-half, half, step, 9);
    let sigma = (0.03 * waist).max(0.8);
    let mut guide = robust_smooth(rough, SIGMA_SERIES);
    let mut scatter = 0.0;
    for _ in 0..2 {
        let profiles = guided_profiles(raster, &part.frame, part.along, &guide, window);
        let offsets = steepest_offsets(&profiles, window, sigma / step, flank);
        let smooth_offsets = robust_smooth(&offsets, SIGMA_SERIES);
        let residuals: Vec<f64> = offsets
            .iter()
            .zip(&smooth_offsets)
            .map(|(a, b)| (a - b).abs())
            .collect();
        scatter = 1.4826 * median(&residuals);
        for (place, offset) in guide.iter_mut().zip(&smooth_offsets) {
            *place += offset;
        }
    }
    let to_limb = -flank.sign() * LIMB_SHIFT * sigma;
    FlankEdge {
        places: guide.iter().map(|place| place + to_limb).collect(),
        scatter,
    }
}

/// Where each profile is steepest, as an offset from its middle; zero where it has no edge.
fn steepest_offsets(profiles: &Grid, window: Ruler, sigma: f64, flank: Flank) -> Vec<f64> {
    let slopes = smooth::slope_across(profiles, sigma, SIGMA_ROWS);
    let centre = window.position(0.0);
    (0..slopes.rows)
        .map(|row| {
            let signed: Vec<f64> = slopes
                .row(row)
                .iter()
                .map(|slope| flank.sign() * slope)
                .collect();
            crest_near(&signed, centre, centre).map_or(0.0, |position| window.at_position(position))
        })
        .collect()
}

/// Profiles of the film across a line that follows `guide`, each centred on it.
fn guided_profiles(
    raster: &Raster<'_>,
    frame: &Frame,
    along: Ruler,
    guide: &[f64],
    window: Ruler,
) -> Grid {
    let mut profiles = Grid::filled(along.count, window.count, 0.0);
    for (row, centre) in guide.iter().enumerate() {
        let one_row = Ruler {
            start: along.at(row),
            step: along.step,
            count: 1,
        };
        let shifted = Ruler {
            start: centre + window.start,
            ..window
        };
        let profile = straightened(raster, frame, one_row, shifted);
        profiles.row_mut(row).copy_from_slice(profile.row(0));
    }
    profiles
}

/// A series smoothed by a local straight line over a Gaussian window of `sigma` samples, twice: the
/// second time with Tukey's weights, so that a stray edge does not pull its neighbours.
fn robust_smooth(series: &[f64], sigma: f64) -> Vec<f64> {
    let first = local_lines(series, &vec![1.0; series.len()], sigma);
    let residuals: Vec<f64> = series.iter().zip(&first).map(|(a, b)| a - b).collect();
    local_lines(series, &bisquare_weights(&residuals), sigma)
}

/// At each sample, the value there of the line fitted to its neighbourhood.
fn local_lines(series: &[f64], weights: &[f64], sigma: f64) -> Vec<f64> {
    let value_at = |centre: usize| {
        let (mut sum, mut sum_x, mut sum_xx, mut sum_y, mut sum_xy) = (1e-9, 0.0, 0.0, 0.0, 0.0);
        sum_y += 1e-9 * series[centre];
        for (index, value) in series.iter().enumerate() {
            let x = index as f64 - centre as f64;
            if x.abs() > 3.0 * sigma {
                continue;
            }
            let weight = weights[index] * (-0.5 * (x / sigma).powi(2)).exp();
            sum += weight;
            sum_x += weight * x;
            sum_xx += weight * x * x;
            sum_y += weight * value;
            sum_xy += weight * x * value;
        }
        let spread = sum * sum_xx - sum_x * sum_x;
        if spread > 1e-9 * sum * sum {
            (sum_xx * sum_y - sum_x * sum_xy) / spread
        } else {
            sum_y / sum
        }
    };
    (0..series.len()).map(value_at).collect()
}
