//! The wedge taken from the proximal phalanx of the great toe.

use plumbray_anatomy::Angle;

/// The angle by which a wedge of this base turns the phalanx, where one of its faces is square to the bone:
///
/// ```text
/// α = atan(base / w)
/// ```
///
/// with the width w of the phalanx there, in the unit of the base. Closing it shortens the axis by half the
/// base. Plain geometry.
#[must_use]
pub fn wedge_angle(base: f64, width: f64) -> Angle {
    Angle::from_radians(base.atan2(width))
}

/// The base of such a wedge, the other way round: `w · tan α`.
#[must_use]
pub fn wedge_base(angle: Angle, width: f64) -> f64 {
    width * angle.radians().tan()
}

/// The base of a wedge whose two faces are slanted alike: `2 · w · tan(α / 2)`.
#[must_use]
pub fn wedge_base_isosceles(angle: Angle, width: f64) -> f64 {
    2.0 * width * (angle.radians() / 2.0).tan()
}
