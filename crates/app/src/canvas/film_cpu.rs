//! Draws a film on the processor: the way for machines whose graphics driver cannot.
//!
//! The film is sampled at the size of the screen when it is moved, zoomed or turned; a change of window
//! or level only looks the samples up in a new table.

use std::{
    ops::Range,
    sync::{Arc, Weak},
};

use egui::{Color32, ColorImage, Rect, TextureHandle, TextureOptions, pos2};
use plumbray_film::{
    FilmGrid, FilmRegion, GreyScale, GridSampler, Pyramid, TIE_BREAK_PX, pixel_at,
};
use rayon::prelude::*;

use super::{look::FilmLook, sampling::PixelRect};

/// What a texture is multiplied by to stay as it is.
pub(super) const UNTINTED: Color32 = Color32::WHITE;

/// What to draw, and where.
#[derive(Clone, Debug)]
pub(super) struct CpuPicture<'a> {
    pub(super) pyramid: &'a Arc<Pyramid>,
    pub(super) look: &'a FilmLook,
    pub(super) surround: Color32,
    pub(super) pixels: PixelRect,
    pub(super) grid: FilmGrid,
    /// Whether only the largest circle within the pixels is drawn.
    pub(super) round: bool,
    /// How strongly it covers what lies beneath, from 0 to 1.
    pub(super) opacity: f32,
}

/// A picture of a film that is kept from frame to frame.
#[derive(Default)]
pub(super) struct FilmCpu {
    sampled: Option<Sampled>,
    look: Option<FilmLook>,
    texture: Option<TextureHandle>,
}

impl std::fmt::Debug for FilmCpu {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("FilmCpu")
            .field("look", &self.look)
            .finish_non_exhaustive()
    }
}

impl FilmCpu {
    /// Draws a picture as an image of egui's.
    pub(super) fn paint(&mut self, painter: &egui::Painter, picture: &CpuPicture<'_>) {
        let is_current = |sampled: &Sampled| sampled.is_of(picture);
        if !self.sampled.as_ref().is_some_and(is_current) {
            self.sampled = Some(Sampled::new(picture));
            self.look = None;
        }
        if self.look.as_ref() != Some(picture.look)
            && let Some(sampled) = &self.sampled
        {
            let image = sampled.coloured(picture);
            match &mut self.texture {
                Some(texture) => texture.set(image, TextureOptions::NEAREST),
                None => {
                    let load = painter
                        .ctx()
                        .load_texture("film", image, TextureOptions::NEAREST);
                    self.texture = Some(load);
                }
            }
            self.look = Some(picture.look.clone());
        }
        if let Some(texture) = &self.texture {
            show(painter, texture, picture.pixels, picture.opacity);
        }
    }
}

/// Shows a texture on these pixels; it covers what lies beneath by `opacity`.
pub(super) fn show(
    painter: &egui::Painter,
    texture: &TextureHandle,
    pixels: PixelRect,
    opacity: f32,
) {
    let rect = pixels.in_points(painter.ctx().pixels_per_point());
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    let tint = UNTINTED.gamma_multiply(opacity);
    painter.image(texture.id(), rect, whole, tint);
}

/// The colour of each code of a film: its grey, and the surround in place of padding.
pub(super) fn colours_of_codes(
    grey: &GreyScale,
    look: &FilmLook,
    surround: Color32,
) -> Vec<Color32> {
    let table = look.table(grey);
    let colour_of = |code: u16| {
        if grey.is_padding(code) {
            surround
        } else {
            Color32::from_gray(table.grey(code))
        }
    };
    (0..=u16::MAX).map(colour_of).collect()
}

/// The codes that a picture shows, before window and level.
struct Sampled {
    pyramid: Weak<Pyramid>,
    pixels: PixelRect,
    grid: FilmGrid,
    round: bool,
    width: usize,
    codes: Vec<u16>,
}

impl Sampled {
    fn new(picture: &CpuPicture<'_>) -> Self {
        let width = usize::try_from(picture.pixels.width).unwrap_or(0);
        let height = usize::try_from(picture.pixels.height).unwrap_or(0);
        let codes = match upright_region(&picture.grid, width, height) {
            Some(region) => picture.pyramid.resample(region, width, height),
            None => turned_codes(picture.pyramid, &picture.grid, width, height),
        };
        Self {
            pyramid: Arc::downgrade(picture.pyramid),
            pixels: picture.pixels,
            grid: picture.grid,
            round: picture.round,
            width,
            codes,
        }
    }

    /// Whether this is the sample that a picture needs, whatever its look.
    fn is_of(&self, picture: &CpuPicture<'_>) -> bool {
        self.pyramid.ptr_eq(&Arc::downgrade(picture.pyramid))
            && self.pixels == picture.pixels
            && self.grid == picture.grid
            && self.round == picture.round
    }

    /// The picture in colours through the look.
    fn coloured(&self, picture: &CpuPicture<'_>) -> ColorImage {
        let film = picture.pyramid.film();
        let colours = colours_of_codes(film.grey(), picture.look, picture.surround);
        let height = self.codes.len().checked_div(self.width).unwrap_or(0);
        let mut image = ColorImage::filled([self.width, height], picture.surround);
        if self.width == 0 {
            return image;
        }
        let film_size = (film.width() as f64, film.height() as f64);
        image
            .pixels
            .par_chunks_exact_mut(self.width)
            .zip(self.codes.par_chunks_exact(self.width))
            .enumerate()
            .for_each(|(row, (colours_of_row, codes))| {
                let on_film = columns_on_film(&self.grid, film_size, self.width, row);
                let shown = colours_of_row[on_film.clone()].iter_mut();
                for (colour, code) in shown.zip(&codes[on_film]) {
                    *colour = colours[usize::from(*code)];
                }
                if self.round {
                    let inside = columns_in_circle(self.width, height, row);
                    colours_of_row[..inside.start].fill(Color32::TRANSPARENT);
                    colours_of_row[inside.end..].fill(Color32::TRANSPARENT);
                }
            });
        image
    }
}

/// The region that the grid shows, where it is neither turned nor flipped.
fn upright_region(grid: &FilmGrid, width: usize, height: usize) -> Option<FilmRegion> {
    let (across, down) = (grid.across, grid.down);
    let is_upright = across.down_px == 0.0
        && down.across_px == 0.0
        && across.across_px > 0.0
        && down.down_px > 0.0;
    let tie_break = |step: f64| if step <= 1.0 { TIE_BREAK_PX } else { 0.0 };
    is_upright.then(|| FilmRegion {
        left_px: grid.origin.x_px + tie_break(across.across_px),
        top_px: grid.origin.y_px + tie_break(down.down_px),
        width_px: across.across_px * width as f64,
        height_px: down.down_px * height as f64,
    })
}

/// The codes of a grid that lies in any way; as the fragment shader finds them.
fn turned_codes(pyramid: &Pyramid, grid: &FilmGrid, width: usize, height: usize) -> Vec<u16> {
    let sampler = GridSampler::new(pyramid, *grid);
    let mut codes = vec![0; width * height];
    if width == 0 {
        return codes;
    }
    codes
        .par_chunks_exact_mut(width)
        .enumerate()
        .for_each(|(row, codes_of_row)| {
            for (column, code) in codes_of_row.iter_mut().enumerate() {
                *code = sampler.code(column, row);
            }
        });
    codes
}

/// The columns of a row of the grid whose centres lie on the film: one run, because a film is convex.
fn columns_on_film(
    grid: &FilmGrid,
    (film_width, film_height): (f64, f64),
    width: usize,
    row: usize,
) -> Range<usize> {
    let first = grid.centre(0, row);
    let x = run_within(first.x_px, grid.across.across_px, film_width, width);
    let y = run_within(first.y_px, grid.across.down_px, film_height, width);
    let start = x.start.max(y.start);
    start..x.end.min(y.end).max(start)
}

/// The `i` below `count` for which `0 ≤ start + i · step < limit`.
fn run_within(start: f64, step: f64, limit: f64, count: usize) -> Range<usize> {
    let is_within = |index: usize| (0.0..limit).contains(&(start + index as f64 * step));
    if step == 0.0 {
        return if is_within(0) { 0..count } else { 0..0 };
    }
    let (one, other) = (-start / step, (limit - start) / step);
    let bound = |place: f64| pixel_at(place, count + 1);
    let mut run = bound(one.min(other).ceil())..bound(one.max(other).ceil());
    // The quotients may be one off by rounding.
    while run.start > 0 && is_within(run.start - 1) {
        run.start -= 1;
    }
    while run.start < run.end && !is_within(run.start) {
        run.start += 1;
    }
    while run.end > run.start && !is_within(run.end - 1) {
        run.end -= 1;
    }
    while run.end < count && run.end >= run.start && is_within(run.end) {
        run.end += 1;
    }
    run
}

/// The columns of a row whose centres lie within the largest circle of `width × height` pixels.
fn columns_in_circle(width: usize, height: usize, row: usize) -> Range<usize> {
    let radius = width.min(height) as f64 / 2.0;
    let down = row as f64 + 0.5 - height as f64 / 2.0;
    let half = (radius * radius - down * down).sqrt();
    if half.is_nan() {
        return 0..0;
    }
    let middle = width as f64 / 2.0 - 0.5;
    let start = pixel_at((middle - half).ceil(), width + 1);
    start..pixel_at((middle + half).floor() + 1.0, width + 1).max(start)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn a_run_within_holds_exactly_the_places_between_the_limits(
            start in -50.0..150.0, step in -3.0..3.0, limit in 1.0..90.0, count in 0_usize..120,
        ) {
            let run = run_within(start, step, limit, count);
            for index in 0..count {
                let place = start + index as f64 * step;
                prop_assert_eq!(
                    run.contains(&index), (0.0..limit).contains(&place),
                    "{} at {} in {:?}", index, place, &run
                );
            }
        }

        #[test]
        fn a_circle_holds_exactly_the_centres_within_its_radius(
            width in 1_usize..60, height in 1_usize..60, share in 0.0..1.0,
        ) {
            let row = pixel_at(share * height as f64, height);
            let radius = width.min(height) as f64 / 2.0;
            let run = columns_in_circle(width, height, row);
            for column in 0..width {
                let across = column as f64 + 0.5 - width as f64 / 2.0;
                let down = row as f64 + 0.5 - height as f64 / 2.0;
                let distance = across.hypot(down);
                prop_assume!((distance - radius).abs() > 1e-9);
                prop_assert_eq!(run.contains(&column), distance < radius, "column {}", column);
            }
        }
    }
}
