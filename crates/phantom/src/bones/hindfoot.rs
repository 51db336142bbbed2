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
        let individual = parameters.individual;
        let places = Places::new(parameters, first, lesser);
        let calcaneus = Bone::new(
            BoneName::Calcaneus,
            places.calcaneus,
            &calcaneus::calcaneus(seed(individual, 1)),
        )
        .with_groups(calcaneus::trabecular_groups());
        let talus = Bone::beside(
            BoneName::Talus,
            places.talus,
            &talus::talus(places.underside_of_talus(), seed(individual, 2)),
            &near(TARSAL_GAP_MM, &[&calcaneus]),
        )
        .with_groups(talus::trabecular_groups());
        let cuneiforms = cuneiforms(individual, &places, first, lesser);
        let [medial, intermediate, lateral] = &cuneiforms;
        let cuboid = cuboid_between(individual, [&calcaneus, &talus, lateral], lesser);
        let navicular = Bone::beside(
            BoneName::Navicular,
            places.navicular,
            &navicular(seed(individual, 7)),
            &near(
                TARSAL_GAP_MM,
                &[&talus, medial, intermediate, lateral, &cuboid, &calcaneus],
            ),
        );
        let ankle = places.talus.foot_from_bone(DOME_CENTRE.into());
        let [tibia, fibula] = shank(individual, ankle, [&talus, &calcaneus]);
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

/// Which of all possible reliefs a bone of an individual has.
const fn seed(individual: u64, number: u64) -> u64 {
    individual ^ (0x60 + number)
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
        let head = place - back * NAVICULAR_HALF_MM;
        Self {
            calcaneus: calcaneus_frame(parameters, lesser),
            talus: Frame::new(
                head - back * TALUS_LENGTH_MM,
                Attitude::degrees(-10.0, talar_declination, 0.0),
            ),
            navicular: Frame::new(place, Attitude::degrees(-6.0, talar_declination, 14.0)),
        }
    }

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
    individual: u64,
    [calcaneus, talus, lateral_cuneiform]: [&Bone; 3],
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
        &cuboid(length_mm, seed(individual, 6)),
        &neighbours,
    )
}

/// The three cuneiforms, each between its metatarsal's base and the navicular.
fn cuneiforms(
    individual: u64,
    places: &Places,
    first: &FirstRay,
    lesser: &[LesserRay; 4],
) -> [Bone; 3] {
    let bases = [
        &first.bones[0],
        &lesser[0].bones[0],
        &lesser[1].bones[0],
        &lesser[2].bones[0],
    ];
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
                &cuneiform(name, length_mm, seed(individual, number)),
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
fn shank(individual: u64, ankle: Vector3<f64>, [talus, calcaneus]: [&Bone; 2]) -> [Bone; 2] {
    // Upright: the own w axis points down to the ankle, the dorsum forward.
    let down = Attitude::degrees(4.0, 90.0, 0.0);
    let top = ankle + Vector3::new(0.0, 0.0, DOME_RADIUS_MM + SHANK_LENGTH_MM);
    let tibia = Bone::beside(
        BoneName::Tibia,
        Frame::new(top, down),
        &tibia(seed(individual, 8)),
        &near(ANKLE_GAP_MM, &[talus]),
    );
    let mut neighbours = near(ANKLE_GAP_MM, &[talus]);
    neighbours.extend(near(SIDE_GAP_MM, &[&tibia, calcaneus]));
    let fibula = Bone::beside(
        BoneName::Fibula,
        Frame::new(top + Vector3::new(22.5, -9.0, 0.0), down),
        &fibula(seed(individual, 9)),
        &neighbours,
    );
    [tibia, fibula]
}

#[cfg(test)]
mod tests {
    use std::sync::LazyLock;

    use plumbray_anatomy::LongBone;

    use super::*;
    use crate::foot::Foot;

    /// Flat, usual and high feet, with a first ray that is straight or far astray and metatarsals that
    /// point medially.
    static FEET: LazyLock<Vec<Foot>> = LazyLock::new(|| {
        [
            (8.0, 21.0, -2.0, 21.0, 12.0, 0.0),
            (20.0, 17.0, -14.0, 13.0, 10.0, 5.0),
            (3.0, 26.0, 8.0, 29.0, 12.0, -2.0),
            (12.0, 24.0, 0.0, 15.0, 30.0, 0.0),
        ]
        .into_iter()
        .map(
            |(between, inclination, talar, calcaneal, adductus, elevation)| {
                Foot::new(FootParameters {
                    intermetatarsal_angle_1_2: between,
                    first_metatarsal_inclination: inclination,
                    talo_first_metatarsal_angle: talar,
                    calcaneal_inclination: calcaneal,
                    metatarsus_adductus_angle: adductus,
                    first_ray_elevation_mm: elevation,
                    ..FootParameters::default()
                })
                .expect("possible parameters")
            },
        )
        .collect()
    });

    /// Points of a grid over a bone, in the foot's coordinates.
    fn points_of(bone: &Bone) -> Vec<Vector3<f64>> {
        let corners = bone.corners();
        let low = corners
            .iter()
            .fold(corners[0], |low, corner| low.inf(corner));
        let high = corners
            .iter()
            .fold(corners[0], |high, corner| high.sup(corner));
        let steps = |axis: usize| {
            let (from, to) = (low[axis], high[axis]);
            std::iter::successors(Some(from), |at| Some(at + 0.8)).take_while(move |at| *at < to)
        };
        steps(0)
            .flat_map(|x| steps(1).flat_map(move |y| steps(2).map(move |z| [x, y, z])))
            .map(Vector3::from)
            .collect()
    }

    fn is_tarsal_or_base(name: BoneName) -> bool {
        match name {
            BoneName::Long(bone) => matches!(
                bone,
                LongBone::M1 | LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5
            ),
            BoneName::Sesamoid(_) | BoneName::LesserPhalanx { .. } => false,
            _ => true,
        }
    }

    #[test]
    fn no_tarsal_bone_reaches_into_another_or_into_a_metatarsal() {
        for foot in FEET.iter() {
            let bones: Vec<_> = foot
                .bones()
                .iter()
                .filter(|bone| is_tarsal_or_base(bone.name))
                .collect();
            for bone in &bones {
                if matches!(bone.name, BoneName::Long(_)) {
                    continue;
                }
                let inside: Vec<_> = points_of(bone)
                    .into_iter()
                    .filter(|point| bone.distance_in_foot(*point) < -0.3)
                    .collect();
                for other in bones.iter().filter(|other| other.name != bone.name) {
                    let depth = inside
                        .iter()
                        .map(|point| -other.distance_in_foot(*point))
                        .fold(f64::NEG_INFINITY, f64::max);
                    assert!(
                        depth < 0.0,
                        "{:?} reaches {depth:.2} mm into {:?} when {:?}",
                        bone.name,
                        other.name,
                        foot.parameters()
                    );
                }
            }
        }
    }

    #[test]
    fn neighbours_lie_a_joint_space_apart() {
        let m = |bone| BoneName::Long(bone);
        for foot in FEET.iter() {
            for (one, other) in [
                (BoneName::Talus, BoneName::Calcaneus),
                (BoneName::Navicular, BoneName::Talus),
                (BoneName::Cuboid, BoneName::Calcaneus),
                (BoneName::Cuboid, m(LongBone::M4)),
                (BoneName::Cuboid, m(LongBone::M5)),
                (BoneName::Tibia, BoneName::Talus),
                (BoneName::Fibula, BoneName::Talus),
                (BoneName::MedialCuneiform, m(LongBone::M1)),
                (BoneName::IntermediateCuneiform, m(LongBone::M2)),
                (BoneName::LateralCuneiform, m(LongBone::M3)),
                (BoneName::Navicular, BoneName::MedialCuneiform),
                (BoneName::Navicular, BoneName::IntermediateCuneiform),
                (BoneName::Navicular, BoneName::LateralCuneiform),
            ] {
                let (bone, neighbour) = (foot.bone(one), foot.bone(other));
                let space = points_of(bone)
                    .into_iter()
                    .filter(|point| bone.distance_in_foot(*point) < 0.0)
                    .map(|point| neighbour.distance_in_foot(point))
                    .fold(f64::INFINITY, f64::min);
                assert!(
                    (1.0..3.6).contains(&space),
                    "{one:?} and {other:?} lie {space:.2} mm apart when {:?}",
                    foot.parameters()
                );
            }
        }
    }

    /// The dorsal outline of the calcaneus along its middle: how high it lies at `w`.
    fn dorsal_outline(calcaneus: &Bone, w: f64) -> f64 {
        let (mut inside, mut outside) = (0.0, 40.0);
        for _ in 0..40 {
            let middle = f64::midpoint(inside, outside);
            if calcaneus.distance(Vector3::new(0.0, middle, w)) < 0.0 {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        inside
    }

    fn direction_degrees(from: (f64, f64), to: (f64, f64)) -> f64 {
        (to.1 - from.1).atan2(to.0 - from.0).to_degrees()
    }

    #[test]
    fn the_calcaneus_has_the_angles_that_are_read_on_it() {
        let calcaneus = FEET[0].bone(BoneName::Calcaneus);
        let highest = |from: u32, to: u32| {
            (from..=to)
                .map(f64::from)
                .map(|w| (w, dorsal_outline(calcaneus, w)))
                .fold((0.0, f64::NEG_INFINITY), |best, point| {
                    if point.1 > best.1 { point } else { best }
                })
        };
        let (tuberosity, apex, process) = (highest(4, 20), highest(34, 50), highest(70, 78));
        // Böhler's angle is 20 to 40 degrees, that of Gissane 120 to 145 (textbooks).
        let boehler = direction_degrees(tuberosity, apex) - direction_degrees(apex, process);
        assert!((20.0..40.0).contains(&boehler), "Böhler {boehler:.1}");
        let outline = |w: f64| (w, dorsal_outline(calcaneus, w));
        let facet = direction_degrees(outline(47.0), outline(58.0));
        let floor = direction_degrees(outline(64.0), outline(74.0));
        let gissane = 180.0 + facet - floor;
        assert!((115.0..145.0).contains(&gissane), "Gissane {gissane:.1}");
    }

    #[test]
    fn the_heel_stands_on_its_pad() {
        for foot in FEET.iter() {
            let calcaneus = foot.bone(BoneName::Calcaneus);
            let lowest = points_of(calcaneus)
                .into_iter()
                .filter(|point| calcaneus.distance_in_foot(*point) < 0.0)
                .map(|point| point.z)
                .fold(f64::INFINITY, f64::min);
            assert!(
                (lowest - HEEL_PAD_MM).abs() < 2.0,
                "{lowest:.1} mm above the floor"
            );
        }
    }
}
