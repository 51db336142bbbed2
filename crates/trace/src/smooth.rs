//! Gaussian smoothing and derivatives of rows of samples.

use crate::{raster::count_from, strip::Grid};

/// A Gaussian cut at three standard deviations, normalised to a sum of one.
fn gaussian(sigma: f64) -> Vec<f64> {
    let reach = count_from(3.0 * sigma, 1, 200);
    let weight = |index: usize| {
        let distance = (index as f64 - reach as f64) / sigma.max(1e-6);
        (-0.5 * distance * distance).exp()
    };
    let mut kernel: Vec<f64> = (0..=2 * reach).map(weight).collect();
    let sum: f64 = kernel.iter().sum();
    for value in &mut kernel {
        *value /= sum;
    }
    kernel
}

/// The derivative of that Gaussian, scaled so that a ramp of slope one gives one.
fn gaussian_slope(sigma: f64) -> Vec<f64> {
    let mut kernel = gaussian(sigma);
    let reach = (kernel.len() / 2) as f64;
    let mut ramp = 0.0;
    for (index, value) in kernel.iter_mut().enumerate() {
        let offset = index as f64 - reach;
        *value *= offset;
        ramp += *value * offset;
    }
    for value in &mut kernel {
        *value /= ramp;
    }
    kernel
}

/// Correlates a row with a kernel of odd length; beyond its ends the row keeps its end values.
fn correlated(row: &[f64], kernel: &[f64]) -> Vec<f64> {
    let reach = kernel.len() / 2;
    let last = row.len() - 1;
    (0..row.len())
        .map(|centre| {
            if centre >= reach && centre + reach <= last {
                let window = &row[centre - reach..=centre + reach];
                window.iter().zip(kernel).map(|(a, b)| a * b).sum()
            } else {
                let clamped = |index: usize| row[(centre + index).saturating_sub(reach).min(last)];
                let product = |(index, weight): (usize, &f64)| weight * clamped(index);
                kernel.iter().enumerate().map(product).sum()
            }
        })
        .collect()
}

/// A row smoothed by a Gaussian of `sigma` samples.
pub(crate) fn smoothed(row: &[f64], sigma: f64) -> Vec<f64> {
    correlated(row, &gaussian(sigma))
}

/// Each row of a grid put through a kernel.
fn rows_correlated(grid: &Grid, kernel: &[f64]) -> Grid {
    let mut result = Grid::filled(grid.rows, grid.columns, 0.0);
    for row in 0..grid.rows {
        result
            .row_mut(row)
            .copy_from_slice(&correlated(grid.row(row), kernel));
    }
    result
}

/// The slope across each profile, smoothed across by `across_sigma` and along by `along_sigma`
/// samples.
pub(crate) fn slope_across(grid: &Grid, across_sigma: f64, along_sigma: f64) -> Grid {
    let sloped = rows_correlated(grid, &gaussian_slope(across_sigma)).transposed();
    rows_correlated(&sloped, &gaussian(along_sigma)).transposed()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ramp_has_its_own_slope_and_smoothing_keeps_it() {
        let ramp: Vec<f64> = (0..40).map(|index| 3.0 * f64::from(index)).collect();
        let slopes = correlated(&ramp, &gaussian_slope(2.0));
        let smooth = smoothed(&ramp, 2.0);
        assert!((slopes[20] - 3.0).abs() < 1e-9, "slope {}", slopes[20]);
        assert!((smooth[20] - 60.0).abs() < 1e-9, "value {}", smooth[20]);
    }
}
