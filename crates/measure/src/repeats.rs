//! How well one reader repeats a number.

use crate::normal_distribution::TWO_SIDED_95;

/// What several readings of one number on the same films come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeatability {
    /// How many readings.
    pub count: usize,
    /// Their mean.
    pub mean: f64,
    /// The standard deviation within the reader: of a single reading about the mean, with n − 1.
    pub sd_within: f64,
    /// The smallest change between two single readings that is more than chance in 95 %:
    /// 1.96 · √2 · `sd_within`.
    pub smallest_detectable_change: f64,
}

/// What readings of the same number come to; nothing from fewer than two, or where one is no number.
///
/// ```text
/// SD = √(Σ (x − x̄)² / (n − 1)),   smallest detectable change = 1.96 · √2 · SD
/// ```
///
/// Bland, Altman, Lancet 1986;i:307–310, call the latter the coefficient of repeatability. From a handful of
/// readings it is itself uncertain: of three by about half.
#[must_use]
pub fn repeatability(readings: &[f64]) -> Option<Repeatability> {
    if readings.len() < 2 || !readings.iter().all(|reading| reading.is_finite()) {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "nobody reads a film 2^52 times")]
    let count = readings.len() as f64;
    let mean = readings.iter().sum::<f64>() / count;
    let squares: f64 = readings
        .iter()
        .map(|reading| (reading - mean).powi(2))
        .sum();
    let sd_within = (squares / (count - 1.0)).sqrt();
    Some(Repeatability {
        count: readings.len(),
        mean,
        sd_within,
        smallest_detectable_change: TWO_SIDED_95 * std::f64::consts::SQRT_2 * sd_within,
    })
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn two_readings_of_the_published_peak_flow_meter_come_to_its_repeatability() {
        // Bland, Altman 1986: first and second reading of 17 people by the large meter. The standard
        // deviation within people is the root of the mean of the pairs' variances, 15.3067, and the
        // coefficient of repeatability 42.428.
        let first = [
            494.0, 395.0, 516.0, 434.0, 476.0, 557.0, 413.0, 442.0, 650.0, 433.0, 417.0, 656.0,
            267.0, 478.0, 178.0, 423.0, 427.0,
        ];
        let second = [
            490.0, 397.0, 512.0, 401.0, 470.0, 611.0, 415.0, 431.0, 638.0, 429.0, 420.0, 633.0,
            275.0, 492.0, 165.0, 372.0, 421.0,
        ];
        let variances: Vec<f64> = first
            .into_iter()
            .zip(second)
            .map(|(one, two)| repeatability(&[one, two]).expect("two").sd_within.powi(2))
            .collect();
        let within = (variances.iter().sum::<f64>() / 17.0).sqrt();
        assert_close(within, 15.3067, 1e-4, "within people");
        let both = repeatability(&[494.0, 490.0]).expect("two");
        let factor = both.smallest_detectable_change / both.sd_within;
        assert_close(
            factor * within,
            42.428,
            1e-3,
            "coefficient of repeatability",
        );
    }

    #[test]
    fn one_reading_or_one_that_is_no_number_says_nothing() {
        assert_eq!(repeatability(&[3.0]), None, "one");
        assert_eq!(repeatability(&[3.0, f64::NAN]), None, "no number");
    }
}
