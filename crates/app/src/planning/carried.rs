//! Plans carried out on the foot of a study.

use anyhow::Context as _;
use plumbray_anatomy::View;
use plumbray_compare::foot_of;
use plumbray_plan::{
    Extent, Goal, Plan, Screw, ScrewKind, Undertaking, carry_out, keep_length, solve_shift,
    suggest_pair,
};
use plumbray_study::Study;

use super::words;

/// A plan carried out, under its name.
pub(crate) struct Carried {
    /// The plan's name, or its place, and what was changed about it.
    pub name: String,
    /// The plan.
    pub plan: Plan,
    /// What it does.
    pub undertaking: Undertaking,
}

/// What is changed about plans before they are carried out.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Changes {
    /// This lateral shift of the head in place of the plan's, held at no goal.
    pub shift: Option<Extent>,
    /// The shift that reaches this in place of the plan's, held at it.
    pub goal: Option<Goal>,
    /// Whether the cut is tilted so that it keeps the length.
    pub keeps_length: bool,
    /// The best pair of screws, of this diameter, in place of the plan's.
    pub screws: Option<Diameter>,
}

impl Changes {
    /// The name of a plan with what is changed about it, so that nobody takes it for the plan as it was agreed.
    fn named(&self, name: &str) -> String {
        [
            self.shift.map(|_| ", other shift"),
            self.goal.map(|_| ", shift solved for"),
            self.keeps_length.then_some(", tilt that keeps the length"),
            self.screws.map(|_| ", screws suggested"),
        ]
        .into_iter()
        .flatten()
        .fold(name.to_owned(), |name, change| name + change)
    }
}

/// The diameter of suggested screws.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Diameter {
    /// The usual one of a screw.
    Usual,
    /// This one.
    Stated(Extent),
}

impl Diameter {
    fn extent(self, is_calibrated: bool) -> Extent {
        match self {
            Self::Stated(extent) => extent,
            Self::Usual => Screw::usual_diameter(ScrewKind::Screw, is_calibrated),
        }
    }
}

/// Whether the AP film of a study has millimetres.
pub(crate) fn is_calibrated(study: &Study) -> bool {
    study
        .film(View::Ap)
        .is_some_and(|film| film.calibration.is_some())
}

/// A plan of a study, changed and carried out.
///
/// # Errors
/// What the plan or the tracing lacks, with the plan's name.
pub(crate) fn carried(
    study: &Study,
    plan: &Plan,
    place: usize,
    changes: Changes,
) -> anyhow::Result<Carried> {
    let name = changes.named(&words::plan_name(plan, place));
    let foot = foot_of(study);
    let changed = || -> anyhow::Result<(Plan, Undertaking)> {
        let mut plan = plan.clone();
        if let Some(shift) = changes.shift {
            plan.head.shift = shift;
            plan.head.goal = None;
        }
        if let Some(goal) = changes.goal {
            plan.head.shift = solve_shift(&foot, &plan, goal)?;
            plan.head.goal = Some(goal);
        }
        if changes.keeps_length {
            plan = keep_length(&foot, &plan)?;
        }
        if let Some(diameter) = changes.screws {
            plan = suggest_pair(&foot, &plan, diameter.extent(is_calibrated(study)))?;
        }
        let undertaking = carry_out(&foot, &plan)?;
        Ok((plan, undertaking))
    };
    let (plan, undertaking) =
        changed().with_context(|| format!("“{name}” cannot be carried out"))?;
    Ok(Carried {
        name,
        plan,
        undertaking,
    })
}
