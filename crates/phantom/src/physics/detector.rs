//! What becomes of the rays at the detector: scatter, blur, noise, and the grey of a clinic's film.

use rand_chacha::{
    ChaCha8Rng,
    rand_core::{RngCore, SeedableRng},
};

use crate::physics::exposure::Exposure;

/// Steps of grey that the detector stores; finer ones would only store noise.
const GREY_STEPS: f64 = 4095.0;

/// Exponent of the grey scale: below 1 it lifts the soft tissue and the toes.
const GREY_EXPONENT: f64 = 0.8;

/// The samples' lowest four bits are empty: a step of grey in 16 bits.
const STEP_IN_SAMPLE: u16 = 16;

/// Range of the scattered radiation's spread, as a standard deviation in mm.
const SCATTER_SPREAD_MM: f64 = 14.0;

/// An image of transmitted radiation, 1 where nothing was in the way.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Signal {
    /// Width in pixels.
    pub(crate) width: usize,
    /// Height in pixels.
    pub(crate) height: usize,
    /// Row by row from the top.
    pub(crate) values: Vec<f64>,
}

impl Signal {
    /// The film that the detector makes of it: bone bright, in 16 bits.
    pub(crate) fn develop(mut self, exposure: &Exposure) -> Vec<u16> {
        self.blur(exposure.blur_mm / exposure.pixel_mm);
        self.add_scatter(exposure);
        self.add_noise(exposure);
        self.to_grey()
    }

    /// Adds the scattered radiation: a wide blur of the primary, scaled so that the open field
    /// stays 1.
    fn add_scatter(&mut self, exposure: &Exposure) {
        if exposure.scatter_share <= 0.0 {
            return;
        }
        let mut scattered = self.clone();
        scattered.blur(SCATTER_SPREAD_MM / exposure.pixel_mm);
        for (value, scatter) in self.values.iter_mut().zip(&scattered.values) {
            *value = (*value + exposure.scatter_share * scatter) / (1.0 + exposure.scatter_share);
        }
    }

    /// Photon noise: each pixel's variance is its count, each row's numbers come from its own stream
    /// of the seeded generator.
    fn add_noise(&mut self, exposure: &Exposure) {
        for (row, values) in self.values.chunks_exact_mut(self.width).enumerate() {
            let mut generator = ChaCha8Rng::seed_from_u64(exposure.seed);
            generator.set_stream(row as u64);
            for value in values {
                let count = *value * exposure.photons_per_pixel;
                let noisy = count + count.sqrt() * gaussian(&mut generator);
                *value = noisy.max(0.5) / exposure.photons_per_pixel;
            }
        }
    }

    /// Logarithm of the signal, spread from the open field (black) to the densest bone (white).
    fn to_grey(&self) -> Vec<u16> {
        let logs: Vec<f64> = self.values.iter().map(|value| -value.ln()).collect();
        let mut sorted = logs.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        // The object of known size and the letter are denser than any bone and stay out of it.
        let white = sorted[sorted.len() * 985 / 1000].max(0.5) * 1.05;
        logs.iter()
            .map(|log| {
                let share = (log / white).clamp(0.0, 1.0);
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "between 0 and 4095"
                )]
                let step = (share.powf(GREY_EXPONENT) * GREY_STEPS).round() as u16;
                step * STEP_IN_SAMPLE
            })
            .collect()
    }

    /// Blurs by a Gaussian: exactly where it is narrow, by three running means where it is wide.
    fn blur(&mut self, sigma_px: f64) {
        if sigma_px < 0.05 {
            return;
        }
        let kernel = if sigma_px < 4.0 {
            gaussian_kernel(sigma_px)
        } else {
            running_mean_kernel(sigma_px)
        };
        let passes = if sigma_px < 4.0 { 1 } else { 3 };
        for _ in 0..passes {
            self.blur_rows(&kernel);
            self.transpose();
            self.blur_rows(&kernel);
            self.transpose();
        }
    }

    fn blur_rows(&mut self, kernel: &[f64]) {
        let reach = kernel.len() / 2;
        let is_flat = kernel.len() > 40;
        let mut padded = Vec::with_capacity(self.width + 2 * reach);
        for row in self.values.chunks_exact_mut(self.width) {
            padded.clear();
            padded.extend(std::iter::repeat_n(row[0], reach));
            padded.extend_from_slice(row);
            padded.extend(std::iter::repeat_n(row[row.len() - 1], reach));
            if is_flat {
                running_mean(&padded, kernel.len(), row);
            } else {
                for (value, window) in row.iter_mut().zip(padded.windows(kernel.len())) {
                    *value = window.iter().zip(kernel).map(|(a, b)| a * b).sum();
                }
            }
        }
    }

    fn transpose(&mut self) {
        let mut turned = Vec::with_capacity(self.values.len());
        for column in 0..self.width {
            turned.extend(self.values.iter().skip(column).step_by(self.width));
        }
        self.values = turned;
        (self.width, self.height) = (self.height, self.width);
    }
}

fn running_mean(padded: &[f64], length: usize, row: &mut [f64]) {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a window of some hundred pixels"
    )]
    let share = 1.0 / length as f64;
    let mut sum: f64 = padded[..length].iter().sum();
    for (index, value) in row.iter_mut().enumerate() {
        *value = sum * share;
        if let Some(next) = padded.get(index + length) {
            sum += next - padded[index];
        }
    }
}

fn gaussian_kernel(sigma_px: f64) -> Vec<f64> {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "sigma is at most 4 pixels here"
    )]
    let reach = (3.0 * sigma_px).ceil() as i32;
    let raw: Vec<f64> = (-reach..=reach)
        .map(|step| (-0.5 * (f64::from(step) / sigma_px).powi(2)).exp())
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.into_iter().map(|value| value / sum).collect()
}

/// A flat window whose threefold use spreads like the Gaussian: 3 (n² − 1) / 12 = σ².
fn running_mean_kernel(sigma_px: f64) -> Vec<f64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a few hundred pixels"
    )]
    let half = ((4.0 * sigma_px * sigma_px + 1.0).sqrt() / 2.0) as usize;
    let length = 2 * half.max(1) + 1;
    #[expect(clippy::cast_precision_loss, reason = "a few hundred pixels")]
    let share = 1.0 / length as f64;
    vec![share; length]
}

/// A number of the standard normal distribution (Box and Muller).
fn gaussian(generator: &mut ChaCha8Rng) -> f64 {
    let mut uniform = || {
        let bits = generator.next_u32();
        (f64::from(bits) + 0.5) / 4_294_967_296.0
    };
    let (first, second) = (uniform(), uniform());
    (-2.0 * first.ln()).sqrt() * (std::f64::consts::TAU * second).cos()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(value: f64) -> Signal {
        Signal {
            width: 200,
            height: 100,
            values: vec![value; 20_000],
        }
    }

    #[test]
    fn noise_is_as_strong_as_the_square_root_of_the_count() {
        let exposure = Exposure {
            photons_per_pixel: 10_000.0,
            ..Exposure::default()
        };
        let mut signal = flat(0.25);
        signal.add_noise(&exposure);
        let count = 20_000.0;
        let mean = signal.values.iter().sum::<f64>() / count;
        let variance = signal
            .values
            .iter()
            .map(|v| (v - mean).powi(2))
            .sum::<f64>()
            / count;
        assert!((mean - 0.25).abs() < 2e-4, "mean {mean}");
        let expected = (2500.0_f64).sqrt() / 10_000.0;
        assert!(
            (variance.sqrt() / expected - 1.0).abs() < 0.03,
            "sd {} instead of {expected}",
            variance.sqrt()
        );
    }

    #[test]
    fn the_same_seed_gives_the_same_noise_and_another_another() {
        let noisy = |seed| {
            let mut signal = flat(0.5);
            signal.add_noise(&Exposure {
                seed,
                ..Exposure::default()
            });
            signal.values
        };
        assert!(noisy(3) == noisy(3), "same seed");
        assert!(noisy(3) != noisy(4), "another seed");
    }

    #[test]
    fn a_blur_keeps_the_sum_and_has_the_asked_for_spread() {
        for sigma in [0.8, 3.0, 12.0] {
            let mut signal = flat(0.0);
            signal.values[50 * 200 + 100] = 1.0;
            signal.blur(sigma);
            let sum: f64 = signal.values.iter().sum();
            let variance: f64 = signal
                .values
                .chunks_exact(200)
                .map(|row| {
                    (-100_i32..100)
                        .zip(row)
                        .map(|(x, value)| f64::from(x).powi(2) * value)
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
}
