//! The first metatarsal, the great toe and the two sesamoids.

use nalgebra::Vector3;
use plumbray_anatomy::{Angle, LongBone, Sesamoid};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_metatarsal::{FirstMetatarsal, FirstMetatarsalShape},
    bones::hallux::{ProximalPhalanx, distal_phalanx},
    bones::long_bone::Head,
    bones::sesamoid::SesamoidBone,
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
};

/// Azimuth of the second metatarsal from the foot's length toward lateral, in degrees.
pub(crate) const SECOND_METATARSAL_AZIMUTH: f64 = 3.0;

/// Which individual the bones' small differences belong to.
pub(crate) const INDIVIDUAL: u64 = 1;

/// Height of the centre of the first metatarsal head's joint surface above the floor, in mm.
const HEAD_HEIGHT_MM: f64 = 20.5;

/// Where the first metatarsal's base lies beside the second's, toward lateral and distal, in mm.
const BASE_PLACE_MM: [f64; 2] = [-17.5, 7.0];

const METATARSOPHALANGEAL_GAP_MM: f64 = 1.9;
const INTERPHALANGEAL_GAP_MM: f64 = 1.3;

/// The bones of the first ray, with the points that define its parameters.
#[derive(Clone, Debug)]
pub(crate) struct FirstRay {
    /// The metatarsal, the two phalanges and the two sesamoids.
    pub(crate) bones: Vec<Bone>,
    /// Centre of the base of the first metatarsal, in the foot's coordinates.
    pub(crate) base: Vector3<f64>,
    /// Attitude of the first metatarsal.
    pub(crate) attitude: Attitude,
    /// The centre of the joint surface of the head, in the foot's coordinates.
    pub(crate) head_centre: Vector3<f64>,
    /// The medial and the lateral end of the head's joint surface, in the foot's coordinates.
    pub(crate) articular_ends: [Vector3<f64>; 2],
    /// The proximal ends of the two phalanges of the great toe.
    pub(crate) toe: [Vector3<f64>; 2],
    /// The distal end of the great toe's bones.
    pub(crate) toe_tip: Vector3<f64>,
}

impl FirstRay {
    pub(crate) fn new(parameters: &FootParameters) -> Self {
        let metatarsal = FirstMetatarsal::new(&FirstMetatarsalShape {
            length_mm: parameters.metatarsal_lengths_mm[0],
            articular_tilt: Angle::from_degrees(parameters.distal_metatarsal_articular_angle),
            medial_eminence_mm: 0.0,
            individual: INDIVIDUAL,
        });
        let attitude = Attitude::degrees(
            SECOND_METATARSAL_AZIMUTH - parameters.intermetatarsal_angle_1_2,
            parameters.first_metatarsal_inclination,
            0.0,
        );
        let rise = metatarsal.head.centre.z * attitude.declination.radians().sin();
        let base = Vector3::new(BASE_PLACE_MM[0], BASE_PLACE_MM[1], HEAD_HEIGHT_MM + rise);
        let frame = Frame::new(base, attitude);
        let name = BoneName::Long(LongBone::M1);
        let mut bones = vec![Bone::new(name, frame, &metatarsal.solid)];
        let toe_tip = add_phalanges(&mut bones, parameters, &metatarsal.head, &frame);
        let toe = [bones[1].frame.origin, bones[2].frame.origin];
        bones.extend(sesamoids(parameters, &frame));
        Self {
            bones,
            base,
            attitude,
            head_centre: frame.foot_from_bone(metatarsal.head.centre),
            articular_ends: metatarsal
                .articular_ends
                .map(|end| frame.foot_from_bone(end)),
            toe,
            toe_tip,
        }
    }
}

/// Adds the two phalanges of the great toe and returns the tip of the toe's bones.
fn add_phalanges(
    bones: &mut Vec<Bone>,
    parameters: &FootParameters,
    metatarsal_head: &Head,
    metatarsal_frame: &Frame,
) -> Vector3<f64> {
    let azimuth = SECOND_METATARSAL_AZIMUTH - parameters.intermetatarsal_angle_1_2
        + parameters.hallux_valgus_angle;
    let frame = metatarsal_head.next_frame(
        metatarsal_frame,
        Attitude::degrees(azimuth, 6.0, 0.0),
        METATARSOPHALANGEAL_GAP_MM,
    );
    let proximal = ProximalPhalanx::new(metatarsal_head, METATARSOPHALANGEAL_GAP_MM, INDIVIDUAL);
    bones.push(Bone::new(
        BoneName::Long(LongBone::ProximalPhalanx),
        frame,
        &proximal.solid,
    ));

    let attitude = Attitude::degrees(azimuth + parameters.hallux_interphalangeal_angle, 9.0, 0.0);
    let frame = proximal
        .head
        .next_frame(&frame, attitude, INTERPHALANGEAL_GAP_MM);
    let distal = distal_phalanx(&proximal.head, INTERPHALANGEAL_GAP_MM, INDIVIDUAL);
    bones.push(Bone::new(
        BoneName::Long(LongBone::DistalPhalanx),
        frame,
        &distal,
    ));
    frame.foot_from_bone(Vector3::new(0.0, 0.0, distal.length_mm))
}

/// The two sesamoids in their places under the head.
fn sesamoids(parameters: &FootParameters, frame: &Frame) -> [Bone; 2] {
    let tibial = SesamoidBone::new(Sesamoid::Tibial, INDIVIDUAL);
    let fibular = SesamoidBone::new(Sesamoid::Fibular, INDIVIDUAL);
    let across = (parameters.sesamoid_displacement - 0.5) * 2.0 * tibial.radii_mm.x;
    let along = parameters.metatarsal_lengths_mm[0] - 10.5;
    // Displaced, the sesamoids ride over the ridge between them and turn with the plantar side.
    let apart = tibial.radii_mm.x + fibular.radii_mm.x + 1.4;
    [
        (Sesamoid::Tibial, tibial, across, 0.0),
        (Sesamoid::Fibular, fibular, across + apart, 0.4),
    ]
    .map(|(name, shape, u, forward)| {
        let under_edge = (u.abs() - 7.0).max(0.0);
        let v = -13.6 + 0.35 * under_edge;
        let centre = frame.foot_from_bone(Vector3::new(u, v, along + forward));
        let roll = Angle::from_degrees(-2.0 * under_edge);
        let attitude = Attitude {
            azimuth: Angle::from_degrees(
                SECOND_METATARSAL_AZIMUTH - parameters.intermetatarsal_angle_1_2,
            ),
            declination: Angle::from_degrees(parameters.first_metatarsal_inclination - 6.0),
            roll,
        };
        Bone::new(
            BoneName::Sesamoid(name),
            Frame::new(centre, attitude),
            &shape.solid,
        )
    })
}
