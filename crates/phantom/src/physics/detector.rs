//! What becomes of the rays at the detector: blades, scatter, blur, noise.

use rayon::prelude::*;

use super::{
    collimation::Collimation, exposure::Exposure, noise::RowNoise, processing::GreyFilm,
    raster::Raster, scatter::scattered,
};

/// This share of the quantum noise's variance is not blurred by the scintillator: light that arises
/// close to the photodiodes spreads less than the rest (Lubberts, Journal of the Optical Society of
/// America 1968;58:1475–1483; the size of the share from memory).
const SHARP_NOISE_SHARE: f64 = 0.1;

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
    /// The film that the detector and its processing make of it: bone bright. `magnification` is how
    /// much larger than life the object is drawn, by which the focal spot blurs it.
    pub(crate) fn develop(&self, exposure: &Exposure, magnification: f64) -> GreyFilm {
        let detected = detected(self.to_raster(), exposure, magnification);
        exposure.processing.applied(
            &detected,
            exposure.pixel_mm,
            exposure.darkest_depth(),
            exposure.collimation,
        )
    }

    fn to_raster(&self) -> Raster {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a share of the beam, far coarser in truth"
        )]
        let values = self.values.par_iter().map(|value| *value as f32).collect();
        Raster {
            width: self.width,
            height: self.height,
            values,
        }
    }
}

/// The signal that the detector gives for transmitted radiation, 1 in the open field.
fn detected(transmitted: Raster, exposure: &Exposure, magnification: f64) -> Raster {
    let pixel_mm = exposure.pixel_mm;
    let primary = behind_blades(&transmitted, exposure);
    let scatter = scattered(&transmitted, &primary, exposure.scatter_share, pixel_mm);
    let mut signal = primary.combined(&scatter, |primary, scatter| primary + scatter);
    drop((transmitted, primary, scatter));
    // A square focal spot has the variance of its width squared over twelve.
    let focal_blur_mm = exposure.focal_spot_mm * (magnification - 1.0) / 12.0_f64.sqrt();
    signal = signal.blurred(focal_blur_mm / pixel_mm);
    signal = smeared(&signal, exposure.motion_mm.map(|way| way / pixel_mm));
    add_noise_of_quanta(&mut signal, exposure);
    signal = signal.blurred(exposure.blur_mm / pixel_mm);
    add_noise_of_readout(&mut signal, exposure);
    signal
}

/// What the blades of the collimator let pass.
fn behind_blades(transmitted: &Raster, exposure: &Exposure) -> Raster {
    let (pixel_mm, focus_mm) = (exposure.pixel_mm, exposure.focal_spot_mm);
    #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
    let [across_mm, down_mm] =
        [transmitted.width, transmitted.height].map(|pixels| pixels as f64 * pixel_mm);
    let blades = exposure.collimation;
    let across = Collimation::shares(
        blades.across_mm(across_mm),
        transmitted.width,
        pixel_mm,
        focus_mm,
    );
    let down = Collimation::shares(
        blades.down_mm(down_mm),
        transmitted.height,
        pixel_mm,
        focus_mm,
    );
    let mut primary = transmitted.clone();
    primary
        .values
        .par_chunks_exact_mut(transmitted.width)
        .zip(down)
        .for_each(|(row, down)| {
            for (value, across) in row.iter_mut().zip(&across) {
                #[expect(clippy::cast_possible_truncation, reason = "a share of the beam")]
                let share = (across * down) as f32;
                *value *= share;
            }
        });
    primary
}

/// The mean over a way that the image moved while it was taken, in pixels along rows and columns.
fn smeared(signal: &Raster, way_px: [f64; 2]) -> Raster {
    let length = way_px[0].hypot(way_px[1]);
    if length < 0.1 {
        return signal.clone();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a way of some dozen pixels"
    )]
    let steps = (2.0 * length).ceil() as u32 + 1;
    let mut sum = signal.mapped(|_| 0.0);
    for step in 0..steps {
        let share = f64::from(step) / f64::from(steps - 1) - 0.5;
        let moved = signal.shifted(way_px.map(|way| way * share));
        #[expect(clippy::cast_possible_truncation, reason = "a share of one")]
        let weight = (1.0 / f64::from(steps)) as f32;
        sum = sum.combined(&moved, |sum, moved| sum + weight * moved);
    }
    sum
}

/// Adds the noise of the quanta that the scintillator then blurs: a pixel's variance is its count.
fn add_noise_of_quanta(signal: &mut Raster, exposure: &Exposure) {
    let blurred_share = 1.0 - SHARP_NOISE_SHARE;
    for_each_pixel(signal, exposure.seed, |value, [noise, _]| {
        let count = value * exposure.photons_per_pixel;
        let noisy = count + (blurred_share * count).sqrt() * noise;
        noisy / exposure.photons_per_pixel
    });
}

/// Adds the noise that is not blurred, of quanta and of the electronics, and caps what the detector
/// cannot count.
fn add_noise_of_readout(signal: &mut Raster, exposure: &Exposure) {
    let electronics = exposure.electronic_noise_photons.powi(2);
    for_each_pixel(signal, exposure.seed, |value, [_, noise]| {
        let count = value * exposure.photons_per_pixel;
        let noisy = count + (SHARP_NOISE_SHARE * count + electronics).sqrt() * noise;
        (noisy.max(0.5) / exposure.photons_per_pixel).min(exposure.saturation_share)
    });
}

/// Changes every pixel with two random numbers of its own, always the same two for the same seed.
fn for_each_pixel(signal: &mut Raster, seed: u64, change: impl Fn(f64, [f64; 2]) -> f64 + Sync) {
    let width = signal.width;
    signal
        .values
        .par_chunks_exact_mut(width)
        .enumerate()
        .for_each(|(row, values)| {
            let mut noise = RowNoise::new(seed, row);
            for value in values {
                let changed = change(f64::from(value.max(0.0)), noise.pair());
                #[expect(clippy::cast_possible_truncation, reason = "a share of the beam")]
                let changed = changed as f32;
                *value = changed;
            }
        });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An exposure without blades, scatter, blur or noise of the electronics.
    fn plain() -> Exposure {
        Exposure {
            pixel_mm: 0.2,
            blur_mm: 0.0,
            focal_spot_mm: 0.0,
            scatter_share: 0.0,
            electronic_noise_photons: 0.0,
            collimation: Collimation::OPEN,
            ..Exposure::default()
        }
    }

    fn flat(value: f32) -> Raster {
        Raster {
            width: 200,
            height: 120,
            values: vec![value; 24_000],
        }
    }

    fn mean_and_sd(values: &[f32]) -> (f64, f64) {
        let count: f64 = values.iter().map(|_| 1.0).sum();
        let mean = values.iter().map(|value| f64::from(*value)).sum::<f64>() / count;
        let variance = values
            .iter()
            .map(|value| (f64::from(*value) - mean).powi(2))
            .sum::<f64>()
            / count;
        (mean, variance.sqrt())
    }

    #[test]
    fn noise_is_as_strong_as_the_square_root_of_the_count() {
        let exposure = Exposure {
            photons_per_pixel: 10_000.0,
            ..plain()
        };
        let (mean, sd) = mean_and_sd(&detected(flat(0.25), &exposure, 1.05).values);
        assert!((mean - 0.25).abs() < 2e-4, "mean {mean}");
        let expected = 2500.0_f64.sqrt() / 10_000.0;
        assert!(
            (sd / expected - 1.0).abs() < 0.03,
            "sd {sd} instead of {expected}"
        );
    }

    #[test]
    fn four_times_the_dose_halves_the_noise() {
        let noise = |photons_per_pixel| {
            let exposure = Exposure {
                photons_per_pixel,
                blur_mm: 0.15,
                ..plain()
            };
            mean_and_sd(&detected(flat(0.3), &exposure, 1.05).values).1
        };
        let ratio = noise(2000.0) / noise(8000.0);
        assert!((ratio - 2.0).abs() < 0.1, "{ratio}");
    }

    #[test]
    fn the_detectors_blur_makes_neighbours_noise_alike() {
        let alike = |blur_mm| {
            let exposure = Exposure { blur_mm, ..plain() };
            let film = detected(flat(0.3), &exposure, 1.05);
            let (mean, sd) = mean_and_sd(&film.values);
            let pairs: f64 = film
                .values
                .chunks_exact(200)
                .flat_map(|row| row.windows(2))
                .map(|pair| (f64::from(pair[0]) - mean) * (f64::from(pair[1]) - mean))
                .sum();
            pairs / (199.0 * 120.0) / (sd * sd)
        };
        assert!(alike(0.0).abs() < 0.03, "white without: {}", alike(0.0));
        assert!((0.2..0.8).contains(&alike(0.15)), "with: {}", alike(0.15));
    }

    #[test]
    fn the_noise_of_the_electronics_is_there_without_light() {
        let exposure = Exposure {
            electronic_noise_photons: 20.0,
            photons_per_pixel: 1000.0,
            ..plain()
        };
        let (_, sd) = mean_and_sd(&detected(flat(0.1), &exposure, 1.05).values);
        let expected = (100.0_f64 + 400.0).sqrt() / 1000.0;
        assert!((sd / expected - 1.0).abs() < 0.03, "{sd} and {expected}");
    }

    #[test]
    fn the_detector_counts_no_further_than_it_can() {
        let exposure = Exposure {
            saturation_share: 0.4,
            ..plain()
        };
        let film = detected(flat(0.9), &exposure, 1.05);
        let off = film.values.iter().map(|value| (value - 0.4).abs());
        assert!(off.fold(0.0, f32::max) < 1e-6, "all at the limit");
    }

    #[test]
    fn the_same_seed_gives_the_same_noise_on_any_number_of_threads() {
        let film = |seed, threads| {
            let exposure = Exposure {
                seed,
                ..Exposure::default()
            };
            rayon::ThreadPoolBuilder::new()
                .num_threads(threads)
                .build()
                .expect("threads")
                .install(|| detected(flat(0.5), &exposure, 1.05))
        };
        assert!(film(3, 1) == film(3, 4), "the same seed");
        assert!(film(3, 1) != film(4, 1), "another seed");
    }

    /// Standard deviation, along a row, of what a single bright column becomes.
    fn spread_px(exposure: &Exposure, magnification: f64) -> f64 {
        let mut column = flat(0.0);
        for row in column.values.chunks_exact_mut(200) {
            row[100] = 1.0;
        }
        let film = detected(column, exposure, magnification);
        let row = &film.values[60 * 200..61 * 200];
        let (mut sum, mut variance) = (0.0, 0.0);
        for (x, value) in (-100_i32..100).zip(row) {
            // What is left of the noise lies below this.
            if *value > 1e-3 {
                sum += f64::from(*value);
                variance += f64::from(x).powi(2) * f64::from(*value);
            }
        }
        (variance / sum).sqrt()
    }

    #[test]
    fn focal_spot_detector_and_motion_each_blur_by_their_size() {
        let quiet = Exposure {
            photons_per_pixel: 1e9,
            ..plain()
        };
        for (name, exposure, expected_mm) in [
            ("nothing", quiet, 0.0),
            (
                "detector",
                Exposure {
                    blur_mm: 0.3,
                    ..quiet
                },
                0.3,
            ),
            (
                // 3 mm of focus, drawn 1.5 times larger than life: 1.5 mm wide.
                "focal spot",
                Exposure {
                    focal_spot_mm: 3.0,
                    ..quiet
                },
                1.5 / 12.0_f64.sqrt(),
            ),
            (
                "motion",
                Exposure {
                    motion_mm: [2.4, 0.0],
                    ..quiet
                },
                2.4 / 12.0_f64.sqrt(),
            ),
        ] {
            let spread_mm = spread_px(&exposure, 1.5) * exposure.pixel_mm;
            assert!(
                (spread_mm - expected_mm).abs() < 0.04,
                "{name}: {spread_mm} mm instead of {expected_mm}"
            );
        }
    }

    #[test]
    fn scatter_remains_behind_the_blades() {
        let exposure = Exposure {
            collimation: Collimation {
                left_mm: 10.0,
                ..Collimation::OPEN
            },
            ..Exposure::default()
        };
        let film = detected(flat(0.25), &exposure, 1.05);
        let at = |column: usize| film.values[60 * 200 + column];
        assert!(at(150) > 0.25, "{} in the beam", at(150));
        assert!((0.002..0.05).contains(&at(20)), "{} behind", at(20));
    }
}
