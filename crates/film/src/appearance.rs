//! What a film's pixels suggest where its file says nothing: a first window, and whether bone is bright.

use std::ops::RangeInclusive;

use crate::{
    film::ValueScale,
    grey_scale::{CODES, NamedWindow},
    window::Window,
};

/// What a film's pixels suggest.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Appearance {
    pub(crate) window: NamedWindow,
    pub(crate) bone_is_bright: bool,
}

/// The longer side of the reduced film on which collimation and air are looked for.
const THUMBNAIL_SIDE: usize = 200;

/// A jump between neighbouring columns of the thumbnail by this share of its range is the edge of
/// the collimated field.
const COLLIMATION_JUMP: f32 = 0.25;

/// The share of a side that collimation may take at each end.
const LARGEST_COLLIMATION: f32 = 0.35;

/// The share of samples left dark and left bright by the first window.
const TAIL: f64 = 0.005;

/// The share of samples in one extreme code from which on it is a saturated area or a burnt-in
/// letter, and no part of the film's range.
const SATURATED: f64 = 0.01;

/// Judges a first window and whether bone is bright from the pixels inside the collimated field.
pub(crate) fn judge(
    samples: &[u16],
    width: usize,
    height: usize,
    padding: Option<&RangeInclusive<u16>>,
    scale: ValueScale,
) -> Appearance {
    let thumbnail = Thumbnail::of(samples, width, height);
    let field = thumbnail.exposed_field();
    let histogram = histogram(
        samples,
        width,
        &field.on_film(&thumbnail, width, height),
        padding,
    );
    let (low, high) = robust_range(&histogram);
    Appearance {
        window: NamedWindow {
            explanation: String::new(),
            window: Window::between(
                scale.value_of_code(f32::from(low)),
                scale.value_of_code(f32::from(high)),
            ),
            curve: None,
        },
        bone_is_bright: thumbnail.air_is_dark(&field, low, high),
    }
}

/// A rectangle of whole pixels, the ends excluded.
struct Field {
    columns: std::ops::Range<usize>,
    rows: std::ops::Range<usize>,
}

impl Field {
    /// The same field on the film; a side shorter than one step of the thumbnail counts whole.
    fn on_film(&self, thumbnail: &Thumbnail, width: usize, height: usize) -> Self {
        let stretch = |range: &std::ops::Range<usize>, length: usize| {
            (range.start * thumbnail.step).min(length)..(range.end * thumbnail.step).min(length)
        };
        Self {
            columns: stretch(&self.columns, width),
            rows: stretch(&self.rows, height),
        }
    }
}

/// The film reduced by whole steps, each pixel the mean of up to 16 samples of its cell.
struct Thumbnail {
    width: usize,
    height: usize,
    step: usize,
    greys: Vec<f32>,
}

impl Thumbnail {
    fn of(samples: &[u16], width: usize, height: usize) -> Self {
        let step = width.max(height).div_ceil(THUMBNAIL_SIDE).max(1);
        // A film narrower than one step still gives one column.
        let small_width = (width / step).max(1);
        let small_height = (height / step).max(1);
        let stride = step.div_ceil(4);
        let mut greys = Vec::with_capacity(small_width * small_height);
        for y in 0..small_height {
            for x in 0..small_width {
                let mut sum = 0.0;
                let mut count = 0.0;
                for row in (y * step..((y + 1) * step).min(height)).step_by(stride) {
                    let columns = x * step..((x + 1) * step).min(width);
                    for column in columns.step_by(stride) {
                        sum += f32::from(samples[row * width + column]);
                        count += 1.0;
                    }
                }
                greys.push(sum / count);
            }
        }
        Self {
            width: small_width,
            height: small_height,
            step,
            greys,
        }
    }

    fn at(&self, x: usize, y: usize) -> f32 {
        self.greys[y * self.width + x]
    }

    /// The part inside the collimator's edges. A jump of the medians of neighbouring columns or
    /// rows tells such an edge from anatomy, which never fills a whole column.
    fn exposed_field(&self) -> Field {
        let columns: Vec<f32> = (0..self.width)
            .map(|x| median((0..self.height).map(|y| self.at(x, y)).collect()))
            .collect();
        let rows: Vec<f32> = (0..self.height)
            .map(|y| median((0..self.width).map(|x| self.at(x, y)).collect()))
            .collect();
        let smallest = self.greys.iter().copied().fold(f32::INFINITY, f32::min);
        let largest = self.greys.iter().copied().fold(0.0, f32::max);
        let jump = COLLIMATION_JUMP * (largest - smallest);
        Field {
            columns: inside_jumps(&columns, jump),
            rows: inside_jumps(&rows, jump),
        }
    }

    /// Whether the largest even area, which on a foot film is air, lies in the darker half of the
    /// range from `low` to `high`.
    fn air_is_dark(&self, field: &Field, low: u16, high: u16) -> bool {
        const BINS: usize = 64;
        let low = f32::from(low);
        let span = (f32::from(high) - low).max(1.0);
        let even_enough = 0.02 * span;
        let mut counts = [0_u32; BINS];
        for y in field.rows.start..field.rows.end.saturating_sub(1) {
            for x in field.columns.start..field.columns.end.saturating_sub(1) {
                let grey = self.at(x, y);
                let across = (self.at(x + 1, y) - grey).abs();
                let down = (self.at(x, y + 1) - grey).abs();
                if across < even_enough && down < even_enough {
                    counts[bin((grey - low) / span, BINS)] += 1;
                }
            }
        }
        let most = counts.iter().max().copied().unwrap_or(0);
        let air = counts.iter().position(|count| *count == most).unwrap_or(0);
        air < BINS / 2
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the share is clamped to 0 … 1 first"
)]
fn bin(share: f32, bins: usize) -> usize {
    ((share.clamp(0.0, 1.0) * bins as f32) as usize).min(bins - 1)
}

fn median(mut values: Vec<f32>) -> f32 {
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}

/// The stretch between the innermost jumps near either end.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a length that fits"
)]
fn inside_jumps(profile: &[f32], jump: f32) -> std::ops::Range<usize> {
    let reach = (profile.len() as f32 * LARGEST_COLLIMATION) as usize;
    let is_jump = |index: usize| (profile[index + 1] - profile[index]).abs() > jump;
    // One more pixel is left out, since the edge may lie within it.
    let start = (0..reach).rev().find(|index| is_jump(*index));
    let end = (profile.len() - reach..profile.len())
        .map(|index| index - 1)
        .find(|index| *index + 1 < profile.len() && is_jump(*index));
    let start = start.map_or(0, |index| index + 2);
    let end = end.unwrap_or(profile.len());
    if start + 2 < end {
        start..end
    } else {
        0..profile.len()
    }
}

/// How often each code occurs on a grid of about a million samples within a field.
fn histogram(
    samples: &[u16],
    width: usize,
    field: &Field,
    padding: Option<&RangeInclusive<u16>>,
) -> Vec<u32> {
    const ENOUGH: usize = 1_000_000;
    let area = field.columns.len() * field.rows.len();
    let mut stride = 1;
    while area / (stride * stride) > ENOUGH {
        stride += 1;
    }
    let mut counts = vec![0_u32; CODES];
    for y in field.rows.clone().step_by(stride) {
        let row = &samples[y * width..(y + 1) * width];
        for sample in row[field.columns.clone()].iter().step_by(stride) {
            if !padding.is_some_and(|padding| padding.contains(sample)) {
                counts[usize::from(*sample)] += 1;
            }
        }
    }
    counts
}

/// The codes between which nearly all of the film lies, saturated areas at either end set aside.
fn robust_range(histogram: &[u32]) -> (u16, u16) {
    let total: u64 = histogram.iter().map(|count| u64::from(*count)).sum();
    let Some((mut first, mut last)) = ends(histogram, 0..histogram.len()) else {
        return (0, u16::MAX);
    };
    let is_saturated = |code: usize| f64::from(histogram[code]) > SATURATED * total as f64;
    let mut remaining = total;
    for at_the_start in [true, false] {
        let code = if at_the_start { first } else { last };
        let rest = remaining - u64::from(histogram[code]);
        // What remains must still be a picture, not the specks of a film of two greys.
        if is_saturated(code) && rest * 20 > total {
            let inner = if at_the_start {
                first + 1..last + 1
            } else {
                first..last
            };
            let Some(found) = ends(histogram, inner) else {
                break;
            };
            (first, last) = found;
            remaining = rest;
        }
    }
    let low = quantile(histogram, first..last + 1, remaining, TAIL);
    let high = quantile(histogram, first..last + 1, remaining, 1.0 - TAIL);
    if low < high {
        (low, high)
    } else {
        (code(first), code(last).max(code(first).saturating_add(1)))
    }
}

fn code(index: usize) -> u16 {
    u16::try_from(index).unwrap_or(u16::MAX)
}

/// The first and the last code that occurs.
fn ends(histogram: &[u32], within: std::ops::Range<usize>) -> Option<(usize, usize)> {
    let occurs = |code: &usize| histogram[*code] > 0;
    Some((within.clone().find(occurs)?, within.rev().find(occurs)?))
}

fn quantile(histogram: &[u32], within: std::ops::Range<usize>, total: u64, share: f64) -> u16 {
    let wanted = share * total as f64;
    let mut seen = 0.0;
    for index in within.clone() {
        seen += f64::from(histogram[index]);
        if seen >= wanted {
            return code(index);
        }
    }
    code(within.end.saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn films_of_any_shape_have_a_window() {
        for (width, height) in [(1, 1), (1, 70_000), (70_000, 1), (8, 58_632), (201, 200)] {
            let samples: Vec<u16> = (0..width * height)
                .map(|index| code(index % 1000))
                .collect();
            let window = judge(&samples, width, height, None, ValueScale::IDENTITY)
                .window
                .window;
            assert!(
                window.low() < window.high(),
                "{width} by {height}: {window:?}"
            );
        }
    }

    #[test]
    fn a_film_of_nothing_but_padding_has_a_window() {
        let judged = judge(&[7; 64], 8, 8, Some(&(7..=7)), ValueScale::IDENTITY);
        assert!(judged.window.window.width > 0.0, "{judged:?}");
    }
}
