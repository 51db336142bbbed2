//! Samples of any depth as 16-bit codes in the same order.

use crate::{error::FilmProblem, film::ValueScale, limits::with_room};

/// 16-bit codes and what they stand for.
#[derive(Debug)]
pub(crate) struct Coded {
    pub(crate) samples: Vec<u16>,
    pub(crate) scale: ValueScale,
    /// Whether neighbouring values may share a code.
    pub(crate) was_scaled: bool,
}

impl Coded {
    pub(crate) const fn plain(samples: Vec<u16>, scale: ValueScale) -> Self {
        Self {
            samples,
            scale,
            was_scaled: false,
        }
    }
}

/// The scale of signed samples whose sign bit was flipped, so that the lowest value has code 0.
pub(crate) fn signed_scale(bits: u8) -> ValueScale {
    let lowest = -f32::from(1_u16 << (bits - 1));
    ValueScale::new(1.0, lowest).unwrap_or(ValueScale::IDENTITY)
}

/// Codes for samples deeper than 16 bits: the range that the film uses is spread over 0 to 65,535,
/// without scaling when it fits.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "codes lie within 0 … 65,535 by construction, and film values are captions"
)]
pub(crate) fn scaled(count: usize, value: impl Fn(usize) -> i64) -> Result<Coded, FilmProblem> {
    let (lowest, highest) = (0..count).fold((i64::MAX, i64::MIN), |(low, high), index| {
        let sample = value(index);
        (low.min(sample), high.max(sample))
    });
    let span = highest.saturating_sub(lowest).max(0);
    let step = if span > i64::from(u16::MAX) {
        span as f64 / f64::from(u16::MAX)
    } else {
        1.0
    };
    let mut samples = with_room(count)?;
    samples.extend((0..count).map(|index| ((value(index) - lowest) as f64 / step).round() as u16));
    Ok(Coded {
        samples,
        scale: ValueScale::new(step as f32, lowest as f32).unwrap_or(ValueScale::IDENTITY),
        was_scaled: step > 1.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_that_fits_is_not_scaled() {
        let values = [-5_i64, 0, 60_000];
        let coded = scaled(3, |i| values[i]).expect("small");
        assert_eq!(coded.samples, [0, 5, 60_005], "codes");
        assert!(!coded.was_scaled, "nothing was lost");
        assert!(coded.scale.value_of_code(5.0).abs() < 1e-6, "value");
    }

    #[test]
    fn a_wider_range_keeps_its_order_and_its_ends() {
        let values = [0_i64, 1 << 20, i64::from(u32::MAX)];
        let coded = scaled(3, |i| values[i]).expect("small");
        assert_eq!((coded.samples[0], coded.samples[2]), (0, u16::MAX), "ends");
        assert_eq!(coded.samples[1], 16, "2^20 of 2^32 is 16 of 65,536");
        assert!(coded.was_scaled, "said so");
    }
}
