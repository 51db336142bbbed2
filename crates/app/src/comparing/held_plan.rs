//! The plans of an earlier visit, held against the later one.

use plumbray_anatomy::View;
use plumbray_compare::{
    FilmsLaidOver, NoPlanResult, NotLaidOver, Occasion, Pair, PlanResult, Registration,
    against_plan,
};
use plumbray_plan::Plan;

use super::{FootOverTime, OpenedFilms};
use crate::planning::words::plan_name;

/// A plan of an earlier visit, held against the later visit of the pair.
#[derive(Clone, Debug)]
pub struct HeldPlan {
    /// The place of the visit whose plan it is.
    pub visit: usize,
    /// The place of the visit that it is held against.
    pub against: usize,
    /// Its name, or its place among the plans of that visit.
    pub name: String,
    /// The plan itself.
    pub plan: Plan,
    /// What came of it.
    pub result: Result<PlanResult, NoPlanResult>,
}

impl FootOverTime {
    /// The visit whose plans are held against the later one of a pair: the earlier one where it has any, else the
    /// last one before surgery that has. Nothing where none has, or where the later one lies before surgery too.
    #[must_use]
    pub fn planned_at(&self, pair: Pair) -> Option<usize> {
        let is_operated = self.visits.get(pair.later)?.visit().occasion != Occasion::Before;
        let has_plans = |place: &usize| {
            let visit = self.visits.get(*place);
            visit.is_some_and(|visit| !visit.study.plans.is_empty())
        };
        let is_before = |place: &usize| self.visits[*place].visit().occasion == Occasion::Before;
        Some(pair.earlier)
            .filter(has_plans)
            .or_else(|| {
                let mut places = (0..pair.later).rev();
                places.find(|place| is_before(place) && has_plans(place))
            })
            .filter(|_| is_operated)
    }

    /// The plans that are held against the later visit of a pair, in the order of their study. `chosen` is the later
    /// AP film of the pair laid over the earlier one.
    pub(crate) fn held_plans(
        &self,
        pair: Pair,
        chosen: &Result<Registration, NotLaidOver>,
        films: &mut OpenedFilms,
    ) -> Vec<HeldPlan> {
        let Some(earlier) = self.planned_at(pair) else {
            return Vec::new();
        };
        let from = Pair { earlier, ..pair };
        let laid = if from == pair {
            chosen.clone()
        } else {
            self.laid_over(from, View::Ap, films)
        };
        let lateral = self.laid_over(from, View::Lateral, films);
        let Some([before, after]) = self.both(from) else {
            return Vec::new();
        };
        let plans = before.study.plans.iter().enumerate();
        plans
            .map(|(place, plan)| HeldPlan {
                visit: earlier,
                against: pair.later,
                name: plan_name(plan, place),
                plan: plan.clone(),
                result: against_plan(
                    &before.visit(),
                    plan,
                    &after.visit(),
                    FilmsLaidOver {
                        ap: laid.as_ref().map_err(Clone::clone),
                        lateral: lateral.as_ref().map_err(Clone::clone),
                    },
                ),
            })
            .collect()
    }
}
