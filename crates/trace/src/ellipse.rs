//! The ellipse that fits some points best.

use nalgebra::{Matrix2, Matrix3, Vector3};
use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::{error::TraceError, line_fit::bisquare_weights};

/// An ellipse in physical proportions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// Its centre.
    pub centre: PhysicalPoint,
    /// From the centre to one end of the long axis, in pixel widths.
    pub long: PhysicalVector,
    /// From the centre to one end of the short axis, a clockwise quarter turn (on the screen) from
    /// `long`.
    pub short: PhysicalVector,
}

/// The least number of points that an ellipse needs.
const NEEDED: usize = 5;

impl Ellipse {
    /// The ellipse of the direct least-squares fit with the constraint `4ac − b² = 1` (Fitzgibbon,
    /// Pilu, Fisher, IEEE Trans Pattern Anal Mach Intell 1999;21:476–480), in the numerically stable
    /// form of Halíř and Flusser (WSCG 1998:125–132). It always gives an ellipse, never a parabola or
    /// a hyperbola.
    ///
    /// # Errors
    /// With fewer than five points, or points that lie on one line or one spot.
    pub fn fitted_to(points: &[PhysicalPoint]) -> Result<Self, TraceError> {
        Self::fitted_with(points, &vec![1.0; points.len()])
    }

    /// The same, but points far off the others' ellipse hardly count (Tukey's bisquare weights).
    ///
    /// # Errors
    /// With fewer than five points, or points that lie on one line or one spot.
    pub fn robustly_fitted_to(points: &[PhysicalPoint]) -> Result<Self, TraceError> {
        let mut ellipse = Self::fitted_to(points)?;
        for _ in 0..8 {
            let residuals: Vec<f64> = points.iter().map(|p| ellipse.distance(*p)).collect();
            ellipse = Self::fitted_with(points, &bisquare_weights(&residuals))?;
        }
        Ok(ellipse)
    }

    /// The signed distance of a point from the outline along the line to the centre, in pixel widths;
    /// positive outside.
    #[must_use]
    pub fn distance(&self, point: PhysicalPoint) -> f64 {
        let offset = point - self.centre;
        let length = offset.length();
        let (long, short) = (self.long.length(), self.short.length());
        let share =
            (offset.dot(self.long) / (long * long)).hypot(offset.dot(self.short) / (short * short));
        if share > 0.0 {
            length - length / share
        } else {
            -short
        }
    }

    fn fitted_with(points: &[PhysicalPoint], weights: &[f64]) -> Result<Self, TraceError> {
        let degenerate = TraceError::Degenerate { needed: NEEDED };
        let used = weights.iter().filter(|weight| **weight > 1e-6).count();
        if used < NEEDED || points.iter().any(|p| !(p.x.is_finite() && p.y.is_finite())) {
            return Err(degenerate);
        }
        let total: f64 = weights.iter().sum();
        let mean = |value: &dyn Fn(&PhysicalPoint) -> f64| -> f64 {
            points
                .iter()
                .zip(weights)
                .map(|(p, w)| w * value(p))
                .sum::<f64>()
                / total
        };
        let middle = PhysicalPoint::new(mean(&|p| p.x), mean(&|p| p.y));
        let scale = mean(&|p| (*p - middle).dot(*p - middle)).sqrt();
        if !(scale.is_finite() && scale > 0.0) {
            return Err(degenerate);
        }
        let unit_points = points.iter().map(|p| (*p - middle) * (1.0 / scale));
        let conic = direct_conic(unit_points.zip(weights.iter().copied())).ok_or(degenerate)?;
        let unit = from_conic(conic).ok_or(degenerate)?;
        Ok(Self {
            centre: middle + (unit.centre - PhysicalPoint::default()) * scale,
            long: unit.long * scale,
            short: unit.short * scale,
        })
    }
}

/// The coefficients `a…f` of `ax² + bxy + cy² + dx + ey + f = 0`.
fn direct_conic(points: impl Iterator<Item = (PhysicalVector, f64)>) -> Option<[f64; 6]> {
    let (mut quadratic, mut mixed, mut linear) =
        (Matrix3::zeros(), Matrix3::zeros(), Matrix3::zeros());
    for (point, weight) in points {
        let squares = Vector3::new(point.x * point.x, point.x * point.y, point.y * point.y);
        let line = Vector3::new(point.x, point.y, 1.0);
        quadratic += squares * squares.transpose() * weight;
        mixed += squares * line.transpose() * weight;
        linear += line * line.transpose() * weight;
    }
    let back = -linear.try_inverse()? * mixed.transpose();
    let reduced: Matrix3<f64> = quadratic + mixed * back;
    // The inverse of the constraint matrix [[0, 0, 2], [0, −1, 0], [2, 0, 0]], row by row.
    let constrained =
        Matrix3::from_rows(&[reduced.row(2) / 2.0, -reduced.row(1), reduced.row(0) / 2.0]);
    let first = constrained
        .complex_eigenvalues()
        .iter()
        .filter(|value| value.im.abs() <= 1e-9 * (1.0 + value.re.abs()))
        .filter_map(|value| null_vector(constrained - Matrix3::identity() * value.re))
        .find(|v| 4.0 * v[0] * v[2] - v[1] * v[1] > 0.0)?;
    let second = back * first;
    Some([
        first[0], first[1], first[2], second[0], second[1], second[2],
    ])
}

/// The direction that a singular matrix sends to zero: square to two of its rows.
fn null_vector(matrix: Matrix3<f64>) -> Option<Vector3<f64>> {
    let row = |index: usize| matrix.row(index).transpose();
    [(0, 1), (0, 2), (1, 2)]
        .map(|(one, two)| row(one).cross(&row(two)))
        .into_iter()
        .max_by(|one, two| one.norm().total_cmp(&two.norm()))
        .filter(|vector| vector.norm() > 0.0)
        .map(|vector| vector.normalize())
}

/// Centre and half-axes of a conic; nothing when it is not an ellipse with an inside.
fn from_conic([a, b, c, d, e, f]: [f64; 6]) -> Option<Ellipse> {
    let determinant = 4.0 * a * c - b * b;
    if determinant <= 0.0 {
        return None;
    }
    let x = (b * e - 2.0 * c * d) / determinant;
    let y = (b * d - 2.0 * a * e) / determinant;
    let level = f + 0.5 * (d * x + e * y);
    let form = Matrix2::new(a, b / 2.0, b / 2.0, c).symmetric_eigen();
    let half_axis = |index: usize| {
        let squared = -level / form.eigenvalues[index];
        let direction = form.eigenvectors.column(index);
        (squared > 0.0).then(|| PhysicalVector::new(direction[0], direction[1]) * squared.sqrt())
    };
    let (one, two) = (half_axis(0)?, half_axis(1)?);
    let (long, short_length) = if one.length() >= two.length() {
        (one, two.length())
    } else {
        (two, one.length())
    };
    let short = long.perpendicular() * (short_length / long.length());
    let is_finite = long.length().is_finite() && short.length() > 0.0;
    is_finite.then_some(Ellipse {
        centre: PhysicalPoint::new(x, y),
        long,
        short,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn outline(centre: (f64, f64), long: f64, short: f64, turn: f64) -> Vec<PhysicalPoint> {
        (0..40)
            .map(|index| {
                let angle = f64::from(index) * std::f64::consts::TAU / 40.0;
                let (x, y) = (long * angle.cos(), short * angle.sin());
                PhysicalPoint::new(
                    centre.0 + x * turn.cos() - y * turn.sin(),
                    centre.1 + x * turn.sin() + y * turn.cos(),
                )
            })
            .collect()
    }

    #[test]
    fn points_on_a_line_have_no_ellipse() {
        let points: Vec<_> = (0..9)
            .map(|i| PhysicalPoint::new(f64::from(i), 3.0))
            .collect();
        assert_eq!(
            Ellipse::fitted_to(&points),
            Err(TraceError::Degenerate { needed: 5 }),
            "a straight line"
        );
    }

    #[test]
    fn a_stray_point_does_not_move_a_robust_ellipse() {
        let mut points = outline((60.0, 50.0), 30.0, 20.0, 0.4);
        points[7].x += 12.0;
        let ellipse = Ellipse::robustly_fitted_to(&points).expect("an ellipse");
        let off = (ellipse.centre - PhysicalPoint::new(60.0, 50.0)).length();
        assert!(off < 0.1, "centre off by {off}");
    }

    #[test]
    fn distance_is_zero_on_the_outline_and_signed_off_it() {
        let ellipse =
            Ellipse::fitted_to(&outline((0.0, 0.0), 30.0, 20.0, 0.0)).expect("an ellipse");
        assert!(
            ellipse.distance(PhysicalPoint::new(30.0, 0.0)).abs() < 1e-6,
            "on"
        );
        assert!(
            (ellipse.distance(PhysicalPoint::new(0.0, 25.0)) - 5.0).abs() < 1e-6,
            "outside"
        );
        assert!(
            (ellipse.distance(PhysicalPoint::new(0.0, 12.0)) + 8.0).abs() < 1e-6,
            "inside"
        );
    }

    proptest! {
        #[test]
        fn an_exact_outline_gives_its_ellipse(
            x in -500.0..500.0_f64, y in -500.0..500.0_f64,
            long in 5.0..200.0_f64, ratio in 0.3..0.98_f64, turn in 0.0..3.1_f64,
        ) {
            let points = outline((x, y), long, ratio * long, turn);
            let ellipse = Ellipse::fitted_to(&points).expect("an ellipse");
            let off = (ellipse.centre - PhysicalPoint::new(x, y)).length();
            prop_assert!(off < 1e-6 * long, "centre off by {off}");
            prop_assert!((ellipse.long.length() - long).abs() < 1e-6 * long, "{ellipse:?}");
            prop_assert!((ellipse.short.length() - ratio * long).abs() < 1e-6 * long, "{ellipse:?}");
            let direction = PhysicalVector::new(turn.cos(), turn.sin());
            let sine = ellipse.long.cross(direction) / long;
            prop_assert!(sine.abs() < 1e-4 || ratio > 0.97, "turned by {sine}");
        }
    }
}
