//! A single point drawn to the nearest edge or corner.

use nalgebra::{Matrix2, Vector2};
use plumbray_anatomy::{FilmPoint, PhysicalVector};
use plumbray_film::GreyView;

use crate::{
    edge::median,
    patch::Patch,
    raster::Raster,
    round::{checked_place, frame_at},
    smooth,
};

/// What a point was drawn to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SnapKind {
    /// The steepest place of an edge.
    Edge,
    /// Where two edges meet.
    Corner,
}

/// Where a point was drawn to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Snap {
    /// The place, to a fraction of a pixel.
    pub at: FilmPoint,
    /// Standard deviation of the place across the edge (for a corner, in the worse direction), in
    /// pixels, from the steepness of the edge against the film's noise.
    pub sd_px: f64,
    /// What is there.
    pub kind: SnapKind,
}

/// The greatest reach of a snap, in pixel widths; a larger one is cut down to it.
pub const MOST_SNAP_REACH_PX: f64 = 45.0;

/// Smoothing of the film before its slopes are taken, in pixel widths.
const SIGMA_PX: f64 = 1.4;
/// A slope must be so many times the middling one to be an edge.
const EDGE_CONTRAST: f64 = 3.0;
/// A corner's weaker direction must have this share of the stronger one's slope energy.
const CORNER_SHARE: f64 = 0.3;
/// How far the steepest place of a step moves, in standard deviations, per noise over slope: the noise
/// of the smoothed second derivative over the step's third, `√3 / (4 √π σ)` for a Gaussian.
const NOISE_TO_PLACE: f64 = 0.244 / SIGMA_PX;
/// What the shape of a real edge adds to any snap, in pixels.
const FLOOR_PX: f64 = 0.1;

/// Draws a point to the strongest edge or corner within `reach_px` pixel widths, nearer ones
/// preferred. Nothing when there is no edge, or when the point or the reach cannot be used.
#[must_use]
pub fn snap_point(film: &GreyView<'_>, near: FilmPoint, reach_px: f64) -> Option<Snap> {
    let raster = Raster::new(film).ok()?;
    checked_place(film, &raster, near).ok()?;
    if !(reach_px.is_finite() && reach_px > 0.0) {
        return None;
    }
    let reach = reach_px.min(MOST_SNAP_REACH_PX);
    // On a pixel's centre nothing is interpolated away: noise and edges are read as they are.
    let centre = FilmPoint::new(near.x_px.floor() + 0.5, near.y_px.floor() + 0.5);
    let frame = frame_at(
        film.proportions.physical(centre),
        PhysicalVector::new(1.0, 0.0),
    );
    let patch = Patch::around(&raster, frame, reach + 4.0, 1.0, SIGMA_PX);
    let steepness: Vec<f64> = patch
        .slope_u
        .values
        .iter()
        .zip(&patch.slope_v.values)
        .map(|(u, v)| u.hypot(*v))
        .collect();
    let threshold = EDGE_CONTRAST * median(&steepness);
    let noise = noise_sd(&patch);
    let found = corner(&patch, &steepness, reach, threshold)
        .map(|place| (place, SnapKind::Corner))
        .or_else(|| {
            edge(&patch, &steepness, reach, threshold).map(|place| (place, SnapKind::Edge))
        })?;
    let ((u, v), kind) = found;
    let (slope_u, slope_v) = patch.slope_at(u, v);
    let slope = slope_u.hypot(slope_v).max(f64::MIN_POSITIVE);
    let from_noise = NOISE_TO_PLACE * noise / slope;
    let point = patch.point(u, v);
    raster.contains(point).then(|| Snap {
        at: film.proportions.film(point),
        sd_px: from_noise.hypot(FLOOR_PX).min(reach),
        kind,
    })
}

/// Standard deviation of the film's noise, from what a small smoothing takes away.
fn noise_sd(patch: &Patch) -> f64 {
    let mut differences = Vec::with_capacity(patch.values.values.len());
    for row in 0..patch.values.rows {
        let profile = patch.values.row(row);
        let smooth = smooth::smoothed(profile, 1.0);
        differences.extend(profile.iter().zip(&smooth).map(|(a, b)| (a - b).abs()));
    }
    1.4826 * median(&differences) / TAKEN_AWAY
}

/// What subtracting a Gaussian of one sample leaves of independent noise.
const TAKEN_AWAY: f64 = 0.69;

/// How much a place counts that lies so far from where the person pointed.
fn nearness(u: f64, v: f64, reach: f64) -> f64 {
    let share = u.hypot(v) / reach;
    if share > 1.0 {
        0.0
    } else {
        1.0 - 0.75 * share * share
    }
}

/// The best edge place within reach: steepest along its own slope.
fn edge(patch: &Patch, steepness: &[f64], reach: f64, threshold: f64) -> Option<(f64, f64)> {
    let count = patch.ruler.count;
    let mut best: Option<(f64, (f64, f64))> = None;
    for (cell, steep) in steepness.iter().enumerate() {
        let (u, v) = (patch.ruler.at(cell / count), patch.ruler.at(cell % count));
        let weight = steep * nearness(u, v, reach);
        if *steep <= threshold || best.is_some_and(|(greatest, _)| weight <= greatest) {
            continue;
        }
        if let Some(place) = steepest_along_slope(patch, u, v) {
            best = Some((weight, place));
        }
    }
    best.map(|(_, place)| place)
}

/// Where the slope is steepest on a short line along the slope itself, to a fraction of a sample;
/// nothing when that is not at this sample.
fn steepest_along_slope(patch: &Patch, u: f64, v: f64) -> Option<(f64, f64)> {
    let (slope_u, slope_v) = patch.slope_at(u, v);
    let length = slope_u.hypot(slope_v);
    let direction = (slope_u / length, slope_v / length);
    let slope = |offset: f64| {
        let (along_u, along_v) = patch.slope_at(u + offset * direction.0, v + offset * direction.1);
        along_u * direction.0 + along_v * direction.1
    };
    let (before, here, after) = (slope(-1.0), length, slope(1.0));
    if before > here || after > here {
        return None;
    }
    let curvature = before - 2.0 * here + after;
    let shift = if curvature < 0.0 {
        (0.5 * (before - after) / curvature).clamp(-1.0, 1.0)
    } else {
        0.0
    };
    Some((u + shift * direction.0, v + shift * direction.1))
}

/// The best corner within reach, by the point to which all slopes around it are square (Förstner &
/// Gülch, ISPRS Intercommission Workshop, Interlaken 1987:281–305).
fn corner(patch: &Patch, steepness: &[f64], reach: f64, threshold: f64) -> Option<(f64, f64)> {
    let count = patch.ruler.count;
    let strongest = steepness.iter().copied().fold(0.0, f64::max);
    let mut best: Option<(f64, (f64, f64))> = None;
    for row in (WINDOW..count.saturating_sub(WINDOW)).step_by(2) {
        for column in (WINDOW..count - WINDOW).step_by(2) {
            let (u, v) = (patch.ruler.at(row), patch.ruler.at(column));
            // Corners draw from nearby only: half of an edge's reach.
            let near = nearness(u, v, 0.5 * reach);
            let is_steep = steepness[row * count + column] > threshold.max(0.25 * strongest);
            if near <= 0.0 || !is_steep {
                continue;
            }
            let Some((place, energy)) = crossing_of_slopes(patch, row, column) else {
                continue;
            };
            let weight = energy * near;
            if best.is_none_or(|(greatest, _)| weight > greatest) {
                best = Some((weight, place));
            }
        }
    }
    best.map(|(_, place)| place)
}

/// Samples to each side of a corner's window.
const WINDOW: usize = 4;

/// The point nearest to all edge lines in a window, and the energy of its weaker direction; nothing
/// when the window holds one straight edge only.
fn crossing_of_slopes(patch: &Patch, row: usize, column: usize) -> Option<((f64, f64), f64)> {
    let (mut energy, mut moment) = (Matrix2::zeros(), Vector2::zeros());
    for near_row in row - WINDOW..=row + WINDOW {
        for near_column in column - WINDOW..=column + WINDOW {
            let slope = Vector2::new(
                patch.slope_u.at(near_row, near_column),
                patch.slope_v.at(near_row, near_column),
            );
            let place = Vector2::new(patch.ruler.at(near_row), patch.ruler.at(near_column));
            let outer = slope * slope.transpose();
            energy += outer;
            moment += outer * place;
        }
    }
    let values = energy.symmetric_eigenvalues();
    let (weak, strong) = (values.min(), values.max());
    if weak < CORNER_SHARE * strong {
        return None;
    }
    let place = energy.try_inverse()? * moment;
    let reach = WINDOW as f64 * patch.ruler.step;
    let is_inside = (place[0] - patch.ruler.at(row)).abs() <= reach
        && (place[1] - patch.ruler.at(column)).abs() <= reach;
    (is_inside && patch.contains(place[0], place[1])).then_some(((place[0], place[1]), weak))
}
