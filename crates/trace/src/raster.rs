//! Reading a film between its pixels, with larger values for more bone.

use plumbray_anatomy::PhysicalPoint;
use plumbray_film::GreyView;

use crate::{edge::quantile, error::TraceError};

/// A film whose size was checked once, read as "more is more bone" in physical coordinates.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Raster<'a> {
    film: &'a GreyView<'a>,
    sign: f64,
    darkness: f64,
}

impl<'a> Raster<'a> {
    pub(crate) fn new(film: &'a GreyView<'a>) -> Result<Self, TraceError> {
        let enough = film
            .width
            .checked_mul(film.height)
            .is_some_and(|count| count <= film.samples.len());
        if film.width < 3 || film.height < 3 || !enough {
            return Err(TraceError::NoPixels);
        }
        let sign = if film.bone_is_bright { 1.0 } else { -1.0 };
        Ok(Self {
            film,
            sign,
            darkness: darkness(film, sign),
        })
    }

    /// A value below which nothing of a foot lies: background, or film behind a shutter.
    pub(crate) const fn darkness(&self) -> f64 {
        self.darkness
    }

    /// The film's height in pixel widths.
    fn physical_height(&self) -> f64 {
        self.film.height as f64 * self.film.proportions.height_over_width()
    }

    /// The longest line that fits on the film, in pixel widths.
    pub(crate) fn diagonal(&self) -> f64 {
        (self.film.width as f64).hypot(self.physical_height())
    }

    pub(crate) fn contains(&self, point: PhysicalPoint) -> bool {
        (0.0..=self.film.width as f64).contains(&point.x)
            && (0.0..=self.physical_height()).contains(&point.y)
    }

    /// The value at a point by bilinear interpolation; outside the film, that of the nearest pixel.
    pub(crate) fn value(&self, point: PhysicalPoint) -> f64 {
        let at = self.film.proportions.film(point);
        let (column, right) = cell_and_share(at.x_px - 0.5, self.film.width);
        let (row, down) = cell_and_share(at.y_px - 0.5, self.film.height);
        let first = row * self.film.width + column;
        let second = first + self.film.width;
        let sample = |index: usize| f64::from(self.film.samples[index]);
        let upper = sample(first) + right * (sample(first + 1) - sample(first));
        let lower = sample(second) + right * (sample(second + 1) - sample(second));
        self.sign * (upper + down * (lower - upper))
    }
}

/// A little above the darkest values of a film, by some thousand samples spread over it.
fn darkness(film: &GreyView<'_>, sign: f64) -> f64 {
    let stride = (film.width * film.height / 4000).max(1);
    let values: Vec<f64> = film
        .samples
        .iter()
        .take(film.width * film.height)
        .step_by(stride)
        .map(|sample| sign * f64::from(*sample))
        .collect();
    let (darkest, brightest) = (quantile(&values, 0.01), quantile(&values, 0.99));
    darkest + 0.03 * (brightest - darkest)
}

/// The cell of a row of at least two samples in which a position lies, and how far into it, 0 to 1.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the position was just clamped to the row"
)]
pub(crate) fn cell_and_share(position: f64, count: usize) -> (usize, f64) {
    let last = (count - 1) as f64;
    // `max` first: it turns NaN into 0.
    let within = position.max(0.0).min(last);
    let cell = (within as usize).min(count - 2);
    (cell, within - cell as f64)
}

/// A count from a positive number, rounded, at least `least` and at most `most`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the number was just clamped to a range of counts"
)]
pub(crate) fn count_from(number: f64, least: usize, most: usize) -> usize {
    number.max(least as f64).min(most as f64).round() as usize
}
