//! The small pictures of a film that the networks look at.

use plumbray_anatomy::{PhysicalPoint, Proportions};
use plumbray_film::GreyView;

use crate::picture_map::PictureMap;

/// Two pictures of the same part of a film, one above the other: its grey between the extremes, and its
/// local contrast. The networks learned from pictures that were made in just this way.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Picture {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// `CHANNELS * width * height` samples.
    pub(crate) samples: Vec<f32>,
}

impl Picture {
    pub(crate) const CHANNELS: usize = 2;
}

/// A film made smaller by whole steps, bone bright, from 0 to 1: whatever a picture takes from it is
/// averaged enough not to flicker.
#[derive(Clone, Debug)]
pub(crate) struct SmallFilm {
    width: usize,
    height: usize,
    samples: Vec<f32>,
    /// Pixels of the film to one of the small film.
    step: usize,
    proportions: Proportions,
    darkest: f32,
}

impl SmallFilm {
    /// Averages blocks of `step` by `step` pixels.
    pub(crate) fn of(film: &GreyView<'_>, step: usize, is_turned_over: bool) -> Self {
        let step = step.max(1);
        let (width, height) = (film.width / step, film.height / step);
        let bone_is_bright = film.bone_is_bright != is_turned_over;
        let share = 1.0 / (step * step) as f32 / f32::from(u16::MAX);
        let mut samples = Vec::with_capacity(width * height);
        for row in 0..height {
            let rows = row * step..(row + 1) * step;
            for column in 0..width {
                let sum: u64 = rows
                    .clone()
                    .map(|y| {
                        let start = y * film.width + column * step;
                        film.samples[start..start + step]
                            .iter()
                            .map(|sample| u64::from(*sample))
                            .sum::<u64>()
                    })
                    .sum();
                let grey = sum as f32 * share;
                samples.push(if bone_is_bright { grey } else { 1.0 - grey });
            }
        }
        let darkest = quantile(&samples, 0.005, 17);
        Self {
            width,
            height,
            samples,
            step,
            proportions: film.proportions,
            darkest,
        }
    }

    /// The grey at a place of the film in pixel widths; the darkest of the film beyond its edges.
    fn at(&self, place: PhysicalPoint) -> f32 {
        let film = self.proportions.film(place);
        let x = film.x_px / self.step as f64 - 0.5;
        let y = film.y_px / self.step as f64 - 0.5;
        let (left, top) = (x.floor(), y.floor());
        let (right_share, lower_share) = ((x - left) as f32, (y - top) as f32);
        let sample = |dx: f64, dy: f64| {
            let (column, row) = (left + dx, top + dy);
            if column < 0.0 || row < 0.0 || column >= self.width as f64 || row >= self.height as f64
            {
                return self.darkest;
            }
            self.samples[row as usize * self.width + column as usize]
        };
        let upper = sample(0.0, 0.0) * (1.0 - right_share) + sample(1.0, 0.0) * right_share;
        let lower = sample(0.0, 1.0) * (1.0 - right_share) + sample(1.0, 1.0) * right_share;
        upper * (1.0 - lower_share) + lower * lower_share
    }

    /// The picture of a size, its pixels so many millimetres wide, that a map lays on the film.
    pub(crate) fn picture(
        &self,
        map: &PictureMap,
        [width, height]: [usize; 2],
        pixel: f64,
    ) -> Picture {
        let mut grey = Vec::with_capacity(width * height);
        for row in 0..height {
            for column in 0..width {
                let place = place_on(
                    [width, height],
                    pixel,
                    [column as f64 + 0.5, row as f64 + 0.5],
                );
                grey.push(self.at(map.film(place)));
            }
        }
        normalised(&grey, width, height)
    }
}

/// From a place in pixels of a picture to millimetres from its middle.
pub(crate) fn place_on([width, height]: [usize; 2], pixel: f64, [x, y]: [f64; 2]) -> [f64; 2] {
    [
        (x - 0.5 * width as f64) * pixel,
        (y - 0.5 * height as f64) * pixel,
    ]
}

/// Side of the square over which local contrast is taken, in pixels of a picture.
const CONTRAST_WINDOW: usize = 41;
/// Keeps the contrast of even ground from growing without bound.
const EVEN_GROUND: f64 = 0.03;
/// The extremes are taken of every seventh pixel.
const EXTREMES_STEP: usize = 7;

fn normalised(grey: &[f32], width: usize, height: usize) -> Picture {
    let low = quantile(grey, 0.01, EXTREMES_STEP);
    let high = quantile(grey, 0.99, EXTREMES_STEP);
    let range = (high - low).max(1e-4);
    let plain: Vec<f32> = grey
        .iter()
        .map(|value| ((value - low) / range).clamp(0.0, 1.5))
        .collect();
    let sums = Sums::of(&plain, width, height);
    let half = CONTRAST_WINDOW / 2;
    let mut samples = plain.clone();
    for row in 0..height {
        for column in 0..width {
            let (mean, mean_square) = sums.means(column, row, half);
            let spread = (mean_square - mean * mean).max(0.0).sqrt();
            let value = f64::from(plain[row * width + column]);
            let contrast = ((value - mean) / (spread + EVEN_GROUND)).clamp(-3.0, 3.0);
            samples.push((contrast / 2.0) as f32);
        }
    }
    Picture {
        width,
        height,
        samples,
    }
}

/// Sums over everything above and to the left of each corner of the pixels.
struct Sums {
    width: usize,
    height: usize,
    values: Vec<f64>,
    squares: Vec<f64>,
}

impl Sums {
    fn of(samples: &[f32], width: usize, height: usize) -> Self {
        let stride = width + 1;
        let mut values = vec![0.0; stride * (height + 1)];
        let mut squares = values.clone();
        for row in 0..height {
            let (mut sum, mut square) = (0.0, 0.0);
            for column in 0..width {
                let value = f64::from(samples[row * width + column]);
                sum += value;
                square += value * value;
                let here = (row + 1) * stride + column + 1;
                values[here] = values[here - stride] + sum;
                squares[here] = squares[here - stride] + square;
            }
        }
        Self {
            width,
            height,
            values,
            squares,
        }
    }

    /// The mean of the values and of their squares over the part of a square that lies on the picture.
    fn means(&self, column: usize, row: usize, half: usize) -> (f64, f64) {
        let (left, right) = (
            column.saturating_sub(half),
            (column + half + 1).min(self.width),
        );
        let (top, bottom) = (row.saturating_sub(half), (row + half + 1).min(self.height));
        let stride = self.width + 1;
        let count = ((right - left) * (bottom - top)) as f64;
        let over = |sums: &[f64]| {
            (sums[bottom * stride + right]
                - sums[top * stride + right]
                - sums[bottom * stride + left]
                + sums[top * stride + left])
                / count
        };
        (over(&self.values), over(&self.squares))
    }
}

/// A quantile of every so many samples, between neighbours as the learning program takes it.
fn quantile(samples: &[f32], share: f64, step: usize) -> f32 {
    let mut chosen: Vec<f32> = samples.iter().step_by(step).copied().collect();
    if chosen.is_empty() {
        return 0.0;
    }
    chosen.sort_unstable_by(f32::total_cmp);
    let at = share * (chosen.len() - 1) as f64;
    let (below, above) = (at.floor() as usize, at.ceil() as usize);
    let part = (at - at.floor()) as f32;
    chosen[below] * (1.0 - part) + chosen[above] * part
}
