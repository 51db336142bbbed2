//! A straightened piece of the film: profiles across a line, side by side.

use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::raster::{Raster, count_from};

/// A right-angled frame laid along a bone: `u` along it, `v` across it, both in pixel widths.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame {
    pub(crate) origin: PhysicalPoint,
    pub(crate) along: PhysicalVector,
    pub(crate) across: PhysicalVector,
}

impl Frame {
    /// The frame whose `u` axis runs from one point towards another; nothing when they coincide.
    pub(crate) fn between(from: PhysicalPoint, to: PhysicalPoint) -> Option<Self> {
        let along = (to - from).unit()?;
        Some(Self {
            origin: from,
            along,
            across: along.perpendicular(),
        })
    }

    pub(crate) fn point(&self, u: f64, v: f64) -> PhysicalPoint {
        self.origin + self.along * u + self.across * v
    }

    /// The `u` and `v` of a point.
    pub(crate) fn coordinates(&self, point: PhysicalPoint) -> (f64, f64) {
        let offset = point - self.origin;
        (offset.dot(self.along), offset.dot(self.across))
    }
}

/// Equally spaced places on one axis of a frame.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ruler {
    pub(crate) start: f64,
    pub(crate) step: f64,
    pub(crate) count: usize,
}

impl Ruler {
    /// At least `least` places from `start` to `end`, `step` apart.
    pub(crate) fn spanning(start: f64, end: f64, step: f64, least: usize) -> Self {
        Self {
            start,
            step,
            count: count_from((end - start) / step, least - 1, MOST_PLACES) + 1,
        }
    }

    pub(crate) fn at(&self, index: usize) -> f64 {
        self.start + self.step * index as f64
    }

    /// The value at a fractional index.
    pub(crate) fn at_position(&self, position: f64) -> f64 {
        self.start + self.step * position
    }

    pub(crate) fn position(&self, value: f64) -> f64 {
        (value - self.start) / self.step
    }

    /// The place nearest to a value, within the ruler.
    pub(crate) fn nearest(&self, value: f64) -> usize {
        count_from(self.position(value), 0, self.count - 1)
    }
}

/// More places than any bone on a film needs; keeps a hostile stroke from eating memory.
const MOST_PLACES: usize = 2000;

/// A table over the two axes of a frame: `table[u][v]`, profile after profile.
#[derive(Clone, Debug)]
pub(crate) struct Grid {
    pub(crate) rows: usize,
    pub(crate) columns: usize,
    pub(crate) values: Vec<f64>,
}

impl Grid {
    pub(crate) fn filled(rows: usize, columns: usize, value: f64) -> Self {
        Self {
            rows,
            columns,
            values: vec![value; rows * columns],
        }
    }

    pub(crate) fn row(&self, row: usize) -> &[f64] {
        &self.values[row * self.columns..(row + 1) * self.columns]
    }

    pub(crate) fn row_mut(&mut self, row: usize) -> &mut [f64] {
        &mut self.values[row * self.columns..(row + 1) * self.columns]
    }

    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        self.values[row * self.columns + column]
    }

    pub(crate) fn transposed(&self) -> Self {
        let mut turned = Self::filled(self.columns, self.rows, 0.0);
        for row in 0..self.rows {
            for column in 0..self.columns {
                turned.values[column * self.rows + row] = self.at(row, column);
            }
        }
        turned
    }
}

/// Reads the film on every crossing of the two rulers, averaged over each cell.
pub(crate) fn straightened(
    raster: &Raster<'_>,
    frame: &Frame,
    along: Ruler,
    across: Ruler,
) -> Grid {
    let pieces = |step: f64| count_from(step.ceil(), 1, 3);
    let (along_pieces, across_pieces) = (pieces(along.step), pieces(across.step));
    let share = 1.0 / (along_pieces * across_pieces) as f64;
    let offset = |piece: usize, pieces: usize| (piece as f64 + 0.5) / pieces as f64 - 0.5;
    let mut grid = Grid::filled(along.count, across.count, 0.0);
    for row in 0..along.count {
        let profile = grid.row_mut(row);
        for along_piece in 0..along_pieces {
            let u = along.at(row) + along.step * offset(along_piece, along_pieces);
            for (column, value) in profile.iter_mut().enumerate() {
                for across_piece in 0..across_pieces {
                    let v = across.at(column) + across.step * offset(across_piece, across_pieces);
                    *value += share * raster.value(frame.point(u, v));
                }
            }
        }
    }
    grid
}
