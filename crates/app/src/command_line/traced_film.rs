//! One film traced without a window: from no click at all, or from a table of hints.

use std::{
    collections::BTreeMap,
    num::NonZeroU32,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail};
use plumbray_anatomy::{FilmTracing, Landmark, Side, View};
use plumbray_film::{Film, FilmFacts, GreyView};
use plumbray_proposal::{Doubt, Hints, Proposal, ProposalError, Sight};
use plumbray_study::FilmRecord;
use plumbray_trace::Hand;

use crate::workbench::{Seen, Snapping, TraceStep, edit_for, gesture_of, read_film};

/// What the caller knows of a film.
#[derive(Debug)]
pub(super) struct Known {
    pub view: Option<View>,
    pub side: Option<Side>,
    pub hints: Option<Hints>,
    /// Which picture of its file, from 1.
    pub picture: NonZeroU32,
}

/// A film on which one foot or more were traced.
#[derive(Debug)]
pub(super) struct TracedFilm {
    pub path: PathBuf,
    pub record: FilmRecord,
    /// What its file says.
    pub facts: FilmFacts,
    pub view: View,
    /// How many feet were seen on it: one study goes by the film's name, several by the foot's too.
    pub feet_on_film: usize,
    pub feet: Vec<TracedFoot>,
}

/// What was traced of one foot on one film.
#[derive(Clone, Debug)]
pub(super) struct TracedFoot {
    /// Which foot the caller says it is.
    pub said: Option<Side>,
    /// Which foot the order of the bones makes it.
    pub by_bones: Option<Side>,
    pub tracing: FilmTracing,
    /// Landmarks to look at again, and why.
    pub doubts: BTreeMap<Landmark, String>,
    /// Landmarks that were not found, and why.
    pub left: BTreeMap<Landmark, String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl TracedFoot {
    /// A foot as it is proposed; `said` is which foot the caller says it is.
    pub(super) fn proposed(proposal: Proposal, said: Option<Side>) -> Self {
        let in_words = |doubts: BTreeMap<Landmark, Doubt>| {
            doubts
                .into_iter()
                .map(|(landmark, doubt)| (landmark, doubt.reason().to_owned()))
                .collect()
        };
        Self {
            said,
            by_bones: proposal.side,
            tracing: proposal.tracing,
            doubts: in_words(proposal.doubts),
            left: in_words(proposal.left_to_reader),
            remarks: Vec::new(),
        }
    }
}

/// Opens a film and traces it.
///
/// # Errors
/// When the film cannot be read or has no such picture, nothing is recognised on it and there are no hints, or it is not of the
/// view that the caller says.
pub(super) fn trace_film(path: &Path, known: &Known) -> anyhow::Result<TracedFilm> {
    let read = read_film(path.to_owned(), known.picture, None)?;
    let film = &read.film;
    let (view, feet_on_film, feet) = match &known.hints {
        None => by_sight(film, known)?,
        Some(hints) => by_hints(film, hints, known)?,
    };
    Ok(TracedFilm {
        path: path.to_owned(),
        facts: read.film.facts().clone(),
        record: read.record,
        view,
        feet_on_film,
        feet,
    })
}

type Traced = (View, usize, Vec<TracedFoot>);

fn by_sight(film: &Film, known: &Known) -> anyhow::Result<Traced> {
    let seen = Seen::on(film).context("no tracing can be proposed without --hints")?;
    let Some(first) = seen.feet.first() else {
        return Err(ProposalError::NoFoot).context("no tracing can be proposed without --hints");
    };
    let view = known.view.unwrap_or(first.view);
    if seen.feet.iter().all(|foot| foot.view != view) {
        bail!(
            "it looks like a film of the other view, {}; leave --view out, or give hints",
            first.view.name()
        );
    }
    let feet_on_film = seen.feet.len();
    let chosen: Vec<Proposal> = match known.side {
        Some(_) => seen.foot(known.side).cloned().into_iter().collect(),
        None => seen.feet,
    };
    let feet = chosen.into_iter().filter(|foot| foot.view == view);
    let feet = feet
        .map(|foot| TracedFoot::proposed(foot, known.side))
        .collect();
    Ok((view, feet_on_film, feet))
}

fn by_hints(film: &Film, hints: &Hints, known: &Known) -> anyhow::Result<Traced> {
    let grey = film.grey_view();
    let scale = film.facts().spacing.calibration();
    let hand = Hand::on(&grey, scale.map(|scale| scale.mm_per_pixel_width()));
    let sight = Sight::of(&grey);
    let seen = sight.as_ref().ok().and_then(Sight::view);
    let said = || film.facts().view.map(|view| view.value);
    let Some(view) = known.view.or(seen).or_else(said) else {
        bail!("nothing tells which view the film is; say --view ap or --view lateral");
    };
    let foot = match sight {
        Ok(sight) => by_sight_of_hints(&grey, &sight, view, hints, hand, known.side),
        // Whatever keeps the whole film from being looked at, the hints still say where to search.
        Err(_) => by_plain_search(&grey, view, hints, hand, known.side),
    };
    Ok((view, 1, vec![foot]))
}

/// What the hints point at. As in the window, a bone that is not seen where a hint points is searched for
/// along that hint alone.
fn by_sight_of_hints(
    film: &GreyView<'_>,
    sight: &Sight,
    view: View,
    hints: &Hints,
    hand: Hand,
    said: Option<Side>,
) -> TracedFoot {
    let traced = sight.traced(film, view, hints);
    let steps: Vec<TraceStep> = TraceStep::all_of(view)
        .into_iter()
        .filter(|step| {
            let landmarks = step.landmarks();
            let is_far =
                |landmark| traced.left_to_reader.get(landmark) == Some(&Doubt::FarFromHint);
            landmarks.iter().any(is_far)
        })
        .collect();
    let mut foot = TracedFoot::proposed(traced, said);
    for step in steps {
        foot.search_along_hints(step, film, hints, hand);
    }
    foot
}

/// Where no foot is recognised, each bone is searched for along its hints alone.
fn by_plain_search(
    film: &GreyView<'_>,
    view: View,
    hints: &Hints,
    hand: Hand,
    said: Option<Side>,
) -> TracedFoot {
    let mut foot = TracedFoot {
        said,
        by_bones: None,
        tracing: FilmTracing::default(),
        doubts: BTreeMap::new(),
        left: BTreeMap::new(),
        remarks: vec![
            "No foot is recognised: each bone was searched for along its hints alone.".to_owned(),
        ],
    };
    for step in TraceStep::all_of(view) {
        foot.search_along_hints(step, film, hints, hand);
    }
    foot
}

impl TracedFoot {
    /// Traces one step where its hints point, whatever is recognised there; nothing for a step without
    /// hints.
    fn search_along_hints(
        &mut self,
        step: TraceStep,
        film: &GreyView<'_>,
        hints: &Hints,
        hand: Hand,
    ) {
        let Some(gesture) = gesture_of(step, hints) else {
            return;
        };
        match edit_for(step, gesture, Snapping::On, film, &self.tracing, hand) {
            Ok(edit) => {
                edit.apply(&mut self.tracing);
                for landmark in step.landmarks() {
                    self.left.remove(&landmark);
                }
                let remarks = edit.remarks.into_iter();
                self.remarks
                    .extend(remarks.map(|remark| format!("{}: {remark}", step.name())));
            }
            Err(problem) => {
                let landmarks = step.landmarks().into_iter();
                self.left
                    .extend(landmarks.map(|landmark| (landmark, problem.to_string())));
            }
        }
    }
}
