//! Values that change along a bone, sampled densely enough to be read by linear interpolation.

/// Rows of values at even steps along a bone, from w = 0.
#[derive(Clone, Debug)]
pub(super) struct Table<const COLUMNS: usize> {
    rows: Vec<[f64; COLUMNS]>,
    rows_per_mm: f64,
}

impl<const COLUMNS: usize> Table<COLUMNS> {
    /// The table of curves over shares of a length, sampled every `step_mm` of it.
    pub(super) fn new(length_mm: f64, step_mm: f64, curves: &[Curve; COLUMNS]) -> Self {
        let mut rows = Vec::new();
        let mut at_mm = 0.0;
        while at_mm < length_mm + step_mm {
            rows.push(std::array::from_fn(|column| {
                curves[column].value(at_mm / length_mm)
            }));
            at_mm += step_mm;
        }
        Self {
            rows,
            rows_per_mm: 1.0 / step_mm,
        }
    }

    /// The values at a place in mm; beyond either end those at that end.
    pub(super) fn at(&self, at_mm: f64) -> [f64; COLUMNS] {
        let last = self.rows.len() - 1;
        #[expect(clippy::cast_precision_loss, reason = "a table has a few hundred rows")]
        let place = (at_mm * self.rows_per_mm).clamp(0.0, last as f64);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the rows of the table"
        )]
        let before = (place as usize).min(last.saturating_sub(1));
        #[expect(clippy::cast_precision_loss, reason = "a table has a few hundred rows")]
        let share = place - before as f64;
        let (low, high) = (&self.rows[before], &self.rows[(before + 1).min(last)]);
        std::array::from_fn(|column| low[column] + share * (high[column] - low[column]))
    }

    /// Every row, from the proximal end.
    pub(super) fn rows(&self) -> &[[f64; COLUMNS]] {
        &self.rows
    }

    /// Every row, to be changed.
    pub(super) fn rows_mut(&mut self) -> &mut [[f64; COLUMNS]] {
        &mut self.rows
    }
}

/// A curve through given points that keeps between them, so that a shaft never bulges where its
/// table does not.
///
/// Cubic Hermite pieces with the slopes of Fritsch and Carlson (SIAM J Numer Anal 1980;17:238–246),
/// taken as the harmonic mean of the neighbouring slopes.
pub(super) struct Curve {
    points: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

impl Curve {
    pub(super) fn new(points: impl Iterator<Item = (f64, f64)>) -> Self {
        let points: Vec<(f64, f64)> = points.collect();
        let steps: Vec<f64> = points
            .windows(2)
            .map(|pair| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0))
            .collect();
        let slopes = (0..points.len())
            .map(|index| match (index.checked_sub(1), steps.get(index)) {
                (Some(before), Some(after)) if steps[before] * after > 0.0 => {
                    2.0 * steps[before] * after / (steps[before] + after)
                }
                _ => 0.0,
            })
            .collect();
        Self { points, slopes }
    }

    pub(super) fn value(&self, at: f64) -> f64 {
        let after = self.points.partition_point(|point| point.0 <= at);
        let Some(before) = after.checked_sub(1) else {
            return self.points.first().map_or(0.0, |point| point.1);
        };
        let Some(&(end, end_value)) = self.points.get(after) else {
            return self.points[before].1;
        };
        let (start, start_value) = self.points[before];
        let width = end - start;
        let t = (at - start) / width;
        let (t2, t3) = (t * t, t * t * t);
        (2.0 * t3 - 3.0 * t2 + 1.0) * start_value
            + (t3 - 2.0 * t2 + t) * width * self.slopes[before]
            + (3.0 * t2 - 2.0 * t3) * end_value
            + (t3 - t2) * width * self.slopes[after]
    }
}
