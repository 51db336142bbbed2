//! The second to fifth metatarsals and the lesser toes.

use nalgebra::Vector3;
use plumbray_anatomy::LongBone;

use crate::{
    bones::bone::{Bone, BoneName},
    bones::forefoot::{base_place, great_toe_angle, second_metatarsal_azimuth},
    bones::lesser_metatarsal::{LesserMetatarsal, LesserMetatarsalShape},
    bones::lesser_toe::LesserPhalanx,
    bones::long_bone::Head,
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
};

/// One lesser ray: its metatarsal's place and attitude, and its toe.
#[derive(Clone, Copy, Debug)]
struct RayPlan {
    bone: LongBone,
    toe: u8,
    /// Where the base lies beside the second's, toward lateral and distal, in mm.
    base_mm: [f64; 2],
    /// Azimuth beyond the second metatarsal's, in degrees.
    spread: f64,
    /// Inclination to the floor in degrees, when the first metatarsal's is 21°.
    inclination: f64,
    /// Turn of the head's dorsum toward lateral, in degrees; the base is turned more by its torsion.
    roll: f64,
    /// Height of the centre of the head above the floor in mm.
    head_height_mm: f64,
    /// Azimuth of the three phalanges from the metatarsal, in degrees.
    toe_turn: [f64; 3],
}

const PLANS: [RayPlan; 4] = [
    RayPlan {
        bone: LongBone::M2,
        toe: 2,
        base_mm: [0.0, 0.0],
        spread: 0.0,
        inclination: 20.0,
        roll: 1.0,
        head_height_mm: 14.5,
        toe_turn: [4.0, 3.0, -2.0],
    },
    RayPlan {
        bone: LongBone::M3,
        toe: 3,
        base_mm: [11.2, -1.0],
        spread: 3.8,
        inclination: 17.0,
        roll: 4.0,
        head_height_mm: 14.0,
        toe_turn: [3.0, 0.0, -6.0],
    },
    RayPlan {
        bone: LongBone::M4,
        toe: 4,
        base_mm: [20.6, -5.0],
        spread: 8.6,
        inclination: 12.5,
        roll: 8.0,
        head_height_mm: 13.5,
        toe_turn: [0.0, -6.0, -14.0],
    },
    RayPlan {
        bone: LongBone::M5,
        toe: 5,
        base_mm: [28.8, -10.0],
        spread: 15.5,
        inclination: 8.0,
        roll: 10.0,
        head_height_mm: 13.0,
        toe_turn: [-5.0, -16.0, -24.0],
    },
];

const TOE_GAP_MM: f64 = 1.1;
const METATARSOPHALANGEAL_GAP_MM: f64 = 1.6;
/// How far the phalanges of a lesser toe point below the horizontal, in degrees: a standing toe rises
/// from its metatarsal and then curls down to the floor, so that its joints overlap on an AP film.
const TOE_DECLINATION: [f64; 3] = [-17.0, 24.0, 44.0];

/// A lesser ray's bones, with the points that the soft tissue follows.
#[derive(Clone, Debug)]
pub(crate) struct LesserRay {
    /// The metatarsal and the three phalanges.
    pub(crate) bones: Vec<Bone>,
    /// Centre of the metatarsal's base, in the foot's coordinates.
    pub(crate) base: Vector3<f64>,
    /// Centre of the metatarsal's head.
    pub(crate) head_centre: Vector3<f64>,
    /// The proximal ends of the phalanges and the tip of the toe.
    pub(crate) toe: [Vector3<f64>; 4],
}

/// The four lesser rays from the second to the fifth.
pub(crate) fn lesser_rays(parameters: &FootParameters) -> [LesserRay; 4] {
    let ray = |index: usize| move || lesser_ray(&PLANS[index], parameters);
    let ((second, third), (fourth, fifth)) = rayon::join(
        || rayon::join(ray(0), ray(1)),
        || rayon::join(ray(2), ray(3)),
    );
    [second, third, fourth, fifth]
}

fn lesser_ray(plan: &RayPlan, parameters: &FootParameters) -> LesserRay {
    let metatarsal = LesserMetatarsal::new(&LesserMetatarsalShape {
        bone: plan.bone,
        length_mm: parameters.metatarsal_lengths_mm[usize::from(plan.toe - 1)],
        individual: parameters.individual,
    });
    let attitude = Attitude::degrees(
        second_metatarsal_azimuth(parameters) + plan.spread,
        plan.inclination * parameters.first_metatarsal_inclination / 21.0,
        plan.roll,
    );
    let rise = metatarsal.head.centre.z * attitude.declination.radians().sin();
    let base = base_place(parameters, plan.base_mm, plan.head_height_mm + rise);
    let frame = Frame::new(base, attitude);
    let mut bones = vec![Bone::new(
        BoneName::Long(plan.bone),
        frame,
        &metatarsal.solid,
    )];
    let toe = add_toe(&mut bones, plan, parameters, &metatarsal.head, &frame);
    LesserRay {
        bones,
        base,
        head_centre: frame.foot_from_bone(metatarsal.head.centre),
        toe,
    }
}

/// Adds the three phalanges of a lesser toe; returns their proximal ends and the tip.
fn add_toe(
    bones: &mut Vec<Bone>,
    plan: &RayPlan,
    parameters: &FootParameters,
    metatarsal_head: &Head,
    metatarsal_frame: &Frame,
) -> [Vector3<f64>; 4] {
    // A great toe that leans over pushes the second toe aside, and that the third.
    let crowding = (great_toe_angle(parameters) - 18.0).max(0.0)
        * [0.42, 0.2, 0.08, 0.0][usize::from(plan.toe - 2)];
    let phalanges = LesserPhalanx::toe(
        plan.toe,
        metatarsal_head,
        [METATARSOPHALANGEAL_GAP_MM, TOE_GAP_MM],
        parameters.individual,
    );
    let mut before = *metatarsal_head;
    let mut frame = *metatarsal_frame;
    let mut gap_mm = METATARSOPHALANGEAL_GAP_MM;
    let mut points = [Vector3::zeros(); 4];
    for (place, phalanx) in phalanges.into_iter().enumerate() {
        let azimuth =
            second_metatarsal_azimuth(parameters) + plan.spread + plan.toe_turn[place] + crowding;
        let attitude = Attitude::degrees(azimuth, TOE_DECLINATION[place], 0.0);
        frame = before.next_frame(&frame, attitude, gap_mm);
        let number = u8::try_from(place + 1).unwrap_or(u8::MAX);
        bones.push(Bone::new(
            BoneName::LesserPhalanx {
                toe: plan.toe,
                place: number,
            },
            frame,
            &phalanx.solid,
        ));
        points[place] = frame.origin;
        points[place + 1] = frame.foot_from_bone(Vector3::new(0.0, 0.0, phalanx.solid.length_mm));
        before = phalanx.head;
        gap_mm = TOE_GAP_MM;
    }
    points
}
