//! The whole foot: bones and skin from the surgeon's parameters.

use nalgebra::{Matrix3, Vector3};
use plumbray_anatomy::{LongBone, Sesamoid, Side};
use serde::{Deserialize, Serialize};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_ray::FirstRay,
    bones::hindfoot::Hindfoot,
    bones::lesser_rays::lesser_rays,
    bones::skin::Skin,
    geometry::projection::Ray,
    operation::{Screw, metal::Metal, osteotomy::Osteotomy},
    parameters::{FootParameters, ParameterError},
    physics::exposure::Positioning,
    shape::texture::TrabecularTile,
};

/// A simulated foot that stands on the floor.
///
/// Its own coordinates, in millimetres, are x toward lateral, y toward distal along the foot and z up
/// from the floor; the origin lies below the base of the second metatarsal. A left foot is the mirror
/// image of a right foot with the same parameters.
#[derive(Clone, Debug)]
pub struct Foot {
    parameters: FootParameters,
    bones: Vec<Bone>,
    skin: Skin,
    trabeculae: TrabecularTile,
    points: AnatomicalPoints,
    screws: Vec<Screw>,
    metal: Vec<Metal>,
}

/// Points that define the parameters, in the foot's own coordinates.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AnatomicalPoints {
    /// Medial and lateral end of the joint surface of the first metatarsal head.
    pub(crate) articular_ends: [Vector3<f64>; 2],
    /// Centre of the joint surface of the first metatarsal head.
    pub(crate) head_centre: Vector3<f64>,
    /// The point of the head's own axis beside that centre.
    pub(crate) head_on_axis: Vector3<f64>,
    /// A posterior and an anterior point on the axis of the talus.
    pub(crate) talus_axis: [Vector3<f64>; 2],
    /// The middle of the cut through the first metatarsal, if it was cut.
    pub(crate) osteotomy: Option<Vector3<f64>>,
}

/// Angles at the first ray as they are after its operation, in degrees, between axes in space seen
/// from straight above.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CorrectedAngles {
    /// With the axis of the first metatarsal's shaft, which an operation through its neck leaves as it
    /// was.
    pub by_shaft: FirstRayAngles,
    /// With the axis from the centre of the base to the head, which follows the fragment.
    pub by_head_and_base: FirstRayAngles,
}

/// The angles that an axis of the first metatarsal defines, in degrees.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FirstRayAngles {
    /// Hallux valgus angle.
    pub hallux_valgus_angle: f64,
    /// 1–2 intermetatarsal angle.
    pub intermetatarsal_angle_1_2: f64,
}

impl Foot {
    /// The foot that these parameters describe.
    ///
    /// # Errors
    /// [`ParameterError`] when a parameter is not a number or out of range.
    pub fn new(parameters: FootParameters) -> Result<Self, ParameterError> {
        parameters.validate()?;
        let first = FirstRay::new(&parameters);
        let lesser = lesser_rays(&parameters);
        let hindfoot = Hindfoot::new(&parameters, &first, &lesser);
        let skin = Skin::new(&first, &lesser, &hindfoot);
        let points = AnatomicalPoints {
            articular_ends: first.articular_ends,
            head_centre: first.head_centre,
            head_on_axis: first.head_on_axis,
            talus_axis: hindfoot.talus_axis,
            osteotomy: first.osteotomy.as_ref().map(Osteotomy::middle),
        };
        let screws = first.screws;
        let metal = first.metal;
        let mut bones = first.bones;
        bones.extend(lesser.into_iter().flat_map(|ray| ray.bones));
        bones.extend(hindfoot.bones);
        for bone in &mut bones {
            bone.density = parameters.bone_density;
        }
        Ok(Self {
            parameters,
            bones,
            skin,
            trabeculae: TrabecularTile::new(parameters.individual),
            points,
            screws,
            metal,
        })
    }

    /// The parameters that it was built from.
    #[must_use]
    pub const fn parameters(&self) -> &FootParameters {
        &self.parameters
    }

    /// Which foot it is.
    #[must_use]
    pub const fn side(&self) -> Side {
        self.parameters.side
    }

    /// The axis of a long bone in the foot's own coordinates, in millimetres: the centre of its base
    /// and the end of its axis at the tip.
    #[must_use]
    pub fn axis(&self, bone: LongBone) -> [[f64; 3]; 2] {
        let bone = self.bone(BoneName::Long(bone));
        [0.0, bone.length_mm].map(|w| bone.frame.foot_from_bone(Vector3::new(0.0, 0.0, w)).into())
    }

    /// The centre of a sesamoid in the foot's own coordinates, in millimetres.
    #[must_use]
    pub fn sesamoid_centre(&self, sesamoid: Sesamoid) -> [f64; 3] {
        self.bone(BoneName::Sesamoid(sesamoid)).frame.origin.into()
    }

    /// The medial and the lateral end of the joint surface of the first metatarsal head, in the
    /// foot's own coordinates, in millimetres.
    #[must_use]
    pub fn articular_ends(&self) -> [[f64; 3]; 2] {
        self.points.articular_ends.map(Into::into)
    }

    /// The centre of the joint surface of the first metatarsal head, in the foot's own coordinates, in millimetres:
    /// about it an operation turns the fragment.
    #[must_use]
    pub fn head_centre(&self) -> [f64; 3] {
        self.points.head_centre.into()
    }

    /// The angles at the first ray after its operation; without one, those of the parameters.
    #[must_use]
    pub fn corrected_angles(&self) -> CorrectedAngles {
        let azimuth = |[from, to]: [[f64; 3]; 2]| (to[0] - from[0]).atan2(to[1] - from[1]);
        let [base, tip] = self.axis(LongBone::M1);
        let second = azimuth(self.axis(LongBone::M2));
        let toe = azimuth(self.axis(LongBone::ProximalPhalanx));
        let angles = |end: [f64; 3]| {
            let first = azimuth([base, end]);
            FirstRayAngles {
                hallux_valgus_angle: (toe - first).to_degrees(),
                intermetatarsal_angle_1_2: (second - first).to_degrees(),
            }
        };
        CorrectedAngles {
            by_shaft: angles(tip),
            by_head_and_base: angles(self.points.head_on_axis.into()),
        }
    }

    /// The middle of the cut through the first metatarsal on the axis of its shaft, in the foot's own
    /// coordinates in millimetres; nothing for a foot without an operation.
    #[must_use]
    pub fn osteotomy_level(&self) -> Option<[f64; 3]> {
        self.points.osteotomy.map(Into::into)
    }

    /// The screws that hold the fragment, where they were placed.
    #[must_use]
    pub fn screws(&self) -> &[Screw] {
        &self.screws
    }

    pub(crate) fn metal(&self) -> &[Metal] {
        &self.metal
    }

    pub(crate) const fn points(&self) -> &AnatomicalPoints {
        &self.points
    }

    pub(crate) fn bones(&self) -> &[Bone] {
        &self.bones
    }

    pub(crate) const fn trabeculae(&self) -> &TrabecularTile {
        &self.trabeculae
    }

    pub(crate) const fn skin(&self) -> &Skin {
        &self.skin
    }

    /// A bone that every foot has.
    pub(crate) fn bone(&self, name: BoneName) -> &Bone {
        self.bones
            .iter()
            .find(|bone| bone.name == name)
            .unwrap_or(&self.bones[0])
    }
}

/// A foot and where it stands in the room.
#[derive(Clone, Debug)]
pub struct StandingFoot {
    /// The foot.
    pub foot: Foot,
    /// How far to the right of the room's middle it stands, as the standing person sees it, in mm.
    pub right_mm: f64,
    /// How it is turned.
    pub positioning: Positioning,
}

/// Half the width of a foot in mm: an oblique foot rests on the edge of its sole, this far from its
/// middle.
const HALF_WIDTH_MM: f64 = 42.0;

impl StandingFoot {
    /// A foot that stands truly in the middle of the room.
    #[must_use]
    pub fn in_the_middle(foot: Foot) -> Self {
        Self {
            foot,
            right_mm: 0.0,
            positioning: Positioning::default(),
        }
    }

    /// The room's coordinates of a point of the foot, both in millimetres.
    ///
    /// The room has x to the right as the standing person sees it, y forward and z up. The foot is first
    /// rolled about its long axis and lifted until it rests on the edge of its sole, then turned about
    /// the vertical.
    #[must_use]
    pub fn room_from_foot(&self, point_mm: [f64; 3]) -> [f64; 3] {
        let turned = self.rotation() * Vector3::from(point_mm);
        [
            self.lateral_sign() * turned.x + self.right_mm,
            turned.y,
            turned.z + self.lift_mm(),
        ]
    }

    pub(crate) fn point_in_room(&self, point: Vector3<f64>) -> Vector3<f64> {
        self.room_from_foot(point.into()).into()
    }

    /// A ray of the room in the foot's own coordinates.
    pub(crate) fn ray_in_foot(&self, ray: &Ray) -> Ray {
        let sign = self.lateral_sign();
        let mut own = *ray;
        own.origin.x = sign * (own.origin.x - self.right_mm);
        own.origin.z -= self.lift_mm();
        own.direction.x *= sign;
        let back = self.rotation().transpose();
        Ray {
            origin: back * own.origin,
            direction: back * own.direction,
        }
    }

    /// The turn of a right foot.
    fn rotation(&self) -> Matrix3<f64> {
        let (turn_sin, turn_cos) = self.positioning.turn_degrees.to_radians().sin_cos();
        let (roll_sin, roll_cos) = self.positioning.obliquity_degrees.to_radians().sin_cos();
        let roll = Matrix3::new(
            roll_cos, 0.0, -roll_sin, //
            0.0, 1.0, 0.0, //
            roll_sin, 0.0, roll_cos,
        );
        let turn = Matrix3::new(
            turn_cos, turn_sin, 0.0, //
            -turn_sin, turn_cos, 0.0, //
            0.0, 0.0, 1.0,
        );
        turn * roll
    }

    fn lift_mm(&self) -> f64 {
        let roll = self.positioning.obliquity_degrees.to_radians();
        HALF_WIDTH_MM * roll.sin().abs()
    }

    /// Which way along x lateral lies.
    const fn lateral_sign(&self) -> f64 {
        match self.foot.side() {
            Side::Right => 1.0,
            Side::Left => -1.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standing(side: Side, positioning: Positioning) -> StandingFoot {
        let foot = Foot::new(FootParameters {
            side,
            ..FootParameters::default()
        })
        .expect("possible");
        StandingFoot {
            foot,
            right_mm: 66.0,
            positioning,
        }
    }

    const OBLIQUE: Positioning = Positioning {
        turn_degrees: 12.0,
        obliquity_degrees: -30.0,
    };

    #[test]
    fn a_ray_of_the_room_meets_the_same_points_in_the_foot() {
        for side in [Side::Left, Side::Right] {
            let standing = standing(side, OBLIQUE);
            let (near, far) = (
                Vector3::new(-20.0, 60.0, 12.0),
                Vector3::new(30.0, -40.0, 50.0),
            );
            let [from, to] = [near, far].map(|point| standing.point_in_room(point));
            let own = standing.ray_in_foot(&Ray {
                origin: from,
                direction: (to - from).normalize(),
            });
            assert!((own.origin - near).norm() < 1e-9, "{side:?}: origin");
            let reached = own.at((to - from).norm());
            assert!((reached - far).norm() < 1e-9, "{side:?}: {reached}");
        }
    }

    #[test]
    fn a_turned_left_foot_is_the_mirror_image_of_a_right_one() {
        let point = [-20.0, 60.0, 12.0];
        let right = standing(Side::Right, OBLIQUE).room_from_foot(point);
        let left = standing(Side::Left, OBLIQUE).room_from_foot(point);
        let apart = (left[0] - 66.0 + right[0] - 66.0)
            .hypot(left[1] - right[1])
            .hypot(left[2] - right[2]);
        assert!(apart < 1e-9, "{left:?} and {right:?}");
    }

    #[test]
    fn a_turn_points_the_toes_laterally_and_a_roll_lifts_the_lateral_edge_of_the_sole() {
        let true_stand = standing(Side::Right, Positioning::default());
        let turned = standing(
            Side::Right,
            Positioning {
                turn_degrees: 10.0,
                ..Positioning::default()
            },
        );
        let toes = [0.0, 100.0, 5.0];
        let moved = turned.room_from_foot(toes)[0] - true_stand.room_from_foot(toes)[0];
        assert!(
            (moved - 100.0 * 10.0_f64.to_radians().sin()).abs() < 1e-9,
            "{moved}"
        );
        let rolled = standing(
            Side::Right,
            Positioning {
                obliquity_degrees: 20.0,
                ..Positioning::default()
            },
        );
        let height = |x: f64| rolled.room_from_foot([x, 0.0, 0.0])[2];
        assert!(height(42.0) > 25.0, "lateral edge {}", height(42.0));
        assert!(height(-42.0).abs() < 1e-9, "medial edge {}", height(-42.0));
    }
}
