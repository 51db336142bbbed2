//! A contour followed around a centre.

use std::f64::consts::TAU;

use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::{
    edge::{crest_near, median},
    path::{Stiffness, best_path},
    raster::{Raster, count_from},
    smooth,
    strip::{Frame, Grid, Ruler, straightened},
};

/// Rays from a centre, over a whole turn or part of one.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rays {
    pub(crate) centre: PhysicalPoint,
    /// Direction of the first ray, in radians clockwise on the screen from the x axis.
    pub(crate) first: f64,
    /// Angle from the first ray to the last; a whole turn closes the contour.
    pub(crate) turn: f64,
    pub(crate) count: usize,
}

impl Rays {
    fn is_closed(&self) -> bool {
        self.turn >= TAU
    }

    fn direction(&self, ray: usize) -> PhysicalVector {
        let gaps = if self.is_closed() {
            self.count
        } else {
            self.count - 1
        };
        let angle = self.first + self.turn * ray as f64 / gaps as f64;
        PhysicalVector::new(angle.cos(), angle.sin())
    }
}

/// Which way brightness changes on leaving what is outlined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outward {
    /// Brighter inside: bone, or metal.
    Falls,
    /// Darker inside.
    Rises,
}

impl Outward {
    const fn opposite(self) -> Self {
        match self {
            Self::Falls => Self::Rises,
            Self::Rises => Self::Falls,
        }
    }
}

/// A contour on rays from a centre.
#[derive(Clone, Debug)]
pub(crate) struct PolarContour {
    pub(crate) points: Vec<PhysicalPoint>,
    /// Strength of the edge at each point, 0 to 1.
    pub(crate) strengths: Vec<f64>,
}

/// Follows the edge nearest to an expected distance on each ray, as one path around.
///
/// `offsets` says how far inside and outside of `expected` to look, and how finely. Where a neighbour begins within `gap` beyond
/// the edge, as across a joint space, an edge with such a neighbour is preferred.
pub(crate) fn contour(
    raster: &Raster<'_>,
    rays: Rays,
    expected: impl Fn(PhysicalVector) -> f64,
    offsets: Ruler,
    outward: Outward,
    gap: Option<f64>,
) -> PolarContour {
    let expected: Vec<f64> = (0..rays.count)
        .map(|ray| expected(rays.direction(ray)))
        .collect();
    let mut grid = Grid::filled(rays.count, offsets.count, 0.0);
    for (ray, distance) in expected.iter().enumerate() {
        let along = rays.direction(ray);
        let frame = Frame {
            origin: rays.centre,
            along: along.perpendicular(),
            across: along,
        };
        let on_ray = Ruler {
            start: 0.0,
            step: 1.0,
            count: 1,
        };
        let places = Ruler {
            start: distance + offsets.start,
            ..offsets
        };
        let profile = straightened(raster, &frame, on_ray, places);
        grid.row_mut(ray).copy_from_slice(profile.row(0));
    }
    let slopes = smooth::slope_across(&grid, 1.5, 0.7);
    let strength = edge_strength(&slopes, outward);
    let mut score = favouring_middle(&strength, offsets);
    if let Some(gap) = gap {
        let beyond = edge_strength(&slopes, outward.opposite());
        favour_neighbour(&mut score, &strength, &beyond, gap / offsets.step);
    }
    let path = if rays.is_closed() {
        closed_path(&score)
    } else {
        best_path(&score, STIFFNESS).0
    };
    let place = |(ray, column): (usize, &usize)| {
        let column = *column as f64;
        let exact = crest_near(strength.row(ray), column, 2.5).unwrap_or(column);
        rays.centre + rays.direction(ray) * (expected[ray] + offsets.at_position(exact))
    };
    let found = |(ray, column): (usize, &usize)| strength.at(ray, *column);
    PolarContour {
        points: path.iter().enumerate().map(place).collect(),
        strengths: path.iter().enumerate().map(found).collect(),
    }
}

const STIFFNESS: Stiffness = Stiffness {
    bend_cost: 0.05,
    most_move: 2,
};

/// The best path around: over two turns, of which the middle one closes.
fn closed_path(score: &Grid) -> Vec<usize> {
    let mut twice = score.clone();
    twice.values.extend_from_slice(&score.values);
    twice.rows *= 2;
    let (path, _) = best_path(&twice, STIFFNESS);
    let rows = score.rows;
    let half = rows / 2;
    (0..rows)
        .map(|row| path[if row < half { row + rows } else { row }])
        .collect()
}

/// The strengths less a little for being far from the expected distance.
fn favouring_middle(strength: &Grid, offsets: Ruler) -> Grid {
    let mut favoured = strength.clone();
    let reach = offsets.start.abs().max(f64::MIN_POSITIVE);
    for row in 0..favoured.rows {
        for (column, value) in favoured.row_mut(row).iter_mut().enumerate() {
            let share = offsets.at(column) / reach;
            *value -= 0.2 * share * share;
        }
    }
    favoured
}

/// Adds to an edge what begins a gap farther out: a joint space, and the next bone.
fn favour_neighbour(score: &mut Grid, strength: &Grid, beyond: &Grid, gap: f64) {
    let gap = count_from(gap, 2, score.columns);
    for row in 0..score.rows {
        for column in 0..score.columns {
            let outside = &beyond.row(row)[column..(column + gap).min(beyond.columns)];
            let neighbour = outside.iter().fold(0.0, |a: f64, b| a.max(*b));
            score.row_mut(row)[column] += NEIGHBOUR_SHARE * neighbour * strength.at(row, column);
        }
    }
}

/// How much the next bone's beginning adds to an edge: it tells a head's contour from the inner side
/// of the neighbour's subchondral bone, which falls outward too.
const NEIGHBOUR_SHARE: f64 = 0.6;

/// How strongly brightness changes outward in the expected sense, from 0 to 1.
fn edge_strength(slopes: &Grid, outward: Outward) -> Grid {
    let sign = match outward {
        Outward::Falls => -1.0,
        Outward::Rises => 1.0,
    };
    let steepest: Vec<f64> = (0..slopes.rows)
        .map(|row| {
            slopes
                .row(row)
                .iter()
                .fold(0.0, |a: f64, b| a.max(sign * b))
        })
        .collect();
    let half = (0.4 * median(&steepest)).max(f64::MIN_POSITIVE);
    let mut strengths = slopes.clone();
    for value in &mut strengths.values {
        let ratio = (sign * *value).max(0.0) / half;
        *value = ratio * ratio / (1.0 + ratio * ratio);
    }
    strengths
}
