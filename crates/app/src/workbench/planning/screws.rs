//! The screws of a plan: looked for, added, and followed by those that were looked for.

use plumbray_compare::foot_of;
use plumbray_plan::{Plan, PlanError, Screw, ScrewKind, Verdict, suggest_pair};

use super::{PlanCommand, Planning, geometry};
use crate::workbench::{Finished, Workbench};

/// Who asks for a pair of screws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::workbench) enum Asked {
    /// A person.
    ByHand,
    /// A change of the plan, whose pair was a suggested one.
    ToFollow,
}

/// A hand changes the screw or wire at a place: a pair with it is no longer the suggested one.
pub(super) fn by_hand(plan: &mut Plan, place: usize) {
    let screw = plan.screws.get(place);
    if screw.is_some_and(|screw| screw.kind == ScrewKind::Screw) {
        plan.screws_suggested = false;
    }
}

impl Workbench {
    /// Looks for the best pair of screws on a worker's thread: it takes longer than a frame.
    pub(super) fn start_suggesting_screws(&mut self, by: Asked) {
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
            Finished::ScrewsSuggested(foot, by, Box::new(asked), found.map(Box::new))
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
    pub(in crate::workbench) fn screws_were_suggested(
        &mut self,
        by: Asked,
        asked: &Plan,
        found: Result<Box<Plan>, PlanError>,
    ) {
        if self.plan() != Some(asked) {
            if by == Asked::ByHand {
                self.note(
                    "The plan was changed while screws were looked for. Ask again.".to_owned(),
                );
            }
            return;
        }
        match (found, by) {
            (Ok(plan), _) if !plan.screws_suggested => self.warn(
                "No screw leads from the medial cortex into this head. Shift it less, or place screws \
                 by hand."
                    .to_owned(),
            ),
            (Ok(plan), Asked::ByHand) => {
                let what = PlanCommand::SuggestScrews.text();
                self.replace_plan(&what, true, Some(*plan));
                self.tell_of_open_screws();
            }
            // Its checks tell what it leaves open; a notice about what the person did stays where it is.
            (Ok(plan), Asked::ToFollow) => self.take_in_what_follows(*plan),
            (Err(problem), _) => self.warn(format!("No screws are suggested: {problem}.")),
        }
    }

    fn tell_of_open_screws(&mut self) {
        if self.leaves_a_screw_open() {
            self.note(
                "No pair meets every check on this plan; this one comes nearest. Another shift or level \
                 may let one."
                    .to_owned(),
            );
        }
    }

    /// A suggested pair is looked for again after a change of what it goes through; screws that a hand placed stay.
    pub(super) fn let_screws_follow(&mut self, former: Option<&Plan>) {
        let (Some(plan), Some(former)) = (self.plan(), former) else {
            return;
        };
        let way = |plan: &Plan| (plan.cut, plan.head, plan.step_trimmed, plan.lengths);
        if plan.screws_suggested && former.screws_suggested && way(plan) != way(former) {
            self.start_suggesting_screws(Asked::ToFollow);
        }
    }

    /// The screws of the plan that is on follow a change that has its own step of undo: they belong to that step, so
    /// that both are taken back together.
    fn take_in_what_follows(&mut self, plan: Plan) {
        let chosen = self.planning.as_ref().map(|planning| planning.chosen);
        let place = chosen.and_then(|chosen| self.study.plans.get_mut(chosen));
        if let Some(place) = place
            && *place != plan
        {
            *place = plan;
            self.note_change("Plan: the screws follow", false);
            self.follow_plans();
            self.save();
        }
    }

    pub(super) fn add_screw(&mut self, what: &str, kind: ScrewKind) {
        let screw = self
            .planning
            .as_ref()
            .and_then(Planning::undertaking)
            .and_then(|done| geometry::added_screw(done, kind));
        match screw {
            Some(screw) => self.change_plan(what, true, |plan| {
                plan.screws.push(screw);
                by_hand(plan, plan.screws.len() - 1);
            }),
            None => self.warn(
                "The joint surface of M1’s head is not traced, along which a wire runs.".to_owned(),
            ),
        }
    }
}
