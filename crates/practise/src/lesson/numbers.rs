//! How the attempt's numbers differ from the reference's.

use plumbray_anatomy::Tracing;
use plumbray_measure::{Choices, Measurement, Unit, measure};

use super::blame::{Blame, TwoTracings};
use crate::set::{LessonDefaults, PracticeFoot, Reference};

/// The measurements of every lesson, where the reference gives them.
pub const HEADLINES: [Measurement; 7] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidGrade,
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
    Measurement::FirstMetatarsalInclinationAngle,
];

/// How a number of the attempt is judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Judgement {
    /// It lies within its limit.
    Within {
        /// The limit, in the number's unit.
        limit: f64,
    },
    /// It differs by more than its limit.
    Beyond {
        /// The limit, in the number's unit.
        limit: f64,
    },
    /// The grade is the reference's.
    RightGrade,
    /// The grade is another.
    WrongGrade,
    /// It has no limit: the difference stands for itself.
    Unlimited,
    /// The attempt gives no such number, which has a limit.
    LimitedButMissing,
    /// The attempt gives no such number, which has no limit.
    Missing,
}

/// How one number of the attempt differs from the reference's.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasurementLesson {
    /// What was measured.
    pub measurement: Measurement,
    /// The reference's number, in the measurement's unit.
    pub reference: f64,
    /// The attempt's number, where there is one.
    pub attempt: Option<f64>,
    /// Why the attempt has none, in a few words: "needs M3".
    pub why_not: Option<String>,
    /// How it is judged.
    pub judgement: Judgement,
    /// What explains the difference; of a grade, the difference in the share of the sesamoid that the grade follows
    /// from.
    pub blame: Option<Blame>,
}

impl MeasurementLesson {
    /// The attempt's number less the reference's, in the measurement's unit.
    #[must_use]
    pub fn difference(&self) -> Option<f64> {
        self.attempt.map(|attempt| attempt - self.reference)
    }

    /// Whether it lies beyond its limit, or has a limit and was not measured. A wrong grade is told and does not
    /// count as a miss: no limit is known to us that says which share of grades may be wrong.
    #[must_use]
    pub const fn is_missed(&self) -> bool {
        matches!(
            self.judgement,
            Judgement::Beyond { .. } | Judgement::LimitedButMissing
        )
    }
}

/// The lessons of all headline measurements, and of others that the set limits. The attempt names its points as the
/// reference does, and before it stands the reference with its shafts drawn as the attempt draws them.
pub(super) fn measurement_lessons(
    foot: &PracticeFoot,
    reference: &Reference,
    (alike, attempt): (&Tracing, &Tracing),
    limits: &LessonDefaults,
) -> Vec<MeasurementLesson> {
    let others = limits.limits.iter().map(|limit| limit.measurement);
    let mut wanted: Vec<Measurement> = HEADLINES.into_iter().chain(others).collect();
    wanted.sort_unstable();
    wanted.dedup();
    let films = TwoTracings::new(foot, alike, attempt);
    wanted
        .into_iter()
        .filter(|measurement| reference.measurements.contains(measurement))
        .filter_map(|measurement| {
            measurement_lesson(&films, &reference.tracing, measurement, limits)
        })
        .collect()
}

fn measurement_lesson(
    films: &TwoTracings<'_>,
    reference: &Tracing,
    measurement: Measurement,
    limits: &LessonDefaults,
) -> Option<MeasurementLesson> {
    let [reference, attempt] = [reference, films.attempt].map(|tracing| {
        measure(
            &films.foot.traced(tracing),
            &Choices::default(),
            measurement,
        )
    });
    let reference = reference.reading()?.value;
    let value = attempt.reading().map(|reading| reading.value);
    let limit = limits.limit(measurement).map(|limit| limit.largest);
    Some(MeasurementLesson {
        measurement,
        reference,
        attempt: value,
        why_not: attempt.why_not(),
        judgement: judged(measurement, reference, value, limit),
        blame: films.blame(behind(measurement)),
    })
}

/// The number that a class follows from, and any other number itself.
const fn behind(measurement: Measurement) -> Measurement {
    match measurement {
        Measurement::TibialSesamoidGrade | Measurement::TibialSesamoidPosition => {
            Measurement::TibialSesamoidShare
        }
        Measurement::FibularSesamoidGrade => Measurement::FibularSesamoidShare,
        number => number,
    }
}

fn judged(
    measurement: Measurement,
    reference: f64,
    attempt: Option<f64>,
    limit: Option<f64>,
) -> Judgement {
    let is_class = matches!(measurement.unit(), Unit::Grade | Unit::Position);
    match (attempt, limit) {
        (None, Some(_)) => Judgement::LimitedButMissing,
        (None, None) => Judgement::Missing,
        (Some(attempt), Some(limit)) if (attempt - reference).abs() > limit => {
            Judgement::Beyond { limit }
        }
        (Some(_), Some(limit)) => Judgement::Within { limit },
        // Classes are whole numbers.
        (Some(attempt), None) if is_class && (attempt - reference).abs() < 0.5 => {
            Judgement::RightGrade
        }
        (Some(_), None) if is_class => Judgement::WrongGrade,
        (Some(_), None) => Judgement::Unlimited,
    }
}
