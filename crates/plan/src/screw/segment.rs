//! Straight segments in space.

use nalgebra::Vector3;

/// The shortest distance between two segments, each given by its ends, in the unit of their coordinates.
///
/// The closest points of the two lines, drawn back to the ends where they lie beyond: of the four ends and the
/// common perpendicular one gives the least distance.
pub(super) fn distance_between(one: [Vector3<f64>; 2], other: [Vector3<f64>; 2]) -> f64 {
    let ends = [
        to_segment(one[0], other),
        to_segment(one[1], other),
        to_segment(other[0], one),
        to_segment(other[1], one),
    ];
    let least = ends.into_iter().fold(f64::INFINITY, f64::min);
    perpendicular_between(one, other).map_or(least, |distance| distance.min(least))
}

/// The distance of a place from a segment.
fn to_segment(place: Vector3<f64>, [from, to]: [Vector3<f64>; 2]) -> f64 {
    let along = to - from;
    let square = along.norm_squared();
    let share = if square > 0.0 {
        ((place - from).dot(&along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (place - from - along * share).norm()
}

/// The length of the common perpendicular where it meets both segments between their ends.
fn perpendicular_between(one: [Vector3<f64>; 2], other: [Vector3<f64>; 2]) -> Option<f64> {
    let (u, v, w) = (one[1] - one[0], other[1] - other[0], one[0] - other[0]);
    let (uu, uv, vv) = (u.norm_squared(), u.dot(&v), v.norm_squared());
    let determinant = uu * vv - uv * uv;
    if determinant <= f64::EPSILON * uu * vv {
        return None;
    }
    let (uw, vw) = (u.dot(&w), v.dot(&w));
    let (s, t) = (
        (uv * vw - vv * uw) / determinant,
        (uu * vw - uv * uw) / determinant,
    );
    let is_between = |share: f64| (0.0..=1.0).contains(&share);
    (is_between(s) && is_between(t)).then(|| (w + u * s - v * t).norm())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(from: [f64; 3], to: [f64; 3]) -> [Vector3<f64>; 2] {
        [from.into(), to.into()]
    }

    #[test]
    fn distances_worked_by_hand() {
        let along_x = segment([0.0, 0.0, 0.0], [10.0, 0.0, 0.0]);
        for (other, distance, what) in [
            (
                segment([5.0, -4.0, 3.0], [5.0, 4.0, 3.0]),
                3.0,
                "crossing above",
            ),
            (segment([0.0, 2.0, 0.0], [10.0, 2.0, 0.0]), 2.0, "parallel"),
            (
                segment([13.0, 4.0, 0.0], [20.0, 4.0, 0.0]),
                5.0,
                "beyond the end",
            ),
            (
                segment([13.0, 4.0, 0.0], [13.0, 4.0, 0.0]),
                5.0,
                "a single place",
            ),
        ] {
            let found = distance_between(along_x, other);
            assert!((found - distance).abs() < 1e-12, "{what}: {found}");
            let found = distance_between(other, along_x);
            assert!(
                (found - distance).abs() < 1e-12,
                "{what}, exchanged: {found}"
            );
        }
    }
}
