//! Edges across profiles: how strong, on which flank, and where between the samples.

use crate::{raster::cell_and_share, smooth, strip::Grid};

/// How edge-like each place of a strip is, from 0 to 1, apart for the two flanks of a bone.
#[derive(Clone, Debug)]
pub(crate) struct EdgeMaps {
    /// Growing brightness along the profile: where a bone begins.
    pub(crate) rising: Grid,
    /// Falling brightness along the profile: where a bone ends.
    pub(crate) falling: Grid,
    /// Sum of the strengths of all rising crests before each column.
    rising_before: Grid,
    /// Sum of the strengths of all falling crests before each column.
    falling_before: Grid,
    /// The typical steepest slope of a profile over the standard deviation of the slope that noise
    /// alone gives: about 2 on pure noise.
    pub(crate) contrast: f64,
}

impl EdgeMaps {
    /// Edges of a straightened strip, smoothed across and along by so many samples.
    ///
    /// A slope counts by `g² / (g² + h²)`, where `h` is a third of the typical steepest slope of a
    /// profile: a faint cortex counts nearly as much as a strong one, texture hardly at all.
    pub(crate) fn new(strip: &Grid, across_sigma: f64, along_sigma: f64) -> Self {
        let slopes = smooth::slope_across(strip, across_sigma, along_sigma);
        let steepest: Vec<f64> = (0..slopes.rows)
            .map(|row| slopes.row(row).iter().fold(0.0, |a: f64, b| a.max(b.abs())))
            .collect();
        let typical = median(&steepest);
        let noise = noise_sd(strip) * slope_noise(across_sigma, along_sigma);
        let half = (typical / 3.0).max(f64::MIN_POSITIVE);
        let strength = |slope: f64| {
            let ratio = slope.max(0.0) / half;
            ratio * ratio / (1.0 + ratio * ratio)
        };
        let mut rising = slopes.clone();
        let mut falling = slopes;
        for value in &mut rising.values {
            *value = strength(*value);
        }
        for value in &mut falling.values {
            *value = strength(-*value);
        }
        Self {
            rising_before: crests_before(&rising),
            falling_before: crests_before(&falling),
            rising,
            falling,
            contrast: if typical > 0.0 {
                typical / noise.max(1e-9 * typical)
            } else {
                0.0
            },
        }
    }

    /// How much a pair of columns looks like the two outer edges of one bone in this row: the
    /// strengths of both edges, less those of edges that a bone does not have inside.
    ///
    /// Going outward from its middle, a bone's own silhouette is the first edge at which brightness
    /// falls; the inner side of a cortex rises. So an edge that falls outward *inside* the pair says
    /// that the pair has taken the soft-tissue outline or a neighbour for the bone.
    pub(crate) fn pair(&self, row: usize, one: usize, two: usize, margin: usize) -> f64 {
        let middle = usize::midpoint(one, two);
        let inner = |before: &Grid, from: usize, to: usize| {
            if from < to {
                before.at(row, to) - before.at(row, from)
            } else {
                0.0
            }
        };
        let wrong = inner(&self.rising_before, one + margin, middle)
            + inner(
                &self.falling_before,
                middle,
                (two + 1).saturating_sub(margin),
            );
        self.rising.at(row, one) + self.falling.at(row, two) - 0.5 * wrong
    }
}

/// Standard deviation of independent noise in a strip, from its second differences along the bone,
/// in which what is really there hardly shows.
fn noise_sd(strip: &Grid) -> f64 {
    let mut sizes = Vec::with_capacity(strip.values.len());
    for row in 1..strip.rows.saturating_sub(1) {
        for column in 0..strip.columns {
            let second =
                strip.at(row - 1, column) - 2.0 * strip.at(row, column) + strip.at(row + 1, column);
            sizes.push(second.abs());
        }
    }
    1.4826 * median(&sizes) / 6.0_f64.sqrt()
}

/// What smoothing leaves of independent noise in a slope: the norm of the derivative of a Gaussian
/// across times that of a Gaussian along.
fn slope_noise(across_sigma: f64, along_sigma: f64) -> f64 {
    let root_pi = std::f64::consts::PI.sqrt();
    (1.0 / (4.0 * root_pi * across_sigma.powi(3))).sqrt()
        * (1.0 / (2.0 * root_pi * along_sigma)).sqrt()
}

/// For each column, the sum of the strengths of the crests in the columns before it.
fn crests_before(strength: &Grid) -> Grid {
    let mut sums = Grid::filled(strength.rows, strength.columns + 1, 0.0);
    for row in 0..strength.rows {
        let values = strength.row(row);
        let mut sum = 0.0;
        for column in 0..values.len() {
            sums.row_mut(row)[column] = sum;
            let before = column.checked_sub(1).map_or(0.0, |index| values[index]);
            let after = values.get(column + 1).copied().unwrap_or(0.0);
            if values[column] > before && values[column] >= after {
                sum += values[column];
            }
        }
        sums.row_mut(row)[values.len()] = sum;
    }
    sums
}

/// The middle of some numbers; zero when there are none.
pub(crate) fn median(values: &[f64]) -> f64 {
    quantile(values, 0.5)
}

/// The value below which the share `q` of some numbers lies; zero when there are none.
pub(crate) fn quantile(values: &[f64], q: f64) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let mut shuffled = values.to_vec();
    if shuffled.len() == 1 {
        return shuffled[0];
    }
    let (cell, share) = cell_and_share(q * (shuffled.len() - 1) as f64, shuffled.len());
    let (_, lower, above) = shuffled.select_nth_unstable_by(cell, f64::total_cmp);
    let upper = above.iter().copied().fold(f64::INFINITY, f64::min);
    *lower + share * (upper - *lower)
}

/// Where the crest nearest to a position lies, to a fraction of a sample: the top of the parabola
/// through the highest sample and its two neighbours. Nothing when there is no crest within `reach`.
pub(crate) fn crest_near(values: &[f64], position: f64, reach: f64) -> Option<f64> {
    let mut best: Option<(f64, usize)> = None;
    for index in 1..values.len().saturating_sub(1) {
        let distance = index as f64 - position;
        let is_crest = values[index] > values[index - 1] && values[index] >= values[index + 1];
        if !is_crest || values[index] <= 0.0 || distance.abs() > reach {
            continue;
        }
        // A crest counts less the farther it lies from where it is expected.
        let share = distance / reach;
        let weight = values[index] * (1.0 - 0.5 * share * share);
        if best.is_none_or(|(greatest, _)| weight > greatest) {
            best = Some((weight, index));
        }
    }
    let (_, index) = best?;
    let (before, top, after) = (values[index - 1], values[index], values[index + 1]);
    let curvature = before - 2.0 * top + after;
    let shift = if curvature < 0.0 {
        0.5 * (before - after) / curvature
    } else {
        0.0
    };
    Some(index as f64 + shift.clamp(-0.5, 0.5))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_of_a_parabola_is_found_exactly() {
        let values: Vec<f64> = (0..9)
            .map(|index| 10.0 - (f64::from(index) - 4.3).powi(2))
            .collect();
        let crest = crest_near(&values, 4.0, 3.0).expect("there is a crest");
        assert!((crest - 4.3).abs() < 1e-12, "{crest}");
    }

    #[test]
    fn quantiles_lie_between_the_sorted_numbers() {
        let values = [5.0, 1.0, 4.0, 2.0, 3.0];
        for (q, expected) in [(0.0, 1.0), (0.25, 2.0), (0.5, 3.0), (0.9, 4.6), (1.0, 5.0)] {
            let found = quantile(&values, q);
            assert!((found - expected).abs() < 1e-12, "{q}: {found}");
        }
        assert!(quantile(&[], 0.5).abs() < 1e-12, "of nothing");
    }

    #[test]
    fn a_flat_profile_has_no_crest() {
        assert_eq!(crest_near(&[1.0; 9], 4.0, 3.0), None, "flat");
    }

    #[test]
    fn the_inner_side_of_a_cortex_is_not_a_wrong_edge() {
        // Soft tissue, cortex, marrow, cortex, soft tissue.
        let mut strip = Grid::filled(5, 60, 10.0);
        for row in 0..5 {
            let profile = strip.row_mut(row);
            profile[20..40].fill(30.0);
            profile[25..35].fill(20.0);
        }
        let edges = EdgeMaps::new(&strip, 1.0, 1.0);
        let bone = edges.pair(2, 20, 39, 3);
        let cortex = edges.pair(2, 20, 24, 3);
        assert!(bone > 1.5, "both outer edges count: {bone}");
        assert!(cortex <= bone, "a single cortex is no better: {cortex}");
    }
}
