//! A plan as the operation that carries it out on the simulated foot.

use anyhow::{Context, Result};
use nalgebra::Vector3;
use plumbray_anatomy::{LongBone, PhysicalPoint, PhysicalVector, View};
use plumbray_phantom::{Exposure, Foot, Operation, Screws, StandingFoot};
use plumbray_plan::{Plan, PlannedCut, ToeRule, Undertaking};

use super::films::Films;

/// The operation that a plan means, in the directions of the simulated bone.
///
/// Where the cut runs and how the fragment moves are what the AP film shows: under the tilted tube the bone's own
/// length and what lies square to it in space are not square to each other on the film, and a plan is drawn on the
/// film. The simulated foot turns its fragment about the centre of the joint surface, the plan about the centre of
/// the circle that the film shows: the way of the former, as the plan moves it, is parted into travel along the
/// cut and closing of the kerf. The dorsal shift and the turns are those of the plan.
pub(crate) fn operation(
    undertaking: &Undertaking,
    plan: &Plan,
    films: &Films,
    foot: &Foot,
    exposure: &Exposure,
) -> Result<Operation> {
    let cut = &undertaking.cut;
    let film = OnFilm::of(undertaking, films, foot, exposure);
    let mm = undertaking
        .before
        .ap
        .mm_per_pixel_width
        .context("a film of a plan in millimetres is calibrated")?;
    let [lateral, along] = film.in_bone(PhysicalVector::new(cut.tilt.cos(), cut.tilt.sin()));
    let tilt = along.atan2(lateral);
    let [lateral, along] = film.in_bone(film.way_of_pivot(undertaking));
    let (sin, cos) = tilt.sin_cos();
    let turn = plan.head.medial_turn_degrees;
    Ok(Operation {
        level_mm: film.level_mm(cut),
        cut_tilt_degrees: tilt.to_degrees(),
        kerf_mm: lateral * sin - along * cos,
        shift_mm: lateral * cos + along * sin,
        plantar_shift_mm: -undertaking.movement.dorsal * mm,
        medial_turn_degrees: turn,
        plantar_tilt_degrees: plan.head.plantar_tilt_degrees,
        supination_degrees: plan.head.supination_degrees,
        // A toe that keeps its direction is turned back by as much as the head turns it.
        toe_turn_degrees: match plan.toe.rule {
            ToeRule::KeepsDirection => -turn,
            ToeRule::FollowsHead | ToeRule::Realigned { .. } => 0.0,
        },
        is_step_trimmed: plan.step_trimmed,
        screws: Screws::Absent,
        wire: None,
        callus: None,
    })
}

/// The first metatarsal of the simulated foot as the AP film shows it, across and along in the plan's directions.
struct OnFilm {
    /// The two ends of its axis.
    axis: [PhysicalPoint; 2],
    /// What a millimetre toward lateral and one along the axis, both at the head, come to on the film.
    millimetre: [PhysicalVector; 2],
    /// The centre of the joint surface, about which the simulated foot turns its fragment.
    pivot: PhysicalPoint,
    length_mm: f64,
}

impl OnFilm {
    fn of(undertaking: &Undertaking, films: &Films, foot: &Foot, exposure: &Exposure) -> Self {
        let standing = StandingFoot {
            positioning: exposure.positioning,
            ..StandingFoot::in_the_middle(foot.clone())
        };
        let projection = films.truth(View::Ap).projection();
        let ap = &undertaking.before.ap;
        let seen = |place: Vector3<f64>| {
            let at = projection.project(standing.room_from_foot(place.into()));
            ap.on_bone(ap.proportions.physical(at))
        };
        let [base, tip] = foot.axis(LongBone::M1).map(Vector3::from);
        let along = (tip - base).normalize();
        // Level and square to the axis, as an operation's directions are.
        let lateral = Vector3::new(along.y, -along.x, 0.0).normalize();
        Self {
            axis: [seen(base), seen(tip)],
            millimetre: [lateral, along].map(|way| seen(tip + way) - seen(tip)),
            pivot: seen(foot.head_centre().into()),
            length_mm: (tip - base).norm(),
        }
    }

    /// How far from its tip the plan's cut crosses the axis, in mm.
    fn level_mm(&self, cut: &PlannedCut) -> f64 {
        let [base, tip] = self.axis;
        let (sin, cos) = cut.tilt.sin_cos();
        let normal = PhysicalVector::new(-sin, cos);
        let [from_tip, whole] = [cut.middle, base].map(|place| (tip - place).dot(normal));
        self.length_mm * from_tip / whole
    }

    /// How the plan moves the simulated foot's pivot.
    fn way_of_pivot(&self, undertaking: &Undertaking) -> PhysicalVector {
        let ap = &undertaking.before.ap;
        let moved = undertaking.movement.fragment.of(ap.physical(self.pivot));
        ap.on_bone(moved) - self.pivot
    }

    /// What a way on the film is in the bone, in mm toward lateral and along.
    fn in_bone(&self, way: PhysicalVector) -> [f64; 2] {
        let [lateral, along] = self.millimetre;
        let whole = lateral.cross(along);
        [way.cross(along) / whole, lateral.cross(way) / whole]
    }
}
