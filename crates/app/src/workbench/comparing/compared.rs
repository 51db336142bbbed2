//! Visits that are being compared: gathered, laid over each other and subtracted on a worker's thread.

use std::sync::Arc;

use plumbray_anatomy::View;
use plumbray_compare::{
    Comparison, LaidByShaft, NotLaidOver, Pair, PlanResult, Recurrence, Registration,
};
use plumbray_film::Pyramid;
use plumbray_measure::AxisConvention;

use super::{CompareView, Wires};
use crate::{
    canvas::{FilmLook, Placement},
    comparing::{FootOverTime, HeldPlan, OpenedFilms, VisitOnDisk},
    workbench::undo::UndoHistory,
};

/// How strongly the later film covers the earlier one at first.
const USUAL_COVER: f32 = 0.5;

/// Visits that are being compared.
#[derive(Clone, Debug)]
pub struct Comparing {
    /// The visits in their order, as they were compared.
    pub foot: Arc<FootOverTime>,
    /// The visits as the person has ordered and named them since; the same once they are compared again.
    pub edited: Arc<FootOverTime>,
    /// What changed between two of them.
    pub comparison: Arc<Comparison>,
    /// The plans of an earlier visit, held against the later one.
    pub plans: Arc<Vec<HeldPlan>>,
    /// Which films are shown.
    pub view: View,
    /// The later of them laid over the earlier one.
    pub registration: Result<Registration, NotLaidOver>,
    /// The later one in the frame of the earlier one, where it could be laid over it.
    pub laid: Option<Arc<Pyramid>>,
    /// What differs between both.
    pub difference: Option<Arc<Pyramid>>,
    /// The films that are open.
    pub films: OpenedFilms,
    /// How the person looks at them.
    pub looking: Looking,
    /// By which limit the deformity counts as being back.
    pub limit: Recurrence,
    /// What was changed about the list of visits, to be taken back.
    pub(super) edits: UndoHistory<Arc<FootOverTime>>,
}

/// How the person looks at two films.
#[derive(Clone, Debug, PartialEq)]
pub struct Looking {
    /// In which way both are shown.
    pub shown: CompareView,
    /// How strongly the later one covers the earlier one where they blend, from 0 to 1.
    pub cover: f32,
    /// Window and level of the earlier and the later film; nothing as the file wants it.
    pub looks: [Option<FilmLook>; 2],
    /// Which part of them is shown, and how large.
    pub placement: Placement,
    /// Which of the plans is held against the result, by its place.
    pub plan: usize,
    /// Which wires were marked as they lie.
    pub wires: Wires,
}

impl Default for Looking {
    fn default() -> Self {
        Self {
            shown: CompareView::default(),
            cover: USUAL_COVER,
            looks: [None, None],
            placement: Placement::Fit,
            plan: 0,
            wires: Wires::default(),
        }
    }
}

/// What is to be compared.
#[derive(Clone, Debug)]
pub(super) struct Asked {
    pub foot: Arc<FootOverTime>,
    pub pair: Pair,
    pub convention: AxisConvention,
    /// Nothing stands for the AP films, or the lateral ones where only those are there twice.
    pub view: Option<View>,
    pub films: OpenedFilms,
    pub looking: Looking,
    pub limit: Recurrence,
    pub edits: UndoHistory<Arc<FootOverTime>>,
    /// What was found of the same visits by the same axes already, where only other films are shown.
    pub known: Option<Known>,
}

/// What was found of some visits by some axes.
#[derive(Clone, Debug)]
pub(super) struct Known {
    pub comparison: Arc<Comparison>,
    pub plans: Arc<Vec<HeldPlan>>,
}

impl Asked {
    /// Lays films over each other and subtracts; takes a second.
    pub(super) fn compared(mut self) -> Comparing {
        if let Some(both) = self.foot.both(self.pair) {
            self.films.keep_only(&both);
        }
        let (Known { comparison, plans }, ap) = match self.known.take() {
            Some(known) => (known, None),
            None => {
                let (foot, films) = (&self.foot, &mut self.films);
                let (found, ap) = foot.comparison(self.pair, self.convention, films);
                let plans = foot.held_plans(self.pair, &ap, films);
                let known = Known {
                    comparison: Arc::new(found),
                    plans: Arc::new(plans),
                };
                (known, Some(ap))
            }
        };
        let view = self.view.unwrap_or_else(|| self.usual_view());
        let registration = ap
            .filter(|_| view == View::Ap)
            .unwrap_or_else(|| self.foot.laid_over(self.pair, view, &mut self.films));
        if let Some(both) = self.foot.both(self.pair) {
            self.films.keep_only(&both);
        }
        let [laid, difference] = self.laid(view, registration.as_ref().ok());
        Comparing {
            edited: Arc::clone(&self.foot),
            foot: self.foot,
            comparison,
            plans,
            view,
            registration,
            laid,
            difference,
            films: self.films,
            looking: self.looking,
            limit: self.limit,
            edits: self.edits,
        }
    }

    fn usual_view(&self) -> View {
        let has = |view: View| {
            let both = self.foot.both(self.pair);
            both.is_some_and(|both| both.iter().all(|visit| visit.study.film(view).is_some()))
        };
        if !has(View::Ap) && has(View::Lateral) {
            View::Lateral
        } else {
            View::Ap
        }
    }

    /// The later film in the frame of the earlier one, and what differs between both.
    fn laid(&self, view: View, registration: Option<&Registration>) -> [Option<Arc<Pyramid>>; 2] {
        let film = |visit: &VisitOnDisk| self.films.get(visit, view);
        let both = self.foot.both(self.pair);
        let pixels = both.and_then(|[one, other]| film(one).zip(film(other)));
        let Some((map, (earlier, later))) = registration.zip(pixels) else {
            return [None, None];
        };
        let frame = earlier.film();
        let laid = later.film().laid_into(frame, |at| map.on_later(at));
        let difference = frame.difference_to(&laid);
        [Some(laid), difference].map(|film| film.map(|film| Arc::new(film.pyramid())))
    }
}

impl Comparing {
    /// The name of the change of the list of visits that undo takes back.
    #[must_use]
    pub fn next_undo(&self) -> Option<&str> {
        self.edits.next_undo()
    }

    /// The name of the change of the list of visits that redo makes again.
    #[must_use]
    pub fn next_redo(&self) -> Option<&str> {
        self.edits.next_redo()
    }

    /// Which two visits are subtracted.
    #[must_use]
    pub fn pair(&self) -> Pair {
        self.comparison.pair
    }

    /// The plan that is held against the result: the chosen one, or the first; nothing without plans.
    #[must_use]
    pub fn held_plan(&self) -> Option<&HeldPlan> {
        let chosen = self.plans.get(self.looking.plan);
        chosen.or_else(|| self.plans.first())
    }

    /// The plan that can be drawn over the films: the one held against the result, where it was made on the earlier
    /// of them, in whose frame they lie.
    #[must_use]
    pub fn drawn_plan(&self) -> Option<&PlanResult> {
        let held = self.held_plan()?;
        let result = held.result.as_ref().ok()?;
        (self.laid.is_some() && held.visit == self.pair().earlier).then_some(result)
    }

    /// The plan that is held against the result and the later AP film laid by the first metatarsal's own shaft, where
    /// the films are not laid over each other: so that the plan can be drawn on a film from theatre.
    #[must_use]
    pub fn plan_on_later(&self) -> Option<(&PlanResult, LaidByShaft)> {
        if self.laid.is_some() || self.view != View::Ap {
            return None;
        }
        let (_, result, laid) = self.laid_by_shaft().ok()?;
        Some((result, laid))
    }

    /// The films of both visits, where both can be shown.
    #[must_use]
    pub fn both_films(&self) -> Option<[&Arc<Pyramid>; 2]> {
        let [earlier, later] = self.foot.both(self.pair())?;
        let film = |visit| self.films.get(visit, self.view);
        Some([film(earlier)?, film(later)?])
    }

    /// Whether both visits have a film of this view.
    #[must_use]
    pub fn has_both(&self, view: View) -> bool {
        let both = self.foot.both(self.pair());
        both.is_some_and(|both| both.iter().all(|visit| visit.study.film(view).is_some()))
    }

    /// Shows both films through the next of their own windows, the first one where a hand has changed it.
    pub(super) fn next_windows(&mut self) {
        let films = self.both_films().map(|films| films.map(Arc::clone));
        for (look, film) in self.looking.looks.iter_mut().zip(films.iter().flatten()) {
            let film = film.film();
            let now = look.clone().unwrap_or_else(|| FilmLook::of_film(film));
            let windows = film.grey().windows.iter();
            let own: Vec<FilmLook> = windows.map(FilmLook::of_window).collect();
            let upright = FilmLook {
                inverted: false,
                ..now.clone()
            };
            let at = own.iter().position(|one| *one == upright);
            let next = at.map_or(0, |at| (at + 1) % own.len());
            *look = own.into_iter().nth(next).map(|own| FilmLook {
                inverted: now.inverted,
                ..own
            });
        }
    }

    /// Exchanges dark and bright on both films.
    pub(super) fn invert(&mut self) {
        let films = self.both_films().map(|films| films.map(Arc::clone));
        for (look, film) in self.looking.looks.iter_mut().zip(films.iter().flatten()) {
            let mut inverted = look
                .clone()
                .unwrap_or_else(|| FilmLook::of_film(film.film()));
            inverted.inverted = !inverted.inverted;
            *look = Some(inverted);
        }
    }

    /// What it was made of, to be compared anew after a change.
    pub(super) fn asked(&self) -> Asked {
        Asked {
            foot: Arc::clone(&self.edited),
            pair: self.pair(),
            convention: self.comparison.convention,
            view: Some(self.view),
            films: self.films.clone(),
            looking: self.looking.clone(),
            limit: self.limit,
            edits: self.edits.clone(),
            known: None,
        }
    }
}
