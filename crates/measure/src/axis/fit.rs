//! The straight line that fits the middle of a shaft best.

use plumbray_anatomy::LongBone;

use crate::{
    placed::{Gap, PlacedFilm},
    plane::{Point, Vector},
};

/// The levels that the line is fitted through: evenly spaced from a quarter to three quarters of the
/// length.
pub(super) const LEVEL_SHARES: [f64; 21] = [
    0.25, 0.275, 0.3, 0.325, 0.35, 0.375, 0.4, 0.425, 0.45, 0.475, 0.5, 0.525, 0.55, 0.575, 0.6,
    0.625, 0.65, 0.675, 0.7, 0.725, 0.75,
];

/// Where scatter along and across differ by less than this share there is no one best line.
const ROUNDEST_SCATTER: f64 = 1e-6;

/// The line with the least sum of squared perpendicular distances from the points: a point of it,
/// their mean, and its direction.
///
/// ```text
/// θ = ½ atan2(2 Sxy, Sxx − Syy)
/// ```
///
/// with the sums of squares and products about the mean; it treats x and y alike, so that the line
/// turns with the film.
pub(super) fn line_through<'t>(
    film: &PlacedFilm<'_, 't>,
    bone: LongBone,
    points: &[Point<'t>],
) -> Result<(Point<'t>, Vector<'t>), Gap> {
    let zero = film.constant(0.0);
    let (count, sum_x, sum_y) = points
        .iter()
        .fold((0.0, zero, zero), |(count, x, y), point| {
            (count + 1.0, x + point.x, y + point.y)
        });
    let mean = Point {
        x: sum_x * (1.0 / count),
        y: sum_y * (1.0 / count),
    };
    let (xx, xy, yy) = points
        .iter()
        .map(|point| *point - mean)
        .fold((zero, zero, zero), |(xx, xy, yy), off| {
            (xx + off.x * off.x, xy + off.x * off.y, yy + off.y * off.y)
        });
    let (twice_xy, difference) = (xy * 2.0, xx - yy);
    let elongation = twice_xy.value().hypot(difference.value());
    let scatter = xx.value() + yy.value();
    if elongation > ROUNDEST_SCATTER * scatter {
        let turn = twice_xy.atan2(difference) * 0.5;
        let direction = Vector {
            x: turn.cos(),
            y: turn.sin(),
        };
        Ok((mean, direction))
    } else {
        Err(Gap::Degenerate {
            landmarks: vec![format!("Cortices of the {}", bone.name())],
            reason: "the middle of the shaft scatters as far across as along; sweep it again"
                .to_owned(),
        })
    }
}
