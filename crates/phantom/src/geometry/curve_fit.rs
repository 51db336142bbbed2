//! The circle and the ellipse that lie nearest to points of an outline.

use nalgebra::{DMatrix, DVector, Matrix2, SymmetricEigen};
use plumbray_anatomy::FilmPoint;

/// A circle on the film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Circle {
    pub(crate) centre: FilmPoint,
    pub(crate) radius_px: f64,
}

/// An ellipse on the film by its centre and the ends of its half-axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ellipse {
    pub(crate) centre: FilmPoint,
    pub(crate) long_end: FilmPoint,
    pub(crate) short_end: FilmPoint,
}

/// The circle with the least squared distances to the points: the algebraic fit, then Gauss–Newton
/// on the distances. Nothing when the points lie on a line.
pub(crate) fn fit_circle(points: &[FilmPoint]) -> Option<Circle> {
    let mean = mean_of(points);
    let rows = points.len();
    let design = DMatrix::from_fn(rows, 3, |row, column| {
        let (x, y) = offset(points[row], mean);
        [x, y, 1.0][column]
    });
    let squares = DVector::from_fn(rows, |row, _| {
        let (x, y) = offset(points[row], mean);
        x * x + y * y
    });
    let solved = design.svd(true, true).solve(&squares, 1e-12).ok()?;
    let (mut x, mut y) = (solved[0] / 2.0, solved[1] / 2.0);
    let mut radius = (solved[2] + x * x + y * y).sqrt();
    for _ in 0..20 {
        let distance = |row: usize| {
            let (px, py) = offset(points[row], mean);
            (px - x, py - y, (px - x).hypot(py - y))
        };
        let jacobian = DMatrix::from_fn(rows, 3, |row, column| {
            let (dx, dy, length) = distance(row);
            [-dx / length, -dy / length, -1.0][column]
        });
        let residuals = DVector::from_fn(rows, |row, _| radius - distance(row).2);
        let step = jacobian.svd(true, true).solve(&residuals, 1e-12).ok()?;
        x += step[0];
        y += step[1];
        radius += step[2];
    }
    (radius.is_finite() && radius > 0.0).then(|| Circle {
        centre: FilmPoint::new(mean.x_px + x, mean.y_px + y),
        radius_px: radius,
    })
}

/// The ellipse through points that lie on one: the least-squares conic. Nothing when they do not.
pub(crate) fn fit_ellipse(points: &[FilmPoint]) -> Option<Ellipse> {
    let mean = mean_of(points);
    let design = DMatrix::from_fn(points.len(), 5, |row, column| {
        let (x, y) = offset(points[row], mean);
        [x * x, x * y, y * y, x, y][column]
    });
    let ones = DVector::from_element(points.len(), 1.0);
    let conic = design.svd(true, true).solve(&ones, 1e-14).ok()?;
    let quadratic = Matrix2::new(conic[0], conic[1] / 2.0, conic[1] / 2.0, conic[2]);
    let linear = nalgebra::Vector2::new(conic[3], conic[4]);
    let centre = quadratic.try_inverse()? * linear * -0.5;
    let level = 1.0 + (centre.transpose() * quadratic * centre)[0];
    let eigen = SymmetricEigen::new(quadratic);
    let mut ends = [0, 1].map(|axis| {
        let half = (level / eigen.eigenvalues[axis]).sqrt();
        eigen.eigenvectors.column(axis) * half
    });
    if ends[0].norm() < ends[1].norm() {
        ends.swap(0, 1);
    }
    let place = |at: nalgebra::Vector2<f64>| FilmPoint::new(mean.x_px + at.x, mean.y_px + at.y);
    ends.iter()
        .all(|end| end.norm().is_finite())
        .then(|| Ellipse {
            centre: place(centre),
            long_end: place(centre + ends[0]),
            short_end: place(centre + ends[1]),
        })
}

fn mean_of(points: &[FilmPoint]) -> FilmPoint {
    #[expect(clippy::cast_precision_loss, reason = "some hundred points")]
    let share = 1.0 / points.len() as f64;
    points.iter().fold(FilmPoint::default(), |sum, point| {
        FilmPoint::new(sum.x_px + share * point.x_px, sum.y_px + share * point.y_px)
    })
}

fn offset(point: FilmPoint, mean: FilmPoint) -> (f64, f64) {
    (point.x_px - mean.x_px, point.y_px - mean.y_px)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_a_circle_gives_the_whole() {
        let points: Vec<FilmPoint> = (0..20)
            .map(|step| {
                let angle = f64::from(step) * 0.07;
                FilmPoint::new(500.0 + 60.0 * angle.cos(), 300.0 + 60.0 * angle.sin())
            })
            .collect();
        let circle = fit_circle(&points).expect("a circle");
        let off = circle.centre.distance_px(FilmPoint::new(500.0, 300.0));
        assert!(
            off < 1e-6 && (circle.radius_px - 60.0).abs() < 1e-6,
            "{circle:?}"
        );
    }

    #[test]
    fn points_of_an_ellipse_give_its_axes() {
        let (sin, cos) = 0.4_f64.sin_cos();
        let points: Vec<FilmPoint> = (0..40)
            .map(|step| {
                let (v, u) = (f64::from(step) * std::f64::consts::TAU / 40.0).sin_cos();
                let (a, b) = (30.0 * u, 20.0 * v);
                FilmPoint::new(200.0 + a * cos - b * sin, 400.0 + a * sin + b * cos)
            })
            .collect();
        let ellipse = fit_ellipse(&points).expect("an ellipse");
        let centre = FilmPoint::new(200.0, 400.0);
        assert!(ellipse.centre.distance_px(centre) < 1e-6, "{ellipse:?}");
        assert!(
            (ellipse.centre.distance_px(ellipse.long_end) - 30.0).abs() < 1e-6,
            "{ellipse:?}"
        );
        assert!(
            (ellipse.centre.distance_px(ellipse.short_end) - 20.0).abs() < 1e-6,
            "{ellipse:?}"
        );
    }
}
