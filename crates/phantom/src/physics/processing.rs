//! From the detector's signal to the grey of a clinic's film.

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::{collimation::Collimation, raster::Raster};

/// How the detector's signal becomes grey.
///
/// The signal's negative logarithm, its depth, grows with the matter in the way. It is split into a base,
/// smooth but for its strong edges, and the detail upon it. A curve turns the base into grey, steep
/// where little is in the way and flat where much is, so that skin and toes stay visible beside a thick
/// hindfoot that is not burnt out; the detail keeps more of its contrast than the curve would leave it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Processing {
    /// Grey of the open field, from 0 (black) to 1 (white).
    pub background_grey: f64,
    /// Grey of dense bone: of the depth that three in a hundred pixels of the foot exceed.
    pub bone_grey: f64,
    /// How much the curve bends: 0 is a straight line from the open field to dense bone, 2 gives the
    /// soft tissue most of the greys.
    pub curvature: f64,
    /// How much of the detail's contrast is given back where the curve is flat, from 0 (as the curve
    /// has it) to 1 (equal contrast everywhere).
    pub detail_equalisation: f64,
    /// Standard deviation of the smoothing that makes the base, in mm at the detector.
    pub base_spread_mm: f64,
    /// How much of the finest detail is added once more at edges: 0 none.
    pub edge_enhancement: f64,
    /// What is finer than this counts as finest detail: a standard deviation in mm at the detector.
    pub edge_spread_mm: f64,
    /// Whether the film is painted black where the collimator's blades were.
    pub shutter: bool,
    /// Bits of a stored sample, 8 to 16; without a number, as many as the noise deserves.
    pub bits_stored: Option<u16>,
}

impl Default for Processing {
    fn default() -> Self {
        Self {
            background_grey: 0.02,
            bone_grey: 0.82,
            curvature: 1.5,
            detail_equalisation: 0.6,
            base_spread_mm: 4.0,
            edge_enhancement: 0.5,
            edge_spread_mm: 0.4,
            shutter: true,
            bits_stored: None,
        }
    }
}

/// A film of grey samples.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct GreyFilm {
    /// Row by row from the top, bone bright, in the upper bits of sixteen.
    pub(crate) samples: Vec<u16>,
    /// How many of the upper bits are used.
    pub(crate) bits_stored: u16,
}

/// Depths that differ by less than this count as detail, by much more as an edge.
const EDGE_DEPTH: f32 = 0.25;

/// The base is made on pixels about this large.
const BASE_PIXEL_MM: f64 = 0.7;

/// More matter than air has at least this depth.
const OBJECT_DEPTH: f32 = 0.25;

/// Nothing but metal has a greater depth.
const GREATEST_DEPTH_OF_BONE: f32 = 5.0;

/// The share of the foot's pixels that exceeds the depth of dense bone.
const DENSE_SHARE: f64 = 0.03;

/// Depth at which detail has its usual contrast, as a share of the depth of dense bone.
const USUAL_DEPTH: f32 = 0.5;

/// The shutter covers this much more than the blades, in mm at the detector.
const SHUTTER_MARGIN_MM: f64 = 1.0;

/// Steps of grey are at most this share of the noise's standard deviation.
const STEP_IN_NOISE: f64 = 0.35;

impl Processing {
    /// The grey film of a detector's signal. `darkest_depth` is the depth of the open field: 0, or
    /// more where the detector was saturated.
    pub(super) fn applied(
        &self,
        signal: &Raster,
        pixel_mm: f64,
        darkest_depth: f64,
        collimation: Collimation,
    ) -> GreyFilm {
        #[expect(clippy::cast_possible_truncation, reason = "a depth below 20")]
        let darkest = darkest_depth as f32;
        let depth = signal.mapped(|value| -value.max(1e-9).ln() - darkest);
        let field = Field::within(collimation, &depth, pixel_mm);
        let curve = Curve::new(self, dense_depth(&depth, &field));
        let mut grey = self.grey(&depth, &curve, pixel_mm);
        if self.shutter {
            field.blacken_outside(&mut grey);
        }
        let bits_stored = self
            .bits_stored
            .unwrap_or_else(|| bits_for(noise_of(&grey, &field)));
        GreyFilm {
            samples: quantised(&grey, bits_stored),
            bits_stored,
        }
    }

    fn grey(&self, depth: &Raster, curve: &Curve, pixel_mm: f64) -> Raster {
        let base = base_of(depth, self.base_spread_mm, pixel_mm);
        let coarse = depth.blurred(self.edge_spread_mm / pixel_mm);
        let usual_slope = curve.slope(USUAL_DEPTH * curve.dense);
        #[expect(clippy::cast_possible_truncation, reason = "settings of order one")]
        let [equalised, enhanced] =
            [self.detail_equalisation, self.edge_enhancement].map(|setting| setting as f32);
        let mut grey = depth.clone();
        grey.values
            .par_iter_mut()
            .zip(&base.values)
            .zip(&coarse.values)
            .for_each(|((value, &base), &coarse)| {
                let (detail, finest) = (*value - base, *value - coarse);
                let own = curve.slope(base);
                let slope = own + equalised * (usual_slope - own);
                *value = curve.grey(base) + slope * (detail + enhanced * finest);
            });
        grey
    }
}

/// The curve from depth to grey: `a − b · exp(−k x)` with the share x of the depth of dense bone.
struct Curve {
    /// Depth of dense bone above the open field.
    dense: f32,
    background: f32,
    /// Grey of dense bone above the background.
    rise: f32,
    bend: f32,
}

impl Curve {
    #[expect(clippy::cast_possible_truncation, reason = "settings of order one")]
    fn new(processing: &Processing, dense: f32) -> Self {
        Self {
            dense,
            background: processing.background_grey as f32,
            rise: (processing.bone_grey - processing.background_grey) as f32,
            // A straight line is the limit of no bend at all.
            bend: processing.curvature.max(1e-3) as f32,
        }
    }

    fn grey(&self, depth: f32) -> f32 {
        let share = (depth / self.dense).max(-0.5);
        self.background + self.rise * (-self.bend * share).exp_m1() / (-self.bend).exp_m1()
    }

    /// How much grey a unit of depth adds.
    fn slope(&self, depth: f32) -> f32 {
        let share = (depth / self.dense).max(0.0);
        self.rise * self.bend / self.dense * (-self.bend * share).exp() / -(-self.bend).exp_m1()
    }
}

/// The depth without its detail but with its strong edges: the guided filter of He, Sun and Tang (IEEE
/// Transactions on Pattern Analysis and Machine Intelligence 2013;35:1397–1409) with the picture as its
/// own guide and Gaussian windows, its coefficients found on larger pixels.
fn base_of(depth: &Raster, spread_mm: f64, pixel_mm: f64) -> Raster {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small count"
    )]
    let factor = ((BASE_PIXEL_MM / pixel_mm).round() as usize).max(1);
    #[expect(clippy::cast_precision_loss, reason = "a small count")]
    let sigma_px = spread_mm / (pixel_mm * factor as f64);
    let small = depth.reduced(factor);
    let mean = small.blurred(sigma_px);
    let mean_of_squares = small.mapped(|value| value * value).blurred(sigma_px);
    let followed = mean.combined(&mean_of_squares, |mean, squares| {
        let variance = (squares - mean * mean).max(0.0);
        variance / (variance + EDGE_DEPTH * EDGE_DEPTH)
    });
    let offset = mean.combined(&followed, |mean, followed| mean * (1.0 - followed));
    let [followed, offset] = [followed, offset].map(|raster| {
        raster
            .blurred(sigma_px)
            .enlarged(factor, depth.width, depth.height)
    });
    depth
        .combined(&followed, |depth, followed| depth * followed)
        .combined(&offset, |part, offset| part + offset)
}

/// The part of a film that the blades leave open.
struct Field {
    columns: std::ops::Range<usize>,
    rows: std::ops::Range<usize>,
}

impl Field {
    fn within(collimation: Collimation, film: &Raster, pixel_mm: f64) -> Self {
        let range = |edges_mm: [f64; 2], count: usize| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "some thousand pixels, never below 0"
            )]
            let [first, last] = [
                (edges_mm[0] + SHUTTER_MARGIN_MM) / pixel_mm,
                (edges_mm[1] - SHUTTER_MARGIN_MM) / pixel_mm,
            ]
            .map(|edge| (edge.max(0.0).round() as usize).min(count));
            first..last.max(first)
        };
        #[expect(clippy::cast_precision_loss, reason = "some thousand pixels")]
        let [width_mm, height_mm] =
            [film.width, film.height].map(|pixels| pixels as f64 * pixel_mm);
        Self {
            columns: range(collimation.across_mm(width_mm), film.width),
            rows: range(collimation.down_mm(height_mm), film.height),
        }
    }

    fn rows_of<'a>(&'a self, film: &'a Raster) -> impl Iterator<Item = &'a [f32]> {
        self.rows
            .clone()
            .map(|row| &film.values[row * film.width..(row + 1) * film.width])
            .map(|row| &row[self.columns.clone()])
    }

    fn blacken_outside(&self, grey: &mut Raster) {
        for (index, row) in grey.values.chunks_exact_mut(grey.width).enumerate() {
            if self.rows.contains(&index) {
                row[..self.columns.start].fill(0.0);
                row[self.columns.end..].fill(0.0);
            } else {
                row.fill(0.0);
            }
        }
    }
}

/// The depth that only the densest bone of the film exceeds.
fn dense_depth(depth: &Raster, field: &Field) -> f32 {
    let mut depths: Vec<f32> = field
        .rows_of(depth)
        .flatten()
        .copied()
        .filter(|depth| (OBJECT_DEPTH..GREATEST_DEPTH_OF_BONE).contains(depth))
        .collect();
    depths.sort_unstable_by(f32::total_cmp);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "an index below the length"
    )]
    let index = (depths.len() as f64 * (1.0 - DENSE_SHARE)) as usize;
    depths.get(index).map_or(1.0, |depth| depth.max(0.5))
}

/// Standard deviation of a film's noise, judged from how far pixels in the middle of three lie off the
/// line between their neighbours, in the quieter half of the film. Noise that is alike in neighbours is
/// judged too small by this, which errs toward more bits.
fn noise_of(grey: &Raster, field: &Field) -> f64 {
    let mut bends: Vec<f32> = field
        .rows_of(grey)
        .step_by(3)
        .flat_map(|row| row.windows(3))
        .filter(|three| three.iter().all(|grey| (0.05..0.95).contains(grey)))
        .map(|three| (three[0] - 2.0 * three[1] + three[2]).abs())
        .collect();
    if bends.is_empty() {
        return 0.0;
    }
    bends.sort_unstable_by(f32::total_cmp);
    // The median of the absolute value of a normal distribution is 0.6745 standard deviations, and a
    // bend of independent pixels has the variance of six.
    f64::from(bends[bends.len() / 2]) / (0.6745 * 6.0_f64.sqrt())
}

/// The bits that make steps of grey fine enough for a noise, from 9 to 12.
fn bits_for(noise: f64) -> u16 {
    (9..12)
        .find(|bits| 1.0 / f64::from((1_u32 << bits) - 1) <= STEP_IN_NOISE * noise)
        .unwrap_or(12)
}

fn quantised(grey: &Raster, bits_stored: u16) -> Vec<u16> {
    let white = f32::from(u16::MAX >> (16 - bits_stored));
    grey.values
        .par_iter()
        .map(|grey| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "between 0 and the white of these bits"
            )]
            let step = (grey.clamp(0.0, 1.0) * white).round() as u16;
            step << (16 - bits_stored)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A film of 40 mm whose left half is open and whose right half has a depth.
    fn half(depth: f32) -> Raster {
        Raster {
            width: 200,
            height: 200,
            values: (0..40_000)
                .map(|index| {
                    if index % 200 < 100 {
                        1.0
                    } else {
                        (-depth).exp()
                    }
                })
                .collect(),
        }
    }

    fn greys(signal: &Raster, processing: Processing) -> Vec<f64> {
        let film = processing.applied(signal, 0.2, 0.0, Collimation::OPEN);
        film.samples
            .iter()
            .map(|sample| f64::from(*sample) / 65_535.0)
            .collect()
    }

    #[test]
    fn the_open_field_and_dense_bone_have_the_greys_asked_for() {
        let greys = greys(&half(3.0), Processing::default());
        let (open, bone) = (greys[100 * 200 + 30], greys[100 * 200 + 170]);
        assert!((open - 0.02).abs() < 0.01, "open field {open}");
        assert!((bone - 0.82).abs() < 0.02, "bone {bone}");
    }

    #[test]
    fn a_curve_lifts_the_soft_tissue() {
        let mut signal = half(3.0);
        for row in signal.values.chunks_exact_mut(200).take(120) {
            row.fill((-1.0_f32).exp());
        }
        let soft = |curvature| {
            greys(
                &signal,
                Processing {
                    curvature,
                    ..Processing::default()
                },
            )[60 * 200 + 50]
        };
        let (straight, bent) = (soft(0.0), soft(1.5));
        assert!((straight - (0.02 + 0.8 / 3.0)).abs() < 0.02, "{straight}");
        assert!(bent > straight + 0.1, "{bent} with the curve");
    }

    /// A fine ripple upon a depth.
    fn ripple_contrast(depth: f32, processing: Processing) -> f64 {
        let mut signal = half(4.0);
        for row in signal.values.chunks_exact_mut(200).take(120) {
            for (column, value) in row.iter_mut().enumerate() {
                let ripple = if column / 3 % 2 == 0 { 0.05 } else { -0.05 };
                *value = (-(depth + ripple)).exp();
            }
        }
        let greys = greys(&signal, processing);
        let row = &greys[60 * 200 + 40..60 * 200 + 160];
        let highest = row.iter().copied().fold(0.0, f64::max);
        let lowest = row.iter().copied().fold(1.0, f64::min);
        highest - lowest
    }

    #[test]
    fn equalisation_gives_dense_bone_more_of_its_detail() {
        let with = |detail_equalisation| {
            ripple_contrast(
                3.5,
                Processing {
                    detail_equalisation,
                    ..Processing::default()
                },
            )
        };
        assert!(
            with(1.0) > 1.3 * with(0.0),
            "{} and {}",
            with(1.0),
            with(0.0)
        );
    }

    #[test]
    fn edge_enhancement_makes_fine_detail_stronger() {
        let with = |edge_enhancement| {
            ripple_contrast(
                2.0,
                Processing {
                    edge_enhancement,
                    ..Processing::default()
                },
            )
        };
        assert!(
            with(1.0) > 1.3 * with(0.0),
            "{} and {}",
            with(1.0),
            with(0.0)
        );
    }

    #[test]
    fn the_shutter_paints_the_blades_black() {
        let film = |shutter| {
            Processing {
                shutter,
                ..Processing::default()
            }
            .applied(&half(2.0), 0.2, 0.0, Collimation::even(5.0))
            .samples
        };
        let row = 100 * 200;
        assert_eq!(film(true)[row + 20], 0, "painted");
        assert!(film(false)[row + 20] > 0, "left as it is");
        assert!(film(true)[row + 40] > 0, "within the field");
    }

    #[test]
    fn quieter_films_deserve_more_bits() {
        assert_eq!(bits_for(0.01), 9, "noisy");
        assert_eq!(bits_for(0.004), 10, "usual");
        assert_eq!(bits_for(0.0), 12, "no noise at all");
    }

    #[test]
    fn samples_use_the_upper_bits_only() {
        for bits in [8, 10, 12, 16] {
            let film = Processing {
                bits_stored: Some(bits),
                ..Processing::default()
            }
            .applied(&half(2.0), 0.2, 0.0, Collimation::OPEN);
            assert_eq!(film.bits_stored, bits, "as asked for");
            let low = u16::MAX.checked_shr(u32::from(bits)).unwrap_or(0);
            assert!(
                film.samples.iter().all(|sample| sample & low == 0),
                "{bits} bits"
            );
        }
    }

    #[test]
    fn the_noise_of_a_film_is_judged_about_right() {
        use crate::physics::noise::RowNoise;
        let mut noise = RowNoise::new(9, 0);
        let grey = Raster {
            width: 200,
            height: 200,
            values: (0..40_000_u32)
                .map(|index| {
                    #[expect(clippy::cast_possible_truncation, reason = "a grey")]
                    let off = (0.01 * noise.pair()[0]) as f32;
                    if index % 200 < 100 {
                        0.3 + off
                    } else {
                        0.6 + off
                    }
                })
                .collect(),
        };
        let field = Field::within(Collimation::OPEN, &grey, 0.2);
        let judged = noise_of(&grey, &field);
        assert!((judged / 0.01 - 1.0).abs() < 0.05, "{judged}");
    }
}
