//! What was seen on a film, and what of it the reader has not placed.

use std::{collections::BTreeSet, sync::Arc};

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, Side, View};
use plumbray_film::Film;
use plumbray_proposal::{Proposal, ProposalError, Sight};

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
    /// Whether nothing has looked at the film, nor does now.
    pub(super) const fn is_unseen(&self) -> bool {
        matches!(self.looked, Looked::No)
    }

    pub(crate) const fn seen(&self) -> Option<&Seen> {
        match &self.looked {
            Looked::Saw(seen) => Some(seen),
            Looked::No | Looked::UnderWay | Looked::InVain(_) => None,
        }
    }
}

/// What of a proposal is still to be accepted: what the reader has neither placed nor taken out.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rest<'a> {
    pub view: View,
    pub proposed: &'a FilmTracing,
    pub placed: &'a FilmTracing,
    pub struck_out: &'a BTreeSet<Landmark>,
}

impl Rest<'_> {
    pub(crate) fn has_point(&self, landmark: Landmark) -> bool {
        // Of a bone that the reader swept, neither the stroke nor the cortices are taken: they would
        // move its axis.
        let is_stroke_of_swept = match landmark {
            Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) => self.is_swept(bone),
            _ => false,
        };
        self.proposed.points.contains_key(&landmark)
            && landmark.is_on(self.view)
            && !is_stroke_of_swept
            && !self.placed.points.contains_key(&landmark)
            && !self.struck_out.contains(&landmark)
    }

    pub(crate) fn has_shaft(&self, bone: LongBone) -> bool {
        self.proposed.cortices.contains_key(&bone)
            && Landmark::Tip(bone).is_on(self.view)
            && !self.is_swept(bone)
    }

    fn is_swept(&self, bone: LongBone) -> bool {
        let ends = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
        self.placed.cortices.contains_key(&bone)
            || ends.iter().any(|end| self.placed.points.contains_key(end))
    }

    /// The rest as a tracing.
    pub(crate) fn tracing(&self) -> FilmTracing {
        let points = self.proposed.points.iter();
        let cortices = self.proposed.cortices.iter();
        FilmTracing {
            points: points
                .filter(|(landmark, _)| self.has_point(**landmark))
                .map(|(landmark, point)| (*landmark, *point))
                .collect(),
            cortices: cortices
                .filter(|(bone, _)| self.has_shaft(**bone))
                .map(|(bone, cortices)| (*bone, cortices.clone()))
                .collect(),
        }
    }
}
