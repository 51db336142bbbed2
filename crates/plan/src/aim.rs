//! A cut aimed at a lesser metatarsal, and what each aim does to the length.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, PhysicalPoint};
use plumbray_measure::Foot;

use crate::{
    error::PlanError,
    foot_before::FootBefore,
    goal::held,
    ground::Ground,
    length_change::{LengthChange, length_change},
    plan::{Aim, CutDirection, Plan},
};

/// Base centre and tip of the lesser metatarsals, in the first metatarsal's own directions.
#[derive(Clone, Debug, PartialEq, Default)]
pub(crate) struct LesserRays(BTreeMap<LongBone, [PhysicalPoint; 2]>);

impl LesserRays {
    pub(crate) fn of(before: &FootBefore, tracing: &FilmTracing) -> Self {
        let place = |landmark| {
            tracing
                .point(landmark)
                .map(|at| before.ap.on_bone(before.ap.proportions.physical(at)))
        };
        Self(
            Aim::BONES
                .into_iter()
                .filter_map(|bone| {
                    let ends = [
                        place(Landmark::BaseCentre(bone))?,
                        place(Landmark::Tip(bone))?,
                    ];
                    Some((bone, ends))
                })
                .collect(),
        )
    }

    /// Where a point that a cut is aimed at lies.
    pub(crate) fn target(&self, aim: Aim) -> Option<PhysicalPoint> {
        let [base, tip] = self.0.get(&aim.bone)?;
        Some(*base + (*tip - *base) * aim.at.share())
    }
}

/// The tilt in radians of a cut through a place that is aimed at a lesser metatarsal.
pub(crate) fn aimed_tilt(
    lesser: &LesserRays,
    from: PhysicalPoint,
    aim: Aim,
) -> Result<f64, PlanError> {
    let target = lesser.target(aim).ok_or_else(|| {
        let number = aim.bone.metatarsal_number().unwrap_or_default();
        PlanError::needs(&format!(
            "base and tip of M{number}, at which the cut is aimed"
        ))
    })?;
    let away = target - from;
    Ok(away.y.atan2(away.x))
}

/// What a cut aimed at one point of a lesser metatarsal would be.
#[derive(Clone, Debug, PartialEq)]
pub struct AimEffect {
    /// The point.
    pub aim: Aim,
    /// The tilt of the cut in degrees from square to the shaft, positive where its lateral end lies more distal.
    pub tilt_degrees: f64,
    /// What becomes of the length for the plan's shift, found again for this cut where it is held at a goal that can be
    /// reached.
    pub length: LengthChange,
}

/// What each aim would do to the length, the rest of the plan unchanged; an aim that cannot be had, such as at a
/// bone that was not traced, is left out.
///
/// # Errors
/// What stands in the way of any plan on this foot.
pub fn aim_effects(foot: &Foot<'_>, plan: &Plan) -> Result<Vec<AimEffect>, PlanError> {
    plan.validate()?;
    let ground = Ground::of(foot)?;
    let effect = |aim: Aim| {
        let mut plan = plan.clone();
        plan.cut.direction = CutDirection::Toward(aim);
        let plan = held(foot, &plan).unwrap_or(plan);
        let cut = ground.cut(&plan.cut).ok()?;
        let shift = cut.of_width(plan.head.shift, "The shift").ok()?;
        Some(AimEffect {
            aim,
            tilt_degrees: cut.tilt.to_degrees(),
            length: length_change(&ground.before, &cut, cut.travel(shift)),
        })
    };
    Ok(Aim::all().into_iter().filter_map(effect).collect())
}
