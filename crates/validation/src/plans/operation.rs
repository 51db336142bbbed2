//! A plan as the operation that carries it out on the simulated foot.

use anyhow::{Context, Result};
use plumbray_anatomy::{FilmPoint, LongBone, PhysicalPoint, PhysicalVector, View};
use plumbray_phantom::{Exposure, Foot, Operation, Screws, StandingFoot};
use plumbray_plan::{Extent, Plan, ToeRule, Undertaking};

use super::films::Films;

/// The operation that a plan means, in the directions of the simulated bone.
///
/// The plan speaks of the mid-diaphyseal line that the AP film shows, the simulated foot of the axis of its bone:
/// the angle between the two is read off the film, on which the bone's axis is known. The millimetres are those of
/// the plan, true at the height of the head.
pub(crate) fn operation(
    undertaking: &Undertaking,
    plan: &Plan,
    films: &Films,
    foot: &Foot,
    exposure: &Exposure,
) -> Result<Operation> {
    let axis = AxisOnFilm::of(undertaking, films, foot, exposure);
    let millimetres = |length: plumbray_plan::Length| length.mm.context("the film is calibrated");
    let travel_mm = millimetres(undertaking.travel)?;
    let mm = undertaking
        .before
        .ap
        .mm_per_pixel_width
        .context("the film is calibrated")?;
    let turn = plan.head.medial_turn_degrees;
    Ok(Operation {
        level_mm: axis.level_mm(undertaking),
        cut_tilt_degrees: (undertaking.cut.tilt - axis.turn).to_degrees(),
        kerf_mm: undertaking.cut.kerf * mm,
        shift_mm: travel_mm,
        plantar_shift_mm: -undertaking.movement.dorsal * mm,
        medial_turn_degrees: turn,
        plantar_tilt_degrees: plan.head.plantar_tilt_degrees,
        supination_degrees: plan.head.supination_degrees,
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

/// The axis of the simulated bone as the AP film shows it, across and along in the plan's directions.
struct AxisOnFilm {
    base: PhysicalPoint,
    tip: PhysicalPoint,
    /// By how much it is turned from the mid-diaphyseal line toward medial, in radians.
    turn: f64,
    length_mm: f64,
}

impl AxisOnFilm {
    fn of(undertaking: &Undertaking, films: &Films, foot: &Foot, exposure: &Exposure) -> Self {
        let standing = StandingFoot {
            positioning: exposure.positioning,
            ..StandingFoot::in_the_middle(foot.clone())
        };
        let projection = films.truth(View::Ap).projection();
        let ap = &undertaking.before.ap;
        let ends = foot.axis(LongBone::M1);
        let [base, tip] = ends.map(|place| {
            let at: FilmPoint = projection.project(standing.room_from_foot(place));
            ap.on_bone(ap.proportions.physical(at))
        });
        let along = tip - base;
        let [from, to] = ends;
        let length_mm = from
            .iter()
            .zip(to)
            .map(|(from, to)| (to - from).powi(2))
            .sum::<f64>()
            .sqrt();
        Self {
            base,
            tip,
            turn: (-along.x).atan2(along.y),
            length_mm,
        }
    }

    /// How far from its tip the plan's cut crosses it, in mm.
    fn level_mm(&self, undertaking: &Undertaking) -> f64 {
        let (sin, cos) = undertaking.cut.tilt.sin_cos();
        let normal = PhysicalVector::new(-sin, cos);
        let middle = undertaking.cut.middle;
        let [from_tip, whole] = [middle, self.base].map(|place| (self.tip - place).dot(normal));
        self.length_mm * from_tip / whole
    }
}
