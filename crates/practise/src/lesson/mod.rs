//! What an attempt teaches: where the tracing differs from the reference, and which landmark explains each number's error.

mod blame;
mod correspond;
mod direction;
mod distance;
mod film;
mod numbers;
mod offset;
mod strokes;

use plumbray_anatomy::{Tracing, View};
use plumbray_measure::Unit;
use plumbray_study::Study;

use self::{correspond::corresponding, strokes::drawn_alike};
use crate::set::{LessonDefaults, PracticeFoot, Reference};

pub use blame::{Blame, PartBlame, PlacedThing, ThingBlame};
pub use direction::Toward;
pub use distance::LengthUnit;
pub use film::{CortexLesson, FilmLesson, LandmarkLesson};
pub use numbers::{HEADLINES, Judgement, MeasurementLesson};

/// A tracing that was handed in.
#[derive(Clone, Copy, Debug)]
pub struct Attempt<'a> {
    /// The study with the tracing, on the films of the set.
    pub study: &'a Study,
    /// Whether the program could move points to edges.
    pub snapping: bool,
    /// How long it took, in seconds.
    pub seconds: f64,
}

/// What an attempt teaches.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// The foot, by its name in the set.
    pub foot: String,
    /// What the attempt is held against, in words.
    pub reference: String,
    /// Whether the program could move points to edges.
    pub snapping: bool,
    /// How long it took, in seconds.
    pub seconds: f64,
    /// Each measurement that counts, in the order of the worksheet.
    pub measurements: Vec<MeasurementLesson>,
    /// Each film of the foot.
    pub films: Vec<FilmLesson>,
}

/// Why there is no lesson.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LessonError {
    /// The attempt was traced on another film.
    #[error("the attempt was traced on another {} film than that of “{foot}”; begin the attempt anew", view.name_in_sentence())]
    OtherFilm {
        /// The film.
        view: View,
        /// The foot of the set.
        foot: String,
    },
    /// The reference belongs to another foot of the set.
    #[error(
        "the reference of “{found}” cannot judge an attempt at “{foot}”; copy the practice set again"
    )]
    OtherReference {
        /// The foot that the reference belongs to.
        found: String,
        /// The foot of the attempt.
        foot: String,
    },
}

impl Lesson {
    /// Whether the attempt missed the foot: a measurement with a limit differs by more than that, or could not be
    /// measured though the reference gives it.
    #[must_use]
    pub fn is_missed(&self) -> bool {
        self.measurements.iter().any(MeasurementLesson::is_missed)
    }

    /// What a placed thing cost: its share of what its part of the tracing turned each judged angle by, without signs,
    /// added up, in degrees. With a the amounts that the things of a part explain,
    ///
    /// ```text
    /// cost = Σ over the angles of |a| · |Σ a of its part| / Σ |a| of its part
    /// ```
    ///
    /// Within a part errors of one hand often undo each other: a stroke that lies off as a whole turns nothing, though
    /// either of its ends alone would turn the angle much. Ours.
    #[must_use]
    pub fn cost_degrees(&self, thing: PlacedThing) -> f64 {
        let angles = self
            .measurements
            .iter()
            .filter(|row| row.measurement.unit() == Unit::Degrees);
        angles
            .filter_map(|row| row.blame.as_ref())
            .flat_map(|blame| &blame.parts)
            .map(|part| share_of(part, thing))
            // The sum of nothing is −0 otherwise.
            .fold(0.0, |sum, share| sum + share)
    }

    /// The lesson of the film of this view.
    #[must_use]
    pub fn film(&self, view: View) -> Option<&FilmLesson> {
        self.films.iter().find(|film| film.view == view)
    }
}

/// A thing's share of what its part turned a number by, without sign.
fn share_of(part: &PartBlame, thing: PlacedThing) -> f64 {
    let without_signs = |own: &[ThingBlame]| own.iter().map(|one| one.amount.abs()).sum::<f64>();
    let all = without_signs(&part.things);
    let own = part.things.iter().find(|own| own.thing == thing);
    match own {
        Some(own) if all > 0.0 => own.amount.abs() * part.amount.abs().min(all) / all,
        _ => 0.0,
    }
}

/// What an attempt at a foot of a set teaches.
///
/// Both tracings are measured by the engine on the films as the set knows them, by the default convention of the
/// visit: what differs is the tracing alone.
///
/// # Errors
/// [`LessonError`] when attempt, foot and reference do not belong together.
pub fn lesson(
    foot: &PracticeFoot,
    reference: &Reference,
    attempt: &Attempt<'_>,
    limits: &LessonDefaults,
) -> Result<Lesson, LessonError> {
    if reference.foot != foot.identifier {
        return Err(LessonError::OtherReference {
            found: reference.foot.clone(),
            foot: foot.identifier.clone(),
        });
    }
    let is_other = |view: &View| {
        let traced_on = attempt.study.film(*view);
        traced_on.is_some_and(|record| foot.film(*view).is_none_or(|film| film.hash != record.hash))
    };
    if let Some(view) = View::ALL.into_iter().find(is_other) {
        return Err(LessonError::OtherFilm {
            view,
            foot: foot.identifier.clone(),
        });
    }
    let same = named_alike(foot, reference, &attempt.study.tracing);
    let alike = drawn_alike(foot, &reference.tracing, &same);
    Ok(Lesson {
        foot: foot.identifier.clone(),
        reference: reference.source.name(),
        snapping: attempt.snapping,
        seconds: attempt.seconds,
        measurements: numbers::measurement_lessons(foot, reference, (&alike, &same), limits),
        films: View::ALL
            .into_iter()
            .filter_map(|view| film::film_lesson(foot, &alike, same.on(view), view))
            .collect(),
    })
}

/// The attempt's tracing with its free choices as the reference made them.
fn named_alike(foot: &PracticeFoot, reference: &Reference, attempt: &Tracing) -> Tracing {
    let mut same = attempt.clone();
    for view in View::ALL {
        if let Some(film) = foot.film(view) {
            *same.on_mut(view) = corresponding(
                attempt.on(view),
                reference.tracing.on(view),
                film.proportions,
            );
        }
    }
    same
}
