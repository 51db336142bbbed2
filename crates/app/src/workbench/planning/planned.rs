//! The plans of a foot, carried out: what the page reads.

use plumbray_anatomy::{Calibration, Proportions, Tracing, View};
use plumbray_compare::foot_of;
use plumbray_plan::{AimEffect, Plan, PlanError, Undertaking, aim_effects, carry_out};
use plumbray_study::Study;

/// An operation that is being planned: which plan is on, and what each of them does.
///
/// All of it follows from the study, but which plan is on and the angle that is aimed for.
#[derive(Clone, Debug)]
pub struct Planning {
    /// The place of the plan that is on.
    pub chosen: usize,
    /// The intermetatarsal angle that is aimed for, in degrees.
    pub goal_degrees: f64,
    worked: Vec<Worked>,
    ground: Option<Ground>,
    aims: Vec<AimEffect>,
}

/// The angle that is aimed for at first, in degrees: inside the usual range of up to 9° (ours).
const FIRST_GOAL_DEGREES: f64 = 6.0;

/// A plan and what it does.
#[derive(Clone, Debug)]
struct Worked {
    plan: Plan,
    done: Result<Box<Undertaking>, PlanError>,
}

/// What of a study plans stand on: while it is the same, a plan does the same.
#[derive(Clone, Debug, PartialEq)]
struct Ground {
    tracing: Tracing,
    films: [Option<(Proportions, Option<Calibration>)>; 2],
    operated: bool,
}

impl Ground {
    fn of(study: &Study) -> Self {
        Self {
            tracing: study.tracing.clone(),
            films: View::ALL.map(|view| {
                study
                    .film(view)
                    .map(|film| (film.proportions, film.calibration))
            }),
            operated: study.visit.operated,
        }
    }
}

impl Planning {
    /// The plans of a study, the first one on.
    pub(super) fn of(study: &Study) -> Self {
        let mut planning = Self {
            chosen: 0,
            goal_degrees: FIRST_GOAL_DEGREES,
            worked: Vec::new(),
            ground: None,
            aims: Vec::new(),
        };
        planning.follow(study);
        planning
    }

    /// Works out again what has changed. A plan takes about a millisecond.
    pub(super) fn follow(&mut self, study: &Study) {
        let foot = foot_of(study);
        let ground = Ground::of(study);
        let stands = self.ground.as_ref() == Some(&ground);
        let mut known = std::mem::take(&mut self.worked);
        let mut changed = !stands;
        for plan in &study.plans {
            let place = known
                .iter()
                .position(|worked| stands && worked.plan == *plan);
            let worked = if let Some(place) = place {
                known.swap_remove(place)
            } else {
                changed = true;
                Worked {
                    plan: plan.clone(),
                    done: carry_out(&foot, plan).map(Box::new),
                }
            };
            self.worked.push(worked);
        }
        self.ground = Some(ground);
        self.chosen = self.chosen.min(study.plans.len().saturating_sub(1));
        if changed || self.aims.is_empty() {
            self.follow_aims(study);
        }
    }

    /// Works out what each aim of the plan that is on would do.
    pub(super) fn follow_aims(&mut self, study: &Study) {
        self.aims = study
            .plans
            .get(self.chosen)
            .and_then(|plan| aim_effects(&foot_of(study), plan).ok())
            .unwrap_or_default();
    }

    /// What the plan at a place does, or why it cannot be carried out; nothing where there is none.
    #[must_use]
    pub fn done(&self, place: usize) -> Option<Result<&Undertaking, &PlanError>> {
        let worked = self.worked.get(place)?;
        Some(worked.done.as_ref().map(Box::as_ref))
    }

    /// What the plan that is on does; nothing where there is none or it cannot be carried out.
    #[must_use]
    pub fn undertaking(&self) -> Option<&Undertaking> {
        self.done(self.chosen)?.ok()
    }

    /// What each aim of the cut would do to the length.
    #[must_use]
    pub fn aims(&self) -> &[AimEffect] {
        &self.aims
    }
}
