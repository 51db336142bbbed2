//! The circle that fits some points best.

use nalgebra::{Matrix2, Matrix3, Vector3};
use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::{error::TraceError, line_fit::bisquare_weights};

/// A circle in physical proportions, with how well it fits the points that it was fitted to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: PhysicalPoint,
    /// Its radius in pixel widths.
    pub radius: f64,
    /// Root mean square distance of the points from it, in pixel widths; points that count less than
    /// others in a robust fit count less here too.
    pub rms: f64,
    /// Standard deviation of the centre in the worse direction, in pixel widths, as the scatter of
    /// the points gives it.
    pub centre_sd: f64,
    /// Standard deviation of the radius, in pixel widths.
    pub radius_sd: f64,
}

/// Sums over weighted points about their mean, in units of their spread.
struct Moments {
    mean: PhysicalPoint,
    scale: f64,
    xx: f64,
    yy: f64,
    xy: f64,
    xz: f64,
    yz: f64,
    zz: f64,
}

impl Moments {
    /// Nothing when the points coincide or carry no weight.
    fn of(points: &[PhysicalPoint], weights: &[f64]) -> Option<Self> {
        let total: f64 = weights.iter().sum();
        let mean_of = |value: &dyn Fn(&PhysicalPoint) -> f64| -> f64 {
            let sum: f64 = points.iter().zip(weights).map(|(p, w)| w * value(p)).sum();
            sum / total
        };
        let mean = PhysicalPoint::new(mean_of(&|p| p.x), mean_of(&|p| p.y));
        let scale = mean_of(&|p| (p.x - mean.x).powi(2) + (p.y - mean.y).powi(2)).sqrt();
        if !(scale.is_finite() && scale > 0.0) {
            return None;
        }
        let x = |p: &PhysicalPoint| (p.x - mean.x) / scale;
        let y = |p: &PhysicalPoint| (p.y - mean.y) / scale;
        let z = |p: &PhysicalPoint| x(p).powi(2) + y(p).powi(2);
        Some(Self {
            mean,
            scale,
            xx: mean_of(&|p| x(p) * x(p)),
            yy: mean_of(&|p| y(p) * y(p)),
            xy: mean_of(&|p| x(p) * y(p)),
            xz: mean_of(&|p| x(p) * z(p)),
            yz: mean_of(&|p| y(p) * z(p)),
            zz: mean_of(&|p| z(p) * z(p)),
        })
    }
}

/// The algebraic circle fit by Taubin's normalisation (Taubin, IEEE Trans Pattern Anal Mach Intell
/// 1991;13:1115–1138), which hardly shrinks on short arcs. Its smallest root is found by Newton's
/// iteration from zero, which approaches it from one side. Centre and radius; nothing for points on
/// one line or one spot.
fn taubin(points: &[PhysicalPoint], weights: &[f64]) -> Option<(PhysicalPoint, f64)> {
    let m = Moments::of(points, weights)?;
    let z = m.xx + m.yy;
    let area = m.xx * m.yy - m.xy * m.xy;
    let z_variance = m.zz - z * z;
    let cubic = [
        m.xz * (m.xz * m.yy - m.yz * m.xy) + m.yz * (m.yz * m.xx - m.xz * m.xy) - z_variance * area,
        z_variance * z + 4.0 * area * z - m.xz * m.xz - m.yz * m.yz,
        -3.0 * z * z - m.zz,
        4.0 * z,
    ];
    let mut root = 0.0;
    for _ in 0..50 {
        let value = cubic[0] + root * (cubic[1] + root * (cubic[2] + root * cubic[3]));
        let slope = cubic[1] + root * (2.0 * cubic[2] + root * 3.0 * cubic[3]);
        let next = root - value / slope;
        if !next.is_finite() || (next - root).abs() <= 1e-15 * root.abs() {
            break;
        }
        root = next;
    }
    let determinant = root * root - root * z + area;
    if determinant.abs() < 1e-12 {
        return None;
    }
    let x = (m.xz * (m.yy - root) - m.yz * m.xy) / determinant / 2.0;
    let y = (m.yz * (m.xx - root) - m.xz * m.xy) / determinant / 2.0;
    let radius = (x * x + y * y + z).sqrt();
    let centre = PhysicalPoint::new(m.mean.x + m.scale * x, m.mean.y + m.scale * y);
    (radius.is_finite() && radius < 1e4).then_some((centre, m.scale * radius))
}

/// Radial distances of the points from a circle, and the matrix of the normal equations.
fn normal_equations(
    points: &[PhysicalPoint],
    weights: &[f64],
    centre: PhysicalPoint,
    radius: f64,
) -> (Vec<f64>, Matrix3<f64>, Vector3<f64>) {
    let mut residuals = Vec::with_capacity(points.len());
    let (mut matrix, mut right) = (Matrix3::zeros(), Vector3::zeros());
    for (point, weight) in points.iter().zip(weights) {
        let offset = *point - centre;
        let distance = offset.length().max(f64::MIN_POSITIVE);
        let residual = distance - radius;
        let row = Vector3::new(offset.x / distance, offset.y / distance, 1.0);
        matrix += row * row.transpose() * *weight;
        right += row * (*weight * residual);
        residuals.push(residual);
    }
    (residuals, matrix, right)
}

impl Circle {
    /// The circle with the least sum of squared distances to the points: Taubin's algebraic fit,
    /// improved by Gauss–Newton steps on the distances themselves.
    ///
    /// # Errors
    /// With fewer than three points, or points that lie on one line or one spot.
    pub fn fitted_to(points: &[PhysicalPoint]) -> Result<Self, TraceError> {
        Self::fitted_with(points, &vec![1.0; points.len()])
    }

    /// The same, but points far off the others' circle hardly count (Tukey's bisquare weights).
    ///
    /// # Errors
    /// With fewer than three points, or points that lie on one line or one spot.
    pub fn robustly_fitted_to(points: &[PhysicalPoint]) -> Result<Self, TraceError> {
        let mut circle = Self::fitted_to(points)?;
        for _ in 0..10 {
            let residuals: Vec<f64> = points
                .iter()
                .map(|point| (*point - circle.centre).length() - circle.radius)
                .collect();
            circle = Self::fitted_with(points, &bisquare_weights(&residuals))?;
        }
        Ok(circle)
    }

    /// The circle of a given radius that fits the points best, starting from this one; points far off
    /// hardly count. For an arc too short or too flat to tell its own radius.
    pub(crate) fn with_radius(mut self, radius: f64, points: &[PhysicalPoint]) -> Self {
        let towards_arc = points.iter().fold(PhysicalVector::default(), |sum, point| {
            sum + (*point - self.centre) * (1.0 / points.len() as f64)
        });
        let direction = towards_arc.unit().unwrap_or_default();
        self.centre = self.centre + direction * (self.radius - radius);
        self.radius = radius;
        for _ in 0..20 {
            let residuals: Vec<f64> = points
                .iter()
                .map(|point| (*point - self.centre).length() - radius)
                .collect();
            let weights = bisquare_weights(&residuals);
            let (_, matrix, right) = normal_equations(points, &weights, self.centre, radius);
            let block = matrix.fixed_view::<2, 2>(0, 0).into_owned();
            let Some(step) = block.lu().solve(&right.fixed_rows::<2>(0).into_owned()) else {
                break;
            };
            if !(step.norm().is_finite() && step.norm() < radius) {
                break;
            }
            self.centre = self.centre + PhysicalVector::new(step.x, step.y);
            let squares: f64 = residuals.iter().zip(&weights).map(|(r, w)| w * r * r).sum();
            self.rms = (squares / weights.iter().sum::<f64>()).sqrt();
            if step.norm() < 1e-9 * radius {
                break;
            }
        }
        self
    }

    fn fitted_with(points: &[PhysicalPoint], weights: &[f64]) -> Result<Self, TraceError> {
        let degenerate = TraceError::Degenerate { needed: 3 };
        let used = weights.iter().filter(|weight| **weight > 1e-6).count();
        if used < 3 || points.iter().any(|p| !(p.x.is_finite() && p.y.is_finite())) {
            return Err(degenerate);
        }
        let (mut centre, mut radius) = taubin(points, weights).ok_or(degenerate)?;
        for _ in 0..20 {
            let (_, matrix, right) = normal_equations(points, weights, centre, radius);
            let Some(step) = matrix.lu().solve(&right) else {
                break;
            };
            if !(step.norm().is_finite() && step.norm() < radius) {
                break;
            }
            centre.x += step.x;
            centre.y += step.y;
            radius += step.z;
            if step.norm() < 1e-12 * radius {
                break;
            }
        }
        let (residuals, matrix, _) = normal_equations(points, weights, centre, radius);
        let total: f64 = weights.iter().sum();
        let squares: f64 = residuals.iter().zip(weights).map(|(r, w)| w * r * r).sum();
        let variance = squares / (used.saturating_sub(3).max(1)) as f64;
        let covariance = matrix.try_inverse().ok_or(degenerate)? * variance;
        Ok(Self {
            centre,
            radius,
            rms: (squares / total).sqrt(),
            centre_sd: largest_spread(&covariance.fixed_view::<2, 2>(0, 0).into_owned()),
            radius_sd: covariance[(2, 2)].sqrt(),
        })
    }
}

/// The standard deviation in the direction in which it is largest, which does not change when the
/// film is turned: the square root of the covariance's larger eigenvalue.
fn largest_spread(covariance: &Matrix2<f64>) -> f64 {
    let middle = f64::midpoint(covariance[(0, 0)], covariance[(1, 1)]);
    let half_difference = (covariance[(0, 0)] - covariance[(1, 1)]) / 2.0;
    (middle + half_difference.hypot(covariance[(0, 1)])).sqrt()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn arc(centre: (f64, f64), radius: f64, degrees: f64, count: u32) -> Vec<PhysicalPoint> {
        (0..count)
            .map(|index| {
                let angle = (degrees * f64::from(index) / f64::from(count - 1)).to_radians();
                PhysicalPoint::new(
                    centre.0 + radius * angle.cos(),
                    centre.1 + radius * angle.sin(),
                )
            })
            .collect()
    }

    #[test]
    fn three_points_give_the_circle_through_them() {
        let points = [(5.0, 0.0), (0.0, 5.0), (-3.0, 4.0)].map(|(x, y)| PhysicalPoint::new(x, y));
        let circle = Circle::fitted_to(&points).expect("a circle");
        assert!(circle.centre.x.hypot(circle.centre.y) < 1e-9, "{circle:?}");
        assert!((circle.radius - 5.0).abs() < 1e-9, "{circle:?}");
    }

    #[test]
    fn points_on_a_line_have_no_circle() {
        let points: Vec<_> = (0..9)
            .map(|i| PhysicalPoint::new(f64::from(i), 3.0))
            .collect();
        assert_eq!(
            Circle::fitted_to(&points),
            Err(TraceError::Degenerate { needed: 3 }),
            "a straight line"
        );
    }

    #[test]
    fn a_stray_point_does_not_move_a_robust_circle() {
        let mut points = arc((40.0, 30.0), 20.0, 140.0, 40);
        for (index, point) in points.iter_mut().enumerate() {
            point.x += if index % 2 == 0 { 0.05 } else { -0.05 };
        }
        points[20].x += 15.0;
        let circle = Circle::robustly_fitted_to(&points).expect("a circle");
        assert!(
            (circle.centre - PhysicalPoint::new(40.0, 30.0)).length() < 0.1,
            "{circle:?}"
        );
    }

    #[test]
    fn a_given_radius_is_kept_and_the_arc_is_still_met() {
        let points = arc((40.0, 30.0), 20.0, 60.0, 40);
        let free = Circle::fitted_to(&points).expect("a circle");
        let held = free.with_radius(18.0, &points);
        assert!((held.radius - 18.0).abs() < 1e-12, "{held:?}");
        let middle = points[20] - held.centre;
        assert!((middle.length() - 18.0).abs() < 0.3, "{held:?}");
    }

    #[test]
    fn the_spread_of_the_centre_does_not_change_when_the_film_is_turned() {
        let mut points = arc((40.0, 30.0), 20.0, 100.0, 40);
        for (index, point) in points.iter_mut().enumerate() {
            point.x += if index % 2 == 0 { 0.2 } else { -0.2 };
        }
        let upright = Circle::fitted_to(&points).expect("a circle");
        for degrees in [10.0_f64, 40.0, 45.0, 85.0] {
            let (sine, cosine) = degrees.to_radians().sin_cos();
            let turned: Vec<_> = points
                .iter()
                .map(|p| PhysicalPoint::new(cosine * p.x - sine * p.y, sine * p.x + cosine * p.y))
                .collect();
            let circle = Circle::fitted_to(&turned).expect("a circle");
            assert!(
                (circle.centre_sd / upright.centre_sd - 1.0).abs() < 1e-6,
                "turned by {degrees}\u{b0}: {} instead of {}",
                circle.centre_sd,
                upright.centre_sd
            );
        }
    }

    proptest! {
        #[test]
        fn an_exact_arc_gives_its_circle(
            x in -500.0..500.0_f64, y in -500.0..500.0_f64,
            radius in 1.0..300.0_f64, degrees in 30.0..350.0_f64,
        ) {
            let circle = Circle::fitted_to(&arc((x, y), radius, degrees, 25)).expect("a circle");
            let off = (circle.centre - PhysicalPoint::new(x, y)).length();
            prop_assert!(off < 1e-6 * radius.max(1.0), "centre off by {off}");
            prop_assert!((circle.radius - radius).abs() < 1e-6 * radius.max(1.0), "{circle:?}");
        }
    }
}
