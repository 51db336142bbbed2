//! Planning an operation on the foot that is open. Plans are part of its study.

mod command;
mod geometry;
mod looking;
mod planned;
mod screws;
mod sheet;

use plumbray_anatomy::{View, capitalised};
use plumbray_compare::foot_of;
use plumbray_plan::{
    Extent, FootBefore, Goal, MOST_SCREWS, Plan, PlanError, held, keep_length, solve_shift,
};
use plumbray_study::Study;

pub use command::{PlanCommand, PlanEdit, PlanHandle, Units};
pub use planned::Planning;

pub(super) use screws::Asked;
use screws::by_hand;

use super::{Command, Workbench};

impl Workbench {
    /// The operation that is being planned, if any.
    #[must_use]
    pub const fn planning(&self) -> Option<&Planning> {
        self.planning.as_ref()
    }

    /// The plan that is on.
    #[must_use]
    pub fn plan(&self) -> Option<&Plan> {
        self.study.plans.get(self.planning.as_ref()?.chosen)
    }

    /// What keeps a plan from being made on this foot; nothing where one can be made.
    #[must_use]
    pub fn why_no_plan(&self) -> Option<PlanError> {
        FootBefore::of(&self.foot()).err()
    }

    /// Does what belongs to planning.
    pub(super) fn apply_to_planning(&mut self, command: PlanCommand) {
        let what = command.text();
        match command {
            PlanCommand::Begin => self.begin_planning(),
            PlanCommand::Leave => self.leave_planning(),
            PlanCommand::Choose(place) => self.choose_plan(place),
            PlanCommand::Another => self.another_plan(&what),
            PlanCommand::Remove(place) => self.change(&what, |study| {
                study.plans.remove(place);
            }),
            PlanCommand::Rename(name, finished) => self.change_plan(&what, finished, |plan| {
                plan.name = name;
            }),
            PlanCommand::Set(edit, finished) => {
                self.change_plan(&what, finished, |plan| edit.apply_to(plan));
            }
            PlanCommand::Drag(handle, to, finished) => {
                let dragged = self.planning.as_ref().and_then(|planning| {
                    let plan = self.study.plans.get(planning.chosen)?;
                    geometry::dragged(planning, plan, handle, to)
                });
                self.replace_plan(&what, finished, dragged);
            }
            PlanCommand::Units(units) => {
                let said = self.plan().map(|plan| {
                    let done = self.planning.as_ref().and_then(Planning::undertaking);
                    geometry::in_units(plan, done, units)
                });
                self.replace_plan(&what, true, said);
            }
            PlanCommand::AimFor(degrees) => {
                if let Some(planning) = &mut self.planning {
                    planning.goal_degrees = degrees;
                }
            }
            PlanCommand::Solve(goal) => self.solve(&what, goal),
            PlanCommand::LetGo => self.change_plan(&what, true, |plan| plan.head.goal = None),
            PlanCommand::KeepLength => self.keep_length(&what),
            PlanCommand::SuggestScrews => self.start_suggesting_screws(Asked::ByHand),
            PlanCommand::AddScrew(kind) => self.add_screw(&what, kind),
            PlanCommand::ShowFirstRay => self.show_first_ray(),
            PlanCommand::AskSheet => self.ask_where_to_put_plan(),
            PlanCommand::MakeSheet(path) => self.start_plan_sheet(path),
            PlanCommand::RemoveScrew(place) => self.change_plan(&what, true, |plan| {
                by_hand(plan, place);
                plan.screws.remove(place);
            }),
        }
    }

    fn begin_planning(&mut self) {
        self.comparing = None;
        // What is still being worked out for a comparison is of no use any more.
        self.comparison_number += 1;
        let unfinished = self.fitted_calibration().is_some();
        self.view.calibrating = None;
        self.view.first_click = None;
        self.show_page(None);
        self.notices.clear();
        if unfinished {
            self.warn(
                "The calibration was not taken over: calibrate again and choose “Use this calibration”."
                    .to_owned(),
            );
        }
        self.planning = Some(Planning::of(&self.study));
        if self.study.plans.is_empty() && self.why_no_plan().is_none() {
            self.another_plan(&PlanCommand::Begin.text());
        }
        self.look_at_first_ray();
    }

    pub(super) fn leave_planning(&mut self) {
        self.finish_plan_gesture();
        self.look_at_whole_films();
        self.planning = None;
    }

    fn choose_plan(&mut self, place: usize) {
        self.finish_plan_gesture();
        if let Some(planning) = &mut self.planning {
            planning.chosen = place;
            planning.follow_aims(&self.study);
        }
    }

    fn another_plan(&mut self, what: &str) {
        let is_calibrated = self.calibration(View::Ap).is_some();
        let plan = self.plan().map_or_else(
            || {
                let mut plan = Plan::usual(is_calibrated);
                if is_calibrated {
                    // Nobody thinks of it as a share of the shaft.
                    plan.head.dorsal_shift = Extent::Millimetres(0.0);
                }
                plan
            },
            |plan| Plan {
                name: if plan.name.is_empty() {
                    String::new()
                } else {
                    format!("{}, varied", plan.name)
                },
                ..plan.clone()
            },
        );
        self.change(what, |study| study.plans.push(plan));
        self.choose_plan(self.study.plans.len() - 1);
    }

    /// Changes the plan that is on; while a hand drags (`finished` is false) no step of undo is made.
    fn change_plan(&mut self, what: &str, finished: bool, edit: impl FnOnce(&mut Plan)) {
        let changed = self.plan().cloned().map(|mut plan| {
            edit(&mut plan);
            plan
        });
        self.replace_plan(what, finished, changed);
    }

    fn replace_plan(&mut self, what: &str, finished: bool, plan: Option<Plan>) {
        let (Some(plan), Some(chosen)) = (plan, self.planning.as_ref().map(|now| now.chosen))
        else {
            return;
        };
        if let Err(problem) = plan.validate() {
            self.warn(format!("This stays as it was: {problem}."));
            return;
        }
        self.notices.clear();
        let plan = self.at_its_goal(plan);
        let before = self
            .before_drag
            .take()
            .unwrap_or_else(|| self.study.clone());
        if let Some(place) = self.study.plans.get_mut(chosen) {
            *place = plan;
        }
        if finished {
            let former = before.plans.get(chosen).cloned();
            if self.study != before {
                self.note_change(what, false);
                self.undo.remember(what, before, &self.study);
            }
            self.follow_plans();
            self.save();
            self.let_screws_follow(former.as_ref());
        } else {
            self.before_drag = Some(before);
            self.follow_plans();
        }
    }

    /// A changed plan with its shift by the goal that it holds; where no shift reaches that, with the shift that it has,
    /// which is told.
    fn at_its_goal(&mut self, plan: Plan) -> Plan {
        // No other field of a plan has a part in any goal.
        let is_moved = self
            .plan()
            .is_none_or(|now| now.cut != plan.cut || now.head != plan.head);
        let Some(goal) = plan.head.goal.filter(|_| is_moved) else {
            return plan;
        };
        match held(&foot_of(&self.study), &plan) {
            Ok(held) => held,
            Err(problem) => {
                self.note(format!(
                    "{} is held and cannot be reached, so the shift stays as it was: {problem}.",
                    capitalised(&goal.name())
                ));
                plan
            }
        }
    }

    /// A gesture that was not finished, such as a name half written, ends here.
    fn finish_plan_gesture(&mut self) {
        if let Some(before) = self.before_drag.take()
            && before != self.study
        {
            let what = "Change the plan";
            self.note_change(what, false);
            self.undo.remember(what, before, &self.study);
            self.save();
        }
    }

    /// The page follows the study.
    pub(super) fn follow_plans(&mut self) {
        if let Some(planning) = &mut self.planning {
            planning.follow(&self.study);
        }
    }

    fn solve(&mut self, what: &str, goal: Goal) {
        let Some(plan) = self.plan() else { return };
        match solve_shift(&foot_of(&self.study), plan, goal) {
            Ok(shift) => self.change_plan(what, true, |plan| {
                plan.head.shift = shift;
                plan.head.goal = Some(goal);
            }),
            Err(problem) => self.warn(format!("{what}: {problem}.")),
        }
    }

    fn keep_length(&mut self, what: &str) {
        let Some(plan) = self.plan() else { return };
        match keep_length(&foot_of(&self.study), plan) {
            Ok(kept) => self.replace_plan(what, true, Some(kept)),
            Err(problem) => self.warn(format!("{what}: {problem}.")),
        }
    }

    /// Whether what a command does can be done now.
    pub(super) fn can_plan(&self, command: &PlanCommand) -> bool {
        let Some(planning) = &self.planning else {
            return matches!(command, PlanCommand::Begin) && self.film(View::Ap).is_some();
        };
        let is_carried_out = planning.undertaking().is_some();
        let plan = self.plan();
        let is_screw = |place: usize| plan.is_some_and(|plan| place < plan.screws.len());
        match command {
            PlanCommand::Begin => false,
            PlanCommand::Leave | PlanCommand::AimFor(_) => true,
            PlanCommand::Choose(place) | PlanCommand::Remove(place) => {
                *place < self.study.plans.len()
            }
            PlanCommand::Another => {
                self.study.plans.len() < Study::MOST_PLANS
                    && (plan.is_some() || self.why_no_plan().is_none())
            }
            PlanCommand::Set(PlanEdit::StepTrimmed(trimmed), _) => {
                plan.is_some_and(|plan| plan.step_trimmed != *trimmed)
            }
            PlanCommand::Rename(..) | PlanCommand::Set(..) | PlanCommand::Units(Units::PerCent) => {
                plan.is_some()
            }
            PlanCommand::Units(Units::Millimetres) => {
                is_carried_out && self.calibration(View::Ap).is_some()
            }
            PlanCommand::Drag(PlanHandle::ScrewEnd(_, place, _), ..) => {
                is_carried_out && is_screw(*place)
            }
            PlanCommand::RemoveScrew(place) => is_screw(*place),
            PlanCommand::LetGo => plan.is_some_and(|plan| plan.head.goal.is_some()),
            PlanCommand::Drag(..)
            | PlanCommand::Solve(_)
            | PlanCommand::KeepLength
            | PlanCommand::SuggestScrews
            | PlanCommand::ShowFirstRay
            | PlanCommand::AskSheet
            | PlanCommand::MakeSheet(_) => is_carried_out,
            PlanCommand::AddScrew(_) => {
                is_carried_out && plan.is_some_and(|plan| plan.screws.len() < MOST_SCREWS)
            }
        }
    }

    /// Leaves planning for what belongs to measuring, so that it is seen.
    pub(super) fn leave_planning_for(&mut self, command: &Command) {
        let measures = matches!(
            command,
            Command::GoTo(_)
                | Command::StartCalibration(..)
                | Command::ProposeTracing
                | Command::SetAdjusting(_)
                | Command::TraceAgain
                | Command::NextDoubt
                | Command::Select(_)
                | Command::SelectPoint(..)
        );
        if measures && self.planning.is_some() {
            self.leave_planning();
        }
    }
}

#[cfg(test)]
mod tests;
