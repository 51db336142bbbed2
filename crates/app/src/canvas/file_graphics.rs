//! The graphics that a file lays over its film, as one mask and as a texture of it.

use std::sync::{Arc, Weak};

use egui::{
    Color32, ColorImage, Mesh, Painter, Rect, TextureFilter, TextureHandle, TextureOptions, Vec2,
    pos2, vec2,
};
use plumbray_anatomy::FilmPoint;
use plumbray_film::{Film, Overlay};

use super::{film_cpu::UNTINTED, transform::ScreenFromFilm};

/// The longest side of a texture, in its own pixels: within what every graphics driver takes.
const LONGEST_SIDE: usize = 2048;
/// A square that makes a film of the greatest size small enough.
const LARGEST_BLOCK: usize = 4096;

/// All graphics of a file over one film, cut to the part of the film where there are any.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileGraphics {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
    covered: Vec<bool>,
}

impl FileGraphics {
    /// The graphics of a film; nothing where there are none on it. Looks at every pixel of each: call it on a worker.
    #[must_use]
    pub fn of(film: &Film) -> Option<Self> {
        Self::of_overlays(film.overlays(), film.width(), film.height())
    }

    fn of_overlays(overlays: &[Overlay], width: usize, height: usize) -> Option<Self> {
        let places = || {
            overlays.iter().flat_map(move |overlay| {
                (0..overlay.height).flat_map(move |row| {
                    (0..overlay.width)
                        .filter(move |column| overlay.covers(*column, row))
                        .filter_map(move |column| {
                            let column = on_film(overlay.left, column, width)?;
                            Some((column, on_film(overlay.top, row, height)?))
                        })
                })
            })
        };
        let first = places().next()?;
        let (mut least, mut most) = (first, first);
        for (column, row) in places() {
            least = (least.0.min(column), least.1.min(row));
            most = (most.0.max(column), most.1.max(row));
        }
        let (width, height) = (most.0 - least.0 + 1, most.1 - least.1 + 1);
        let mut covered = vec![false; width * height];
        for (column, row) in places() {
            covered[(row - least.1) * width + column - least.0] = true;
        }
        Some(Self {
            left: least.0,
            top: least.1,
            width,
            height,
            covered,
        })
    }

    /// Columns and rows of squares of `block` film pixels.
    const fn size_in(&self, block: usize) -> [usize; 2] {
        [self.width.div_ceil(block), self.height.div_ceil(block)]
    }

    /// The graphics in squares of `block` film pixels, each covered where any of its pixels is, so that thin lines
    /// stay; with a rim of one square that nothing covers, for the halo.
    fn image(&self, block: usize, ink: Color32, halo: Color32) -> ColorImage {
        let [columns, rows] = self.size_in(block).map(|side| side + 2);
        let mut covered = vec![false; columns * rows];
        for (index, _) in self.covered.iter().enumerate().filter(|own| *own.1) {
            let (column, row) = (index % self.width / block, index / self.width / block);
            covered[(row + 1) * columns + column + 1] = true;
        }
        let is_covered = |column: usize, row: usize| {
            column < columns && row < rows && covered[row * columns + column]
        };
        let is_beside = |column: usize, row: usize| {
            (row.saturating_sub(1)..=row + 1).any(|row| {
                (column.saturating_sub(1)..=column + 1).any(|column| is_covered(column, row))
            })
        };
        let pixels = (0..columns * rows).map(|index| {
            let (column, row) = (index % columns, index / columns);
            if is_covered(column, row) {
                ink
            } else if is_beside(column, row) {
                halo
            } else {
                Color32::TRANSPARENT
            }
        });
        ColorImage::new([columns, rows], pixels.collect())
    }
}

/// Where a column or row of an overlay lies on the film; nothing beside it.
fn on_film(first: i32, own: usize, extent: usize) -> Option<usize> {
    let place = i64::from(first) + i64::try_from(own).ok()?;
    usize::try_from(place).ok().filter(|place| *place < extent)
}

/// What the drawing of graphics keeps between frames.
#[derive(Default)]
pub struct GraphicsPainter {
    kept: Option<Kept>,
}

struct Kept {
    graphics: Weak<FileGraphics>,
    block: usize,
    texture: TextureHandle,
}

impl std::fmt::Debug for GraphicsPainter {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("GraphicsPainter")
            .field("block", &self.kept.as_ref().map(|kept| kept.block))
            .finish_non_exhaustive()
    }
}

impl GraphicsPainter {
    /// Draws the graphics where they lie on the film, in this colour before this halo.
    pub fn graphics_ui(
        &mut self,
        painter: &Painter,
        map: &ScreenFromFilm,
        graphics: &Arc<FileGraphics>,
        ink: Color32,
        halo: Color32,
    ) {
        let painter = painter.with_clip_rect(painter.clip_rect().intersect(map.viewport()));
        let block = block_for(
            map.zoom() * f64::from(painter.ctx().pixels_per_point()),
            graphics,
        );
        let texture = self.texture(&painter, graphics, block, ink, halo);
        let [columns, rows] = graphics.size_in(block);
        let corner = |right: bool, lower: bool| {
            // The texture has a rim of one square around the graphics.
            let place = |first: usize, squares: usize, far: bool| {
                let from_first = if far { squares as f64 + 1.0 } else { -1.0 };
                first as f64 + from_first * block as f64
            };
            map.screen(FilmPoint::new(
                place(graphics.left, columns, right),
                place(graphics.top, rows, lower),
            ))
        };
        let mut mesh = Mesh::with_texture(texture);
        mesh.add_rect_with_uv(
            Rect::from_min_size(pos2(0.0, 0.0), Vec2::ZERO),
            Rect::from_min_size(pos2(0.0, 0.0), vec2(1.0, 1.0)),
            UNTINTED,
        );
        let corners = [
            corner(false, false),
            corner(true, false),
            corner(false, true),
            corner(true, true),
        ];
        for (vertex, place) in mesh.vertices.iter_mut().zip(corners) {
            vertex.pos = place;
        }
        painter.add(mesh);
    }

    fn texture(
        &mut self,
        painter: &Painter,
        graphics: &Arc<FileGraphics>,
        block: usize,
        ink: Color32,
        halo: Color32,
    ) -> egui::TextureId {
        let is_kept =
            |kept: &Kept| kept.block == block && kept.graphics.ptr_eq(&Arc::downgrade(graphics));
        if let Some(kept) = self.kept.as_ref().filter(|kept| is_kept(kept)) {
            return kept.texture.id();
        }
        let options = TextureOptions {
            magnification: TextureFilter::Linear,
            minification: TextureFilter::Linear,
            ..TextureOptions::default()
        };
        let image = graphics.image(block, ink, halo);
        let texture = painter
            .ctx()
            .load_texture("graphics of the file", image, options);
        let id = texture.id();
        self.kept = Some(Kept {
            graphics: Arc::downgrade(graphics),
            block,
            texture,
        });
        id
    }
}

/// The side of a square in film pixels: the power of two that is about a pixel of the screen, and so many that the
/// texture is not too large.
fn block_for(screen_pixels_per_film_pixel: f64, graphics: &FileGraphics) -> usize {
    let mut block = 1;
    while block < LARGEST_BLOCK
        && (block as f64 * 2.0 * screen_pixels_per_film_pixel <= 1.0
            || graphics.size_in(block).into_iter().max() > Some(LONGEST_SIDE))
    {
        block *= 2;
    }
    block
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line of one pixel's width along the fourth of nine rows.
    fn line() -> FileGraphics {
        FileGraphics {
            left: 20,
            top: 30,
            width: 9,
            height: 9,
            covered: (0..81).map(|index| index / 9 == 3).collect(),
        }
    }

    #[test]
    fn a_thin_line_stays_whole_in_squares_of_any_size() {
        for block in [1, 2, 4, 8] {
            let image = line().image(block, Color32::WHITE, Color32::BLACK);
            let [columns, rows] = line().size_in(block);
            assert_eq!(image.size, [columns + 2, rows + 2], "with a rim, {block}");
            let row = 3 / block + 1;
            let is_ink =
                |column: usize| image.pixels[row * (columns + 2) + column] == Color32::WHITE;
            assert!((1..=columns).all(is_ink), "squares of {block}");
        }
    }

    #[test]
    fn a_halo_goes_around_what_is_covered_and_no_further() {
        let image = line().image(1, Color32::WHITE, Color32::BLACK);
        let column = |row: usize| image.pixels[row * 11 + 5];
        let expected = [
            Color32::TRANSPARENT,
            Color32::BLACK,
            Color32::WHITE,
            Color32::BLACK,
            Color32::TRANSPARENT,
        ];
        assert_eq!([2, 3, 4, 5, 6].map(column), expected, "rows about the line");
    }

    #[test]
    fn squares_are_about_a_pixel_of_the_screen() {
        let squares = [1.0, 0.6, 0.5, 0.26, 0.25, 3.0].map(|zoom| block_for(zoom, &line()));
        assert_eq!(squares, [1, 1, 2, 2, 4, 1], "by zoom");
        assert_eq!(
            block_for(0.0, &line()),
            LARGEST_BLOCK,
            "a zone without area"
        );
    }

    #[test]
    fn what_lies_beside_the_film_is_left_out() {
        assert_eq!(on_film(-3, 2, 10), None, "before it");
        assert_eq!(on_film(-3, 3, 10), Some(0), "its first column");
        assert_eq!(on_film(8, 2, 10), None, "beyond it");
    }
}
