//! A film reduced to means of blocks, for comparing it with another one.

use plumbray_anatomy::{PhysicalPoint, Proportions};
use plumbray_film::GreyView;

/// Blocks whose means differ by no more than this share of all that occurs on the film are alike: half of
/// what one grey of eight bits is, so that no noisy film is ever taken for blank. Ours.
const ALIKE: f32 = 0.002;

/// So many blocks about a blank one tell nothing either: the outermost holds some of the edge.
const EDGE: usize = 2;

/// A film reduced to means of blocks; larger values are more bone.
pub(super) struct Reduced {
    width: usize,
    height: usize,
    values: Vec<f32>,
    /// Whether a block tells nothing: beyond the round field of a film from theatre, behind a black mask, or
    /// burnt out.
    is_blank: Vec<bool>,
    /// Pixels of the film, and pixel widths, in one reduced pixel.
    block: [usize; 2],
    proportions: Proportions,
}

impl Reduced {
    /// Blocks about `step` pixel widths wide and high. Nothing where the film is no larger than a few blocks.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "sizes of films, far below 2^24"
    )]
    pub(super) fn of(film: &GreyView<'_>, step: f64) -> Option<Self> {
        let high = step / film.proportions.height_over_width();
        let block = [step, high].map(|side| side.round().clamp(1.0, 4096.0) as usize);
        let (width, height) = (film.width / block[0], film.height / block[1]);
        if width < 8 || height < 8 || film.samples.len() < film.width * film.height {
            return None;
        }
        let sign = if film.bone_is_bright { 1.0 } else { -1.0 };
        let count = (block[0] * block[1]) as f32;
        let mut values = Vec::with_capacity(width * height);
        for row in 0..height {
            let mut sums = vec![0_u64; width];
            for line in 0..block[1] {
                let start = (row * block[1] + line) * film.width;
                let samples = &film.samples[start..start + width * block[0]];
                for (sum, pixels) in sums.iter_mut().zip(samples.chunks_exact(block[0])) {
                    *sum += pixels.iter().map(|pixel| u64::from(*pixel)).sum::<u64>();
                }
            }
            values.extend(sums.iter().map(|sum| sign * *sum as f32 / count));
        }
        Some(Self {
            is_blank: blank(&values, width, height),
            width,
            height,
            values,
            block,
            proportions: film.proportions,
        })
    }

    /// The value at a place in pixel widths with its slope by x and y; nothing outside or where the
    /// film tells nothing.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "a place on the film, checked just before"
    )]
    pub(super) fn at(&self, place: PhysicalPoint) -> Option<[f64; 3]> {
        let film = self.proportions.film(place);
        let [wide, high] = self.block.map(|side| side as f64);
        let (x, y) = (film.x_px / wide - 0.5, film.y_px / high - 0.5);
        if !(x >= 0.0 && y >= 0.0) {
            return None;
        }
        let (column, row) = (x as usize, y as usize);
        if column + 1 >= self.width || row + 1 >= self.height {
            return None;
        }
        if self.is_blank[row * self.width + column] {
            return None;
        }
        let (right, down) = (x - column as f64, y - row as f64);
        let value =
            |dx: usize, dy: usize| f64::from(self.values[(row + dy) * self.width + column + dx]);
        let (a, b, c, d) = (value(0, 0), value(1, 0), value(0, 1), value(1, 1));
        let upper = a + (b - a) * right;
        let lower = c + (d - c) * right;
        let by_x = (b - a) * (1.0 - down) + (d - c) * down;
        let by_y = lower - upper;
        let high_in_widths = high * self.proportions.height_over_width();
        Some([upper + by_y * down, by_x / wide, by_y / high_in_widths])
    }
}

/// Which blocks lie in or beside a stretch where all are alike.
fn blank(values: &[f32], width: usize, height: usize) -> Vec<bool> {
    let (low, high) = range(values.iter().copied());
    let alike = ALIKE * (high - low);
    let mut is_blank = vec![false; values.len()];
    for row in 1..height - 1 {
        for column in 1..width - 1 {
            let around = (row - 1..=row + 1)
                .flat_map(|line| &values[line * width + column - 1..=line * width + column + 1]);
            let (low, high) = range(around.copied());
            if high - low > alike {
                continue;
            }
            // A place is read from its block and the next ones to the right and below, which are so covered too.
            for line in row.saturating_sub(EDGE + 1)..(row + EDGE + 1).min(height) {
                let from = line * width + column.saturating_sub(EDGE + 1);
                let to = line * width + (column + EDGE + 1).min(width);
                is_blank[from..to].fill(true);
            }
        }
    }
    is_blank
}

fn range(values: impl Iterator<Item = f32>) -> (f32, f32) {
    values.fold((f32::INFINITY, f32::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIDE: usize = 60;

    /// A film whose greys rise to the right within a circle and are 7 outside it.
    fn round_film() -> Vec<u16> {
        (0..SIDE * SIDE)
            .map(|pixel| {
                let (column, row) = (pixel % SIDE, pixel / SIDE);
                let away = column.abs_diff(30).pow(2) + row.abs_diff(30).pow(2);
                let grey = if away < 400 { 1000 + 50 * column } else { 7 };
                u16::try_from(grey).unwrap_or(u16::MAX)
            })
            .collect()
    }

    #[test]
    fn nothing_is_told_beyond_the_edge_of_a_round_field_nor_upon_it() {
        let samples = round_film();
        let film = GreyView {
            width: SIDE,
            height: SIDE,
            samples: &samples,
            bone_is_bright: true,
            proportions: Proportions::SQUARE,
        };
        let reduced = Reduced::of(&film, 1.0).expect("large enough");
        let at = |x, y| reduced.at(PhysicalPoint::new(x, y));
        let [value, by_x, by_y] = at(30.5, 30.5).expect("within the field");
        assert!((value - 2500.0).abs() < 1e-6, "{value}");
        assert!((by_x - 50.0).abs() < 1e-6 && by_y.abs() < 1e-6, "its slope");
        assert_eq!(at(55.0, 30.0), None, "beyond the field");
        assert_eq!(at(50.2, 30.5), None, "on its edge");
    }
}
