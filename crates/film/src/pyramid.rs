//! A film with its reduced copies.

use rayon::prelude::*;

use crate::film::Film;

/// A film with its reduced copies, each half as large as the one before, down to a single pixel.
///
/// Level 0 is the film itself. Every pixel of a further level is the mean of the area that it covers
/// on the level before, rounded to the nearest; where a side is odd, the pixel in between counts for
/// both neighbours by the share of its area. The sides are those that a texture's mip levels have:
/// half, rounded down, and at least 1.
#[derive(Clone, Debug)]
pub struct Pyramid {
    film: Film,
    reduced: Vec<Reduced>,
}

#[derive(Clone, Debug)]
struct Reduced {
    width: usize,
    height: usize,
    samples: Vec<u16>,
}

/// One level of a [`Pyramid`].
#[derive(Clone, Copy, Debug)]
pub struct Level<'a> {
    /// The number of columns.
    pub width: usize,
    /// The number of rows.
    pub height: usize,
    /// `width * height` codes, row by row.
    pub samples: &'a [u16],
}

impl Pyramid {
    pub(crate) fn new(film: Film) -> Self {
        let mut reduced: Vec<Reduced> = Vec::new();
        loop {
            let finest = reduced.last().map_or_else(
                || Level {
                    width: film.width(),
                    height: film.height(),
                    samples: film.samples(),
                },
                Reduced::level,
            );
            if finest.width == 1 && finest.height == 1 {
                break;
            }
            reduced.push(halved(finest));
        }
        Self { film, reduced }
    }

    /// The film that the pyramid was made of.
    #[must_use]
    pub const fn film(&self) -> &Film {
        &self.film
    }

    /// The number of levels, at least 1.
    #[must_use]
    pub fn level_count(&self) -> usize {
        self.reduced.len() + 1
    }

    /// A level, 0 being the film itself; the coarsest for any number beyond.
    #[must_use]
    pub fn level(&self, number: usize) -> Level<'_> {
        let coarsest = self.reduced.len();
        match number.min(coarsest).checked_sub(1) {
            None => Level {
                width: self.film.width(),
                height: self.film.height(),
                samples: self.film.samples(),
            },
            Some(index) => self.reduced[index].level(),
        }
    }

    /// Every level, from the film itself to a single pixel.
    pub fn levels(&self) -> impl Iterator<Item = Level<'_>> {
        (0..self.level_count()).map(|number| self.level(number))
    }
}

impl Reduced {
    fn level(&self) -> Level<'_> {
        Level {
            width: self.width,
            height: self.height,
            samples: &self.samples,
        }
    }
}

fn halved(finer: Level<'_>) -> Reduced {
    let width = (finer.width / 2).max(1);
    let height = (finer.height / 2).max(1);
    let mut samples = vec![0; width * height];
    let columns_are_even = finer.width == 2 * width;
    samples
        .par_chunks_exact_mut(width)
        .enumerate()
        .with_min_len(64)
        .for_each(|(y, row)| {
            let (first_row, row_taps) = Taps::of(y, height, finer.height);
            let source = &finer.samples[first_row * finer.width..];
            if columns_are_even && row_taps.count == 2 && row_taps.weights[0] == row_taps.weights[1]
            {
                let (upper, rest) = source.split_at(finer.width);
                average_pairs(upper, rest, row);
            } else {
                average_areas(source, finer.width, row_taps, row);
            }
        });
    Reduced {
        width,
        height,
        samples,
    }
}

/// Means of 2 × 2 pixels.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the mean of 16-bit numbers has 16 bits"
)]
fn average_pairs(upper: &[u16], lower: &[u16], means: &mut [u16]) {
    let pairs = upper.chunks_exact(2).zip(lower.chunks_exact(2));
    for (mean, (above, below)) in means.iter_mut().zip(pairs) {
        let sum =
            u32::from(above[0]) + u32::from(above[1]) + u32::from(below[0]) + u32::from(below[1]);
        *mean = ((sum + 2) / 4) as u16;
    }
}

/// Means of areas that end within pixels.
#[expect(
    clippy::cast_possible_truncation,
    reason = "the mean of 16-bit numbers has 16 bits"
)]
fn average_areas(source: &[u16], source_width: usize, row_taps: Taps, means: &mut [u16]) {
    let width = means.len();
    for (x, mean) in means.iter_mut().enumerate() {
        let (first_column, column_taps) = Taps::of(x, width, source_width);
        let mut sum = 0_u64;
        for (row, row_weight) in row_taps.weights().iter().enumerate() {
            let start = row * source_width + first_column;
            for (column, column_weight) in column_taps.weights().iter().enumerate() {
                sum += row_weight * column_weight * u64::from(source[start + column]);
            }
        }
        let whole = row_taps.total() * column_taps.total();
        *mean = ((sum + whole / 2) / whole) as u16;
    }
}

/// The up to three pixels that a reduced pixel covers along one side, and by how much.
#[derive(Clone, Copy)]
struct Taps {
    weights: [u64; 3],
    count: usize,
}

impl Taps {
    /// The first covered pixel and the weights for reduced pixel `index` of `reduced` out of `whole`
    /// pixels, where `reduced` is half of `whole` rounded down, or both are 1.
    fn of(index: usize, reduced: usize, whole: usize) -> (usize, Self) {
        let taps = if whole == reduced {
            return (index, Self::new([1, 0, 0], 1));
        } else if whole.is_multiple_of(2) {
            Self::new([1, 1, 0], 2)
        } else {
            // With n = reduced and whole = 2n + 1, a reduced pixel covers 2 + 1/n pixels.
            let (n, i) = (reduced as u64, index as u64);
            Self::new([n - i, n, i + 1], 3)
        };
        (2 * index, taps)
    }

    const fn new(weights: [u64; 3], count: usize) -> Self {
        Self { weights, count }
    }

    fn weights(&self) -> &[u64] {
        &self.weights[..self.count]
    }

    fn total(&self) -> u64 {
        self.weights().iter().sum()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn level_of(width: usize, height: usize, samples: &[u16]) -> Reduced {
        halved(Level {
            width,
            height,
            samples,
        })
    }

    #[test]
    fn even_sides_give_means_of_four_rounded_to_the_nearest() {
        let half = level_of(4, 2, &[0, 2, 10, 11, 4, 8, 12, 11]);
        assert_eq!((half.width, half.height), (2, 1), "size");
        assert_eq!(half.samples, [4, 11], "14/4 and 44/4");
    }

    #[test]
    fn odd_sides_share_the_pixel_in_between() {
        // Five columns become two, each 2.5 wide.
        let half = level_of(5, 1, &[10, 20, 30, 40, 50]);
        assert_eq!(
            half.samples,
            [18, 42],
            "(10 + 20 + 30/2) / 2.5 and its mirror"
        );
        let one = level_of(3, 3, &[1, 2, 3, 4, 5, 6, 7, 8, 9]);
        assert_eq!(one.samples, [5], "the mean of nine");
    }

    #[test]
    fn one_row_stays_one_row() {
        let half = level_of(1, 4, &[1, 3, 5, 9]);
        assert_eq!((half.width, half.height), (1, 2), "size");
        assert_eq!(half.samples, [2, 7], "means of two");
    }

    proptest! {
        #[test]
        fn a_reduced_film_keeps_its_mean_and_its_range(
            width in 1_usize..40,
            height in 1_usize..40,
            seed in any::<u16>(),
        ) {
            let samples: Vec<u16> = (0..=u16::MAX)
                .map(|index| index.wrapping_mul(seed) ^ seed)
                .take(width * height)
                .collect();
            let half = level_of(width, height, &samples);
            let mean = |values: &[u16]| {
                values.iter().copied().map(f64::from).sum::<f64>() / values.len() as f64
            };
            // Every mean may be rounded up by a half, and the sums of halves are themselves rounded.
            let off = (mean(&half.samples) - mean(&samples)).abs();
            prop_assert!(off <= 0.5 + 1e-9, "mean");
            prop_assert!(half.samples.iter().max() <= samples.iter().max(), "brightest");
            prop_assert!(half.samples.iter().min() >= samples.iter().min(), "darkest");
        }
    }
}
