//! A long bone's own directions on a film: along its axis, and lateral or dorsal of it.

use plumbray_anatomy::{LongBone, PhysicalPoint, PhysicalVector, View};

use crate::{
    axis::AxisChoice,
    convention::AxisConvention,
    derivative::Tape,
    foot::{Choices, Foot},
    lateral_side::lateral_turn,
    lateral_view::{dorsal, toward_dorsal},
    outcome::Outcome,
    placed::{Gap, PlacedFilm, both},
};

/// A long bone's own directions on the film of one view, both of length one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoneFrame {
    /// A point of the bone's axis.
    pub through: PhysicalPoint,
    /// Along the axis, from proximal to distal.
    pub along: PhysicalVector,
    /// Square to it: toward lateral on the AP film, toward dorsal on the lateral film.
    pub across: PhysicalVector,
}

/// The directions of a long bone by the axis of this convention.
///
/// Lateral follows from the order of the metatarsals on the AP film, dorsal from the floor on the lateral
/// film, never from the screen.
///
/// # Errors
/// The outcome that a measurement with this axis would have: what is missing, refused or broken.
pub fn bone_frame(
    foot: &Foot<'_>,
    view: View,
    bone: LongBone,
    convention: AxisConvention,
) -> Result<BoneFrame, Outcome> {
    let tape = Tape::default();
    found(foot, view, bone, convention, &tape).map_err(Outcome::from)
}

fn found(
    foot: &Foot<'_>,
    view: View,
    bone: LongBone,
    convention: AxisConvention,
    tape: &Tape,
) -> Result<BoneFrame, Gap> {
    let film = PlacedFilm::of(foot, view, tape)?;
    let axes = AxisChoice {
        convention,
        levels_mm: Choices::default().levels_mm,
        operated: foot.operated,
    };
    let (axis, clockwise) = match view {
        View::Ap => {
            let (axis, turn) = both(axes.axis(&film, bone), lateral_turn(&film))?;
            (axis, turn.sign())
        }
        View::Lateral => {
            let (axis, dorsal) = both(axes.axis(&film, bone), dorsal(&film))?;
            let clockwise = toward_dorsal(axis.direction.value(), dorsal);
            let upright = || {
                Gap::Degenerate {
                landmarks: vec![format!("Axis of the {}", bone.name())],
                reason: "it stands upright on the floor, so that dorsal and plantar cannot be told; check \
                         its ends"
                    .to_owned(),
            }
            };
            (axis, clockwise.ok_or_else(upright)?)
        }
    };
    let along = axis
        .direction
        .value()
        .unit()
        .ok_or_else(|| Gap::Degenerate {
            landmarks: vec![format!("Axis of the {}", bone.name())],
            reason: "it has no length; place its ends apart".to_owned(),
        })?;
    Ok(BoneFrame {
        through: axis.through.value(),
        along,
        across: along.perpendicular() * clockwise,
    })
}
