//! A raster of pixels that lies over a film in any way, and the codes that it shows.

use std::ops::Range;

use plumbray_anatomy::{FilmPoint, FilmStep, MovedPiece, Proportions};

use crate::pyramid::{Level, Pyramid};

/// Added to a place on the film before its pixel is looked up, in film pixels.
///
/// At whole zooms the centres of screen pixels may fall exactly between two film pixels, where rounding
/// would choose now one and now the other. This decides for the latter always; it is less than a
/// tenth of a screen pixel at the largest zoom.
pub const TIE_BREAK_PX: f64 = 1.0 / 256.0;

/// A pixel of the raster is the mean of at least this many pixels of a level along each side, as in
/// [`Pyramid::resample`]: the fewest that leave nothing out.
const LEAST_SPAN: f64 = 1.0;

/// The film under a raster of pixels, on a screen or in a picture.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct FilmGrid {
    /// The film point under the upper left corner of the first pixel.
    pub origin: FilmPoint,
    /// From a pixel to the next one on its right.
    pub across: FilmStep,
    /// From a pixel to the next one below.
    pub down: FilmStep,
}

impl FilmGrid {
    /// The film point under the centre of the pixel in this column and row of the raster.
    #[must_use]
    pub fn centre(&self, column: usize, row: usize) -> FilmPoint {
        self.at(column as f64 + 0.5, row as f64 + 0.5)
    }

    /// The film point so many pixels to the right of, and below, the corner of the raster.
    fn at(&self, x: f64, y: f64) -> FilmPoint {
        FilmPoint::new(
            self.origin.x_px + x * self.across.across_px + y * self.down.across_px,
            self.origin.y_px + x * self.across.down_px + y * self.down.down_px,
        )
    }

    /// The sides of the upright box of film that stands for a pixel, in film pixels: exactly the pixel where
    /// the film is not turned, and of the same size where it is.
    #[must_use]
    pub fn footprint(&self) -> FilmStep {
        FilmStep::new(
            self.across.across_px.hypot(self.down.across_px),
            self.across.down_px.hypot(self.down.down_px),
        )
    }

    /// The coarsest level of a pyramid at which the footprint still spans `least_span` pixels.
    ///
    /// The more pixels it spans, the closer their mean is to the mean of the film itself: a reduced copy
    /// already holds false patterns of whatever was finer than its own pixels.
    #[must_use]
    pub fn level(&self, level_count: usize, least_span: f64) -> usize {
        let footprint = self.footprint();
        let mut span = footprint.across_px.min(footprint.down_px);
        let mut level = 0;
        while span >= 2.0 * least_span && level + 1 < level_count {
            span /= 2.0;
            level += 1;
        }
        level
    }

    /// The film under the same raster once a piece of it has come to lie where it goes: each pixel shows what
    /// comes to lie beneath it.
    #[must_use]
    pub fn of_piece(&self, piece: &MovedPiece, proportions: Proportions) -> Self {
        let before = |x, y| piece.place_before(self.at(x, y), proportions);
        let origin = before(0.0, 0.0);
        let step = |to: FilmPoint| FilmStep::new(to.x_px - origin.x_px, to.y_px - origin.y_px);
        Self {
            origin,
            across: step(before(1.0, 0.0)),
            down: step(before(0.0, 1.0)),
        }
    }
}

/// Reads the codes of a film under a [`FilmGrid`], one pixel at a time.
///
/// Reduced, a pixel is the mean of the area that it covers; magnified, it is the film's own pixel under its
/// centre. Beyond the film the nearest pixel of its edge is repeated.
#[derive(Clone, Copy, Debug)]
pub struct GridSampler<'a> {
    level: Level<'a>,
    grid: FilmGrid,
    scale_x: f64,
    scale_y: f64,
    size_x: f64,
    size_y: f64,
}

impl<'a> GridSampler<'a> {
    /// A sampler of this film under this grid.
    #[must_use]
    pub fn new(pyramid: &'a Pyramid, grid: FilmGrid) -> Self {
        let level = pyramid.level(grid.level(pyramid.level_count(), LEAST_SPAN));
        let film = pyramid.film();
        let scale_x = level.width as f64 / film.width() as f64;
        let scale_y = level.height as f64 / film.height() as f64;
        let footprint = grid.footprint();
        Self {
            level,
            grid,
            scale_x,
            scale_y,
            size_x: footprint.across_px * scale_x,
            size_y: footprint.down_px * scale_y,
        }
    }

    /// The code of the pixel in this column and row of the raster.
    #[must_use]
    pub fn code(&self, column: usize, row: usize) -> u16 {
        let centre = self.grid.centre(column, row);
        let (level, scale_x, scale_y) = (self.level, self.scale_x, self.scale_y);
        let columns = Span::new(centre.x_px * scale_x, self.size_x, scale_x, level.width);
        let rows = Span::new(centre.y_px * scale_y, self.size_y, scale_y, level.height);
        mean_code(level, &columns, &rows)
    }
}

/// The pixels of a level along one side that a box covers, and by how much.
struct Span {
    pixels: Range<usize>,
    low: f64,
    high: f64,
}

impl Span {
    /// The span of a box around `centre`, or the one pixel at `centre` where the film is magnified.
    fn new(centre: f64, size: f64, scale: f64, count: usize) -> Self {
        if size <= 1.0 {
            let first = pixel_at(centre + TIE_BREAK_PX * scale, count);
            return Self {
                pixels: first..first + 1,
                low: first as f64,
                high: first as f64 + 1.0,
            };
        }
        let (low, high) = (centre - size / 2.0, centre + size / 2.0);
        let first = pixel_at(low, count);
        let after = pixel_at(high, count);
        // A box that ends at the start of a pixel does not cover it.
        let last = if after as f64 >= high {
            after.max(1) - 1
        } else {
            after
        }
        .max(first);
        Self {
            pixels: first..last + 1,
            low,
            high,
        }
    }

    /// How much of a pixel the box covers.
    fn weight(&self, pixel: usize) -> f64 {
        let low = self.low.max(pixel as f64);
        let high = self.high.min(pixel as f64 + 1.0);
        (high - low).max(0.0)
    }

    /// How much of the span's pixels the box covers altogether.
    fn covered(&self) -> f64 {
        let low = self.low.max(self.pixels.start as f64);
        let high = self.high.min(self.pixels.end as f64);
        (high - low).max(0.0)
    }

    /// The samples of the span's pixels, each by how much the box covers it: all but the first and the
    /// last are covered whole.
    fn weighted_sum(&self, samples: &[u16]) -> f64 {
        let (first, last) = (self.pixels.start, self.pixels.end - 1);
        match samples {
            [] => 0.0,
            [only] => self.weight(first) * f64::from(*only),
            [start, within @ .., end] => {
                let whole: f64 = within.iter().map(|sample| f64::from(*sample)).sum();
                self.weight(first) * f64::from(*start) + whole + self.weight(last) * f64::from(*end)
            }
        }
    }
}

/// The pixel of so many in which a place lies; one before them is the first, one after them the last.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the pixels of the level; a place that is no number becomes the first"
)]
#[must_use]
pub fn pixel_at(place: f64, count: usize) -> usize {
    // The cast rounds toward zero and keeps to the ends: what `floor` would do, without its cost.
    (place as usize).min(count.saturating_sub(1))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the mean of 16-bit codes has 16 bits"
)]
fn mean_code(level: Level<'_>, columns: &Span, rows: &Span) -> u16 {
    let nearest = level.samples[rows.pixels.start * level.width + columns.pixels.start];
    if columns.pixels.len() == 1 && rows.pixels.len() == 1 {
        return nearest;
    }
    let mut sum = 0.0;
    for row in rows.pixels.clone() {
        let start = row * level.width;
        let covered = &level.samples[start + columns.pixels.start..start + columns.pixels.end];
        sum += rows.weight(row) * columns.weighted_sum(covered);
    }
    let area = rows.covered() * columns.covered();
    if area > 0.0 {
        (sum / area + 0.5) as u16
    } else {
        nearest
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use plumbray_anatomy::{PhysicalPoint, Similarity};
    use proptest::prelude::*;

    use super::*;
    use crate::film::Film;

    /// A film of 40 × 30 pixels whose samples say where they lie.
    fn film() -> Pyramid {
        let pixels =
            image::ImageBuffer::from_fn(40, 30, |x: u32, y: u32| image::Luma([place_code(x, y)]));
        let mut file = Cursor::new(Vec::new());
        pixels
            .write_to(&mut file, image::ImageFormat::Png)
            .expect("a PNG file");
        Film::from_bytes(file.get_ref()).expect("a film").pyramid()
    }

    #[expect(
        clippy::cast_possible_truncation,
        reason = "places on a film of a few pixels"
    )]
    fn place_code(x: u32, y: u32) -> u16 {
        (x * 1000 + y * 7) as u16
    }

    /// So many film pixels for each pixel of the raster, from the film's corner.
    fn upright(step: f64) -> FilmGrid {
        FilmGrid {
            origin: FilmPoint::default(),
            across: FilmStep::new(step, 0.0),
            down: FilmStep::new(0.0, step),
        }
    }

    #[test]
    fn one_to_one_each_code_is_a_sample() {
        let film = film();
        let sampler = GridSampler::new(&film, upright(1.0));
        for (column, row) in [(0, 0), (39, 29), (13, 7)] {
            let code = sampler.code(column, row);
            let sample = film.film().samples()[row * 40 + column];
            assert_eq!(code, sample, "at {column}, {row}");
        }
    }

    #[test]
    fn reduced_a_code_is_the_mean_of_what_its_pixel_covers() {
        let film = film();
        let code = GridSampler::new(&film, upright(2.0)).code(1, 2);
        // Columns 2 and 3, rows 4 and 5: 2500 and 31.5, rounded up.
        assert_eq!(code, 2532, "the mean of four");
        let half = GridSampler::new(&film, upright(1.5)).code(1, 0);
        // From 1.5 to 3 across and from 0 to 1.5 down, each of two pixels by how much is covered.
        let across = (0.5 * 1000.0 + 2000.0) / 1.5;
        let down = 0.5 * 7.0 / 1.5;
        assert!((f64::from(half) - across - down).abs() <= 0.5, "{half}");
    }

    #[test]
    fn a_piece_moved_to_the_right_shows_what_lay_to_the_left() {
        let film = film();
        let piece = MovedPiece {
            outline: Vec::new(),
            motion: Similarity::new(PhysicalPoint::new(5.0, 2.0), 1.0, 0.0, false),
        };
        let grid = upright(1.0).of_piece(&piece, Proportions::SQUARE);
        let code = GridSampler::new(&film, grid).code(25, 12);
        assert_eq!(code, place_code(20, 10), "five to the left and two above");
    }

    proptest! {
        #[test]
        fn the_grid_of_a_piece_shows_the_place_before_the_motion(
            u in -50.0..50.0, v in -50.0..50.0, turn in -4.0..4.0, tall in 0.3..3.0,
            across in (-3.0..3.0, -3.0..3.0), down in (-3.0..3.0, -3.0..3.0),
            column in 0_usize..900, row in 0_usize..900,
        ) {
            let proportions = Proportions::new(tall).expect("possible");
            let piece = MovedPiece {
                outline: Vec::new(),
                motion: Similarity::new(PhysicalPoint::new(u, v), 1.0, turn, false),
            };
            let grid = FilmGrid {
                origin: FilmPoint::new(31.0, -8.0),
                across: FilmStep::new(across.0, across.1),
                down: FilmStep::new(down.0, down.1),
            };
            let shown = grid.of_piece(&piece, proportions).centre(column, row);
            let comes_to = piece.place_after(shown, proportions);
            let off = comes_to.distance_px(grid.centre(column, row));
            prop_assert!(off < 1e-8, "off by {off}");
        }
    }
}
