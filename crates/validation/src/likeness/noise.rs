//! Noise in the soft tissue between the first two metatarsals.

use plumbray_anatomy::FilmPoint;

use super::Picture;
use crate::statistics::{mean, slope, standard_deviation};

/// Side of a patch of soft tissue, in mm at the detector.
const PATCH_MM: f64 = 3.6;

/// Along the metatarsals, shares of their length at which a patch is looked at.
const SHARES: [f64; 4] = [0.5, 0.56, 0.62, 0.68];

/// Frequencies at which the power is given, in cycles in a millimetre.
const STEPS: usize = 9;

/// The frequencies of [`Appearance::noise_power`](super::Appearance::noise_power), in cycles in a
/// millimetre.
#[must_use]
pub fn frequencies() -> Vec<f64> {
    (1..=STEPS).map(|step| step as f64 / PATCH_MM).collect()
}

/// The noise of a film's soft tissue.
pub(super) struct Noise {
    /// Its standard deviation over the contrast of the cortex.
    pub(super) sd: f64,
    /// Its power at each frequency over its mean from half to two cycles in a millimetre.
    pub(super) power: Vec<f64>,
    /// Slope of log power over log frequency.
    pub(super) slope: f64,
}

/// Nothing where no whole patch lies on the film.
pub(super) fn soft_tissue_noise(picture: &Picture, contrast: f64) -> Option<Noise> {
    let patches: Vec<Patch> = SHARES
        .into_iter()
        .map(|share| {
            let [one, other] = [picture.first_metatarsal, picture.second_metatarsal]
                .map(|[base, tip]| base.toward(tip, share));
            Patch::around(picture, one.toward(other, 0.55))
        })
        .collect::<Option<_>>()?;
    let sds: Vec<f64> = patches.iter().filter_map(Patch::sd).collect();
    let power: Vec<f64> = (1..=STEPS)
        .filter_map(|step| {
            mean(
                &patches
                    .iter()
                    .filter_map(|patch| patch.power(step))
                    .collect::<Vec<_>>(),
            )
        })
        .collect();
    let middling: Vec<(f64, f64)> = frequencies()
        .into_iter()
        .zip(power.iter().copied())
        .filter(|(frequency, power)| (0.5..=2.0).contains(frequency) && *power > 0.0)
        .collect();
    let logs: Vec<(f64, f64)> = middling
        .iter()
        .map(|(frequency, power)| (frequency.ln(), power.ln()))
        .collect();
    let usual = mean(&middling.iter().map(|(_, power)| *power).collect::<Vec<_>>())?;
    Some(Noise {
        sd: mean(&sds)? / contrast,
        slope: slope(&logs)?,
        power: power.iter().map(|power| power / usual).collect(),
    })
}

/// A square of the film without its mean and its slope.
struct Patch {
    side: usize,
    values: Vec<f64>,
}

impl Patch {
    fn around(picture: &Picture, at: FilmPoint) -> Option<Self> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "some tens of pixels"
        )]
        let side = (PATCH_MM / picture.pixel_mm).round().clamp(4.0, 512.0) as usize;
        let half = 0.5 * side as f64;
        let first = FilmPoint::new(
            (at.x_px - half).floor() + 0.5,
            (at.y_px - half).floor() + 0.5,
        );
        let values = (0..side * side)
            .map(|index| {
                picture.grey_at(FilmPoint::new(
                    first.x_px + (index % side) as f64,
                    first.y_px + (index / side) as f64,
                ))
            })
            .collect::<Option<Vec<f64>>>()?;
        let mut patch = Self { side, values };
        patch.flatten();
        Some(patch)
    }

    /// Subtracts the plane, and the bend along rows and columns, of least squares: columns and rows
    /// are even, so that each part can be subtracted by itself.
    fn flatten(&mut self) {
        let side = self.side;
        let place = |index: usize| 2.0 * index as f64 / (side - 1) as f64 - 1.0;
        let bend = mean(
            &(0..side)
                .map(|index| place(index).powi(2))
                .collect::<Vec<_>>(),
        )
        .unwrap_or(0.0);
        let shapes: [&dyn Fn(f64, f64) -> f64; 6] = [
            &|_, _| 1.0,
            &|x, _| x,
            &|_, y| y,
            &|x, y| x * y,
            &|x, _| x * x - bend,
            &|_, y| y * y - bend,
        ];
        for shape in shapes {
            let (mut product, mut square) = (0.0, 0.0);
            for (index, value) in self.values.iter().enumerate() {
                let weight = shape(place(index % side), place(index / side));
                product += weight * value;
                square += weight * weight;
            }
            let amount = product / square;
            for (index, value) in self.values.iter_mut().enumerate() {
                *value -= amount * shape(place(index % side), place(index / side));
            }
        }
    }

    fn sd(&self) -> Option<f64> {
        standard_deviation(&self.values)
    }

    /// Mean power of the waves with `step` periods over the patch along rows and along columns, with a
    /// Hann window; nothing beyond half the sampling frequency.
    fn power(&self, step: usize) -> Option<f64> {
        if 2 * step > self.side {
            return None;
        }
        let side = self.side;
        let turn = |index: usize| std::f64::consts::TAU * index as f64 / side as f64;
        let window: Vec<f64> = (0..side)
            .map(|index| 0.5 - 0.5 * turn(index).cos())
            .collect();
        let wave: Vec<(f64, f64)> = (0..side)
            .map(|index| (turn(index * step).cos(), turn(index * step).sin()))
            .collect();
        let lines = |along: usize, beside: usize| -> f64 {
            (0..side)
                .map(|line| {
                    let (mut real, mut imaginary) = (0.0, 0.0);
                    for index in 0..side {
                        let value = self.values[index * along + line * beside] * window[index];
                        real += value * wave[index].0;
                        imaginary += value * wave[index].1;
                    }
                    real * real + imaginary * imaginary
                })
                .sum()
        };
        Some(0.5 * (lines(1, side) + lines(side, 1)) / side as f64)
    }
}
