//! How far two films of a foot differ in the direction from which they were taken.

use plumbray_anatomy::{PhysicalVector, Similarity};
use plumbray_measure::TracedFilm;

use super::{SharedPoint, lesser_rays};

/// How much more than the lesser metatarsals the first ray is stretched.
const FIRST_RAY_ANSWERS: f64 = 2.1;

/// How the shared bones are stretched on the later film against the earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Projection {
    /// By which share they are longer along the foot than across it, against the earlier film: 0.05 where the
    /// metatarsals are 5 % longer at the same width of the forefoot. A tube tilted otherwise does that.
    pub stretch: f64,
    /// How sure that is: one standard deviation, from how well the points then agree.
    pub stretch_sd: f64,
}

impl Projection {
    /// Along is the direction of the second metatarsal on the earlier film. With r and s the places of a
    /// point about the mean on the earlier film and on the later one laid over it, along u and across v,
    ///
    /// ```text
    /// along:  s_u = (1 + p) r_u + c r_v      across:  s_v = (1 + q) r_v + d r_u
    /// stretch = p − q
    /// ```
    ///
    /// each by least squares.
    pub(super) fn between(
        points: &[SharedPoint],
        weights: &[f64],
        map: &Similarity,
        earlier: TracedFilm<'_>,
    ) -> Self {
        let Some(along) = direction(earlier) else {
            return Self::default();
        };
        let total: f64 = weights.iter().sum();
        let places: Vec<(PhysicalVector, PhysicalVector)> = points
            .iter()
            .map(|point| {
                let origin = points[0].earlier;
                (point.earlier - origin, map.of(point.later) - origin)
            })
            .collect();
        let mean = |pick: fn(&(PhysicalVector, PhysicalVector)) -> PhysicalVector| {
            places
                .iter()
                .zip(weights)
                .fold(PhysicalVector::default(), |sum, (place, weight)| {
                    sum + pick(place) * (weight / total)
                })
        };
        let (from_mean, to_mean) = (mean(|place| place.0), mean(|place| place.1));
        let rows: Vec<Row> = places
            .iter()
            .zip(weights)
            .map(|((from, to), weight)| {
                let (from, to) = (*from - from_mean, *to - to_mean);
                let across = along.perpendicular();
                Row {
                    weight: *weight,
                    from: [from.dot(along), from.dot(across)],
                    to: [to.dot(along), to.dot(across)],
                }
            })
            .collect();
        match (growth(&rows, 0), growth(&rows, 1)) {
            (Some(lengthwise), Some(crosswise)) => Self {
                stretch: lengthwise.0 - crosswise.0,
                stretch_sd: lengthwise.1.hypot(crosswise.1),
            },
            _ => Self::default(),
        }
    }

    /// By how many degrees a 1–2 intermetatarsal angle, so large on the earlier film, would seem to have changed
    /// on the later one by the stretch alone.
    ///
    /// ```text
    /// tan(angle') = tan(angle) / (1 + 2.1 · stretch)
    /// ```
    ///
    /// The first metatarsal falls more steeply than the lesser ones and answers the more to the tube's tilt:
    /// 2.1 times as much on simulated feet from 5° to 25° of tilt.
    #[must_use]
    pub fn apparent_change_of(&self, degrees: f64) -> f64 {
        let stretch = FIRST_RAY_ANSWERS * self.stretch;
        let seen = (degrees.to_radians().tan() / (1.0 + stretch)).atan();
        seen.to_degrees() - degrees
    }
}

/// A point about the mean, along and across the foot.
struct Row {
    weight: f64,
    from: [f64; 2],
    to: [f64; 2],
}

/// By which share the places grow along one of the two directions, and its standard deviation; nothing where
/// the points lie in one line.
fn growth(rows: &[Row], direction: usize) -> Option<(f64, f64)> {
    let sum = |value: &dyn Fn(&Row) -> f64| -> f64 {
        rows.iter().map(|row| row.weight * value(row)).sum()
    };
    let (own, other) = (direction, 1 - direction);
    let own_square = sum(&|row| row.from[own].powi(2));
    let other_square = sum(&|row| row.from[other].powi(2));
    let product = sum(&|row| row.from[own] * row.from[other]);
    let determinant = own_square * other_square - product * product;
    if determinant <= 1e-6 * own_square * other_square {
        return None;
    }
    let with_own = sum(&|row| row.from[own] * row.to[own]);
    let with_other = sum(&|row| row.from[other] * row.to[own]);
    let factor = (with_own * other_square - with_other * product) / determinant;
    let shear = (with_other * own_square - with_own * product) / determinant;
    let squares =
        sum(&|row| (row.to[own] - factor * row.from[own] - shear * row.from[other]).powi(2));
    #[expect(clippy::cast_precision_loss, reason = "some dozen points")]
    let free = (rows.len() as f64 - 3.0).max(1.0);
    let variance = squares / free * other_square / determinant;
    Some((factor - 1.0, variance.max(0.0).sqrt()))
}

/// The direction of the second metatarsal, or of another lesser one, on a film.
fn direction(film: TracedFilm<'_>) -> Option<PhysicalVector> {
    lesser_rays::ends(film).find_map(|(_, [base, tip])| (tip - base).unit())
}
