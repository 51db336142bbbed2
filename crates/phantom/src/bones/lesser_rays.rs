//! The second to fifth metatarsals and the lesser toes.

use nalgebra::Vector3;
use plumbray_anatomy::LongBone;

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_ray::SECOND_METATARSAL_AZIMUTH,
    bones::long_bone::{Base, LongBoneMake, METATARSAL_WALLS, PHALANX_WALLS},
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
    shape::{form::Form, profile::Section},
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
    /// Turn of the base's dorsum toward lateral, as the transverse arch falls, in degrees.
    roll: f64,
    /// Height of the centre of the head above the floor in mm.
    head_height_mm: f64,
    /// Size of the sections against the second metatarsal's.
    scale: f64,
    /// Lateral face of the base: tilt of its joint toward lateral, as a slope.
    base_slope: f64,
    /// Lengths of the three phalanges in mm.
    phalanges_mm: [f64; 3],
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
        roll: 4.0,
        head_height_mm: 14.5,
        scale: 1.0,
        base_slope: 0.12,
        phalanges_mm: [29.0, 15.0, 11.5],
        toe_turn: [4.0, 3.0, -2.0],
    },
    RayPlan {
        bone: LongBone::M3,
        toe: 3,
        base_mm: [11.2, -1.0],
        spread: 3.8,
        inclination: 17.0,
        roll: 18.0,
        head_height_mm: 14.0,
        scale: 0.96,
        base_slope: 0.3,
        phalanges_mm: [26.5, 12.5, 11.0],
        toe_turn: [3.0, 0.0, -6.0],
    },
    RayPlan {
        bone: LongBone::M4,
        toe: 4,
        base_mm: [20.6, -5.0],
        spread: 8.6,
        inclination: 12.5,
        roll: 34.0,
        head_height_mm: 13.5,
        scale: 0.93,
        base_slope: 0.34,
        phalanges_mm: [24.0, 9.0, 10.5],
        toe_turn: [0.0, -6.0, -14.0],
    },
    RayPlan {
        bone: LongBone::M5,
        toe: 5,
        base_mm: [28.8, -10.0],
        spread: 15.5,
        inclination: 8.0,
        roll: 30.0,
        head_height_mm: 13.0,
        scale: 0.94,
        base_slope: 0.55,
        phalanges_mm: [21.5, 6.5, 9.0],
        toe_turn: [-5.0, -16.0, -24.0],
    },
];

const METATARSAL_SECTIONS: [Section; 10] = [
    Section::even(0.0, 6.9, 9.6, 9.4),
    Section::even(0.07, 7.1, 9.2, 9.0),
    Section::even(0.16, 5.9, 7.0, 6.8),
    Section::even(0.28, 4.5, 5.0, 4.9),
    Section::even(0.5, 3.9, 4.3, 4.4),
    Section::even(0.7, 4.0, 4.5, 4.8),
    Section::even(0.8, 4.9, 5.4, 5.6),
    Section::even(0.885, 6.5, 7.0, 6.6),
    Section::even(0.94, 6.2, 7.2, 7.6),
    Section::even(1.0, 5.6, 7.0, 7.6),
];

/// The fifth metatarsal is broad and flat at its base.
const FIFTH_METATARSAL_SECTIONS: [Section; 9] = [
    Section::even(0.0, 8.6, 7.6, 7.4),
    Section::even(0.1, 8.2, 7.2, 7.0),
    Section::even(0.25, 6.0, 5.2, 5.0),
    Section::even(0.5, 4.4, 4.2, 4.2),
    Section::even(0.75, 4.1, 4.4, 4.8),
    Section::even(0.82, 4.9, 5.4, 5.6),
    Section::even(0.89, 6.4, 6.8, 6.4),
    Section::even(0.94, 6.1, 6.8, 7.2),
    Section::even(1.0, 5.4, 6.6, 7.2),
];

const PROXIMAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 6.4, 6.0, 5.6),
    Section::even(0.1, 6.3, 5.8, 5.4),
    Section::even(0.28, 4.2, 4.2, 3.8),
    Section::even(0.6, 3.0, 3.2, 3.0),
    Section::even(0.86, 4.1, 3.8, 3.6),
    Section::even(1.0, 4.6, 3.8, 3.6),
];

const MIDDLE_PHALANX_SECTIONS: [Section; 5] = [
    Section::even(0.0, 4.9, 4.2, 3.8),
    Section::even(0.14, 4.8, 4.0, 3.6),
    Section::even(0.5, 3.2, 3.0, 2.6),
    Section::even(0.85, 4.1, 3.2, 3.0),
    Section::even(1.0, 4.2, 3.0, 2.8),
];

const DISTAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 4.3, 3.2, 2.8),
    Section::even(0.16, 4.4, 3.0, 2.6),
    Section::even(0.4, 2.5, 2.2, 1.8),
    Section::even(0.64, 2.1, 1.9, 1.6),
    Section::even(0.85, 2.9, 1.9, 1.7),
    Section::even(1.0, 2.7, 1.8, 1.6),
];

const TOE_GAP_MM: f64 = 1.1;
const METATARSOPHALANGEAL_GAP_MM: f64 = 1.6;
/// How far the phalanges of a lesser toe point below the horizontal, in degrees.
const TOE_DECLINATION: [f64; 3] = [-9.0, 14.0, 26.0];

/// A lesser ray's bones, with the points that the soft tissue follows.
#[derive(Clone, Debug)]
pub(crate) struct LesserRay {
    /// The metatarsal and the three phalanges.
    pub(crate) bones: Vec<Bone>,
    /// Centre of the metatarsal's base, in the foot's coordinates.
    pub(crate) base: Vector3<f64>,
    /// Direction of the metatarsal.
    pub(crate) attitude: Attitude,
    /// Centre of the metatarsal's head.
    pub(crate) head_centre: Vector3<f64>,
    /// The proximal ends of the phalanges and the tip of the toe.
    pub(crate) toe: [Vector3<f64>; 4],
}

/// The four lesser rays from the second to the fifth.
pub(crate) fn lesser_rays(parameters: &FootParameters) -> [LesserRay; 4] {
    PLANS.map(|plan| lesser_ray(&plan, parameters))
}

fn lesser_ray(plan: &RayPlan, parameters: &FootParameters) -> LesserRay {
    let index = usize::from(plan.toe - 1);
    let is_fifth = matches!(plan.bone, LongBone::M5);
    let make = LongBoneMake {
        length_mm: parameters.metatarsal_lengths_mm[index],
        scale: plan.scale,
        sections: if is_fifth {
            &FIFTH_METATARSAL_SECTIONS
        } else {
            &METATARSAL_SECTIONS
        },
        walls: &METATARSAL_WALLS,
        head_radii_mm: [7.0, 7.8, 7.8].map(|radius| radius * plan.scale),
        head_offset_mm: 0.0,
        rounding_mm: 1.4,
    };
    let attitude = Attitude::degrees(
        SECOND_METATARSAL_AZIMUTH + plan.spread,
        plan.inclination * parameters.first_metatarsal_inclination / 21.0,
        plan.roll,
    );
    let rise = make.head_centre().z * attitude.declination.radians().sin();
    let base = Vector3::new(plan.base_mm[0], plan.base_mm[1], plan.head_height_mm + rise);
    let frame = Frame::new(base, attitude);
    let facet = Base::Facet(Vector3::new(plan.base_slope, 0.0, -1.0).normalize());
    let styloid = is_fifth.then(|| Form::Ellipsoid {
        centre: Vector3::new(8.2, -1.5, -1.5),
        radii: Vector3::new(4.6, 5.0, 8.5),
    });
    let solid = make.solid(facet, 0.75, styloid.into_iter().collect());
    let mut bones = vec![Bone::new(BoneName::Long(plan.bone), frame, &solid)];
    let toe = add_toe(&mut bones, plan, parameters, &make, &frame);
    LesserRay {
        bones,
        base,
        attitude,
        head_centre: frame.foot_from_bone(make.head_centre()),
        toe,
    }
}

/// Adds the three phalanges of a lesser toe; returns their proximal ends and the tip.
fn add_toe(
    bones: &mut Vec<Bone>,
    plan: &RayPlan,
    parameters: &FootParameters,
    metatarsal: &LongBoneMake<'_>,
    metatarsal_frame: &Frame,
) -> [Vector3<f64>; 4] {
    // A great toe that leans over pushes the second toe aside, and that the third.
    let crowding = (parameters.hallux_valgus_angle - 18.0).max(0.0)
        * [0.42, 0.2, 0.08, 0.0][usize::from(plan.toe - 2)];
    let makes = [
        (0, &PROXIMAL_PHALANX_SECTIONS[..], [5.0, 4.4, 5.0]),
        (1, &MIDDLE_PHALANX_SECTIONS[..], [5.0, 3.8, 5.2]),
        (2, &DISTAL_PHALANX_SECTIONS[..], [3.2, 2.6, 3.0]),
    ]
    .map(|(place, sections, head)| LongBoneMake {
        length_mm: plan.phalanges_mm[place],
        scale: plan.scale,
        sections,
        walls: &PHALANX_WALLS,
        head_radii_mm: head.map(|radius| radius * plan.scale),
        head_offset_mm: 0.0,
        rounding_mm: 1.0,
    });
    let mut before = *metatarsal;
    let mut frame = *metatarsal_frame;
    let mut gap_mm = METATARSOPHALANGEAL_GAP_MM;
    let mut points = [Vector3::zeros(); 4];
    for (place, make) in makes.into_iter().enumerate() {
        let azimuth = SECOND_METATARSAL_AZIMUTH + plan.spread + plan.toe_turn[place] + crowding;
        let attitude = Attitude::degrees(azimuth, TOE_DECLINATION[place], 0.0);
        let socket = before.socket_for_head(gap_mm);
        frame = before.next_frame(&frame, attitude, gap_mm);
        let number = u8::try_from(place + 1).unwrap_or(u8::MAX);
        bones.push(Bone::new(
            BoneName::LesserPhalanx {
                toe: plan.toe,
                place: number,
            },
            frame,
            &make.solid(socket, 0.9, Vec::new()),
        ));
        points[place] = frame.origin;
        points[place + 1] = frame.foot_from_bone(Vector3::new(0.0, 0.0, make.length_mm));
        before = make;
        gap_mm = TOE_GAP_MM;
    }
    points
}
