//! The first metatarsal, the great toe and the two sesamoids.

use nalgebra::Vector3;
use plumbray_anatomy::{Angle, LongBone, Sesamoid};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::long_bone::{Base, LongBoneMake, METATARSAL_WALLS, PHALANX_WALLS},
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
    shape::{
        form::Form,
        profile::{Profile, Section},
        solid::{Relief, Solid},
        wall::{Wall, Walls},
    },
};

/// Azimuth of the second metatarsal from the foot's length toward lateral, in degrees.
pub(crate) const SECOND_METATARSAL_AZIMUTH: f64 = 3.0;

/// Height of the centre of the first metatarsal head's joint surface above the floor, in mm.
const HEAD_HEIGHT_MM: f64 = 20.5;

/// Where the first metatarsal's base lies beside the second's, toward lateral and distal, in mm.
const BASE_PLACE_MM: [f64; 2] = [-17.5, 7.0];

const HEAD_RADII_MM: [f64; 3] = [12.6, 10.4, 12.6];

const METATARSAL_SECTIONS: [Section; 9] = [
    Section::new(0.0, 9.6, 9.2, 13.0, 14.5),
    Section::new(0.07, 10.0, 9.4, 12.4, 13.5),
    Section::new(0.16, 8.7, 8.2, 9.8, 10.2),
    Section::even(0.28, 6.9, 7.4, 7.2),
    Section::even(0.48, 6.1, 6.6, 6.2),
    Section::even(0.66, 6.5, 6.4, 6.0),
    Section::even(0.76, 7.9, 7.0, 6.8),
    Section::new(0.87, 11.4, 10.4, 9.0, 8.0),
    Section::new(1.0, 10.6, 10.1, 9.6, 8.6),
];

const PROXIMAL_PHALANX_SECTIONS: [Section; 6] = [
    Section::even(0.0, 9.3, 7.6, 6.6),
    Section::even(0.12, 9.5, 7.6, 6.4),
    Section::even(0.32, 7.1, 5.8, 4.6),
    Section::even(0.58, 5.7, 4.8, 4.0),
    Section::even(0.85, 7.6, 5.2, 4.8),
    Section::even(1.0, 7.9, 5.2, 5.0),
];

const DISTAL_PHALANX_SECTIONS: [Section; 7] = [
    Section::even(0.0, 8.2, 5.4, 4.6),
    Section::even(0.14, 8.6, 5.2, 4.2),
    Section::even(0.34, 5.9, 3.8, 3.0),
    Section::even(0.58, 4.5, 3.0, 2.4),
    Section::even(0.76, 5.0, 2.8, 2.2),
    Section::even(0.9, 6.1, 2.6, 2.2),
    Section::even(1.0, 5.6, 2.4, 2.0),
];

const PROXIMAL_PHALANX_LENGTH_MM: f64 = 29.5;
const DISTAL_PHALANX_LENGTH_MM: f64 = 24.0;
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
        let metatarsal = metatarsal_make(parameters);
        let attitude = Attitude::degrees(
            SECOND_METATARSAL_AZIMUTH - parameters.intermetatarsal_angle_1_2,
            parameters.first_metatarsal_inclination,
            0.0,
        );
        let rise = (metatarsal.length_mm - HEAD_RADII_MM[2]) * attitude.declination.radians().sin();
        let base = Vector3::new(BASE_PLACE_MM[0], BASE_PLACE_MM[1], HEAD_HEIGHT_MM + rise);
        let frame = Frame::new(base, attitude);
        let mut bones = vec![metatarsal_bone(&metatarsal, frame)];
        let toe_tip = add_phalanges(&mut bones, parameters, &metatarsal, &frame);
        let toe = [bones[1].frame.origin, bones[2].frame.origin];
        bones.extend(sesamoids(parameters, &metatarsal, &frame));
        Self {
            bones,
            base,
            attitude,
            head_centre: frame.foot_from_bone(metatarsal.head_centre()),
            articular_ends: articular_ends(&metatarsal).map(|end| frame.foot_from_bone(end)),
            toe,
            toe_tip,
        }
    }
}

fn metatarsal_make(parameters: &FootParameters) -> LongBoneMake<'static> {
    let mut make = LongBoneMake {
        length_mm: parameters.metatarsal_lengths_mm[0],
        scale: 1.0,
        sections: &METATARSAL_SECTIONS,
        walls: &METATARSAL_WALLS,
        head_radii_mm: HEAD_RADII_MM,
        head_offset_mm: 0.0,
        rounding_mm: 1.2,
    };
    let wanted = Angle::from_degrees(parameters.distal_metatarsal_articular_angle);
    // The tilt falls steadily as the centre of the surface moves toward lateral.
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        make.head_offset_mm = f64::midpoint(low, high);
        if articular_tilt(&make).radians() > wanted.radians() {
            low = make.head_offset_mm;
        } else {
            high = make.head_offset_mm;
        }
    }
    make
}

/// The tilt of the joint surface: the line through its two ends against the perpendicular of the
/// bone's axis, positive when it faces laterally.
fn articular_tilt(make: &LongBoneMake<'_>) -> Angle {
    let [medial, lateral] = articular_ends(make);
    Angle::from_radians((medial.z - lateral.z).atan2(lateral.x - medial.x))
}

/// Where the head's joint surface meets the sides of the bone, medially and laterally, in the
/// bone's coordinates.
fn articular_ends(make: &LongBoneMake<'_>) -> [Vector3<f64>; 2] {
    let profile = Profile::new(make.length_mm, make.scale, make.sections);
    let centre = make.head_centre();
    [(0, -1.0), (1, 1.0)].map(|(side, sign)| {
        let across = |w: f64| sign * profile.station(w).reach_mm[side];
        // Inside the head's ellipse near its centre, outside at its tip.
        let is_within_head = |w: f64| {
            let u = (across(w) - centre.x) / make.head_radii_mm[0];
            let along = (w - centre.z) / make.head_radii_mm[2];
            u.hypot(along) < 1.0
        };
        let (mut low, mut high) = (centre.z, make.length_mm);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if is_within_head(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Vector3::new(across(low), 0.0, low)
    })
}

fn metatarsal_bone(make: &LongBoneMake<'_>, frame: Frame) -> Bone {
    let base = Base::Facet(Vector3::new(-0.06, 0.0, -1.0).normalize());
    // The two plantar ridges between which the sesamoids run.
    let ridges = [-4.6, 4.8].map(|u| Form::Ellipsoid {
        centre: Vector3::new(u, -7.0, make.length_mm - 8.5),
        radii: Vector3::new(3.4, 3.2, 5.0),
    });
    let tubercle = Form::Ellipsoid {
        centre: Vector3::new(5.0, -10.5, 4.5),
        radii: Vector3::new(4.0, 4.0, 4.0),
    };
    let bumps = ridges.into_iter().chain([tubercle]).collect();
    let solid = make.solid(base, 0.8, bumps);
    Bone::new(BoneName::Long(LongBone::M1), frame, &solid)
}

/// Adds the two phalanges of the great toe and returns the tip of the toe's bones.
fn add_phalanges(
    bones: &mut Vec<Bone>,
    parameters: &FootParameters,
    metatarsal: &LongBoneMake<'_>,
    metatarsal_frame: &Frame,
) -> Vector3<f64> {
    let azimuth = SECOND_METATARSAL_AZIMUTH - parameters.intermetatarsal_angle_1_2
        + parameters.hallux_valgus_angle;
    let proximal = LongBoneMake {
        length_mm: PROXIMAL_PHALANX_LENGTH_MM,
        scale: 1.0,
        sections: &PROXIMAL_PHALANX_SECTIONS,
        walls: &PHALANX_WALLS,
        head_radii_mm: [13.0, 6.4, 10.0],
        head_offset_mm: 0.0,
        rounding_mm: 1.4,
    };
    let frame = metatarsal.next_frame(
        metatarsal_frame,
        Attitude::degrees(azimuth, 6.0, 0.0),
        METATARSOPHALANGEAL_GAP_MM,
    );
    let mut socket = metatarsal
        .head_radii_mm
        .map(|radius| radius + METATARSOPHALANGEAL_GAP_MM);
    // The phalanx's socket is shallower than the head is round.
    socket[0] += 1.5;
    let solid = proximal.solid(Base::Socket(socket), 0.9, Vec::new());
    bones.push(Bone::new(
        BoneName::Long(LongBone::ProximalPhalanx),
        frame,
        &solid,
    ));

    let distal = LongBoneMake {
        length_mm: DISTAL_PHALANX_LENGTH_MM,
        scale: 1.0,
        sections: &DISTAL_PHALANX_SECTIONS,
        walls: &PHALANX_WALLS,
        head_radii_mm: [7.4, 4.0, 5.0],
        head_offset_mm: 0.0,
        rounding_mm: 1.6,
    };
    let attitude = Attitude::degrees(azimuth + parameters.hallux_interphalangeal_angle, 9.0, 0.0);
    let frame = proximal.next_frame(&frame, attitude, INTERPHALANGEAL_GAP_MM);
    let socket = proximal.socket_for_head(INTERPHALANGEAL_GAP_MM);
    let solid = distal.solid(socket, 0.9, Vec::new());
    bones.push(Bone::new(
        BoneName::Long(LongBone::DistalPhalanx),
        frame,
        &solid,
    ));
    frame.foot_from_bone(Vector3::new(0.0, 0.0, distal.length_mm))
}

/// The two sesamoids in their places under the head.
///
/// Sizes from memory: tibial about 13 by 9 mm, fibular about 11 by 8 mm.
fn sesamoids(
    parameters: &FootParameters,
    metatarsal: &LongBoneMake<'_>,
    frame: &Frame,
) -> [Bone; 2] {
    let tibial_radii = Vector3::new(4.7, 3.5, 6.4);
    let fibular_radii = Vector3::new(4.2, 3.3, 5.7);
    let across = (parameters.sesamoid_displacement - 0.5) * 2.0 * tibial_radii.x;
    let along = metatarsal.length_mm - 10.5;
    // Displaced, the sesamoids ride over the ridge between them and turn with the plantar side.
    let apart = tibial_radii.x + fibular_radii.x + 1.4;
    [
        (Sesamoid::Tibial, tibial_radii, across, 0.0),
        (Sesamoid::Fibular, fibular_radii, across + apart, 0.4),
    ]
    .map(|(name, radii, u, forward)| {
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
            &pebble(radii),
        )
    })
}

/// A pebble of bone about the origin.
fn pebble(radii: Vector3<f64>) -> Solid {
    Solid {
        form: Form::Ellipsoid {
            centre: Vector3::zeros(),
            radii,
        },
        walls: Walls::new(1.0, &[Wall::new(0.0, 0.7, 0.42)]),
        length_mm: radii.z,
        relief: Relief::NONE,
        grain: Vector3::z(),
    }
}
