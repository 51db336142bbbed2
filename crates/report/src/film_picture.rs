//! A film as 8-bit greys through its own window, in physical proportions.

use plumbray_anatomy::{
    FORMER_PLACE_DARKNESS, FilmPoint, FilmStep, MovedPiece, Proportions, Similarity,
};
use plumbray_film::{Coverage, DisplayTable, FilmGrid, FilmRegion, GridSampler, Pyramid};
use rayon::prelude::*;

use crate::mark::{Area, Spot};

/// A film as 8-bit greys through its own window, in physical proportions: never larger than asked for, never
/// larger than the film.
#[derive(Clone, PartialEq)]
pub struct FilmPicture {
    width: usize,
    height: usize,
    /// The part of the film that it shows.
    film: FilmRegion,
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
        Self::with_moved_pieces(film, proportions, longest_side_px, &[], &[])
    }

    /// The same with pieces of the film where they come to lie, as the window shows them: the places that they have
    /// left are darkened, each piece is drawn from the film's own pixels, later ones over earlier ones, and at last
    /// what lies within the outlines of `stay` as it is on the film. The motions are meant in `proportions`.
    /// Without pieces and outlines it is [`of`](Self::of).
    #[must_use]
    pub fn with_moved_pieces(
        film: &Pyramid,
        proportions: Proportions,
        longest_side_px: u32,
        pieces: &[MovedPiece],
        stay: &[Vec<FilmPoint>],
    ) -> Self {
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
        let mut picture = Self {
            width,
            height,
            film: region,
            greys: film.render(region, width, height, &table),
        };
        let grid = picture.grid();
        let has_moved = |piece: &&MovedPiece| piece.motion != Similarity::IDENTITY;
        for piece in pieces.iter().filter(has_moved) {
            picture.darken(&piece.outline);
        }
        for piece in pieces {
            let moved = GridSampler::new(film, grid.of_piece(piece, proportions));
            picture.lay(&piece.outline_after(proportions), &moved, &table);
        }
        for outline in stay {
            picture.lay(outline, &GridSampler::new(film, grid), &table);
        }
        picture
    }

    /// The part of it that holds these points of the film, in whole pixels of its own; all of it where none of them
    /// lies on it.
    #[must_use]
    pub fn around(&self, points: &[FilmPoint]) -> Self {
        let whole = Area {
            left: 0.0,
            top: 0.0,
            width: self.width as f64,
            height: self.height as f64,
        };
        let spots = || {
            let finite = points.iter().filter(|point| point.is_finite());
            finite.map(|point| self.spot(*point, whole))
        };
        let span = |along: fn(Spot) -> f64, size: usize| {
            let least = spots().map(along).fold(f64::INFINITY, f64::min);
            let most = spots().map(along).fold(f64::NEG_INFINITY, f64::max);
            let [from, to] = [least.floor(), most.ceil()].map(|at| clamped(at, size));
            (from < to).then_some(from..to)
        };
        let columns = span(|spot| spot.x, self.width);
        let (Some(columns), Some(rows)) = (columns, span(|spot| spot.y, self.height)) else {
            return self.clone();
        };
        let (across, down) = (
            self.film.width_px / self.width as f64,
            self.film.height_px / self.height as f64,
        );
        Self {
            width: columns.len(),
            height: rows.len(),
            film: FilmRegion {
                left_px: self.film.left_px + across * columns.start as f64,
                top_px: self.film.top_px + down * rows.start as f64,
                width_px: across * columns.len() as f64,
                height_px: down * rows.len() as f64,
            },
            greys: rows
                .flat_map(|row| &self.greys[row * self.width..][columns.clone()])
                .copied()
                .collect(),
        }
    }

    /// How many pixels of the film lie across it.
    #[must_use]
    pub const fn film_width_px(&self) -> f64 {
        self.film.width_px
    }

    /// The film under the picture's pixels.
    fn grid(&self) -> FilmGrid {
        FilmGrid {
            origin: FilmPoint::new(self.film.left_px, self.film.top_px),
            across: FilmStep::new(self.film.width_px / self.width as f64, 0.0),
            down: FilmStep::new(0.0, self.film.height_px / self.height as f64),
        }
    }

    /// How much of each pixel lies within an outline on the film.
    fn coverage(&self, outline: &[FilmPoint]) -> Coverage {
        let whole = Area {
            left: 0.0,
            top: 0.0,
            width: self.width as f64,
            height: self.height as f64,
        };
        let corners: Vec<[f64; 2]> = outline
            .iter()
            .map(|point| self.spot(*point, whole))
            .map(|spot| [spot.x, spot.y])
            .collect();
        Coverage::of(&corners, self.width, self.height)
    }

    /// Darkens what lies within an outline on the film, as a place that a piece has left.
    fn darken(&mut self, outline: &[FilmPoint]) {
        let coverage = self.coverage(outline);
        for (grey, share) in self.greys.iter_mut().zip(coverage.shares()) {
            let darkness = mixed(0, FORMER_PLACE_DARKNESS, *share);
            *grey = mixed(*grey, 0, darkness);
        }
    }

    /// Lays what a sampler reads over the picture within an outline.
    fn lay(&mut self, outline: &[FilmPoint], sampler: &GridSampler<'_>, table: &DisplayTable) {
        let coverage = self.coverage(outline);
        let width = self.width;
        let rows = self.greys.par_chunks_exact_mut(width).enumerate();
        rows.for_each(|(row, greys)| {
            let pixels = greys.iter_mut().zip(coverage.row(row)).enumerate();
            for (column, (grey, share)) in pixels.filter(|(_, (_, share))| **share > 0) {
                *grey = mixed(*grey, table.grey(sampler.code(column, row)), *share);
            }
        });
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
            x: area.left + area.width * (point.x_px - self.film.left_px) / self.film.width_px,
            y: area.top + area.height * (point.y_px - self.film.top_px) / self.film.height_px,
        }
    }
}

/// A place on a picture as a number of whole pixels, on the picture.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "it lies between zero and the size"
)]
fn clamped(at: f64, size: usize) -> usize {
    at.clamp(0.0, size as f64) as usize
}

/// A grey over another that it covers by a share, from 0, not at all, to 255, whole.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a mean of two numbers of eight bits has eight bits"
)]
fn mixed(below: u8, above: u8, share: u8) -> u8 {
    let share = u32::from(share);
    let sum = u32::from(below) * (255 - share) + u32::from(above) * share;
    ((sum + 127) / 255) as u8
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a side of a film is at most some ten thousand pixels, and the conversion saturates"
)]
fn whole_pixels(side: f64) -> usize {
    side.round().max(1.0) as usize
}

/// Pictures to lay out.
#[cfg(test)]
pub(crate) mod testing {
    use super::*;

    /// A black picture of a film of this size, a pixel for each of its own.
    pub(crate) fn blank(width_px: f64, height_px: f64) -> FilmPicture {
        let (width, height) = (whole_pixels(width_px), whole_pixels(height_px));
        FilmPicture {
            width,
            height,
            film: FilmRegion {
                left_px: 0.0,
                top_px: 0.0,
                width_px,
                height_px,
            },
            greys: vec![0; width * height],
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use image::{ImageBuffer, ImageFormat, Luma};
    use plumbray_anatomy::PhysicalPoint;
    use plumbray_film::Film;

    use super::*;

    /// A film of 60 × 40 pixels whose samples rise across and down.
    fn film() -> Pyramid {
        let samples: Vec<u16> = (0..40)
            .flat_map(|y| (0..60).map(move |x| rising(x, y)))
            .collect();
        let pixels: ImageBuffer<Luma<u16>, _> =
            ImageBuffer::from_raw(60, 40, samples).expect("as many samples");
        let mut file = Cursor::new(Vec::new());
        pixels
            .write_to(&mut file, ImageFormat::Png)
            .expect("a PNG file");
        Film::from_bytes(file.get_ref()).expect("a film").pyramid()
    }

    const fn rising(x: u16, y: u16) -> u16 {
        9000 + 700 * x + 300 * y
    }

    fn upright(left: f64, top: f64, right: f64, bottom: f64) -> Vec<FilmPoint> {
        [(left, top), (right, top), (right, bottom), (left, bottom)]
            .map(|(x, y)| FilmPoint::new(x, y))
            .to_vec()
    }

    fn shifted(outline: Vec<FilmPoint>, x: f64, y: f64) -> MovedPiece {
        MovedPiece {
            outline,
            motion: Similarity::new(PhysicalPoint::new(x, y), 1.0, 0.0, false),
        }
    }

    #[test]
    fn without_pieces_it_is_the_picture_of_the_film() {
        let film = film();
        let proportions = Proportions::new(1.3).expect("possible");
        let plain = FilmPicture::of(&film, proportions, 45);
        let unmoved = shifted(upright(10.0, 5.0, 30.0, 25.0), 0.0, 0.0);
        let none = FilmPicture::with_moved_pieces(&film, proportions, 45, &[], &[]);
        assert!(plain == none, "no pieces");
        let stay = [upright(5.0, 5.0, 40.0, 30.0)];
        let same = FilmPicture::with_moved_pieces(&film, proportions, 45, &[unmoved], &stay);
        let pairs = plain.greys().iter().zip(same.greys());
        let off = pairs.map(|(one, other)| one.abs_diff(*other)).max();
        assert!(off <= Some(1), "nothing has moved: {off:?}");
    }

    #[test]
    fn every_pixel_is_the_piece_or_the_dark_place_that_it_left_or_the_unmoved_film() {
        let film = film();
        let plain = FilmPicture::of(&film, Proportions::SQUARE, 4096);
        let piece = shifted(upright(10.0, 10.0, 20.0, 20.0), 12.0, -3.0);
        let other = shifted(upright(40.0, 30.0, 45.0, 35.0), -28.0, -16.0);
        let stay = [upright(24.0, 9.0, 26.0, 11.0)];
        let picture = FilmPicture::with_moved_pieces(
            &film,
            Proportions::SQUARE,
            4096,
            &[piece, other],
            &stay,
        );
        let at = |picture: &FilmPicture, x: usize, y: usize| picture.greys()[y * 60 + x];
        let dark = |grey: u8| mixed(grey, 0, FORMER_PLACE_DARKNESS);
        for (x, y, expected, what) in [
            (23, 8, at(&plain, 11, 11), "the piece"),
            (31, 16, at(&plain, 19, 19), "its last corner"),
            (32, 16, at(&plain, 32, 16), "beside it"),
            (10, 10, dark(at(&plain, 10, 10)), "the place that it left"),
            (
                19,
                19,
                dark(at(&plain, 19, 19)),
                "the last corner of that place",
            ),
            (9, 10, at(&plain, 9, 10), "beside that place"),
            (
                13,
                15,
                at(&plain, 41, 31),
                "another piece where the first one was",
            ),
            (42, 32, dark(at(&plain, 42, 32)), "the place of the other"),
            (25, 10, at(&plain, 25, 10), "what stays beneath the piece"),
        ] {
            assert_eq!(at(&picture, x, y), expected, "{what}, at {x}, {y}");
        }
        assert!(
            at(&plain, 10, 10) > 3 * at(&picture, 10, 10),
            "the place is much darker"
        );
    }

    #[test]
    fn a_part_shows_the_same_pixels_at_the_same_places_of_the_film() {
        let whole = FilmPicture::of(&film(), Proportions::SQUARE, 4096);
        let corners = [FilmPoint::new(10.0, 5.0), FilmPoint::new(29.5, 25.0)];
        let part = whole.around(&corners);
        assert_eq!((part.width(), part.height()), (20, 20), "size");
        assert_eq!(part.greys()[0], whole.greys()[5 * 60 + 10], "first pixel");
        let area = Area {
            left: 0.0,
            top: 0.0,
            width: 20.0,
            height: 20.0,
        };
        let spot = part.spot(FilmPoint::new(12.0, 9.0), area);
        assert_eq!(spot, Spot { x: 2.0, y: 4.0 }, "a place on it");
        let beside = [FilmPoint::new(-9.0, -9.0), FilmPoint::new(-3.0, f64::NAN)];
        assert!(whole.around(&beside) == whole, "nothing of it: all of it");
    }

    #[test]
    fn a_quarter_turn_on_tall_pixels_shows_the_right_place_in_a_smaller_picture() {
        let film = film();
        let tall = Proportions::new(1.5).expect("possible");
        let picture =
            |pieces: &[MovedPiece]| FilmPicture::with_moved_pieces(&film, tall, 30, pieces, &[]);
        let piece = MovedPiece {
            outline: upright(10.0, 10.0, 20.0, 20.0),
            motion: Similarity::new(
                PhysicalPoint::new(60.0, 0.0),
                1.0,
                std::f64::consts::FRAC_PI_2,
                false,
            ),
        };
        let from = FilmPoint::new(14.0, 15.0);
        let to = piece.place_after(from, tall);
        let moved = picture(&[piece]);
        assert_eq!((moved.width(), moved.height()), (30, 30), "half as wide");
        // A picture's pixel is two columns or one and a third rows of the film.
        let index = |point: FilmPoint| {
            let column = whole_pixels((point.x_px / 2.0).floor());
            let row = whole_pixels((point.y_px * 0.75).floor());
            row * 30 + column
        };
        let (found, expected) = (moved.greys()[index(to)], picture(&[]).greys()[index(from)]);
        assert!(
            found.abs_diff(expected) <= 6,
            "{found} at {to:?}, {expected} at {from:?}"
        );
        assert!(
            picture(&[]).greys()[index(to)].abs_diff(expected) > 20,
            "the unmoved film differs there"
        );
    }
}
