//! How the metatarsals stand as a group, and which way each of their rays points.

use nalgebra::Vector3;

use crate::parameters::{FootParameters, USUAL_METATARSUS_ADDUCTUS};

/// Azimuth of the second metatarsal of a usual foot from the foot's length toward lateral, in degrees.
const USUAL_AZIMUTH: f64 = 3.0;

/// Azimuth of the long axis of the lesser tarsus, against which the metatarsus adductus angle is
/// asked for, in degrees.
pub(crate) const TARSAL_AZIMUTH: f64 = USUAL_AZIMUTH + USUAL_METATARSUS_ADDUCTUS;

/// Azimuth of the second metatarsal, in degrees.
pub(crate) fn second_metatarsal_azimuth(parameters: &FootParameters) -> f64 {
    TARSAL_AZIMUTH - parameters.metatarsus_adductus_angle
}

/// Azimuth of the first metatarsal, in degrees.
pub(crate) fn first_metatarsal_azimuth(parameters: &FootParameters) -> f64 {
    second_metatarsal_azimuth(parameters) - parameters.intermetatarsal_angle_1_2
}

/// The angle in degrees at which the great toe leaves the axis of the first metatarsal's shaft toward
/// lateral: after an operation, what it has left of the hallux valgus angle.
pub(crate) fn great_toe_angle(parameters: &FootParameters) -> f64 {
    let turned = parameters.operation.map_or(0.0, |operation| {
        operation.medial_turn_degrees + operation.toe_turn_degrees
    });
    parameters.hallux_valgus_angle - turned
}

/// Where the base of a metatarsal lies, toward lateral and distal of the second's in mm and at a height
/// in mm, when the group is turned about the base of the second: `usual_mm` is its place in a usual
/// foot.
pub(crate) fn base_place(
    parameters: &FootParameters,
    usual_mm: [f64; 2],
    height_mm: f64,
) -> Vector3<f64> {
    let turn = (second_metatarsal_azimuth(parameters) - USUAL_AZIMUTH).to_radians();
    let (sin, cos) = turn.sin_cos();
    let [x, y] = usual_mm;
    Vector3::new(x * cos + y * sin, y * cos - x * sin, height_mm)
}
