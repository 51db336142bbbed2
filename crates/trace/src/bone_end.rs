//! Where a long bone ends: the contour of its head or base across its own axis.

use crate::{
    edge::{crest_near, median},
    outline::Outline,
    path::{Stiffness, best_path},
    raster::{Raster, count_from},
    smooth,
    strip::{Grid, Ruler, straightened},
};

/// Towards which end of the outline's frame to look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Direction {
    /// Towards smaller `u`: the proximal end.
    Backward,
    /// Towards larger `u`: the distal end.
    Forward,
}

/// Where an end is expected, and how far off that may be, as distances from the frame's origin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Expectation {
    pub(crate) at: f64,
    pub(crate) spread: f64,
    pub(crate) nearest: f64,
    pub(crate) farthest: f64,
    /// The widest joint space to the next bone.
    pub(crate) gap: f64,
}

/// The contour of one end of a bone: `u` at each of several places across.
#[derive(Clone, Debug)]
pub(crate) struct EndContour {
    /// Places across, in the outline's `v`.
    pub(crate) across: Vec<f64>,
    /// Where the contour lies, in the outline's `u`.
    pub(crate) along: Vec<f64>,
    /// The bone's width near this end, in pixel widths.
    pub(crate) width: f64,
    /// Mean strength of the edge along the contour, 0 to 1.
    pub(crate) strength: f64,
    /// How much better the contour scores than the best one apart from it, per place across.
    pub(crate) lead: f64,
    /// How far from it that rival lies.
    pub(crate) rival_distance: f64,
}

impl EndContour {
    /// The contour's place at the middle third of the bone: its typical `u`.
    pub(crate) fn middle(&self) -> (f64, f64) {
        let count = self.along.len();
        let third = count / 3..count - count / 3;
        (
            median(&self.along[third.clone()]),
            median(&self.across[third]),
        )
    }
}

/// Looks for the end of a bone beyond its shaft: the line across it at which brightness falls
/// outward, chosen as one path across so that a sesamoid's edge or a trabecula does not catch it.
pub(crate) fn end_contour(
    raster: &Raster<'_>,
    outline: &Outline,
    waist: f64,
    direction: Direction,
    expected: Expectation,
) -> EndContour {
    let sign = match direction {
        Direction::Backward => -1.0,
        Direction::Forward => 1.0,
    };
    let step = waist / 36.0;
    let (middle, width) = flare(outline, sign * expected.nearest, sign * expected.at);
    let width = width.clamp(waist, 1.7 * waist);
    let half = SHARE_OF_FLARE * width;
    let across = Ruler::spanning(middle - half, middle + half, 2.0 * step, 6);
    let outward = Ruler::spanning(expected.nearest, expected.farthest, step, 16);
    let along = Ruler {
        start: sign * outward.start,
        step: sign * outward.step,
        count: outward.count,
    };
    let strip = straightened(raster, &outline.frame, along, across).transposed();
    let gap = count_from(expected.gap / step, 2, 60);
    let mut slopes = smooth::slope_across(&strip, 1.2, 1.0);
    forget_shutters(&mut slopes, &strip, raster.darkness(), gap / 2);
    let (falling, rising) = end_strengths(&slopes);
    let mut score = end_scores(&falling, &rising, outward, expected, gap);
    let (path, total) = best_path(&score, STIFFNESS);
    for (row, column) in path.iter().enumerate() {
        let near = column.saturating_sub(gap / 2)..(column + gap / 2).min(score.columns);
        score.row_mut(row)[near].fill(-1.0);
    }
    let (rival, rival_total) = best_path(&score, STIFFNESS);
    let place = |(row, column): (usize, &usize)| {
        let column = *column as f64;
        let exact = crest_near(falling.row(row), column, 2.0).unwrap_or(column);
        along.at_position(exact)
    };
    let mean_place = |path: &[usize]| {
        step * path.iter().map(|column| *column as f64).sum::<f64>() / path.len() as f64
    };
    let strength = |(row, column): (usize, &usize)| falling.at(row, *column);
    EndContour {
        across: (0..across.count).map(|index| across.at(index)).collect(),
        along: path.iter().enumerate().map(place).collect(),
        width,
        strength: path.iter().enumerate().map(strength).sum::<f64>() / path.len() as f64,
        lead: (total - rival_total) / path.len() as f64,
        rival_distance: (mean_place(&path) - mean_place(&rival)).abs(),
    }
}

const STIFFNESS: Stiffness = Stiffness {
    bend_cost: 0.05,
    most_move: 3,
};

/// How end-like each place is: a falling edge, more so with the next bone's beginning a joint space
/// farther out, less so far from where the end is expected.
fn end_scores(
    falling: &Grid,
    rising: &Grid,
    outward: Ruler,
    expected: Expectation,
    gap: usize,
) -> Grid {
    let mut score = falling.clone();
    for row in 0..score.rows {
        for (column, value) in score.row_mut(row).iter_mut().enumerate() {
            let unusual = (outward.at(column) - expected.at) / expected.spread;
            let beyond = &rising.row(row)[column..(column + gap).min(rising.columns)];
            let neighbour = beyond.iter().fold(0.0, |a: f64, b| a.max(*b));
            *value += *value * NEIGHBOUR_SHARE * neighbour - 0.15 * unusual * unusual;
        }
    }
    score
}

/// Takes away the edges beyond which the film is as dark as outside the foot: a shutter, or the skin,
/// but no bone's end.
fn forget_shutters(slopes: &mut Grid, strip: &Grid, darkness: f64, reach: usize) {
    for row in 0..slopes.rows {
        for column in 0..slopes.columns {
            let beyond = (column + reach).min(strip.columns - 1);
            if strip.at(row, beyond) < darkness {
                slopes.row_mut(row)[column] = 0.0;
            }
        }
    }
}

/// How much of the bone's width near its end the contour spans, to each side of the middle. The
/// corners beyond are rounded.
const SHARE_OF_FLARE: f64 = 0.4;

/// The middle and the width of the bone between two places along it, as their medians there.
fn flare(outline: &Outline, from: f64, to: f64) -> (f64, f64) {
    let (first, last) = (
        outline.along.nearest(from.min(to)),
        outline.along.nearest(from.max(to)),
    );
    let middles: Vec<f64> = (first..=last)
        .map(|index| f64::midpoint(outline.one[index], outline.two[index]))
        .collect();
    let widths: Vec<f64> = (first..=last).map(|index| outline.width(index)).collect();
    (median(&middles), median(&widths))
}

/// How much the next bone's beginning, a joint space farther out, adds to an end.
const NEIGHBOUR_SHARE: f64 = 0.6;

/// How strongly brightness falls, and rises, outward, from 0 to 1, by its slope along rows that run
/// outward.
fn end_strengths(slopes: &Grid) -> (Grid, Grid) {
    let steepest: Vec<f64> = (0..slopes.rows)
        .map(|row| slopes.row(row).iter().fold(0.0, |a: f64, b| a.max(-b)))
        .collect();
    let half = (0.5 * median(&steepest)).max(f64::MIN_POSITIVE);
    let strengths = |sign: f64| {
        let mut grid = slopes.clone();
        for value in &mut grid.values {
            let ratio = (sign * *value).max(0.0) / half;
            *value = ratio * ratio / (1.0 + ratio * ratio);
        }
        grid
    };
    (strengths(-1.0), strengths(1.0))
}
