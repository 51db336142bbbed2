//! Where the tarsal bones and the ends of tibia and fibula lie.

use nalgebra::Vector3;

use crate::{
    bones::bone::{Bone, BoneName, Neighbour},
    bones::calcaneus::{
        self, CALCANEUS_LENGTH_MM, CALCANEUS_PLANTAR_RISE, HEEL_BALL, POSTERIOR_FACET,
    },
    bones::cuboid::cuboid,
    bones::cuneiforms::cuneiform,
    bones::first_ray::FirstRay,
    bones::lesser_rays::LesserRay,
    bones::navicular::navicular,
    bones::shank::{SHANK_LENGTH_MM, fibula, tibia},
    bones::talus::{self, DOME_CENTRE, DOME_RADIUS_MM, TALUS_LENGTH_MM},
    bones::tarsal::frame_between,
    geometry::frame::{Attitude, Frame},
    parameters::FootParameters,
    shape::form::Plane,
};

/// Widths of the joint spaces in mm: between the tarsal bones, side by side between the cuneiforms and
/// the bases beside them, and in the ankle (from memory).
const TARSAL_GAP_MM: f64 = 2.0;
const SIDE_GAP_MM: f64 = 1.4;
const ANKLE_GAP_MM: f64 = 2.8;

/// Thickness of the heel's pad under the bone of a standing foot, in mm; 18.8 unloaded (Korean
/// radiographs of 670 feet, 2015), of which standing leaves somewhat more than half (from memory).
pub(crate) const HEEL_PAD_MM: f64 = 10.5;

/// From the base of the first metatarsal to the middle of the navicular along the foot, in mm.
const NAVICULAR_BEHIND_MM: f64 = 33.0;

/// From the middle of the navicular to the head of the talus, in mm.
const NAVICULAR_HALF_MM: f64 = 4.5;

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
    /// The lowest point of the calcaneus, over the heel's pad.
    pub(crate) heel: Vector3<f64>,
}

impl Hindfoot {
    pub(crate) fn new(
        parameters: &FootParameters,
        first: &FirstRay,
        lesser: &[LesserRay; 4],
    ) -> Self {
        let places = Places::new(parameters, first, lesser);
        let calcaneus = Bone::new(
            BoneName::Calcaneus,
            places.calcaneus,
            &calcaneus::calcaneus(seed(1)),
        )
        .with_groups(calcaneus::trabecular_groups());
        let talus = Bone::beside(
            BoneName::Talus,
            places.talus,
            &talus::talus(places.underside_of_talus(), seed(2)),
            &near(TARSAL_GAP_MM, &[&calcaneus]),
        )
        .with_groups(talus::trabecular_groups());
        let cuneiforms = cuneiforms(&places, first, lesser);
        let [medial, intermediate, lateral] = &cuneiforms;
        let cuboid = cuboid_between(&calcaneus, &talus, lateral, lesser);
        let navicular = Bone::beside(
            BoneName::Navicular,
            places.navicular,
            &navicular(seed(7)),
            &near(
                TARSAL_GAP_MM,
                &[&talus, medial, intermediate, lateral, &cuboid, &calcaneus],
            ),
        );
        let ankle = places.talus.foot_from_bone(DOME_CENTRE.into());
        let [tibia, fibula] = shank(ankle, &talus, &calcaneus);
        let (ball, radius) = HEEL_BALL;
        let heel = places.calcaneus.foot_from_bone(ball.into()) - Vector3::z() * radius;
        let mut bones = Vec::from(cuneiforms);
        bones.extend([cuboid, navicular, talus, calcaneus, tibia, fibula]);
        Self {
            bones,
            talus_axis: [14.0, 46.0]
                .map(|w| places.talus.foot_from_bone(Vector3::new(0.0, 0.0, w))),
            navicular: places.navicular.origin,
            ankle,
            heel,
        }
    }
}

/// Which of all possible reliefs a bone has.
const fn seed(number: u64) -> u64 {
    64 + 32 + number
}

fn near<'a>(gap_mm: f64, bones: &[&'a Bone]) -> Vec<Neighbour<'a>> {
    bones
        .iter()
        .map(|bone| Neighbour { bone, gap_mm })
        .collect()
}

/// The frames of the bones whose place follows from the metatarsals and the parameters alone.
struct Places {
    calcaneus: Frame,
    talus: Frame,
    navicular: Frame,
}

impl Places {
    fn new(parameters: &FootParameters, first: &FirstRay, lesser: &[LesserRay; 4]) -> Self {
        let inclination = parameters.first_metatarsal_inclination;
        let talar_declination = inclination - parameters.talo_first_metatarsal_angle;
        // The navicular lies on the first metatarsal's axis, drawn on toward proximal.
        let rise = NAVICULAR_BEHIND_MM
            * f64::midpoint(inclination, talar_declination)
                .to_radians()
                .tan();
        let place = Vector3::new(
            first.base.x + 9.0,
            first.base.y - NAVICULAR_BEHIND_MM,
            first.base.z + rise - 3.0,
        );
        let back = Attitude::degrees(-10.0, talar_declination, 0.0).direction();
        let head = place - back * (NAVICULAR_HALF_MM);
        Self {
            calcaneus: calcaneus_frame(parameters, lesser),
            talus: Frame::new(
                head - back * TALUS_LENGTH_MM,
                Attitude::degrees(-10.0, talar_declination, 0.0),
            ),
            navicular: Frame::new(place, Attitude::degrees(-6.0, talar_declination, 14.0)),
        }
    }
}

impl Places {
    /// A plane a little below the joint between talus and calcaneus, in the coordinates of the talus.
    fn underside_of_talus(&self) -> Plane {
        let [high, low] = POSTERIOR_FACET.map(|point| {
            self.talus
                .bone_from_foot(self.calcaneus.foot_from_bone(point.into()))
        });
        let along = low - high;
        let down = Vector3::new(0.0, -along.z, along.y).normalize();
        Plane::new(high + down * UNDERSIDE_BELOW_JOINT_MM, down)
    }
}

/// How far the body of the talus reaches below the middle of its joint with the calcaneus, in mm.
const UNDERSIDE_BELOW_JOINT_MM: f64 = 2.0;

/// The calcaneus stands on the heel's pad, and its front lies behind the cuboid.
fn calcaneus_frame(parameters: &FootParameters, lesser: &[LesserRay; 4]) -> Frame {
    let rise = parameters.calcaneal_inclination - CALCANEUS_PLANTAR_RISE;
    let attitude = Attitude::degrees(10.0, -rise, 0.0);
    let front =
        f64::midpoint(lesser[2].base.y, lesser[3].base.y) - CUBOID_LENGTH_MM - TARSAL_GAP_MM;
    let across = f64::midpoint(lesser[2].base.x, lesser[3].base.x) - 10.5;
    let along = attitude.direction() * CALCANEUS_LENGTH_MM;
    let level = Frame::new(Vector3::zeros(), attitude);
    let (ball, radius) = HEEL_BALL;
    let lowest = level.foot_from_bone(ball.into()).z - radius;
    Frame::new(
        Vector3::new(across - along.x, front - along.y, HEEL_PAD_MM - lowest),
        attitude,
    )
}

/// From the joint with the calcaneus to the joints with the fourth and fifth metatarsals along the
/// foot, in mm.
const CUBOID_LENGTH_MM: f64 = 26.5;

fn cuboid_between(
    calcaneus: &Bone,
    talus: &Bone,
    lateral_cuneiform: &Bone,
    lesser: &[LesserRay; 4],
) -> Bone {
    let distal = (lesser[2].base + lesser[3].base) / 2.0;
    let proximal =
        calcaneus
            .frame
            .foot_from_bone(Vector3::new(0.0, 1.0, CALCANEUS_LENGTH_MM + TARSAL_GAP_MM));
    let frame = frame_between(proximal, distal, 24.0);
    let mut neighbours = near(TARSAL_GAP_MM, &[calcaneus, talus]);
    neighbours.extend(near(
        SIDE_GAP_MM,
        &[
            lateral_cuneiform,
            &lesser[1].bones[0],
            &lesser[2].bones[0],
            &lesser[3].bones[0],
        ],
    ));
    let length_mm = (distal - proximal).norm();
    Bone::beside(
        BoneName::Cuboid,
        frame,
        &cuboid(length_mm, seed(6)),
        &neighbours,
    )
}

/// The three cuneiforms, each between its metatarsal's base and the navicular.
fn cuneiforms(places: &Places, first: &FirstRay, lesser: &[LesserRay; 4]) -> [Bone; 3] {
    let bases = [&first.bones[0], &lesser[0].bones[0], &lesser[1].bones[0]];
    let facet = |u: f64, v: f64| {
        places
            .navicular
            .foot_from_bone(Vector3::new(u, v, NAVICULAR_HALF_MM + TARSAL_GAP_MM))
    };
    let make =
        |name, base: Vector3<f64>, proximal: Vector3<f64>, roll, number, beside: &[&Bone]| {
            let mut neighbours = near(TARSAL_GAP_MM, &bases);
            neighbours.extend(near(SIDE_GAP_MM, beside));
            let length_mm = (base - proximal).norm();
            Bone::beside(
                name,
                frame_between(proximal, base, roll),
                &cuneiform(name, length_mm, seed(number)),
                &neighbours,
            )
        };
    let medial = make(
        BoneName::MedialCuneiform,
        first.base,
        facet(-10.5, -3.5),
        -9.0,
        3,
        &[],
    );
    let intermediate = make(
        BoneName::IntermediateCuneiform,
        lesser[0].base,
        facet(3.0, 2.0),
        4.0,
        4,
        &[&medial],
    );
    let lateral = make(
        BoneName::LateralCuneiform,
        lesser[1].base,
        facet(13.0, -1.0),
        16.0,
        5,
        &[&intermediate],
    );
    [medial, intermediate, lateral]
}

/// Tibia and fibula over the talus; `ankle` is the middle of the dome's curve.
fn shank(ankle: Vector3<f64>, talus: &Bone, calcaneus: &Bone) -> [Bone; 2] {
    // Upright: the own w axis points down to the ankle, the dorsum forward.
    let down = Attitude::degrees(4.0, 90.0, 0.0);
    let top = ankle + Vector3::new(0.0, 0.0, DOME_RADIUS_MM + SHANK_LENGTH_MM);
    let tibia = Bone::beside(
        BoneName::Tibia,
        Frame::new(top, down),
        &tibia(seed(8)),
        &near(ANKLE_GAP_MM, &[talus]),
    );
    let mut neighbours = near(ANKLE_GAP_MM, &[talus]);
    neighbours.extend(near(SIDE_GAP_MM, &[&tibia, calcaneus]));
    let fibula = Bone::beside(
        BoneName::Fibula,
        Frame::new(top + Vector3::new(22.5, -9.0, 0.0), down),
        &fibula(seed(9)),
        &neighbours,
    );
    [tibia, fibula]
}
