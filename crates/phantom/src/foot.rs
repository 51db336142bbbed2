//! The whole foot: bones and skin from the surgeon's parameters.

use nalgebra::Vector3;
use plumbray_anatomy::{LongBone, Sesamoid, Side};

use crate::{
    bones::bone::{Bone, BoneName},
    bones::first_ray::FirstRay,
    bones::hindfoot::Hindfoot,
    bones::lesser_rays::lesser_rays,
    bones::skin::Skin,
    geometry::projection::Ray,
    parameters::{FootParameters, ParameterError},
    shape::texture::TrabecularTile,
};

/// Which of all possible textures the trabeculae have.
const TRABECULAR_SEED: u64 = 1;

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
}

/// Points that define the parameters, in the foot's own coordinates.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AnatomicalPoints {
    /// Medial and lateral end of the joint surface of the first metatarsal head.
    pub(crate) articular_ends: [Vector3<f64>; 2],
    /// Centre of the joint surface of the first metatarsal head.
    pub(crate) head_centre: Vector3<f64>,
    /// A posterior and an anterior point on the axis of the talus.
    pub(crate) talus_axis: [Vector3<f64>; 2],
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
            talus_axis: hindfoot.talus_axis,
        };
        let mut bones = first.bones;
        bones.extend(lesser.into_iter().flat_map(|ray| ray.bones));
        bones.extend(hindfoot.bones);
        Ok(Self {
            parameters,
            bones,
            skin,
            trabeculae: TrabecularTile::new(TRABECULAR_SEED),
            points,
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
}

impl StandingFoot {
    /// A foot that stands in the middle of the room.
    #[must_use]
    pub const fn in_the_middle(foot: Foot) -> Self {
        Self {
            foot,
            right_mm: 0.0,
        }
    }

    /// The room's coordinates of a point of the foot, both in millimetres.
    ///
    /// The room has x to the right as the standing person sees it, y forward and z up.
    #[must_use]
    pub fn room_from_foot(&self, point_mm: [f64; 3]) -> [f64; 3] {
        let [x, y, z] = point_mm;
        [self.lateral_sign() * x + self.right_mm, y, z]
    }

    pub(crate) fn point_in_room(&self, point: Vector3<f64>) -> Vector3<f64> {
        self.room_from_foot(point.into()).into()
    }

    /// A ray of the room in the foot's own coordinates.
    pub(crate) fn ray_in_foot(&self, ray: &Ray) -> Ray {
        let sign = self.lateral_sign();
        let mut own = *ray;
        own.origin.x = sign * (own.origin.x - self.right_mm);
        own.direction.x *= sign;
        own
    }

    /// Which way along x lateral lies.
    const fn lateral_sign(&self) -> f64 {
        match self.foot.side() {
            Side::Right => 1.0,
            Side::Left => -1.0,
        }
    }
}
