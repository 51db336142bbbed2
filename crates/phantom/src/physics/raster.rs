//! A plane of numbers on the film's pixels, blurred narrowly or widely.

use rayon::prelude::*;

/// Numbers on a grid of pixels, row by row from the top.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Raster {
    /// Width in pixels.
    pub(super) width: usize,
    /// Height in pixels.
    pub(super) height: usize,
    /// One number for each pixel.
    pub(super) values: Vec<f32>,
}

/// A blur wider than this many pixels is done on larger pixels.
const WIDEST_DIRECT_BLUR_PX: f64 = 6.0;

/// Larger pixels are this many times smaller than the blur's standard deviation.
const PIXELS_IN_WIDE_BLUR: f64 = 3.0;

impl Raster {
    /// A number for each pixel, computed from those of this raster.
    pub(super) fn mapped(&self, function: impl Fn(f32) -> f32 + Sync) -> Self {
        Self {
            values: self
                .values
                .par_iter()
                .map(|value| function(*value))
                .collect(),
            ..*self
        }
    }

    /// A number for each pixel, computed from those of this raster and of another of the same size.
    pub(super) fn combined(&self, other: &Self, function: impl Fn(f32, f32) -> f32 + Sync) -> Self {
        Self {
            values: self
                .values
                .par_iter()
                .zip(&other.values)
                .map(|(one, two)| function(*one, *two))
                .collect(),
            ..*self
        }
    }

    /// Blurred by a Gaussian of some standard deviation in pixels; beyond the film the outermost pixels
    /// go on.
    pub(super) fn blurred(&self, sigma_px: f64) -> Self {
        if sigma_px < 0.05 {
            return self.clone();
        }
        if sigma_px <= WIDEST_DIRECT_BLUR_PX {
            return self.convolved(&gaussian_kernel(sigma_px));
        }
        let factor = whole(sigma_px / PIXELS_IN_WIDE_BLUR);
        // The means over larger pixels and the straight lines between them blur a little already.
        #[expect(clippy::cast_precision_loss, reason = "some hundred pixels")]
        let scale = factor as f64;
        let already = (scale * scale - 1.0) / 12.0 + scale * scale / 6.0;
        let remaining = (sigma_px * sigma_px - already).sqrt() / scale;
        self.reduced(factor)
            .convolved(&gaussian_kernel(remaining))
            .enlarged(factor, self.width, self.height)
    }

    /// Blurred along both rows and columns by a kernel of an odd number of weights.
    pub(super) fn convolved(&self, kernel: &[f32]) -> Self {
        let reach = kernel.len() / 2;
        let width = self.width;
        let mut along_rows = vec![0.0; self.values.len()];
        along_rows
            .par_chunks_exact_mut(width)
            .zip(self.values.par_chunks_exact(width))
            .for_each_init(Vec::new, |padded, (target, row)| {
                padded.clear();
                padded.extend(std::iter::repeat_n(row[0], reach));
                padded.extend_from_slice(row);
                padded.extend(std::iter::repeat_n(row[width - 1], reach));
                for (tap, weight) in kernel.iter().enumerate() {
                    for (value, source) in target.iter_mut().zip(&padded[tap..]) {
                        *value += weight * source;
                    }
                }
            });
        let mut values = vec![0.0; self.values.len()];
        values
            .par_chunks_exact_mut(width)
            .enumerate()
            .for_each(|(row, target)| {
                for (tap, weight) in kernel.iter().enumerate() {
                    let from = (row + tap).saturating_sub(reach).min(self.height - 1);
                    let source = &along_rows[from * width..(from + 1) * width];
                    for (value, source) in target.iter_mut().zip(source) {
                        *value += weight * source;
                    }
                }
            });
        Self { values, ..*self }
    }

    /// Moved by some pixels along rows and columns, on straight lines between the middles of pixels.
    pub(super) fn shifted(&self, by_px: [f64; 2]) -> Self {
        let across = Places::moved(by_px[0], self.width);
        let down = Places::moved(by_px[1], self.height);
        self.resampled(&across, &down)
    }

    /// The means over squares of `factor` pixels, those at the edges over what is there.
    pub(super) fn reduced(&self, factor: usize) -> Self {
        let (width, height) = (self.width.div_ceil(factor), self.height.div_ceil(factor));
        let mut values = vec![0.0; width * height];
        values
            .par_chunks_exact_mut(width)
            .enumerate()
            .for_each(|(row, target)| {
                let rows = row * factor..((row + 1) * factor).min(self.height);
                for (column, value) in target.iter_mut().enumerate() {
                    let columns = column * factor..((column + 1) * factor).min(self.width);
                    #[expect(clippy::cast_precision_loss, reason = "some hundred pixels")]
                    let share = 1.0 / (rows.len() * columns.len()) as f32;
                    let sum: f32 = rows
                        .clone()
                        .map(|row| {
                            let start = row * self.width;
                            self.values[start + columns.start..start + columns.end]
                                .iter()
                                .sum::<f32>()
                        })
                        .sum();
                    *value = sum * share;
                }
            });
        Self {
            width,
            height,
            values,
        }
    }

    /// Pixels `factor` times smaller, on straight lines between the middles of the large ones.
    pub(super) fn enlarged(&self, factor: usize, width: usize, height: usize) -> Self {
        let across = Places::enlarged(factor, width, self.width);
        let down = Places::enlarged(factor, height, self.height);
        self.resampled(&across, &down)
    }

    fn resampled(&self, across: &Places, down: &Places) -> Self {
        let (width, height) = (across.0.len(), down.0.len());
        let mut values = vec![0.0; width * height];
        values.par_chunks_exact_mut(width).zip(&down.0).for_each(
            |(target, &(above, below, share))| {
                let above = &self.values[above * self.width..(above + 1) * self.width];
                let below = &self.values[below * self.width..(below + 1) * self.width];
                for (value, &(left, right, across)) in target.iter_mut().zip(&across.0) {
                    let upper = above[left] + across * (above[right] - above[left]);
                    let lower = below[left] + across * (below[right] - below[left]);
                    *value = upper + share * (lower - upper);
                }
            },
        );
        Self {
            width,
            height,
            values,
        }
    }
}

/// For each new pixel along a line the two old ones between whose middles it lies, and how far it lies
/// toward the second.
struct Places(Vec<(usize, usize, f32)>);

impl Places {
    #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
    fn enlarged(factor: usize, count: usize, old: usize) -> Self {
        let place = |index: usize| Self::between((index as f64 + 0.5) / factor as f64 - 0.5, old);
        Self((0..count).map(place).collect())
    }

    #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
    fn moved(by_px: f64, count: usize) -> Self {
        let place = |index: usize| Self::between(index as f64 - by_px, count);
        Self((0..count).map(place).collect())
    }

    fn between(at: f64, old: usize) -> (usize, usize, f32) {
        let at = at.max(0.0);
        let first = whole(at).min(old - 1);
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "between 0 and 1"
        )]
        let share = (at - first as f64).min(1.0) as f32;
        (first, (first + 1).min(old - 1), share)
    }
}

/// A number of pixels without its fraction.
fn whole(pixels: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a film has some thousand pixels along a side"
    )]
    let whole = pixels.max(0.0) as usize;
    whole
}

/// Weights of a Gaussian out to three standard deviations, with a sum of one.
fn gaussian_kernel(sigma_px: f64) -> Vec<f32> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a kernel of some dozen pixels"
    )]
    let reach = (3.0 * sigma_px).ceil() as i32;
    let raw: Vec<f64> = (-reach..=reach)
        .map(|step| (-0.5 * (f64::from(step) / sigma_px).powi(2)).exp())
        .collect();
    let sum: f64 = raw.iter().sum();
    #[expect(clippy::cast_possible_truncation, reason = "weights below one")]
    let kernel = raw.into_iter().map(|value| (value / sum) as f32).collect();
    kernel
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dot() -> Raster {
        let mut values = vec![0.0; 200 * 160];
        values[80 * 200 + 100] = 1.0;
        Raster {
            width: 200,
            height: 160,
            values,
        }
    }

    #[test]
    fn a_blur_keeps_the_sum_and_has_the_asked_for_spread() {
        for sigma in [0.8, 3.0, 6.0, 7.0, 12.0, 20.0] {
            let blurred = dot().blurred(sigma);
            let sum: f64 = blurred.values.iter().map(|value| f64::from(*value)).sum();
            let variance: f64 = blurred
                .values
                .chunks_exact(200)
                .map(|row| {
                    (-100_i32..100)
                        .zip(row)
                        .map(|(x, value)| f64::from(x).powi(2) * f64::from(*value))
                        .sum::<f64>()
                })
                .sum();
            assert!((sum - 1.0).abs() < 0.01, "sum {sum} at {sigma}");
            assert!(
                (variance.sqrt() / sigma - 1.0).abs() < 0.06,
                "spread {} instead of {sigma}",
                variance.sqrt()
            );
        }
    }

    #[test]
    fn an_even_raster_stays_even_whatever_the_blur() {
        let even = Raster {
            width: 61,
            height: 47,
            values: vec![0.25; 61 * 47],
        };
        for sigma in [0.5, 5.0, 40.0] {
            let off = even
                .blurred(sigma)
                .values
                .iter()
                .map(|value| (value - 0.25).abs())
                .fold(0.0, f32::max);
            assert!(off < 1e-5, "{off} at {sigma}");
        }
    }

    #[test]
    fn a_slope_reduced_and_enlarged_is_the_same_slope() {
        let slope = Raster {
            width: 60,
            height: 40,
            values: (0..40_u8)
                .flat_map(|row| {
                    (0..60_u8).map(move |column| f32::from(row) + 2.0 * f32::from(column))
                })
                .collect(),
        };
        let again = slope.reduced(5).enlarged(5, 60, 40);
        for row in 3..37 {
            for column in 3..57 {
                let index = row * 60 + column;
                let off = again.values[index] - slope.values[index];
                assert!(off.abs() < 1e-4, "{off} at {column}, {row}");
            }
        }
    }
}
