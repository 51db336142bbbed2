//! What the program proposes on a film before anybody points at it, and what the reader makes of it.

use std::{collections::BTreeMap, sync::Arc};

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Origin, PlacedPoint, View};
use plumbray_film::{Film, Pyramid};
use plumbray_proposal::{Doubt, Proposal, ProposalError};

use super::{
    Finished, Workbench,
    command::Command,
    opening::IF_BOTH_FEET,
    seen::{Looked, Rest, Seen},
    state::Selection,
    step::{Progress, TraceStep},
};

/// How the job that looks at a film is called; the film's view follows.
pub(super) const LOOKING: &str = "Looking at the film, ";

impl Workbench {
    /// Looks at a film on a worker's thread, by `look`; what it gives comes in through
    /// [`Workbench::receive`].
    pub fn look_at(
        &mut self,
        view: View,
        look: impl FnOnce(&Film) -> Result<Seen, ProposalError> + Send + 'static,
    ) {
        let Some(open) = &mut self.films[view as usize] else {
            return;
        };
        open.look.looked = Looked::UnderWay;
        let (film, pyramid) = (open.film.clone(), Arc::clone(&open.pyramid));
        let name = format!("{LOOKING}{}", view.name());
        self.jobs
            .start(&name, move || Finished::Looked(pyramid, look(&film)));
    }

    /// Takes in what was seen. The film is known again by its pyramid: by then it may stand for the
    /// other view or belong to another study, or no longer be open.
    pub(super) fn was_looked_at(
        &mut self,
        pyramid: &Arc<Pyramid>,
        result: Result<Seen, ProposalError>,
    ) {
        let is_same = |view: &View| {
            let open = self.film(*view);
            open.is_some_and(|open| Arc::ptr_eq(&open.pyramid, pyramid))
        };
        let Some(view) = View::ALL.into_iter().find(is_same) else {
            self.look_at_unseen();
            return;
        };
        if let Some(open) = &mut self.films[view as usize] {
            open.look.looked = match result {
                Ok(seen) => {
                    self.notices.retain(|notice| notice.text != IF_BOTH_FEET);
                    Looked::Saw(seen)
                }
                Err(problem) => Looked::InVain(problem),
            };
        }
        self.offer_if_untraced(view);
    }

    /// A film whose job ended by a fault can be looked at again.
    pub(super) fn job_failed(&mut self, name: &str) {
        let Some(view_name) = name.strip_prefix(LOOKING) else {
            return;
        };
        for view in View::ALL
            .into_iter()
            .filter(|view| view.name() == view_name)
        {
            if let Some(open) = &mut self.films[view as usize]
                && matches!(open.look.looked, Looked::UnderWay)
            {
                open.look.looked = Looked::No;
            }
        }
    }

    /// Offers what was seen on a film on which the reader has placed nothing yet.
    pub(super) fn offer_if_untraced(&mut self, view: View) {
        let untraced = self.study.tracing.on(view).is_empty();
        self.set_offered(view, untraced);
        self.leave_step_before_offer(view);
    }

    /// Leaves the bones that were chosen on films on which a proposal waits, so that it is offered again.
    pub(super) fn leave_steps_before_offers(&mut self) {
        for view in View::ALL {
            self.leave_step_before_offer(view);
        }
    }

    /// What was chosen before anything was proposed must not hide the choice between accepting and correcting.
    fn leave_step_before_offer(&mut self, view: View) {
        if self.offer_on(view).is_some() {
            *self.view.chosen_step_mut(view) = None;
        }
    }

    fn set_offered(&mut self, view: View, offered: bool) {
        if let Some(open) = &mut self.films[view as usize] {
            open.look.offered = offered;
            open.look.struck_out.clear();
        }
    }

    /// Commands about proposals; gives back those that are about something else.
    pub(super) fn apply_to_proposal(&mut self, command: Command) -> Option<Command> {
        match command {
            Command::ProposeTracing => self.propose_tracing(),
            Command::AcceptProposal => self.accept_proposal(),
            Command::ThrowProposalAway => {
                if let Some(view) = self.view_of_offer() {
                    self.set_offered(view, false);
                    self.view.adjusting = false;
                    self.view.selection = Selection::Nothing;
                }
            }
            Command::ConfirmPoint => self.confirm_point(),
            Command::NextDoubt => self.select_next_doubt(),
            other => return Some(other),
        }
        None
    }

    /// A doubtful point that the reader finds right is the reader's, where it is.
    fn confirm_point(&mut self) {
        let Selection::Point(view, landmark) = self.view.selection else {
            return;
        };
        let placed = self.study.tracing.on(view).points.get(&landmark);
        let proposed = self
            .offered(view)
            .filter(|rest| rest.has_point(landmark))
            .and_then(|rest| rest.proposed.points.get(&landmark));
        let Some(point) = placed.or(proposed).copied() else {
            return;
        };
        self.change(&format!("Find right: {}", landmark.name()), |study| {
            let point = PlacedPoint {
                origin: Origin::Hand,
                ..point
            };
            study.tracing.on_mut(view).points.insert(landmark, point);
        });
        self.select_next_doubt();
    }

    /// Why the selected point needs a second look.
    #[must_use]
    pub fn selected_doubt(&self) -> Option<Doubt> {
        match self.view.selection {
            Selection::Point(view, landmark) => self.doubt_about(view, landmark),
            _ => None,
        }
    }

    /// Every point that needs a second look, film by film.
    #[must_use]
    pub fn doubtful_points(&self) -> Vec<(View, Landmark)> {
        let films = View::ALL.into_iter();
        films
            .filter_map(|view| Some((view, self.proposal(view)?)))
            .flat_map(|(view, proposal)| proposal.doubts.keys().map(move |at| (view, *at)))
            .filter(|(view, landmark)| self.doubt_about(*view, *landmark).is_some())
            .collect()
    }

    fn select_next_doubt(&mut self) {
        let doubtful = self.doubtful_points();
        let here = match self.view.selection {
            Selection::Point(view, landmark) => Some((view, landmark)),
            _ => None,
        };
        let after = doubtful.iter().find(|point| Some(**point) > here);
        match after.or(doubtful.first()) {
            Some((view, landmark)) => {
                self.view.selection = Selection::Point(*view, *landmark);
                self.view.active = Some(*view);
            }
            None => self.view.selection = Selection::Nothing,
        }
    }

    fn propose_tracing(&mut self) {
        let Some(view) = self.view.active else {
            return;
        };
        match self.film(view).map(|open| open.look.looked.clone()) {
            Some(Looked::No) => self.look_at(view, Seen::on),
            Some(Looked::InVain(problem)) => self.note(format!("{}: {problem}.", view.name())),
            Some(Looked::Saw(_)) => {
                self.set_offered(view, true);
                *self.view.chosen_step_mut(view) = None;
                self.view.first_click = None;
                if self.offer_on(view).is_none() {
                    self.set_offered(view, false);
                    self.note(format!(
                        "{}: everything that is proposed is placed already. Take a bone away to \
                         have it proposed again.",
                        view.name()
                    ));
                }
            }
            Some(Looked::UnderWay) | None => {}
        }
    }

    fn accept_proposal(&mut self) {
        let Some((view, rest)) = self
            .offer()
            .and_then(|offer| Some((offer.view(), self.offered_tracing(offer.view())?)))
        else {
            return;
        };
        self.change(&Command::AcceptProposal.text(), |study| {
            accept(rest, study.tracing.on_mut(view));
        });
        self.set_offered(view, false);
        self.view.adjusting = false;
        self.view.selection = Selection::Nothing;
        self.view.active = Some(view);
        *self.view.chosen_step_mut(view) = None;
        self.go_to_other_film_if_complete(view);
    }

    /// After a change was taken back or made again: what was accepted is offered again, or no longer.
    pub(super) fn offer_what_was_undone(&mut self, what: &str, before: &plumbray_study::Study) {
        if what != Command::AcceptProposal.text() {
            return;
        }
        for view in View::ALL {
            let (then, now) = (before.tracing.on(view), self.study.tracing.on(view));
            if then != now {
                let offered = now.points.len() < then.points.len();
                self.set_offered(view, offered);
            }
        }
    }

    /// Takes one proposed point out of what is offered.
    pub(super) fn strike_out(&mut self, view: View, landmark: Landmark) {
        if let Some(open) = &mut self.films[view as usize] {
            open.look.struck_out.insert(landmark);
        }
    }

    /// The proposal for this foot on the film of a view, if its bones are those of that view.
    #[must_use]
    pub fn proposal(&self, view: View) -> Option<&Proposal> {
        let seen = self.film(view)?.look.seen()?;
        seen.foot(self.study.foot())
            .filter(|proposal| proposal.view == view)
    }

    /// What is offered on the film of a view and not accepted: the proposal without what the reader
    /// has placed or taken out.
    #[must_use]
    pub fn offered_tracing(&self, view: View) -> Option<FilmTracing> {
        let tracing = self.offered(view)?.tracing();
        (!tracing.is_empty()).then_some(tracing)
    }

    pub(super) fn offered(&self, view: View) -> Option<Rest<'_>> {
        let look = &self.film(view)?.look;
        let proposal = self.proposal(view).filter(|_| look.offered)?;
        Some(Rest {
            view,
            proposed: &proposal.tracing,
            placed: self.study.tracing.on(view),
            struck_out: &look.struck_out,
        })
    }

    /// Whether a worker is looking at the film of a view.
    #[must_use]
    pub fn is_looking_at(&self, view: View) -> bool {
        let look = self.film(view).map(|open| &open.look.looked);
        matches!(look, Some(Looked::UnderWay))
    }

    /// Why nothing can be proposed on the film of a view.
    #[must_use]
    pub fn why_nothing_is_proposed(&self, view: View) -> Option<ProposalError> {
        match self.film(view)?.look.looked {
            Looked::InVain(problem) => Some(problem),
            Looked::No | Looked::UnderWay | Looked::Saw(_) => None,
        }
    }

    /// Why a point needs a second look: it is proposed, or was accepted and not moved since.
    #[must_use]
    pub fn doubt_about(&self, view: View, landmark: Landmark) -> Option<Doubt> {
        let proposal = self.proposal(view)?;
        let doubt = *proposal.doubts.get(&landmark)?;
        let proposed = proposal.tracing.points.get(&landmark)?;
        let is_as_proposed = match self.study.tracing.on(view).points.get(&landmark) {
            Some(placed) => placed.origin == Origin::Proposed && placed.at == proposed.at,
            None => self.film(view)?.look.offered,
        };
        is_as_proposed.then_some(doubt)
    }

    /// What of a step the program left to the reader when its proposal was accepted, and why. Nothing
    /// once the reader has traced the step.
    #[must_use]
    pub fn left_to_reader(&self, step: TraceStep) -> BTreeMap<Landmark, Doubt> {
        let view = step.view();
        let tracing = self.study.tracing.on(view);
        let accepted = |origin: Origin| origin == Origin::Proposed;
        let mut placed = tracing.points.iter();
        let Some(proposal) = self
            .proposal(view)
            .filter(|_| placed.any(|(_, point)| accepted(point.origin)))
        else {
            return BTreeMap::new();
        };
        let landmarks = step.landmarks();
        let by_reader = landmarks
            .iter()
            .filter_map(|landmark| tracing.points.get(landmark))
            .any(|point| !accepted(point.origin))
            || shaft_of(step)
                .and_then(|bone| tracing.cortices.get(&bone))
                .is_some_and(|cortices| !accepted(cortices.origin));
        let left = proposal.left_to_reader.iter();
        left.filter(|(landmark, _)| !by_reader && landmarks.contains(landmark))
            .filter(|(landmark, _)| !tracing.points.contains_key(landmark))
            .map(|(landmark, doubt)| (*landmark, *doubt))
            .collect()
    }

    /// How far a step has come that the reader has not traced: whether it is proposed, or accepted
    /// with doubts.
    pub(super) fn progress_with_proposal(&self, step: TraceStep, by_tracing: Progress) -> Progress {
        let view = step.view();
        let landmarks = step.landmarks();
        if by_tracing == Progress::Missing {
            let is_offered = self.offered(view).is_some_and(|rest| {
                landmarks.iter().any(|landmark| rest.has_point(*landmark))
                    || shaft_of(step).is_some_and(|bone| rest.has_shaft(bone))
            });
            return if is_offered {
                Progress::Proposed
            } else {
                by_tracing
            };
        }
        let mut doubtful = landmarks.into_iter();
        if doubtful.any(|landmark| self.doubt_about(view, landmark).is_some()) {
            Progress::Doubtful
        } else {
            by_tracing
        }
    }
}

const fn shaft_of(step: TraceStep) -> Option<LongBone> {
    match step {
        TraceStep::Shaft(_, bone) => Some(bone),
        _ => None,
    }
}

/// Puts what was proposed into a tracing, as the reader's own.
fn accept(rest: FilmTracing, tracing: &mut FilmTracing) {
    for (landmark, mut point) in rest.points {
        point.origin = Origin::Proposed;
        tracing.points.insert(landmark, point);
    }
    for (bone, mut cortices) in rest.cortices {
        cortices.origin = Origin::Proposed;
        tracing.cortices.insert(bone, cortices);
    }
}
