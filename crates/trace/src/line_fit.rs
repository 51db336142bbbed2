//! A straight line through midpoints of which some are wrong.

use crate::edge::median;

/// The line `v = level + slope · u`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FittedLine {
    pub(crate) level: f64,
    pub(crate) slope: f64,
}

impl FittedLine {
    pub(crate) fn at(&self, u: f64) -> f64 {
        self.level + self.slope * u
    }
}

/// Weighted least squares; nothing when all places coincide or all weights are zero.
fn weighted_line(points: &[(f64, f64)], weights: &[f64]) -> Option<FittedLine> {
    let total: f64 = weights.iter().sum();
    if total <= 0.0 {
        return None;
    }
    let mean = |value: &dyn Fn(&(f64, f64)) -> f64| -> f64 {
        points
            .iter()
            .zip(weights)
            .map(|(p, w)| w * value(p))
            .sum::<f64>()
            / total
    };
    let (u_mean, v_mean) = (mean(&|p| p.0), mean(&|p| p.1));
    let spread = mean(&|p| (p.0 - u_mean).powi(2));
    let together = mean(&|p| (p.0 - u_mean) * (p.1 - v_mean));
    let slope = together / spread;
    slope.is_finite().then_some(FittedLine {
        level: v_mean - slope * u_mean,
        slope,
    })
}

/// A line that far-off points hardly move: least squares repeated with Tukey's bisquare weights
/// (Beaton & Tukey, Technometrics 1974;16:147–185), times the given weights.
pub(crate) fn robust_line(points: &[(f64, f64)], weights: &[f64]) -> Option<FittedLine> {
    let base: Vec<f64> = weights.iter().map(|weight| weight + 0.05).collect();
    let mut line = weighted_line(points, &base)?;
    for _ in 0..8 {
        let residuals: Vec<f64> = points.iter().map(|p| p.1 - line.at(p.0)).collect();
        let weights = bisquare_weights(&residuals);
        let both: Vec<f64> = base.iter().zip(&weights).map(|(a, b)| a * b).collect();
        line = weighted_line(points, &both)?;
    }
    Some(line)
}

/// Tukey's bisquare weight of each residual, by a scale from their median absolute value.
pub(crate) fn bisquare_weights(residuals: &[f64]) -> Vec<f64> {
    let sizes: Vec<f64> = residuals.iter().map(|r| r.abs()).collect();
    let cut = 4.685 * 1.4826 * median(&sizes);
    let weight = |size: &f64| {
        if cut <= 0.0 {
            return 1.0;
        }
        let share = (size / cut).min(1.0);
        (1.0 - share * share).powi(2)
    };
    sizes.iter().map(weight).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_far_point_does_not_turn_the_line() {
        let mut points: Vec<(f64, f64)> = (0..20)
            .map(|index| {
                (
                    f64::from(index),
                    2.0 + 0.5 * f64::from(index) + 0.01 * f64::from(index % 3),
                )
            })
            .collect();
        points[15].1 += 40.0;
        let line = robust_line(&points, &[1.0; 20]).expect("a line");
        assert!((line.slope - 0.5).abs() < 0.005, "slope {}", line.slope);
    }

    #[test]
    fn points_on_one_spot_have_no_line() {
        let line = robust_line(&[(1.0, 1.0); 5], &[1.0; 5]);
        assert!(line.is_none(), "no direction");
    }
}
