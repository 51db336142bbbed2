//! A film as 8-bit greys through its own window, in physical proportions.

use plumbray_anatomy::{FilmPoint, Proportions};
use plumbray_film::{FilmRegion, Pyramid};

use crate::mark::{Area, Spot};

/// A film as 8-bit greys through its own window, in physical proportions: never larger than asked for, never
/// larger than the film.
#[derive(Clone, PartialEq, Eq)]
pub struct FilmPicture {
    width: usize,
    height: usize,
    film_width_px: usize,
    film_height_px: usize,
    greys: Vec<u8>,
}

impl std::fmt::Debug for FilmPicture {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "FilmPicture {} × {}", self.width, self.height)
    }
}

impl FilmPicture {
    /// The picture of a whole film; its longer side has at most `longest_side_px` pixels.
    ///
    /// Takes some milliseconds: call it on a worker thread.
    #[must_use]
    pub fn of(film: &Pyramid, proportions: Proportions, longest_side_px: u32) -> Self {
        let full = film.level(0);
        let (film_width, film_height) = (full.width as f64, full.height as f64);
        let tall = film_height * proportions.height_over_width();
        let shrink = (f64::from(longest_side_px) / film_width.max(tall)).min(1.0);
        let (width, height) = (
            whole_pixels(film_width * shrink),
            whole_pixels(tall * shrink),
        );
        let region = FilmRegion {
            left_px: 0.0,
            top_px: 0.0,
            width_px: film_width,
            height_px: film_height,
        };
        let grey = film.film().grey();
        let table = grey.named_table(grey.default_window(), false);
        Self {
            width,
            height,
            film_width_px: full.width,
            film_height_px: full.height,
            greys: film.render(region, width, height, &table),
        }
    }

    /// The number of columns.
    #[must_use]
    pub const fn width(&self) -> usize {
        self.width
    }

    /// The number of rows.
    #[must_use]
    pub const fn height(&self) -> usize {
        self.height
    }

    /// `width * height` greys, 0 black to 255 white, row by row from the upper left corner.
    #[must_use]
    pub fn greys(&self) -> &[u8] {
        &self.greys
    }

    /// Width over height.
    pub(crate) fn shape(&self) -> f64 {
        self.width as f64 / self.height as f64
    }

    /// Where a point of the film lies when the picture fills an area.
    pub(crate) fn spot(&self, point: FilmPoint, area: Area) -> Spot {
        Spot {
            x: area.left + area.width * point.x_px / self.film_width_px as f64,
            y: area.top + area.height * point.y_px / self.film_height_px as f64,
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a side of a film is at most some ten thousand pixels, and the conversion saturates"
)]
fn whole_pixels(side: f64) -> usize {
    side.round().max(1.0) as usize
}
