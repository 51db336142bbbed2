//! What a resident did and how it goes on: attempts, errors over time, weakest points, the next foot.

mod curve;
mod file;
mod next_foot;
mod text;
mod weakness;

use jiff::civil::DateTime;
use plumbray_anatomy::View;
use plumbray_measure::Measurement;

use crate::lesson::{FilmLesson, LengthUnit, Lesson, PlacedThing};

pub use curve::{COMPETENCE_LIMIT, MISSES_LIMIT, miss_rates};
pub use file::{
    PROGRESS_ENDING, ProgressError, add_attempt, load_progress, progress_path, save_progress,
};
pub use next_foot::{INTERVALS, NextFoot, Why, next_foot};
pub use text::PROGRESS_FORMAT_VERSION;
pub use weakness::Weakness;

/// What a resident did.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Progress {
    /// The name that the resident chose. Nothing else is known of the person.
    pub resident: String,
    /// Every attempt, the oldest first.
    pub attempts: Vec<PastAttempt>,
}

/// An attempt as it is remembered.
#[derive(Clone, Debug, PartialEq)]
pub struct PastAttempt {
    /// The name of the practice set.
    pub set: String,
    /// The name of the foot in it.
    pub foot: String,
    /// When it was handed in, by the clock on the wall.
    pub when: DateTime,
    /// How long it took, in seconds.
    pub seconds: f64,
    /// Whether the program could move points to edges.
    pub snapping: bool,
    /// Whether the foot was missed, as [`Lesson::is_missed`] says.
    pub missed: bool,
    /// The numbers that counted.
    pub numbers: Vec<PastNumber>,
    /// The points and cortices.
    pub things: Vec<PastThing>,
}

/// A number of an attempt as it is remembered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PastNumber {
    /// What was measured.
    pub measurement: Measurement,
    /// The attempt's number less the reference's, in the measurement's unit; nothing where the attempt had none.
    pub difference: Option<f64>,
    /// Whether it was beyond its limit, or limited and missing.
    pub missed: bool,
}

/// A point or the cortices of a bone in an attempt, as they are remembered.
#[derive(Clone, Debug, PartialEq)]
pub struct PastThing {
    /// What was placed.
    pub thing: PlacedThing,
    /// How far off it was, in the unit.
    pub distance: f64,
    /// The unit of the distance.
    pub unit: LengthUnit,
    /// The distance over the distance that is expected of a careful hand.
    pub relative: f64,
    /// What it cost in the judged angles, in degrees: [`Lesson::cost_degrees`].
    pub cost_degrees: f64,
}

impl PastAttempt {
    /// What is remembered of a lesson in the set of this name, handed in at this time.
    #[must_use]
    pub fn of(lesson: &Lesson, set: &str, when: DateTime) -> Self {
        let numbers = lesson
            .measurements
            .iter()
            .map(|row| PastNumber {
                measurement: row.measurement,
                difference: row.difference(),
                missed: row.is_missed(),
            })
            .collect();
        Self {
            set: set.to_owned(),
            foot: lesson.foot.clone(),
            when,
            seconds: lesson.seconds,
            snapping: lesson.snapping,
            missed: lesson.is_missed(),
            numbers,
            things: lesson
                .films
                .iter()
                .flat_map(|film| things_of(lesson, film))
                .collect(),
        }
    }

    /// How far off a thing was, where it was placed.
    #[must_use]
    pub fn thing(&self, thing: PlacedThing) -> Option<&PastThing> {
        self.things.iter().find(|past| past.thing == thing)
    }
}

fn things_of(lesson: &Lesson, film: &FilmLesson) -> Vec<PastThing> {
    let view: View = film.view;
    let past = |thing, distance: f64, expected: f64| PastThing {
        thing,
        distance,
        unit: film.unit.clone(),
        relative: distance / expected,
        cost_degrees: lesson.cost_degrees(thing),
    };
    let points = film.landmarks.iter().map(|own| {
        let thing = PlacedThing::Landmark(view, own.landmark);
        past(thing, own.distance, own.expected)
    });
    let mut things: Vec<PastThing> = points.collect();
    // The two cortices of a bone are drawn in one stroke: together they lie off by the root of their mean square.
    for pair in film.cortices.chunk_by(|one, other| one.bone == other.bone) {
        #[expect(clippy::cast_precision_loss, reason = "a bone has two cortices")]
        let count = pair.len() as f64;
        let root_mean = |value: fn(&crate::lesson::CortexLesson) -> f64| {
            let squares: f64 = pair.iter().map(|own| value(own).powi(2)).sum();
            (squares / count).sqrt()
        };
        let thing = PlacedThing::Cortices(view, pair[0].bone);
        things.push(past(
            thing,
            root_mean(|own| own.distance),
            root_mean(|own| own.expected),
        ));
    }
    things
}
