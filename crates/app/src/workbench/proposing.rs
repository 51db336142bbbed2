//! What the program proposes on a film before anybody points at it, and what the reader makes of it.

use std::{
    collections::{BTreeMap, BTreeSet},
    sync::Arc,
};

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Origin, Side, View};
use plumbray_film::{Film, Pyramid};
use plumbray_proposal::{Doubt, Proposal, ProposalError, Sight};

use super::{
    Finished, Workbench,
    command::Command,
    opening::IF_BOTH_FEET,
    state::Selection,
    step::{Progress, TraceStep},
};

/// How the job that looks at a film is called; the film's view follows.
pub(super) const LOOKING: &str = "Looking at the film, ";

/// What was seen on a film.
#[derive(Clone, Debug)]
pub struct Seen {
    /// Kept to trace what the reader points at; nothing where only the proposals are known.
    pub sight: Option<Arc<Sight>>,
    /// What is proposed: one for each foot on the film, from left to right.
    pub feet: Vec<Proposal>,
}

impl Seen {
    /// Looks at a film. Takes up to two seconds; belongs on a worker's thread.
    ///
    /// # Errors
    /// When no foot is recognised, or the film cannot be looked at.
    pub fn on(film: &Film) -> Result<Self, ProposalError> {
        let grey = film.grey_view();
        let sight = Sight::of(&grey)?;
        let feet = sight.proposals(&grey);
        Ok(Self {
            sight: Some(Arc::new(sight)),
            feet,
        })
    }

    /// The proposal for the foot of this side: the only one, the one whose bones show that side, or,
    /// where the bones do not tell the feet apart, the one on that side of a film seen from the dorsum.
    #[must_use]
    pub fn foot(&self, side: Option<Side>) -> Option<&Proposal> {
        if let [only] = self.feet.as_slice() {
            return Some(only);
        }
        let side = side?;
        let mut of_side = self.feet.iter().filter(|foot| foot.side == Some(side));
        match (of_side.next(), of_side.next(), side) {
            (Some(only), None, _) => Some(only),
            (_, _, Side::Left) => self.feet.first(),
            (_, _, Side::Right) => self.feet.last(),
        }
    }
}

/// How far looking at a film has come.
#[derive(Clone, Debug, Default)]
pub(crate) enum Looked {
    /// Nobody has looked.
    #[default]
    No,
    /// A worker is looking.
    UnderWay,
    /// Nothing can be proposed, and why.
    InVain(ProposalError),
    /// This was seen.
    Saw(Seen),
}

/// What was seen on one open film, and whether it is offered to the reader.
#[derive(Clone, Debug, Default)]
pub(crate) struct Look {
    pub looked: Looked,
    pub offered: bool,
    /// Proposed points that the reader took away one by one.
    pub struck_out: BTreeSet<Landmark>,
}

impl Look {
    pub(crate) const fn seen(&self) -> Option<&Seen> {
        match &self.looked {
            Looked::Saw(seen) => Some(seen),
            Looked::No | Looked::UnderWay | Looked::InVain(_) => None,
        }
    }
}

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
            other => return Some(other),
        }
        None
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
            .view_of_offer()
            .and_then(|view| Some((view, self.offered_tracing(view)?)))
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
        let look = &self.film(view)?.look;
        let proposal = self.proposal(view).filter(|_| look.offered)?;
        let rest = rest_of(
            &proposal.tracing,
            view,
            self.study.tracing.on(view),
            &look.struck_out,
        );
        (!rest.is_empty()).then_some(rest)
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
            let is_offered = self.offered_tracing(view).is_some_and(|rest| {
                landmarks
                    .iter()
                    .any(|landmark| rest.points.contains_key(landmark))
                    || shaft_of(step).is_some_and(|bone| rest.cortices.contains_key(&bone))
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

/// The proposed tracing without what is placed. Of a bone that the reader swept, neither the cortices
/// nor the stroke is taken: they would move its axis.
fn rest_of(
    proposed: &FilmTracing,
    view: View,
    placed: &FilmTracing,
    struck_out: &BTreeSet<Landmark>,
) -> FilmTracing {
    let is_swept = |bone: LongBone| {
        placed.cortices.contains_key(&bone)
            || [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)]
                .iter()
                .any(|end| placed.points.contains_key(end))
    };
    let is_wanted = |landmark: &Landmark| {
        let is_stroke_of_swept = match landmark {
            Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) => is_swept(*bone),
            _ => false,
        };
        landmark.is_on(view)
            && !is_stroke_of_swept
            && !placed.points.contains_key(landmark)
            && !struck_out.contains(landmark)
    };
    let mut rest = proposed.clone();
    rest.points.retain(|landmark, _| is_wanted(landmark));
    rest.cortices
        .retain(|bone, _| !is_swept(*bone) && Landmark::Tip(*bone).is_on(view));
    rest
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
