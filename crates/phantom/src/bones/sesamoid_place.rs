//! Where the sesamoids lie under the first metatarsal head.

use nalgebra::Vector3;
use plumbray_anatomy::{Angle, Sesamoid};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::sesamoid::SesamoidBone,
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
};

/// How far proximal of the metatarsal's tip the sesamoids lie, in mm.
const BEHIND_TIP_MM: f64 = 10.5;

/// Between the two sesamoids, in mm.
const APART_MM: f64 = 1.4;

/// Depth of the cartilage between a sesamoid and the head, in mm.
const CARTILAGE_MM: f64 = 0.9;

/// Depth below the metatarsal's axis at which a sesamoid under the middle of the head lies at least,
/// in mm, and how far from there it is lowered at most until it is clear of the head.
const DEPTH_MM: f64 = 11.0;
const LOWERED_MM: f64 = 9.0;

/// How finely a sesamoid's height is found, in mm.
const HEIGHT_STEP_MM: f64 = 0.05;

/// Half the width of the head's plantar surface in mm: a sesamoid beyond it rides up its side.
const PLANTAR_HALF_WIDTH_MM: f64 = 7.0;

/// What decides the places of the sesamoids.
pub(crate) struct SesamoidPlaces<'a> {
    /// The foot.
    pub(crate) parameters: &'a FootParameters,
    /// The first metatarsal before its pronation and before an operation.
    pub(crate) level: Frame,
    /// The attitude of the first metatarsal before an operation, with its pronation.
    pub(crate) attitude: Attitude,
    /// The bone that carries the head.
    pub(crate) head: &'a Bone,
}

/// The two sesamoids. Across the foot they lie where the parameters say, seen from above against the
/// axis of the metatarsal before an operation: an operation moves the head and leaves them with the
/// second metatarsal. They touch the head, and are turned as its plantar side is.
pub(crate) fn sesamoids(places: &SesamoidPlaces<'_>) -> [Bone; 2] {
    let tibial = SesamoidBone::new(Sesamoid::Tibial, places.parameters.individual);
    let fibular = SesamoidBone::new(Sesamoid::Fibular, places.parameters.individual);
    let parameters = places.parameters;
    let across = (parameters.sesamoid_displacement - 0.5) * 2.0 * tibial.radii_mm.x;
    let along = parameters.metatarsal_lengths_mm[0] - BEHIND_TIP_MM;
    // The line through the two turns with the metatarsal: pronation lifts the lateral one.
    let apart = tibial.radii_mm.x + fibular.radii_mm.x + APART_MM;
    let (sin, cos) = parameters.first_ray_pronation.to_radians().sin_cos();
    [
        (Sesamoid::Tibial, tibial, [across, 0.0, along]),
        (
            Sesamoid::Fibular,
            fibular,
            [across + apart * cos, apart * sin, along + 0.4],
        ),
    ]
    .map(|(name, shape, place)| places.bone(name, &shape, place.into()))
}

impl SesamoidPlaces<'_> {
    /// A sesamoid at a place in the level frame, of which `v` is how much higher than the other it
    /// lies.
    fn bone(&self, name: Sesamoid, shape: &SesamoidBone, place: Vector3<f64>) -> Bone {
        let beyond = (place.x.abs() - PLANTAR_HALF_WIDTH_MM).max(0.0);
        let roll = self.attitude.roll.degrees() - 2.0 * beyond * place.x.signum().max(0.0);
        let attitude = Attitude {
            azimuth: self.attitude.azimuth,
            declination: Angle::from_degrees(self.attitude.declination.degrees() - 6.0),
            roll: Angle::from_degrees(roll),
        };
        let mut frame = Frame::new(Vector3::zeros(), attitude);
        let lowered = self
            .parameters
            .operation
            .map_or(0.0, |operation| operation.plantar_shift_mm);
        let highest = -DEPTH_MM + 0.35 * beyond + place.y - lowered;
        let mut at = Vector3::new(place.x, highest, place.z);
        frame.origin = self.level.foot_from_bone(at);
        while !self.is_clear(&frame, shape) && highest - at.y < LOWERED_MM {
            at.y -= HEIGHT_STEP_MM;
            frame.origin = self.level.foot_from_bone(at);
        }
        Bone::new(BoneName::Sesamoid(name), frame, &shape.solid)
    }

    /// Whether the dorsal side of a sesamoid keeps clear of the head.
    fn is_clear(&self, frame: &Frame, shape: &SesamoidBone) -> bool {
        const PLACES: [f64; 3] = [-0.6, 0.0, 0.6];
        PLACES.iter().all(|u| {
            PLACES.iter().all(|w| {
                let v = (1.0 - u * u - w * w).max(0.0).sqrt();
                let surface = shape.radii_mm.component_mul(&Vector3::new(*u, v, *w));
                let place = frame.foot_from_bone(surface);
                self.head.distance(self.head.frame.bone_from_foot(place)) >= CARTILAGE_MM
            })
        })
    }
}
