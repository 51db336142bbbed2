//! Planning an operation on the foot that is open. Plans are part of its study.

mod command;
mod geometry;
mod looking;
mod planned;
mod sheet;

use plumbray_anatomy::View;
use plumbray_compare::foot_of;
use plumbray_plan::{
    Extent, FootBefore, Goal, MOST_SCREWS, Plan, PlanError, Screw, ScrewKind, Verdict, solve_shift,
    suggest_pair,
};
use plumbray_study::Study;

pub use command::{PlanCommand, PlanEdit, PlanHandle, Units};
pub use planned::Planning;

use super::{Command, Finished, Workbench};

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
            PlanCommand::SuggestScrews => self.start_suggesting_screws(),
            PlanCommand::AddScrew(kind) => self.add_screw(&what, kind),
            PlanCommand::ShowFirstRay => self.show_first_ray(),
            PlanCommand::AskSheet => self.ask_where_to_put_plan(),
            PlanCommand::MakeSheet(path) => self.start_plan_sheet(path),
            PlanCommand::RemoveScrew(place) => self.change_plan(&what, true, |plan| {
                plan.screws.remove(place);
            }),
        }
    }

    fn begin_planning(&mut self) {
        self.comparing = None;
        // What is still being worked out for a comparison is of no use any more.
        self.comparison_number += 1;
        self.view.calibrating = None;
        self.view.first_click = None;
        self.view.overlay = None;
        self.notices.clear();
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
        let edit = |study: &mut Study| {
            if let Some(place) = study.plans.get_mut(chosen) {
                *place = plan;
            }
        };
        let before = self
            .before_drag
            .take()
            .unwrap_or_else(|| self.study.clone());
        edit(&mut self.study);
        if finished {
            if self.study != before {
                self.note_change(what);
                self.undo.remember(what, before, &self.study);
            }
            self.follow_plans();
            self.save();
        } else {
            self.before_drag = Some(before);
            self.follow_plans();
        }
    }

    /// A gesture that was not finished, such as a name half written, ends here.
    fn finish_plan_gesture(&mut self) {
        if let Some(before) = self.before_drag.take()
            && before != self.study
        {
            let what = "Change the plan";
            self.note_change(what);
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
            Ok(shift) => self.change_plan(what, true, |plan| plan.head.shift = shift),
            Err(problem) => self.warn(format!("{what}: {problem}.")),
        }
    }

    /// Looks for the best pair of screws on a worker's thread: it takes longer than a frame.
    fn start_suggesting_screws(&mut self) {
        let done = self.planning.as_ref().and_then(Planning::undertaking);
        let (Some(done), Some(plan)) = (done, self.plan()) else {
            return;
        };
        let screw = plan
            .screws
            .iter()
            .find(|screw| screw.kind == ScrewKind::Screw);
        let diameter = screw.map_or_else(
            || {
                Screw::usual_diameter(
                    ScrewKind::Screw,
                    done.before.ap.mm_per_pixel_width.is_some(),
                )
            },
            |screw| screw.diameter,
        );
        let (asked, study, foot) = (plan.clone(), self.study.clone(), self.foot_number);
        self.jobs.start("Looking for the best screw pair", move || {
            let found = suggest_pair(&foot_of(&study), &asked, diameter);
            Finished::ScrewsSuggested(foot, Box::new(asked), found.map(Box::new))
        });
    }

    /// Whether a screw of the plan that is on leaves a check open.
    fn leaves_a_screw_open(&self) -> bool {
        let done = self.planning.as_ref().and_then(Planning::undertaking);
        done.is_some_and(|done| {
            done.checks
                .iter()
                .any(|check| check.screw.is_some() && check.verdict == Verdict::Open)
        })
    }

    /// Takes the suggested screws in, unless the plan was changed while they were looked for.
    pub(super) fn screws_were_suggested(
        &mut self,
        asked: &Plan,
        found: Result<Box<Plan>, PlanError>,
    ) {
        if self.plan() != Some(asked) {
            self.note("The plan was changed while screws were looked for. Ask again.".to_owned());
            return;
        }
        match found {
            Ok(plan) if plan.screws.iter().any(|screw| screw.kind == ScrewKind::Screw) => {
                let what = PlanCommand::SuggestScrews.text();
                self.replace_plan(&what, true, Some(*plan));
                if self.leaves_a_screw_open() {
                    self.note(
                        "No pair meets every check on this plan; this one comes nearest. Another shift or level \
                         may let one."
                            .to_owned(),
                    );
                }
            }
            Ok(_) => self.warn(
                "No screw leads from the medial cortex into this head. Shift it less, or place screws \
                 by hand."
                    .to_owned(),
            ),
            Err(problem) => self.warn(format!("No screws are suggested: {problem}.")),
        }
    }

    fn add_screw(&mut self, what: &str, kind: ScrewKind) {
        let screw = self
            .planning
            .as_ref()
            .and_then(Planning::undertaking)
            .and_then(|done| geometry::added_screw(done, kind));
        match screw {
            Some(screw) => self.change_plan(what, true, |plan| plan.screws.push(screw)),
            None => self.warn(
                "The joint surface of M1’s head is not traced, along which a wire runs.".to_owned(),
            ),
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
            PlanCommand::Drag(..)
            | PlanCommand::Solve(_)
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
