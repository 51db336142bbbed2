//! Smooth minimum and maximum, which blend solids without a crease, and the distance to an ellipsoid.

use nalgebra::Vector3;

/// The smaller of two distances, blended over `radius_mm` where they are nearly equal.
///
/// ```text
/// min(a, b) − h² / 4k,  h = max(k − |a − b|, 0)
/// ```
///
/// The blend is quadratic, so that the surface stays smooth and is never moved by more than k / 4.
pub(crate) fn smooth_min(first: f64, second: f64, radius_mm: f64) -> f64 {
    let overlap = (radius_mm - (first - second).abs()).max(0.0);
    first.min(second) - overlap * overlap / (4.0 * radius_mm.max(f64::MIN_POSITIVE))
}

/// The larger of two distances, blended over `radius_mm`: the rounded edge where two surfaces meet.
pub(crate) fn smooth_max(first: f64, second: f64, radius_mm: f64) -> f64 {
    -smooth_min(-first, -second, radius_mm)
}

/// The distance from a point to an ellipsoid about the origin, in mm, negative inside.
///
/// First-order: the surface itself is exact, the distance is right near it and within a factor
/// elsewhere, which is what marching along a ray needs.
pub(crate) fn ellipsoid_distance(point: Vector3<f64>, radii: Vector3<f64>) -> f64 {
    let scaled = point.component_div(&radii);
    let level = scaled.norm();
    let slope = scaled.component_div(&radii).norm();
    if slope > 1e-12 {
        level * (level - 1.0) / slope
    } else {
        -radii.min()
    }
}

/// 0 below `from`, 1 above `to`, with a smooth rise between.
pub(crate) fn smooth_step(from: f64, to: f64, value: f64) -> f64 {
    let share = ((value - from) / (to - from)).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_apart_the_smooth_minimum_is_the_minimum() {
        assert!((smooth_min(1.0, 5.0, 2.0) - 1.0).abs() < 1e-15, "min");
        assert!((smooth_max(1.0, 5.0, 2.0) - 5.0).abs() < 1e-15, "max");
    }

    #[test]
    fn where_two_distances_are_equal_the_blend_is_a_quarter_of_its_radius() {
        assert!((smooth_min(0.0, 0.0, 2.0) + 0.5).abs() < 1e-15, "k / 4");
    }

    #[test]
    fn the_distance_to_a_ball_is_exact() {
        let radii = Vector3::repeat(3.0);
        let outside = ellipsoid_distance(Vector3::new(0.0, 5.0, 0.0), radii);
        assert!((outside - 2.0).abs() < 1e-12, "{outside}");
    }
}
