//! Which landmark explains a number's error, by the engine's own derivatives.

use std::collections::BTreeMap;

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, PhysicalVector, Proportions, Tracing, View,
};
use plumbray_measure::{Measurement, Part, Reading, Sensitivity, Source, Unit};

use crate::set::PracticeFoot;

/// Something that a reader places as one.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum PlacedThing {
    /// A single point on the film of this view.
    Landmark(View, Landmark),
    /// The two cortices of a bone on the film of this view.
    Cortices(View, LongBone),
}

impl PlacedThing {
    /// The film that it lies on.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::Landmark(view, _) | Self::Cortices(view, _) => view,
        }
    }

    /// The name as a person reads it: "Second metatarsal, centre of the base".
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::Landmark(_, landmark) => landmark.name(),
            Self::Cortices(_, bone) => {
                plumbray_anatomy::capitalised(&format!("{}, cortices", bone.name()))
            }
        }
    }
}

/// What explains the error of a number.
#[derive(Clone, Debug, PartialEq)]
pub struct Blame {
    /// The number. For a sesamoid's grade it is the share that the grade follows from.
    pub measurement: Measurement,
    /// The attempt's number less the reference's, in its unit.
    pub error: f64,
    /// The parts of the tracing that explain it, what explains most first.
    pub parts: Vec<PartBlame>,
    /// What all parts explain together.
    pub explained: f64,
    /// What remains: the part of the error that does not follow the displacements in proportion, and what was
    /// placed on one of the two tracings only.
    pub unexplained: f64,
}

/// What one part of the tracing explains of an error.
#[derive(Clone, Debug, PartialEq)]
pub struct PartBlame {
    /// The part.
    pub part: Part,
    /// How much of the error it explains, in the number's unit; with the error's sign where it adds to it.
    pub amount: f64,
    /// The things placed in it, what explains most first.
    pub things: Vec<ThingBlame>,
}

/// What one placed thing explains of an error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThingBlame {
    /// What was placed.
    pub thing: PlacedThing,
    /// How much of the error it explains, in the number's unit.
    pub amount: f64,
}

impl Blame {
    /// In one sentence: "Your second metatarsal explains 2.1° of the 2.6°."; nothing where there is nothing to
    /// explain.
    #[must_use]
    pub fn sentence(&self) -> Option<String> {
        let first = self.parts.first()?;
        let amount = |value: f64| in_words(value.abs(), self.measurement.unit());
        (self.error != 0.0 && first.amount * self.error > 0.0).then(|| {
            format!(
                "Your {} explains {} of the {}.",
                first.part.name(),
                amount(first.amount),
                amount(self.error)
            )
        })
    }

    /// The placed thing that explains most, whichever way.
    #[must_use]
    pub fn first_thing(&self) -> Option<ThingBlame> {
        self.parts
            .iter()
            .flat_map(|part| &part.things)
            .copied()
            .max_by(|one, other| one.amount.abs().total_cmp(&other.amount.abs()))
    }
}

/// A number with its unit, to one decimal.
fn in_words(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Degrees => format!("{value:.1}°"),
        Unit::Millimetres => format!("{value:.1} mm"),
        Unit::PerCent => format!("{value:.1} %"),
        Unit::Ratio => format!("{value:.2}"),
        Unit::Position | Unit::Grade => format!("{value:.0}"),
    }
}

/// A number's two readings with the tracings that they were made from.
pub(super) struct Readings<'a> {
    pub(super) measurement: Measurement,
    pub(super) reference: (&'a Reading, &'a Tracing),
    pub(super) attempt: (&'a Reading, &'a Tracing),
}

/// What explains the difference of two readings. The attempt's tracing must name its points as the reference does.
///
/// ```text
/// amount of a point = ½ (S_attempt + S_reference) · (p_attempt − p_reference)
/// amount of cortices = ½ Σ S_attempt,v · (v − foot of v on the reference's cortex)
///                    − ½ Σ S_reference,w · (w − foot of w on the attempt's cortex)
/// ```
///
/// with S the derivative of the number to a place. The mean of the two ends' derivatives is the trapezoidal rule for
/// the way from the reference to the attempt: its error is of the third order in the displacement.
pub(super) fn blame(foot: &PracticeFoot, readings: &Readings<'_>) -> Blame {
    let (reference, attempt) = (readings.reference, readings.attempt);
    let mut amounts: BTreeMap<PlacedThing, (Part, f64)> = BTreeMap::new();
    for (own, other, sign) in [(attempt, reference, 0.5), (reference, attempt, -0.5)] {
        for sensitivity in &own.0.sensitivities {
            let view = sensitivity.source.view();
            let proportions = foot
                .film(view)
                .map_or(Proportions::SQUARE, |film| film.proportions);
            let found = answer(sensitivity, own.1.on(view), other.1.on(view), proportions);
            if let Some((thing, amount)) = found {
                let part = sensitivity.source.part();
                amounts.entry(thing).or_insert((part, 0.0)).1 += sign * amount;
            }
        }
    }
    let error = attempt.0.value - reference.0.value;
    let explained: f64 = amounts.values().map(|(_, amount)| amount).sum();
    Blame {
        measurement: readings.measurement,
        error,
        parts: by_part(&amounts, error),
        explained,
        unexplained: error - explained,
    }
}

/// What the derivative to one placed thing makes of its way from the other tracing; nothing where the other lacks it
/// or it is no place.
fn answer(
    sensitivity: &Sensitivity,
    own: &FilmTracing,
    other: &FilmTracing,
    proportions: Proportions,
) -> Option<(PlacedThing, f64)> {
    let (thing, step) = match sensitivity.source {
        Source::Landmark(view, landmark) => {
            let ends = own.point(landmark).zip(other.point(landmark))?;
            let [to, from] = [ends.0, ends.1].map(|at| proportions.physical(at));
            (PlacedThing::Landmark(view, landmark), to - from)
        }
        Source::CortexVertex {
            view,
            bone,
            cortex,
            vertex,
        } => {
            let lines = own.cortices.get(&bone).zip(other.cortices.get(&bone))?;
            let [own_line, other_line]: [&[FilmPoint]; 2] = if cortex == 0 {
                [&lines.0.one, &lines.1.one]
            } else {
                [&lines.0.two, &lines.1.two]
            };
            let at = own_line.get(vertex)?;
            let step = super::offset::across_line(other_line, *at, proportions)?;
            (PlacedThing::Cortices(view, bone), step)
        }
        // The shift that the points of a cortex share is in the points already, and both tracings lie on one film
        // with one calibration.
        Source::Cortex { .. } | Source::Calibration(_) => return None,
    };
    Some((thing, along(sensitivity, step, proportions)))
}

/// The derivative times a step in physical proportions.
fn along(sensitivity: &Sensitivity, step: PhysicalVector, proportions: Proportions) -> f64 {
    sensitivity.per_x * step.x + sensitivity.per_y * step.y / proportions.height_over_width()
}

/// The amounts by part; what adds most to the error first, what takes from it last.
fn by_part(amounts: &BTreeMap<PlacedThing, (Part, f64)>, error: f64) -> Vec<PartBlame> {
    let mut parts: BTreeMap<Part, Vec<ThingBlame>> = BTreeMap::new();
    for (thing, (part, amount)) in amounts {
        parts.entry(*part).or_default().push(ThingBlame {
            thing: *thing,
            amount: *amount,
        });
    }
    let sign = error.signum();
    let mut parts: Vec<PartBlame> = parts
        .into_iter()
        .map(|(part, mut things)| {
            things.sort_by(|one, other| (sign * other.amount).total_cmp(&(sign * one.amount)));
            PartBlame {
                part,
                amount: things.iter().map(|thing| thing.amount).sum(),
                things,
            }
        })
        .collect();
    parts.sort_by(|one, other| (sign * other.amount).total_cmp(&(sign * one.amount)));
    parts
}
