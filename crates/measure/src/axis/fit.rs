//! The straight line that fits the middle of a shaft best.

use plumbray_anatomy::LongBone;

use crate::{
    placed::{Gap, PlacedFilm},
    plane::{Point, Vector},
};

use super::QUARTERS;

/// How many levels the line is fitted through.
const LEVELS: u32 = 21;

/// Where scatter along and across differ by less than this share there is no one best line.
const ROUNDEST_SCATTER: f64 = 1e-6;

/// The levels, evenly spaced from a quarter to three quarters of the length.
pub(super) fn level_shares() -> impl Iterator<Item = f64> {
    let step = (QUARTERS[1] - QUARTERS[0]) / f64::from(LEVELS - 1);
    (0..LEVELS).map(move |level| QUARTERS[0] + step * f64::from(level))
}

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
    let count = f64::from(LEVELS);
    let (sum_x, sum_y) = points
        .iter()
        .fold((zero, zero), |(x, y), point| (x + point.x, y + point.y));
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
