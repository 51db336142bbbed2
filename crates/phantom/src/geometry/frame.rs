//! The place and attitude of a bone in the foot.

use nalgebra::{Matrix3, Rotation3, Vector3};
use plumbray_anatomy::Angle;

/// A bone's own coordinates: `u` toward lateral, `v` toward dorsal, `w` toward distal.
///
/// The foot's coordinates are x toward lateral, y toward distal along the foot and z up from the
/// floor, in millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Frame {
    /// The foot's coordinates of the bone's origin.
    pub(crate) origin: Vector3<f64>,
    /// Its columns are the bone's axes u, v and w in the foot's coordinates.
    axes: Matrix3<f64>,
}

/// Which way a bone points.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub(crate) struct Attitude {
    /// The angle in the floor plane from the foot's length toward lateral.
    pub(crate) azimuth: Angle,
    /// The angle by which the distal end points below the horizontal.
    pub(crate) declination: Angle,
    /// The turn about the bone's own length, positive when its dorsum turns toward lateral.
    pub(crate) roll: Angle,
}

impl Attitude {
    /// An attitude from three numbers in degrees.
    pub(crate) fn degrees(azimuth: f64, declination: f64, roll: f64) -> Self {
        Self {
            azimuth: Angle::from_degrees(azimuth),
            declination: Angle::from_degrees(declination),
            roll: Angle::from_degrees(roll),
        }
    }

    /// The unit vector along the bone, in the foot's coordinates.
    pub(crate) fn direction(self) -> Vector3<f64> {
        let (sin_azimuth, cos_azimuth) = self.azimuth.radians().sin_cos();
        let (sin_fall, cos_fall) = self.declination.radians().sin_cos();
        Vector3::new(sin_azimuth * cos_fall, cos_azimuth * cos_fall, -sin_fall)
    }
}

impl Frame {
    /// A bone that starts at `origin` and points as `attitude` says.
    pub(crate) fn new(origin: Vector3<f64>, attitude: Attitude) -> Self {
        let along = attitude.direction();
        let (sin_azimuth, cos_azimuth) = attitude.azimuth.radians().sin_cos();
        let level_lateral = Vector3::new(cos_azimuth, -sin_azimuth, 0.0);
        let level_dorsal = level_lateral.cross(&along);
        let (sin_roll, cos_roll) = attitude.roll.radians().sin_cos();
        let dorsal = level_dorsal * cos_roll + level_lateral * sin_roll;
        let lateral = level_lateral * cos_roll - level_dorsal * sin_roll;
        Self {
            origin,
            axes: Matrix3::from_columns(&[lateral, dorsal, along]),
        }
    }

    /// The foot's coordinates of a point given in the bone's.
    pub(crate) fn foot_from_bone(&self, point: Vector3<f64>) -> Vector3<f64> {
        self.origin + self.axes * point
    }

    /// The bone's coordinates of a point given in the foot's.
    pub(crate) fn bone_from_foot(&self, point: Vector3<f64>) -> Vector3<f64> {
        self.axes.tr_mul(&(point - self.origin))
    }

    /// The foot's coordinates of a direction given in the bone's.
    pub(crate) fn direction_in_foot(&self, direction: Vector3<f64>) -> Vector3<f64> {
        self.axes * direction
    }

    /// The frame after its bone was turned about a point of the foot and then shifted.
    pub(crate) fn moved(
        &self,
        turn: &Rotation3<f64>,
        about: Vector3<f64>,
        shift: Vector3<f64>,
    ) -> Self {
        Self {
            origin: about + turn * (self.origin - about) + shift,
            axes: turn.matrix() * self.axes,
        }
    }

    /// The bone's coordinates of a direction given in the foot's.
    pub(crate) fn direction_in_bone(&self, direction: Vector3<f64>) -> Vector3<f64> {
        self.axes.tr_mul(&direction)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_level_bone_has_the_axes_of_the_foot() {
        let frame = Frame::new(Vector3::zeros(), Attitude::degrees(0.0, 0.0, 0.0));
        let point = frame.foot_from_bone(Vector3::new(1.0, 2.0, 3.0));
        assert!(
            (point - Vector3::new(1.0, 3.0, 2.0)).norm() < 1e-12,
            "lateral, distal, up: {point}"
        );
    }

    #[test]
    fn there_and_back_is_the_same_point() {
        let frame = Frame::new(
            Vector3::new(3.0, -4.0, 5.0),
            Attitude::degrees(20.0, 15.0, 30.0),
        );
        let point = Vector3::new(1.0, -2.0, 7.0);
        let back = frame.bone_from_foot(frame.foot_from_bone(point));
        assert!((back - point).norm() < 1e-12, "{back}");
    }

    #[test]
    fn a_rolled_bone_shows_its_dorsum_to_lateral() {
        let frame = Frame::new(Vector3::zeros(), Attitude::degrees(0.0, 0.0, 90.0));
        let dorsal = frame.foot_from_bone(Vector3::y());
        assert!((dorsal - Vector3::x()).norm() < 1e-12, "{dorsal}");
    }
}
