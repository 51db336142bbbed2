//! Metatarsals and phalanges: what they share, and how one articulates with the next.

use nalgebra::Vector3;

use crate::{
    geometry::frame::{Attitude, Frame},
    shape::{
        form::{Form, Rise},
        profile::{Profile, Section},
        solid::{Relief, Solid},
        wall::Walls,
    },
};

/// The make of a long bone.
#[derive(Clone, Debug)]
pub(crate) struct LongBoneMake<'a> {
    /// From the centre of the base to the tip, in mm.
    pub(crate) length_mm: f64,
    /// By how much the sections are multiplied.
    pub(crate) scale: f64,
    /// Its cross-sections.
    pub(crate) sections: &'a [Section],
    /// How round the sections are: 1 is an ellipse, toward 0 nearly a rectangle.
    pub(crate) roundness: f64,
    /// What closes its proximal end.
    pub(crate) base: Base,
    /// Radii of the head's joint surface along u, v and w, in mm.
    pub(crate) head_radii_mm: [f64; 3],
    /// How far the middle of that surface lies toward lateral of the bone's axis, in mm.
    pub(crate) head_offset_mm: f64,
    /// How far the edge of that surface is rounded, in mm.
    pub(crate) rounding_mm: f64,
    /// What stands out from the shaft and the head, and over how many millimetres it blends.
    pub(crate) bumps: Vec<(Form, f64)>,
    /// Where the surface swells and sinks.
    pub(crate) rises: Vec<Rise>,
    /// Its walls.
    pub(crate) walls: Walls,
    /// How uneven its surface is.
    pub(crate) relief: Relief,
    /// By how many degrees the dorsum of its base is turned toward lateral against its head.
    pub(crate) torsion_degrees: f64,
}

/// Along which share of a bone's length its torsion runs out.
const TORSION_SHARE: f64 = 0.7;

/// What closes the proximal end of a long bone.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Base {
    /// A flat facet square to a direction in the bone's own coordinates that points out of it.
    Facet(Vector3<f64>),
    /// A socket for the rounded head of the bone before, with the socket's radii in mm.
    Socket(Vector3<f64>),
}

impl Base {
    /// A shaft without ends, closed at its proximal one.
    fn close(self, shaft: Form, scale: f64) -> Form {
        match self {
            Self::Facet(normal) => shaft.cut(Vector3::zeros(), normal, 1.6 * scale),
            Self::Socket(radii) => shaft
                .without(
                    Form::Ellipsoid {
                        centre: Vector3::new(0.0, 0.0, -radii.z),
                        radii,
                    },
                    1.6 * scale,
                )
                // The rim of a socket reaches proximally of its floor, but not without end.
                .cut(
                    Vector3::new(0.0, 0.0, -1.7 * scale),
                    -Vector3::z(),
                    3.0 * scale,
                ),
        }
    }
}

/// A convex joint surface at the distal end of a bone, in that bone's coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Head {
    /// The centre about which the next bone turns.
    pub(crate) centre: Vector3<f64>,
    /// The surface's radii along u, v and w, in mm.
    pub(crate) radii_mm: Vector3<f64>,
}

impl Head {
    /// Where the next bone starts, when it points as `attitude` says and a gap of `gap_mm` parts the
    /// two: on the head's joint surface about whose centre it turns.
    pub(crate) fn next_frame(&self, own: &Frame, attitude: Attitude, gap_mm: f64) -> Frame {
        let centre = own.foot_from_bone(self.centre);
        let reach = self.radii_mm.z + gap_mm;
        Frame::new(centre + attitude.direction() * reach, attitude)
    }

    /// The socket that fits this head across a gap of `gap_mm`.
    pub(crate) fn socket(&self, gap_mm: f64) -> Base {
        Base::Socket(self.radii_mm.add_scalar(gap_mm))
    }
}

impl LongBoneMake<'_> {
    /// The joint surface of the head.
    pub(crate) fn head(&self) -> Head {
        Head {
            centre: Vector3::new(
                self.head_offset_mm,
                0.0,
                self.length_mm - self.head_radii_mm[2],
            ),
            radii_mm: self.head_radii_mm.into(),
        }
    }

    /// The shape of the bone.
    pub(crate) fn solid(self) -> Solid {
        let head = self.head();
        let shaft = Form::Swept {
            profile: Profile::new(self.length_mm, self.scale, self.sections),
            roundness: self.roundness,
        };
        let twisted = self
            .base
            .close(shaft, self.scale)
            .twisted(self.torsion_degrees, TORSION_SHARE * self.length_mm);
        let headed = twisted.within(
            Form::Dome {
                centre: head.centre,
                radii: head.radii_mm,
            },
            self.rounding_mm,
        );
        let form = self
            .bumps
            .into_iter()
            .fold(headed, |body, (bump, blend_mm)| body.joined(bump, blend_mm))
            .modelled(self.rises);
        Solid {
            form,
            walls: self.walls,
            length_mm: self.length_mm,
            relief: self.relief,
            grain: Vector3::z(),
        }
    }
}

/// The unevenness of a shaft of some length, which fades toward the joint surfaces at both ends.
pub(crate) fn shaft_relief(length_mm: f64, height_mm: f64, seed: u64) -> Relief {
    Relief {
        height_mm,
        spacing_mm: 8.0,
        seed,
        along_mm: [0.04 * length_mm, length_mm - 9.0],
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Angle, LongBone};

    use super::*;
    use crate::bones::{
        first_metatarsal::{FirstMetatarsal, FirstMetatarsalShape},
        hallux::{ProximalPhalanx, distal_phalanx},
        lesser_metatarsal::{LesserMetatarsal, LesserMetatarsalShape},
        lesser_toe::LesserPhalanx,
    };

    /// All bones of the forefoot of an individual but the sesamoids.
    fn forefoot(individual: u64) -> Vec<(String, Solid)> {
        let first = FirstMetatarsal::new(&FirstMetatarsalShape {
            length_mm: 66.0,
            articular_tilt: Angle::from_degrees(6.0),
            medial_eminence_mm: 1.0,
            individual,
        });
        let proximal = ProximalPhalanx::new(&first.head, 1.9, individual);
        let distal = distal_phalanx(&proximal.head, 1.3, individual);
        let mut bones = vec![
            ("first metatarsal".to_owned(), first.solid),
            ("proximal phalanx".to_owned(), proximal.solid),
            ("distal phalanx".to_owned(), distal),
        ];
        for (toe, bone) in (2..).zip([LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5]) {
            let metatarsal = LesserMetatarsal::new(&LesserMetatarsalShape {
                bone,
                length_mm: 66.0,
                individual,
            });
            let phalanges = LesserPhalanx::toe(toe, &metatarsal.head, [1.6, 1.1], individual);
            bones.push((format!("{bone:?}"), metatarsal.solid));
            bones.extend(
                (1..).zip(phalanges).map(|(place, one): (u8, _)| {
                    (format!("toe {toe}, phalanx {place}"), one.solid)
                }),
            );
        }
        bones
    }

    #[test]
    fn every_bone_lies_about_its_own_axis_from_base_to_tip() {
        for individual in [1, 2, 40] {
            for (name, solid) in forefoot(individual) {
                let inside = |u: f64, w: f64| solid.form.distance(Vector3::new(u, 0.0, w)) < 0.0;
                let length = solid.length_mm;
                assert!(inside(0.0, 1.2) && !inside(0.0, -1.2), "{name}: its base");
                assert!(
                    inside(0.0, length - 1.2) && !inside(0.0, length + 0.3),
                    "{name}: its tip"
                );
                for share in [0.25, 0.5, 0.75] {
                    let reach = |side: f64| {
                        (0..400)
                            .map(|step| 0.05 * f64::from(step))
                            .take_while(|across| inside(side * across, share * length))
                            .last()
                            .unwrap_or(0.0)
                    };
                    let off = f64::midpoint(reach(1.0), -reach(-1.0));
                    assert!(off.abs() < 1.0, "{name} at {share}: {off} mm off its axis");
                }
            }
        }
    }
}
