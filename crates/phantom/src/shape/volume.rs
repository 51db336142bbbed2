//! A shape as a grid of true distances, which is quick to look up however rich the shape is.

use nalgebra::Vector3;
use rayon::prelude::*;

use super::form::Bounds;

/// How many cells of margin lie around the shape.
const MARGIN_CELLS: f64 = 2.5;

/// Signed distances to a surface in mm at the points of a grid, negative inside.
#[derive(Clone, Debug)]
pub(crate) struct Volume {
    bounds: Bounds,
    step_mm: f64,
    counts: [usize; 3],
    distances: Vec<f32>,
}

impl Volume {
    /// The grid over a box, filled from a function that is exact at the surface and right in sign
    /// elsewhere. Away from the surface the true distance is found by fast sweeping (Zhao, Math
    /// Comput 2005;74:603–627).
    pub(crate) fn new(
        bounds: Bounds,
        step_mm: f64,
        distance: impl Fn(Vector3<f64>) -> f64 + Sync,
    ) -> Self {
        let bounds = bounds.grown(MARGIN_CELLS * step_mm);
        let counts: [usize; 3] = std::array::from_fn(|axis| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a bone is at most some hundred millimetres long"
            )]
            let cells = ((bounds.high[axis] - bounds.low[axis]) / step_mm).ceil() as usize;
            cells + 1
        });
        let mut volume = Self {
            bounds,
            step_mm,
            counts,
            distances: vec![0.0; counts.iter().product()],
        };
        let slice = counts[0] * counts[1];
        let low = bounds.low;
        volume
            .distances
            .par_chunks_exact_mut(slice)
            .enumerate()
            .for_each(|(k, values)| {
                for (index, value) in values.iter_mut().enumerate() {
                    let (i, j) = (index % counts[0], index / counts[0]);
                    let point = low + Vector3::from([i, j, k].map(to_mm(step_mm)));
                    #[expect(clippy::cast_possible_truncation, reason = "a few digits suffice")]
                    let distance = distance(point) as f32;
                    *value = distance;
                }
            });
        volume.make_distances_true();
        volume
    }

    /// A box outside of which the shape does not reach.
    pub(crate) const fn bounds(&self) -> &Bounds {
        &self.bounds
    }

    /// The distance to the surface in mm at a point, linear between the grid's points; outside the
    /// grid as at its nearest face.
    pub(crate) fn distance(&self, point: Vector3<f64>) -> f64 {
        let mut cell = [0_usize; 3];
        let mut share = [0.0; 3];
        for axis in 0..3 {
            #[expect(clippy::cast_precision_loss, reason = "a grid has some hundred points")]
            let last = (self.counts[axis] - 1) as f64;
            let place =
                ((point[axis] - self.bounds.low[axis]) / self.step_mm).clamp(0.0, last - 1e-9);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the grid"
            )]
            {
                cell[axis] = place as usize;
            }
            #[expect(clippy::cast_precision_loss, reason = "a grid has some hundred points")]
            {
                share[axis] = place - cell[axis] as f64;
            }
        }
        let (row, slice) = (self.counts[0], self.counts[0] * self.counts[1]);
        let first = cell[0] + cell[1] * row + cell[2] * slice;
        let along_row = |start: usize| {
            let (low, high) = (
                f64::from(self.distances[start]),
                f64::from(self.distances[start + 1]),
            );
            low + share[0] * (high - low)
        };
        let in_slice = |start: usize| {
            let (low, high) = (along_row(start), along_row(start + row));
            low + share[1] * (high - low)
        };
        let (low, high) = (in_slice(first), in_slice(first + slice));
        low + share[2] * (high - low)
    }

    /// Replaces values away from the surface by true distances, those beside it by their value over
    /// its slope.
    fn make_distances_true(&mut self) {
        let given = self.distances.clone();
        let [nx, ny, nz] = self.counts;
        let offsets = [1, nx, nx * ny];
        let size = [nx, ny, nz];
        #[expect(clippy::cast_possible_truncation, reason = "a step of some tenths")]
        let step = self.step_mm as f32;
        let far = step * 1e4;
        let mut is_known = vec![false; given.len()];
        for (index, known) in is_known.iter_mut().enumerate() {
            let place = [index % nx, index / nx % ny, index / (nx * ny)];
            let here = given[index];
            let mut slope_squared = 0.0;
            for axis in 0..3 {
                let before = (place[axis] > 0).then(|| given[index - offsets[axis]]);
                let after = (place[axis] + 1 < size[axis]).then(|| given[index + offsets[axis]]);
                *known |= [before, after]
                    .into_iter()
                    .flatten()
                    .any(|near| (near < 0.0) != (here < 0.0));
                let rise = match (before, after) {
                    (Some(before), Some(after)) => (after - before) / (2.0 * step),
                    (Some(before), None) => (here - before) / step,
                    (None, Some(after)) => (after - here) / step,
                    (None, None) => 0.0,
                };
                slope_squared += rise * rise;
            }
            self.distances[index] = if *known {
                here / slope_squared.sqrt().max(0.3)
            } else {
                far.copysign(here)
            };
        }
        for directions in 0..8_usize {
            self.sweep(directions, &is_known);
        }
    }

    /// One pass over the grid, each axis upward or downward by the bits of `directions`.
    fn sweep(&mut self, directions: usize, is_known: &[bool]) {
        let [nx, ny, nz] = self.counts;
        let ordered = |count: usize, bit: usize| {
            move |n: usize| {
                if directions >> bit & 1 == 0 {
                    n
                } else {
                    count - 1 - n
                }
            }
        };
        let (at_x, at_y, at_z) = (ordered(nx, 0), ordered(ny, 1), ordered(nz, 2));
        #[expect(clippy::cast_possible_truncation, reason = "a step of some tenths")]
        let step = self.step_mm as f32;
        for k in (0..nz).map(at_z) {
            for j in (0..ny).map(at_y) {
                for i in (0..nx).map(at_x) {
                    let index = i + nx * (j + ny * k);
                    if is_known[index] {
                        continue;
                    }
                    let here = self.distances[index];
                    let nearest = |place: usize, count: usize, offset: usize| {
                        let before = if place > 0 {
                            self.distances[index - offset].abs()
                        } else {
                            f32::INFINITY
                        };
                        let after = if place + 1 < count {
                            self.distances[index + offset].abs()
                        } else {
                            f32::INFINITY
                        };
                        before.min(after)
                    };
                    let found = upwind(
                        [
                            nearest(i, nx, 1),
                            nearest(j, ny, nx),
                            nearest(k, nz, nx * ny),
                        ],
                        step,
                    );
                    if found < here.abs() {
                        self.distances[index] = found.copysign(here);
                    }
                }
            }
        }
    }
}

fn to_mm(step_mm: f64) -> impl Fn(usize) -> f64 {
    move |count| {
        #[expect(clippy::cast_precision_loss, reason = "a grid has some hundred points")]
        let count = count as f64;
        count * step_mm
    }
}

/// The distance at a grid point from the least distances of its neighbours along the three axes: the
/// solution of Σ max(d − dᵢ, 0)² = h².
fn upwind(mut near: [f32; 3], step: f32) -> f32 {
    near.sort_unstable_by(f32::total_cmp);
    let [a, b, c] = near;
    let one = a + step;
    if one <= b {
        return one;
    }
    let two = 0.5 * (a + b + (2.0 * step * step - (a - b) * (a - b)).max(0.0).sqrt());
    if two <= c {
        return two;
    }
    let sum = a + b + c;
    let squares = a * a + b * b + c * c;
    (sum + (sum * sum - 3.0 * (squares - step * step)).max(0.0).sqrt()) / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ball whose given distance is wrong by a factor away from the surface.
    fn ball() -> Volume {
        let bounds = Bounds {
            low: Vector3::repeat(-10.0),
            high: Vector3::repeat(10.0),
        };
        Volume::new(bounds, 0.5, |point| point.norm_squared() / 10.0 - 10.0)
    }

    #[test]
    fn the_surface_of_a_ball_is_kept_to_a_few_hundredths() {
        let ball = ball();
        for step in 0..200 {
            let (polar, azimuth) = (f64::from(step) * 0.0157, f64::from(step) * 2.4);
            let direction = Vector3::new(
                polar.sin() * azimuth.cos(),
                polar.sin() * azimuth.sin(),
                polar.cos(),
            );
            let distance = ball.distance(direction * 10.0);
            assert!(distance.abs() < 0.03, "{direction}: {distance}");
        }
    }

    #[test]
    fn depths_within_a_ball_are_true_within_a_third_of_a_millimetre() {
        let ball = ball();
        for radius in [4.0, 6.0, 8.0, 9.0] {
            for direction in [Vector3::x(), Vector3::new(1.0, 1.0, 1.0).normalize()] {
                let distance = ball.distance(direction * radius);
                assert!(
                    (distance - (radius - 10.0)).abs() < 0.33,
                    "at {radius}: {distance}"
                );
            }
        }
    }
}
