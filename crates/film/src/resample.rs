//! Drawing a part of a film at any size without a graphics processor.

use rayon::prelude::*;

use crate::{
    grey_scale::DisplayTable,
    pyramid::{Level, Pyramid},
};

/// A rectangle on the film in pixels, which may reach beyond the film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmRegion {
    /// The left edge.
    pub left_px: f64,
    /// The upper edge.
    pub top_px: f64,
    /// The width, above 0.
    pub width_px: f64,
    /// The height, above 0.
    pub height_px: f64,
}

impl Pyramid {
    /// A region of the film as `width * height` codes, row by row.
    ///
    /// Reduced, every pixel is the mean of the area that it covers, so that nothing shimmers;
    /// magnified, it is the film's own pixel, so that no detail is made up. Beyond the film the
    /// nearest pixel of its edge is repeated.
    #[must_use]
    pub fn resample(&self, region: FilmRegion, width: usize, height: usize) -> Vec<u16> {
        let reduction = (region.width_px / width as f64).min(region.height_px / height as f64);
        let level = self.level(level_for(reduction));
        let film = self.level(0);
        let columns = spans(
            region.left_px,
            region.width_px,
            width,
            film.width,
            level.width,
        );
        let rows = spans(
            region.top_px,
            region.height_px,
            height,
            film.height,
            level.height,
        );
        let mut codes = vec![0; width * height];
        if width > 0 {
            codes.par_chunks_exact_mut(width).zip(&rows).for_each_init(
                Vec::new,
                |blend, (codes_of_row, row)| {
                    resample_row(level, row, &columns, blend, codes_of_row);
                },
            );
        }
        codes
    }

    /// A region of the film as greys through a table: [`resample`](Self::resample) and
    /// [`DisplayTable::apply`] in one.
    #[must_use]
    pub fn render(
        &self,
        region: FilmRegion,
        width: usize,
        height: usize,
        table: &DisplayTable,
    ) -> Vec<u8> {
        let codes = self.resample(region, width, height);
        let mut greys = vec![0; codes.len()];
        table.apply(&codes, &mut greys);
        greys
    }
}

/// The coarsest level that still has at least one pixel for each drawn one.
fn level_for(reduction: f64) -> usize {
    let mut level = 0;
    let mut pixels_per_drawn = reduction;
    while pixels_per_drawn >= 2.0 && level < 40 {
        pixels_per_drawn /= 2.0;
        level += 1;
    }
    level
}

/// The pixels of a level that one drawn pixel covers along one side.
struct Span {
    first: usize,
    weights: Vec<f32>,
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the places are clamped to the level first"
)]
fn spans(start_px: f64, length_px: f64, count: usize, film: usize, level: usize) -> Vec<Span> {
    let per_film_pixel = level as f64 / film as f64;
    let step = length_px / count as f64 * per_film_pixel;
    let origin = start_px * per_film_pixel;
    let last = level as f64 - 1.0;
    (0..count)
        .map(|index| {
            let from = origin + index as f64 * step;
            if step <= 1.0 {
                let nearest = (from + step / 2.0).floor().clamp(0.0, last);
                return Span {
                    first: nearest as usize,
                    weights: vec![1.0],
                };
            }
            let low = from.clamp(0.0, last);
            let high = (from + step).clamp(low, level as f64);
            let first = low.floor();
            let end = high.ceil().max(first + 1.0);
            let mut weights: Vec<f32> = (first as usize..end as usize)
                .map(|pixel| {
                    let pixel = pixel as f64;
                    ((pixel + 1.0).min(high) - pixel.max(low)).max(0.0) as f32
                })
                .collect();
            let total: f32 = weights.iter().sum();
            if total > 0.0 {
                weights.iter_mut().for_each(|weight| *weight /= total);
            } else {
                weights.fill(0.0);
                weights[0] = 1.0;
            }
            Span {
                first: first as usize,
                weights,
            }
        })
        .collect()
}

/// Writes one row of codes. `blend` is room for the covered rows of the level, blended into one: down
/// first and then across, since a whole row is blended many pixels at a time.
fn resample_row(
    level: Level<'_>,
    row: &Span,
    columns: &[Span],
    blend: &mut Vec<f32>,
    codes: &mut [u16],
) {
    let first_column = columns.first().map_or(0, |column| column.first);
    let end_column = columns
        .last()
        .map_or(0, |column| column.first + column.weights.len());
    blend.clear();
    blend.resize(end_column - first_column, 0.0);
    for (y, weight) in row.weights.iter().enumerate() {
        let start = (row.first + y) * level.width;
        let covered = &level.samples[start + first_column..start + end_column];
        for (blended, sample) in blend.iter_mut().zip(covered) {
            *blended += weight * f32::from(*sample);
        }
    }
    for (code, column) in codes.iter_mut().zip(columns) {
        let covered = &blend[column.first - first_column..];
        let mean: f32 = covered
            .iter()
            .zip(&column.weights)
            .map(|(blended, weight)| blended * weight)
            .sum();
        *code = rounded_code(mean);
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the mean of 16-bit numbers has 16 bits"
)]
fn rounded_code(mean: f32) -> u16 {
    // Not `round`, whose ties away from zero cost a call for each pixel on common processors.
    (mean + 0.5) as u16
}
