//! The tarsal bones and the ends of tibia and fibula.

use nalgebra::Vector3;
use plumbray_anatomy::Angle;

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_ray::FirstRay,
    bones::lesser_rays::LesserRay,
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
    shape::{
        form::Form,
        profile::{Profile, Section},
        solid::{Relief, Solid},
        wall::{Wall, Walls},
    },
};

/// Width of the joint space between the tarsal bones, in mm.
const GAP_MM: f64 = 1.8;

const TARSAL_WALLS: [Wall; 3] = [
    Wall::new(0.0, 0.6, 0.34),
    Wall::new(0.5, 0.8, 0.26),
    Wall::new(1.0, 0.6, 0.34),
];

/// The bones behind the metatarsals, and what the lateral film's landmarks stand on.
#[derive(Clone, Debug)]
pub(crate) struct Hindfoot {
    /// Cuneiforms, cuboid, navicular, talus, calcaneus, tibia and fibula.
    pub(crate) bones: Vec<Bone>,
    /// A posterior and an anterior point on the axis of the talus.
    pub(crate) talus_axis: [Vector3<f64>; 2],
    /// The middle of the navicular.
    pub(crate) navicular: Vector3<f64>,
    /// The middle of the ankle joint.
    pub(crate) ankle: Vector3<f64>,
}

impl Hindfoot {
    pub(crate) fn new(
        parameters: &FootParameters,
        first: &FirstRay,
        lesser: &[LesserRay; 4],
    ) -> Self {
        let mut bones = cuneiforms(first, lesser);
        let calcaneus_frame = calcaneus_frame(parameters);
        bones.push(cuboid(lesser, &calcaneus_frame));
        let navicular_place = Vector3::new(-8.5, -26.0, first.base.z + 0.5);
        bones.push(navicular(navicular_place));
        let talus_frame = talus_frame(parameters, navicular_place);
        bones.push(talus(talus_frame));
        bones.push(calcaneus(calcaneus_frame));
        let ankle = talus_frame.foot_from_bone(Vector3::new(0.0, 20.0, 24.0));
        bones.push(tibia(ankle));
        bones.push(fibula(ankle));
        Self {
            bones,
            talus_axis: [14.0, 46.0].map(|w| talus_frame.foot_from_bone(Vector3::new(0.0, 0.0, w))),
            navicular: navicular_place,
            ankle,
        }
    }
}

/// What closes a swept bone at one end.
#[derive(Clone, Debug)]
enum End {
    /// A plane; the rest of the bone lies behind it.
    Flat(Vector3<f64>, Vector3<f64>),
    /// A convex joint surface at the distal end.
    Dome(Vector3<f64>, Vector3<f64>),
    /// The shape that an ellipsoid presses into the bone.
    Socket(Vector3<f64>, Vector3<f64>),
}

/// What a swept tarsal bone is made of.
struct Block<'a> {
    length_mm: f64,
    sections: &'a [Section],
    roundness: f64,
    /// What closes it, and how far the edge there is rounded, in mm.
    ends: Vec<(End, f64)>,
    /// What stands out from it, and over how many millimetres it blends.
    bumps: Vec<(Form, f64)>,
    walls: &'a [Wall],
}

fn block_bone(name: BoneName, frame: Frame, block: Block<'_>) -> Bone {
    let body = Form::Swept {
        profile: Profile::new(block.length_mm, 1.0, block.sections),
        roundness: block.roundness,
    };
    let ended = block
        .ends
        .into_iter()
        .fold(body, |body, (end, rounding_mm)| match end {
            End::Flat(point, normal) => body.cut(point, normal, rounding_mm),
            End::Dome(centre, radii) => body.within(Form::Dome { centre, radii }, rounding_mm),
            End::Socket(centre, radii) => {
                body.without(Form::Ellipsoid { centre, radii }, rounding_mm)
            }
        });
    let form = block
        .bumps
        .into_iter()
        .fold(ended, |body, (bump, blend_mm)| body.joined(bump, blend_mm));
    Bone::new(
        name,
        frame,
        &Solid {
            form,
            walls: Walls::new(block.length_mm, block.walls),
            length_mm: block.length_mm,
            relief: Relief::NONE,
            grain: Vector3::z(),
        },
    )
}

/// A flat joint surface at `w` that faces along `normal`.
fn facet(w: f64, normal: [f64; 3], rounding_mm: f64) -> (End, f64) {
    (
        End::Flat(Vector3::new(0.0, 0.0, w), Vector3::from(normal)),
        rounding_mm,
    )
}

/// A frame that starts at `from` and points to `to`.
fn frame_between(from: Vector3<f64>, to: Vector3<f64>, roll: f64) -> Frame {
    let along = to - from;
    Frame::new(
        from,
        Attitude {
            azimuth: Angle::from_radians(along.x.atan2(along.y)),
            declination: Angle::from_radians((-along.z).atan2(along.x.hypot(along.y))),
            roll: Angle::from_degrees(roll),
        },
    )
}

fn cuneiforms(first: &FirstRay, lesser: &[LesserRay; 4]) -> Vec<Bone> {
    let behind = |base: Vector3<f64>, attitude: Attitude| base - attitude.direction() * GAP_MM;
    let height = first.base.z;
    let rows = [
        (
            BoneName::MedialCuneiform,
            behind(first.base, first.attitude),
            Vector3::new(-17.5, -19.5, height - 1.0),
            -6.0,
            [
                Section::even(0.0, 8.0, 11.0, 11.5),
                Section::even(0.5, 7.9, 11.6, 12.4),
                Section::even(1.0, 9.2, 12.8, 14.2),
            ],
        ),
        (
            BoneName::IntermediateCuneiform,
            behind(lesser[0].base, lesser[0].attitude),
            Vector3::new(-4.5, -19.5, height + 2.5),
            3.0,
            [
                Section::even(0.0, 6.6, 9.0, 9.0),
                Section::even(0.5, 6.0, 9.2, 9.0),
                Section::even(1.0, 6.6, 9.6, 9.4),
            ],
        ),
        (
            BoneName::LateralCuneiform,
            behind(lesser[1].base, lesser[1].attitude),
            Vector3::new(6.0, -22.0, height - 2.0),
            14.0,
            [
                Section::even(0.0, 6.0, 9.4, 9.0),
                Section::even(0.5, 5.6, 9.2, 9.0),
                Section::even(1.0, 6.6, 9.4, 9.2),
            ],
        ),
    ];
    rows.map(|(name, distal, proximal, roll, sections)| {
        let frame = frame_between(proximal, distal, roll);
        let length_mm = (distal - proximal).norm();
        block_bone(
            name,
            frame,
            Block {
                length_mm,
                sections: &sections,
                roundness: 0.72,
                ends: vec![
                    facet(0.0, [0.1, 0.0, -1.0], 3.0),
                    facet(length_mm, [0.0, 0.0, 1.0], 2.2),
                ],
                bumps: Vec::new(),
                walls: &TARSAL_WALLS,
            },
        )
    })
    .into()
}

fn cuboid(lesser: &[LesserRay; 4], calcaneus: &Frame) -> Bone {
    let distal = (lesser[2].base + lesser[3].base) / 2.0 + Vector3::new(-0.5, -3.6, 0.5);
    let proximal = calcaneus.foot_from_bone(Vector3::new(1.0, -1.0, CALCANEUS_LENGTH_MM + GAP_MM));
    let frame = frame_between(proximal, distal, 22.0);
    let length_mm = (distal - proximal).norm();
    block_bone(
        BoneName::Cuboid,
        frame,
        Block {
            length_mm,
            sections: &[
                Section::even(0.0, 12.2, 11.0, 10.5),
                Section::even(0.35, 11.4, 10.6, 11.5),
                Section::even(0.65, 10.4, 9.4, 9.4),
                Section::even(1.0, 11.6, 8.6, 8.4),
            ],
            roundness: 0.75,
            ends: vec![
                facet(0.0, [0.0, 0.0, -1.0], 4.0),
                facet(length_mm, [0.42, 0.0, 1.0], 3.0),
            ],
            bumps: Vec::new(),
            walls: &TARSAL_WALLS,
        },
    )
}

/// Radius of the head of the talus, which the navicular's socket fits, in mm.
const TALAR_HEAD_RADII_MM: [f64; 3] = [15.5, 13.0, 15.0];

fn navicular(place: Vector3<f64>) -> Bone {
    let frame = Frame::new(place, Attitude::degrees(-8.0, 10.0, 12.0));
    let socket = (
        End::Socket(
            Vector3::new(0.0, 0.0, -TALAR_HEAD_RADII_MM[2] - GAP_MM - 2.2),
            Vector3::from(TALAR_HEAD_RADII_MM).add_scalar(GAP_MM),
        ),
        1.5,
    );
    let tuberosity = (
        Form::Ellipsoid {
            centre: Vector3::new(-16.5, -6.0, -3.0),
            radii: Vector3::new(6.0, 6.0, 5.5),
        },
        5.0,
    );
    block_bone(
        BoneName::Navicular,
        frame,
        Block {
            length_mm: 6.0,
            sections: &[
                Section::even(0.0, 18.5, 12.5, 11.5),
                Section::even(1.0, 17.5, 11.5, 11.0),
            ],
            roundness: 0.85,
            ends: vec![
                facet(5.0, [0.12, 0.08, 1.0], 4.0),
                facet(-6.0, [0.0, 0.0, -1.0], 2.5),
                socket,
            ],
            bumps: vec![tuberosity],
            walls: &TARSAL_WALLS,
        },
    )
}

const TALUS_LENGTH_MM: f64 = 56.0;

/// The talus behind the navicular; its declination less the first metatarsal's inclination is the
/// talo–first metatarsal angle, negative when the talus falls more steeply.
fn talus_frame(parameters: &FootParameters, navicular: Vector3<f64>) -> Frame {
    let declination =
        parameters.first_metatarsal_inclination - parameters.talo_first_metatarsal_angle;
    let attitude = Attitude::degrees(-10.0, declination, 0.0);
    let back = Attitude::degrees(-8.0, 10.0, 0.0).direction() * (2.2 + GAP_MM);
    Frame::new(
        navicular - back - attitude.direction() * TALUS_LENGTH_MM,
        attitude,
    )
}

fn talus(frame: Frame) -> Bone {
    block_bone(
        BoneName::Talus,
        frame,
        Block {
            length_mm: TALUS_LENGTH_MM,
            sections: &[
                Section::even(0.0, 9.0, 7.0, 7.0),
                Section::even(0.2, 15.0, 12.0, 12.0),
                Section::even(0.5, 16.5, 12.5, 12.5),
                Section::even(0.72, 12.5, 10.2, 10.2),
                Section::even(0.88, 15.0, 12.2, 12.2),
                Section::even(1.0, 14.0, 12.0, 12.0),
            ],
            roundness: 0.8,
            ends: vec![
                facet(0.0, [0.0, 0.0, -1.0], 5.0),
                (
                    End::Dome(
                        Vector3::new(0.0, 0.0, TALUS_LENGTH_MM - TALAR_HEAD_RADII_MM[2]),
                        Vector3::from(TALAR_HEAD_RADII_MM),
                    ),
                    1.5,
                ),
            ],
            bumps: vec![(
                // The trochlea, round under the tibia.
                Form::Ellipsoid {
                    centre: Vector3::new(0.0, 3.0, 22.0),
                    radii: Vector3::new(15.0, 18.0, 17.5),
                },
                4.0,
            )],
            walls: &TARSAL_WALLS,
        },
    )
}

const CALCANEUS_LENGTH_MM: f64 = 74.0;

/// By how much the plantar outline of the calcaneus rises more steeply than its axis, in degrees.
const CALCANEUS_PLANTAR_RISE: f64 = 11.0;

fn calcaneus_frame(parameters: &FootParameters) -> Frame {
    let rise = parameters.calcaneal_inclination - CALCANEUS_PLANTAR_RISE;
    Frame::new(
        Vector3::new(-3.0, -115.0, 27.0),
        Attitude::degrees(12.0, -rise, 0.0),
    )
}

fn calcaneus(frame: Frame) -> Bone {
    block_bone(
        BoneName::Calcaneus,
        frame,
        Block {
            length_mm: CALCANEUS_LENGTH_MM,
            sections: &[
                Section::even(0.0, 11.5, 15.0, 15.0),
                Section::even(0.16, 13.5, 17.0, 17.5),
                Section::even(0.38, 12.0, 13.0, 15.0),
                Section::even(0.58, 14.0, 14.0, 13.0).shifted(-2.0, 0.0),
                Section::even(0.74, 13.0, 9.5, 11.2),
                Section::even(1.0, 12.5, 10.5, 10.2),
            ],
            roundness: 0.75,
            ends: vec![
                facet(0.0, [0.0, -0.12, -1.0], 9.0),
                facet(CALCANEUS_LENGTH_MM, [0.0, 0.0, 1.0], 3.0),
            ],
            bumps: vec![(
                // The tubercle on which the heel stands.
                Form::Ellipsoid {
                    centre: Vector3::new(-2.0, -14.5, 13.0),
                    radii: Vector3::new(8.0, 6.0, 9.0),
                },
                6.0,
            )],
            walls: &TARSAL_WALLS,
        },
    )
}

const SHANK_LENGTH_MM: f64 = 110.0;

fn tibia(ankle: Vector3<f64>) -> Bone {
    // Upright: its own w axis points down to the ankle, its dorsum forward.
    let frame = Frame::new(
        ankle + Vector3::new(0.0, 0.0, SHANK_LENGTH_MM),
        Attitude::degrees(0.0, 90.0, 0.0),
    );
    let trochlea = End::Socket(
        Vector3::new(0.0, 0.0, SHANK_LENGTH_MM + 16.0),
        Vector3::new(60.0, 19.5, 19.0),
    );
    let malleolus = Form::Ellipsoid {
        centre: Vector3::new(-19.5, 2.0, SHANK_LENGTH_MM + 1.0),
        radii: Vector3::new(4.5, 9.0, 13.0),
    };
    block_bone(
        BoneName::Tibia,
        frame,
        Block {
            length_mm: SHANK_LENGTH_MM,
            sections: &[
                Section::even(0.0, 12.0, 13.0, 13.0),
                Section::even(0.5, 13.0, 14.0, 14.0),
                Section::even(0.8, 18.0, 18.0, 18.0),
                Section::even(1.0, 21.0, 19.0, 19.0),
            ],
            roundness: 0.7,
            ends: vec![
                (trochlea, 1.5),
                facet(0.0, [0.0, 0.0, -1.0], 0.0),
                facet(SHANK_LENGTH_MM + 4.0, [0.0, 0.0, 1.0], 1.0),
            ],
            bumps: vec![(malleolus, 4.0)],
            walls: &[
                Wall::new(0.0, 5.0, 0.04),
                Wall::new(0.5, 3.5, 0.06),
                Wall::new(0.8, 1.2, 0.2),
                Wall::new(1.0, 0.7, 0.3),
            ],
        },
    )
}

fn fibula(ankle: Vector3<f64>) -> Bone {
    let frame = Frame::new(
        ankle + Vector3::new(24.0, -8.0, SHANK_LENGTH_MM),
        Attitude::degrees(0.0, 90.0, 0.0),
    );
    let length_mm = SHANK_LENGTH_MM + 20.0;
    block_bone(
        BoneName::Fibula,
        frame,
        Block {
            length_mm,
            sections: &[
                Section::even(0.0, 6.0, 6.5, 6.5),
                Section::even(0.7, 7.0, 8.0, 8.0),
                Section::even(0.88, 8.0, 11.0, 11.0),
                Section::even(1.0, 5.0, 7.5, 7.5),
            ],
            roundness: 0.9,
            ends: vec![
                facet(0.0, [0.0, 0.0, -1.0], 0.0),
                facet(length_mm, [0.0, 0.0, 1.0], 8.0),
            ],
            bumps: Vec::new(),
            walls: &[
                Wall::new(0.0, 2.8, 0.05),
                Wall::new(0.7, 1.6, 0.12),
                Wall::new(0.9, 0.7, 0.28),
            ],
        },
    )
}
