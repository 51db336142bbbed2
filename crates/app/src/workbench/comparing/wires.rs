//! Wires and screws that a person marks as they lie on a later film.

use std::path::PathBuf;

use plumbray_anatomy::{FilmPoint, View};
use plumbray_compare::{LaidByShaft, MetalDifference, PlanResult, foot_of};

use super::{CompareView, Comparing};
use crate::comparing::HeldPlan;

/// A wire or screw as it lies on a visit's AP film.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkedWire {
    /// The visit's study.
    pub study: PathBuf,
    /// Both of its ends, in the film's own coordinates.
    pub ends: [FilmPoint; 2],
}

/// Which end of a wire the next click marks.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum WireMarking {
    /// None: nothing is being marked.
    #[default]
    Nothing,
    /// Where it enters the bone.
    Entry,
    /// Its tip; it enters here.
    Tip(FilmPoint),
}

/// The wires that a person marked while comparing; they are kept in no file.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Wires {
    /// What the next click marks.
    pub marking: WireMarking,
    /// What was marked, on the films of whichever visits.
    pub marked: Vec<MarkedWire>,
}

/// A marked wire held against the planned screw or wire that lies nearest to it.
#[derive(Clone, Debug, PartialEq)]
pub struct WireAgainstPlan {
    /// Its place among everything that was marked.
    pub place: usize,
    /// The place of the planned one among those of its plan, and by how much this one lies otherwise; nothing where both
    /// ends are one place.
    pub nearest: Option<(usize, MetalDifference)>,
}

impl Comparing {
    /// The later AP film laid by the first metatarsal's own shaft, so that the plan is found on it, with the plan that is
    /// held against the result.
    ///
    /// # Errors
    /// In words: what the plan or a film lacks.
    pub fn laid_by_shaft(&self) -> Result<(&HeldPlan, &PlanResult, LaidByShaft), String> {
        let held = self
            .held_plan()
            .ok_or("no visit before the later one holds a plan")?;
        let result = held.result.as_ref().map_err(ToString::to_string)?;
        let visit = |place: usize| {
            let visit = self.foot.visits.get(place);
            visit.ok_or_else(|| "the plan’s visit is not in the list".to_owned())
        };
        let [before, after] = [visit(held.visit)?, visit(held.against)?];
        let [before, after] = [before, after].map(|visit| foot_of(&visit.study));
        let laid = LaidByShaft::of(&result.undertaking.before, &before, &after);
        let laid = laid.map_err(|why| why.to_string())?;
        Ok((held, result, laid))
    }

    /// Whether a wire can be marked as it lies: a plan with screws or wires is found on the later AP film, which is shown.
    ///
    /// # Errors
    /// In words: why not.
    pub fn marks_wires(&self) -> Result<(), String> {
        if self.view != View::Ap || self.both_films().is_none() {
            return Err("the later AP film is not shown".to_owned());
        }
        let (held, ..) = self.laid_by_shaft()?;
        if held.plan.screws.is_empty() {
            return Err("the plan has no screws or wires".to_owned());
        }
        Ok(())
    }

    /// The wires that were marked on the later film, with their places among everything that was marked.
    pub fn wires_on_later(&self) -> impl Iterator<Item = (usize, &MarkedWire)> {
        let later = self.foot.visits.get(self.pair().later);
        let marked = self.looking.wires.marked.iter().enumerate();
        marked.filter(move |(_, wire)| later.is_some_and(|later| later.path == wire.study))
    }

    /// The same, each held against the planned screw or wire that lies nearest to it; none where the plan cannot be laid
    /// on the later film.
    #[must_use]
    pub fn wires_against_plan(&self) -> Vec<WireAgainstPlan> {
        let Ok((held, result, laid)) = self.laid_by_shaft() else {
            return Vec::new();
        };
        let cut = &result.undertaking.cut;
        self.wires_on_later()
            .map(|(place, wire)| WireAgainstPlan {
                place,
                nearest: laid.nearest(&held.plan.screws, cut, wire.ends),
            })
            .collect()
    }

    /// Where a point of the later film lies on the film as it is shown: in the earlier one's frame where it was laid into
    /// that.
    #[must_use]
    pub fn as_later_is_shown(&self, at: FilmPoint) -> FilmPoint {
        match &self.registration {
            Ok(map) if self.laid.is_some() => map.on_earlier(at),
            _ => at,
        }
    }

    /// The other way round: a place of the later film as it is shown, in the film's own coordinates.
    #[must_use]
    pub fn on_later_film(&self, shown: FilmPoint) -> FilmPoint {
        match &self.registration {
            Ok(map) if self.laid.is_some() => map.on_later(shown),
            _ => shown,
        }
    }

    /// Begins to mark a wire; shows the films so that the later one is seen with the plan: under outlines where they are
    /// laid over each other, else beside each other, as they are shown then in any case.
    pub(super) const fn begin_wire(&mut self) {
        self.looking.wires.marking = WireMarking::Entry;
        if self.laid.is_some() {
            self.looking.shown = CompareView::Outlines;
        }
    }

    /// Marks the next end of a wire on the later film, in that film's own coordinates.
    pub(super) fn mark_wire_at(&mut self, at: FilmPoint) {
        let later = self.foot.visits.get(self.pair().later);
        let study = later.map(|later| later.path.clone());
        let wires = &mut self.looking.wires;
        wires.marking = match wires.marking {
            WireMarking::Nothing => WireMarking::Nothing,
            WireMarking::Entry => WireMarking::Tip(at),
            WireMarking::Tip(entry) => {
                let ends = [entry, at];
                let wire = study.map(|study| MarkedWire { study, ends });
                wires.marked.extend(wire);
                WireMarking::Nothing
            }
        };
    }
}
