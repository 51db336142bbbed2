//! The first metatarsal, the great toe and the two sesamoids.

use nalgebra::Vector3;
use plumbray_anatomy::{Angle, LongBone};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_metatarsal::{FirstMetatarsal, FirstMetatarsalShape},
    bones::forefoot::{base_place, first_metatarsal_azimuth, great_toe_angle},
    bones::hallux::{ProximalPhalanx, distal_phalanx},
    bones::long_bone::Head,
    bones::sesamoid_place::{SesamoidPlaces, sesamoids},
    geometry::frame::{Attitude, Frame},
    operation::{Screw, callus::callus, fixation, metal::Metal, osteotomy::Osteotomy},
    parameters::FootParameters,
};

/// Height of the centre of the first metatarsal head's joint surface above the floor, in mm.
const HEAD_HEIGHT_MM: f64 = 20.5;

/// Where the first metatarsal's base lies beside the second's, toward lateral and distal, in mm.
const BASE_PLACE_MM: [f64; 2] = [-17.5, 7.0];

const METATARSOPHALANGEAL_GAP_MM: f64 = 1.9;
const INTERPHALANGEAL_GAP_MM: f64 = 1.3;

/// How many degrees the two phalanges of the great toe point below the horizontal.
const TOE_DECLINATION: [f64; 2] = [6.0, 9.0];

/// The bones of the first ray, with the points that define its parameters.
#[derive(Clone, Debug)]
pub(crate) struct FirstRay {
    /// The metatarsal, or its shaft if it was cut; the two phalanges, the two sesamoids, and the
    /// capital fragment of a cut metatarsal.
    pub(crate) bones: Vec<Bone>,
    /// Centre of the base of the first metatarsal, in the foot's coordinates.
    pub(crate) base: Vector3<f64>,
    /// The point of the head's own axis beside the centre of its joint surface, in the foot's
    /// coordinates: before an operation a point of the metatarsal's axis.
    pub(crate) head_on_axis: Vector3<f64>,
    /// The centre of the joint surface of the head, in the foot's coordinates.
    pub(crate) head_centre: Vector3<f64>,
    /// The medial and the lateral end of the head's joint surface, in the foot's coordinates.
    pub(crate) articular_ends: [Vector3<f64>; 2],
    /// The proximal ends of the two phalanges of the great toe.
    pub(crate) toe: [Vector3<f64>; 2],
    /// The distal end of the great toe's bones.
    pub(crate) toe_tip: Vector3<f64>,
    /// How the metatarsal was cut, if it was.
    pub(crate) osteotomy: Option<Osteotomy>,
    /// The screws of an operation.
    pub(crate) screws: Vec<Screw>,
    /// All metal of an operation.
    pub(crate) metal: Vec<Metal>,
}

impl FirstRay {
    pub(crate) fn new(parameters: &FootParameters) -> Self {
        let metatarsal = FirstMetatarsal::new(&FirstMetatarsalShape {
            length_mm: parameters.metatarsal_lengths_mm[0],
            articular_tilt: Angle::from_degrees(parameters.distal_metatarsal_articular_angle),
            medial_eminence_mm: parameters.medial_eminence_mm,
            individual: parameters.individual,
        });
        let level = level_frame(parameters, &metatarsal.head);
        let attitude = Attitude {
            roll: Angle::from_degrees(-parameters.first_ray_pronation),
            ..level.attitude
        };
        let frame = Frame::new(level.frame.origin, attitude);
        let whole = Bone::new(BoneName::Long(LongBone::M1), frame, &metatarsal.solid);
        let osteotomy = parameters
            .operation
            .map(|operation| Osteotomy::new(&operation, &level.frame, &whole, &metatarsal.head));
        let (shaft, fragment) = match &osteotomy {
            Some(osteotomy) => (osteotomy.shaft.clone(), Some(osteotomy.fragment.clone())),
            None => (whole, None),
        };
        let head_bone = fragment.as_ref().unwrap_or(&shaft);
        let head_frame = head_bone.frame;
        let (phalanges, toe_tip) = great_toe(parameters, &metatarsal.head, &head_frame);
        let toe = [phalanges[0].frame.origin, phalanges[1].frame.origin];
        let sesamoids = sesamoids(&SesamoidPlaces {
            parameters,
            level: level.frame,
            attitude,
            head: head_bone,
        });
        let mut bones = vec![shaft.clone()];
        bones.extend(phalanges);
        bones.extend(sesamoids);
        bones.extend(fragment.clone());
        let (mut screws, mut metal) = (Vec::new(), Vec::new());
        if let (Some(operation), Some(cut)) = (&parameters.operation, &osteotomy) {
            screws = fixation::screws(operation, cut, &metatarsal.head);
            metal = fixation::metal(operation, cut, &screws);
            let new_bone = operation
                .callus
                .and_then(|new_bone| callus(new_bone, cut, parameters.individual));
            bones.extend(new_bone);
        }
        let on_axis = Vector3::new(0.0, 0.0, metatarsal.head.centre.z);
        Self {
            bones,
            base: level.frame.origin,
            head_on_axis: head_frame.foot_from_bone(on_axis),
            head_centre: head_frame.foot_from_bone(metatarsal.head.centre),
            articular_ends: metatarsal
                .articular_ends
                .map(|end| head_frame.foot_from_bone(end)),
            toe,
            toe_tip,
            osteotomy,
            screws,
            metal,
        }
    }
}

/// The place of the first metatarsal without its pronation.
struct Level {
    attitude: Attitude,
    frame: Frame,
}

fn level_frame(parameters: &FootParameters, head: &Head) -> Level {
    let attitude = Attitude::degrees(
        first_metatarsal_azimuth(parameters),
        parameters.first_metatarsal_inclination,
        0.0,
    );
    let rise = head.centre.z * attitude.declination.radians().sin();
    let height_mm = HEAD_HEIGHT_MM + parameters.first_ray_elevation_mm + rise;
    let base = base_place(parameters, BASE_PLACE_MM, height_mm);
    Level {
        attitude,
        frame: Frame::new(base, attitude),
    }
}

/// The two phalanges of the great toe on the head of a metatarsal, and the tip of the toe's bones.
fn great_toe(
    parameters: &FootParameters,
    metatarsal_head: &Head,
    head_frame: &Frame,
) -> ([Bone; 2], Vector3<f64>) {
    let supination = parameters
        .operation
        .map_or(0.0, |operation| operation.supination_degrees);
    let roll = supination - parameters.first_ray_pronation;
    let azimuth = first_metatarsal_azimuth(parameters) + great_toe_angle(parameters);
    let gap_mm = METATARSOPHALANGEAL_GAP_MM * (1.0 - parameters.joint_narrowing);
    let frame = metatarsal_head.next_frame(
        head_frame,
        Attitude::degrees(azimuth, TOE_DECLINATION[0], roll),
        gap_mm,
    );
    let proximal = ProximalPhalanx::new(metatarsal_head, gap_mm, parameters.individual);
    let name = BoneName::Long(LongBone::ProximalPhalanx);
    let proximal_bone = Bone::new(name, frame, &proximal.solid);

    let attitude = Attitude::degrees(
        azimuth + parameters.hallux_interphalangeal_angle,
        TOE_DECLINATION[1],
        roll,
    );
    let frame = proximal
        .head
        .next_frame(&frame, attitude, INTERPHALANGEAL_GAP_MM);
    let distal = distal_phalanx(
        &proximal.head,
        INTERPHALANGEAL_GAP_MM,
        parameters.individual,
    );
    let name = BoneName::Long(LongBone::DistalPhalanx);
    let distal_bone = Bone::new(name, frame, &distal);
    let tip = frame.foot_from_bone(Vector3::new(0.0, 0.0, distal.length_mm));
    ([proximal_bone, distal_bone], tip)
}
