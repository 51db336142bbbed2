//! A film seen in the frame of another one, and what differs between both.

use std::sync::Arc;

use plumbray_anatomy::FilmPoint;
use rayon::prelude::*;

use crate::{
    film::{Content, Film, FrameOf, ValueScale},
    grey_scale::{DisplayTable, GreyScale, NamedWindow},
    window::Window,
};

impl Film {
    /// This film as it looks in the frame of another one: a picture of that film's size. `place` tells for a
    /// point of the other film which point of this one lies there; where this film does not reach, the darkest
    /// of its codes stands.
    ///
    /// What the file says of the film stays as it was, but for its notices.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "films are far below 2^52 pixels wide"
    )]
    pub fn laid_into(&self, frame: &Self, place: impl Fn(FilmPoint) -> FilmPoint + Sync) -> Self {
        let (width, height) = (frame.width(), frame.height());
        let beyond = self.darkest();
        let mut samples = vec![beyond; width * height];
        samples
            .par_chunks_exact_mut(width.max(1))
            .enumerate()
            .for_each(|(row, line)| {
                for (column, sample) in line.iter_mut().enumerate() {
                    let at = place(FilmPoint::new(column as f64 + 0.5, row as f64 + 0.5));
                    if let Some(code) = self.between_pixels(at) {
                        *sample = code;
                    }
                }
            });
        self.with_picture(width, height, samples, self.grey().clone())
    }

    /// What differs between this film and another of the same size, each through its own default window: medium
    /// grey where both are alike, brighter where the other one is. Nothing where their sizes differ.
    #[must_use]
    pub fn difference_to(&self, other: &Self) -> Option<Self> {
        let is_alike = self.width() == other.width() && self.height() == other.height();
        let tables =
            [self, other].map(|film| film.grey().named_table(film.grey().default_window(), false));
        is_alike.then(|| {
            let samples = self
                .samples()
                .par_iter()
                .zip(other.samples())
                .map(|(one, second)| difference(&tables, [*one, *second]))
                .collect();
            let grey = GreyScale {
                windows: vec![NamedWindow {
                    explanation: String::new(),
                    window: Window::between(0.0, 510.0),
                    curve: None,
                }],
                shown_inverted: false,
                padding: None,
                scale: ValueScale::IDENTITY,
            };
            self.with_picture(self.width(), self.height(), samples, grey)
        })
    }

    fn with_picture(
        &self,
        width: usize,
        height: usize,
        samples: Vec<u16>,
        grey: GreyScale,
    ) -> Self {
        Self(Arc::new(Content {
            width,
            height,
            samples,
            bits: self.bits(),
            grey,
            bone_is_bright: self.bone_is_bright(),
            facts: self.facts().clone(),
            notices: Vec::new(),
            frame: FrameOf::ONLY,
            overlays: Vec::new(),
            content_hash: String::new(),
        }))
    }

    /// The code that is shown darkest.
    fn darkest(&self) -> u16 {
        let codes = || self.samples().iter().copied();
        let darkest = if self.grey().shown_inverted {
            codes().max()
        } else {
            codes().min()
        };
        darkest.unwrap_or_default()
    }

    /// The code at a place, between the four pixels around it; nothing outside the film.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place within the film, checked just before, and codes of 16 bits"
    )]
    fn between_pixels(&self, at: FilmPoint) -> Option<u16> {
        let (width, height) = (self.width(), self.height());
        let is_inside =
            at.x_px >= 0.0 && at.y_px >= 0.0 && at.x_px <= width as f64 && at.y_px <= height as f64;
        if !is_inside || width == 0 || height == 0 {
            return None;
        }
        let x = (at.x_px - 0.5).clamp(0.0, (width - 1) as f64);
        let y = (at.y_px - 0.5).clamp(0.0, (height - 1) as f64);
        let (left, top) = (x as usize, y as usize);
        let (right, bottom) = ((left + 1).min(width - 1), (top + 1).min(height - 1));
        let (across, down) = (x - left as f64, y - top as f64);
        let code = |column: usize, row: usize| f64::from(self.samples()[row * width + column]);
        let upper = code(left, top) * (1.0 - across) + code(right, top) * across;
        let lower = code(left, bottom) * (1.0 - across) + code(right, bottom) * across;
        Some((upper * (1.0 - down) + lower * down).round() as u16)
    }
}

fn difference(tables: &[DisplayTable; 2], codes: [u16; 2]) -> u16 {
    let [one, other] = [0, 1].map(|film| u16::from(tables[film].grey(codes[film])));
    255 + other - one
}

#[cfg(test)]
mod tests {
    use super::*;

    fn film(samples: Vec<u16>, width: usize) -> Film {
        let height = samples.len() / width;
        let content = Content {
            width,
            height,
            samples,
            bits: 8,
            grey: GreyScale {
                windows: vec![NamedWindow {
                    explanation: String::new(),
                    window: Window::between(0.0, 255.0),
                    curve: None,
                }],
                shown_inverted: false,
                padding: None,
                scale: ValueScale::IDENTITY,
            },
            bone_is_bright: true,
            facts: crate::FilmFacts::default(),
            notices: Vec::new(),
            frame: FrameOf::ONLY,
            overlays: Vec::new(),
            content_hash: String::new(),
        };
        Film(Arc::new(content))
    }

    #[test]
    fn a_film_moved_by_a_pixel_and_a_half_lies_between_its_pixels() {
        let own = film(vec![10, 20, 30, 40, 10, 20, 30, 40], 4);
        let laid = own.laid_into(&own, |at| FilmPoint::new(at.x_px + 1.5, at.y_px));
        assert_eq!(laid.samples()[..4], [25, 35, 40, 10], "and dark beyond");
    }

    #[test]
    fn two_films_alike_differ_by_nothing() {
        let own = film(vec![0, 100, 200, 255], 2);
        let difference = own.difference_to(&own).expect("one size");
        assert!(
            difference.samples().iter().all(|code| *code == 255),
            "medium"
        );
        let brighter = film(vec![0, 110, 200, 255], 2);
        let difference = own.difference_to(&brighter).expect("one size");
        assert_eq!(difference.samples()[1], 265, "brighter");
        let other = film(vec![0; 6], 2);
        assert!(own.difference_to(&other).is_none(), "another size");
    }
}
