//! Handing an attempt in: it is held against the reference, and the progress is kept.

use plumbray_anatomy::{FilmPoint, FilmTracing, Tracing, View};
use plumbray_practise::{Attempt as JudgedAttempt, Lesson, PlacedThing, lesson};

use super::{Attempt, PracticeStage, Workbench};
use crate::canvas::Placement;

/// A foot that was handed in.
#[derive(Debug)]
pub struct HandedIn {
    /// What the attempt teaches.
    pub lesson: Lesson,
    /// What it was held against.
    pub reference: Tracing,
    /// Whether the reference is drawn over the attempt.
    pub shows_reference: bool,
    /// The place to which the film was brought.
    pub looked_at: Option<PlacedThing>,
}

impl Workbench {
    /// Holds the attempt that is under way against its reference, and keeps what came out.
    pub(super) fn hand_in(&mut self) {
        match self.judged() {
            Ok(handed_in) => {
                self.view.first_click = None;
                self.view.adjusting = false;
                self.view.selection = super::super::Selection::Nothing;
                let Some(practising) = &mut self.practising else {
                    return;
                };
                let Some(record) = practising.attempt().map(Attempt::kept) else {
                    return;
                };
                let lesson = &handed_in.lesson;
                let kept = practising.resident.keep(&practising.set, &record, lesson);
                practising.stage = PracticeStage::Lesson(Box::new(handed_in));
                for view in View::ALL {
                    if let Some(open) = &mut self.films[view as usize] {
                        open.view.placement = Placement::Fit;
                    }
                }
                self.notices.clear();
                if let Err(problem) = kept {
                    self.warn(problem);
                }
            }
            Err(problem) => self.warn(format!("The attempt cannot be judged: {problem}.")),
        }
    }

    fn judged(&self) -> Result<HandedIn, String> {
        let practising = self.practising.as_ref().ok_or("nobody practises")?;
        let attempt = practising.attempt().ok_or("no foot is being traced")?;
        let foot = practising
            .foot(attempt.foot())
            .ok_or("the set has no such foot any more")?;
        let reference = foot
            .reference(&practising.folder)
            .map_err(|problem| problem.to_string())?;
        let judged = JudgedAttempt {
            study: &self.study,
            snapping: attempt.snapping(),
            seconds: attempt.took().as_secs_f64(),
        };
        let lesson = lesson(foot, &reference, &judged, &practising.set.defaults)
            .map_err(|problem| problem.to_string())?;
        Ok(HandedIn {
            lesson,
            reference: reference.tracing,
            shows_reference: true,
            looked_at: None,
        })
    }
}

/// Room around a place that is looked at, as a share of the film's longer side: so much that its bone is seen too.
const AROUND: f64 = 0.09;

impl Workbench {
    /// Brings the film to a place of the lesson, so that the reference and the attempt are both in view.
    pub(super) fn look_at_thing(&mut self, thing: PlacedThing) {
        let view = thing.view();
        let own = places_of(thing, self.study.tracing.on(view));
        let Some(handed_in) = self.handed_in_mut() else {
            return;
        };
        let mut places = places_of(thing, handed_in.reference.on(view));
        places.extend(own);
        handed_in.looked_at = Some(thing);
        handed_in.shows_reference = true;
        let (Some(open), Some([one, other])) =
            (&mut self.films[view as usize], opposite_corners(&places))
        else {
            return;
        };
        #[expect(
            clippy::cast_precision_loss,
            reason = "films are far below 2^52 pixels wide"
        )]
        let around = AROUND * open.longer_side_px() as f64;
        open.view.placement = Placement::Part([
            FilmPoint::new(one.x_px - around, one.y_px - around),
            FilmPoint::new(other.x_px + around, other.y_px + around),
        ]);
        self.view.active = Some(view);
    }

    /// Shows the whole films again.
    pub(super) fn show_whole_films(&mut self) {
        if let Some(handed_in) = self.handed_in_mut() {
            handed_in.looked_at = None;
        }
        for open in self.films.iter_mut().flatten() {
            open.view.placement = Placement::Fit;
        }
    }
}

/// Where a thing lies on a tracing: a point, or every vertex of a bone's cortices.
fn places_of(thing: PlacedThing, tracing: &FilmTracing) -> Vec<FilmPoint> {
    match thing {
        PlacedThing::Landmark(_, landmark) => tracing.point(landmark).into_iter().collect(),
        PlacedThing::Cortices(_, bone) => tracing
            .cortices
            .get(&bone)
            .map(|cortices| [&cortices.one[..], &cortices.two[..]].concat())
            .unwrap_or_default(),
    }
}

/// The upper left and the lower right corner of what holds all places; nothing where there is none.
fn opposite_corners(places: &[FilmPoint]) -> Option<[FilmPoint; 2]> {
    let first = *places.first()?;
    Some(places.iter().fold([first, first], |[low, high], at| {
        [
            FilmPoint::new(low.x_px.min(at.x_px), low.y_px.min(at.y_px)),
            FilmPoint::new(high.x_px.max(at.x_px), high.y_px.max(at.y_px)),
        ]
    }))
}
