//! A film that a test draws.

use plumbray_anatomy::{FilmPoint, PhysicalPoint, Proportions};
use plumbray_film::GreyView;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A drawn film.
#[derive(Clone, Debug)]
pub(crate) struct Film {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) samples: Vec<u16>,
    pub(crate) bone_is_bright: bool,
    pub(crate) proportions: Proportions,
}

impl Film {
    /// A film of `width` by `height` pixels of this shape, whose brightness at a physical place is
    /// `brightness` from 0 to 1, averaged over nine places of each pixel, with noise of standard
    /// deviation `noise`.
    pub(crate) fn drawn(
        (width, height): (usize, usize),
        proportions: Proportions,
        noise: f64,
        brightness: impl Fn(PhysicalPoint) -> f64,
    ) -> Self {
        let mut random = ChaCha8Rng::seed_from_u64(20);
        let mut samples = Vec::with_capacity(width * height);
        for row in 0..height {
            for column in 0..width {
                let mut sum = 0.0;
                for piece in 0..9_u8 {
                    let x = column as f64 + (f64::from(piece % 3) + 0.5) / 3.0;
                    let y = row as f64 + (f64::from(piece / 3) + 0.5) / 3.0;
                    sum += brightness(proportions.physical(FilmPoint::new(x, y)));
                }
                // Twelve uniform numbers make a Gaussian one to good accuracy.
                let gaussian = (0..12).map(|_| random.random::<f64>()).sum::<f64>() - 6.0;
                samples.push(to_sample(sum / 9.0 + noise * gaussian));
            }
        }
        Self {
            width,
            height,
            samples,
            bone_is_bright: true,
            proportions,
        }
    }

    /// A film of one value.
    pub(crate) fn flat(width: usize, height: usize) -> Self {
        Self::drawn((width, height), Proportions::SQUARE, 0.0, |_| 0.4)
    }

    pub(crate) fn view(&self) -> GreyView<'_> {
        GreyView {
            width: self.width,
            height: self.height,
            samples: &self.samples,
            bone_is_bright: self.bone_is_bright,
            proportions: self.proportions,
        }
    }

    /// The same film with black for white.
    pub(crate) fn inverted(mut self) -> Self {
        for sample in &mut self.samples {
            *sample = u16::MAX - *sample;
        }
        self.bone_is_bright = !self.bone_is_bright;
        self
    }

    /// The film seen in a mirror: left for right.
    pub(crate) fn mirrored(mut self) -> Self {
        for row in self.samples.chunks_mut(self.width) {
            row.reverse();
        }
        self
    }

    /// The film turned by a quarter turn clockwise: (x, y) comes to (height − y, x).
    pub(crate) fn turned(&self) -> Self {
        let mut samples = Vec::with_capacity(self.samples.len());
        for x in 0..self.width {
            for y in (0..self.height).rev() {
                samples.push(self.samples[y * self.width + x]);
            }
        }
        Self {
            width: self.height,
            height: self.width,
            samples,
            ..self.clone()
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range of a sample"
)]
fn to_sample(brightness: f64) -> u16 {
    (brightness.clamp(0.0, 1.0) * f64::from(u16::MAX)).round() as u16
}
