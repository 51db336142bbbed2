//! Which landmark explains a number's error, by the engine's own derivatives.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, FilmStep, Landmark, LongBone, Proportions, Tracing, View};
use plumbray_measure::{
    Choices, Measurement, Outcome, Part, Reading, Sensitivity, Source, Unit, measure,
};

use super::offset::across_line;
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
    /// What remains: what was placed on one of the two tracings only, how finely cortices were traced, a share that is
    /// not shown below 0 or above 100 %, and what the steps of the computation miss.
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
        (self.error.abs() >= LEAST_TOLD && first.amount * self.error > 0.0).then(|| {
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

/// An error that is shown as nothing is not explained, in any unit.
const LEAST_TOLD: f64 = 0.05;

/// The way from the reference to the attempt is walked in so many steps.
const STEPS: u32 = 8;

/// A foot with two tracings of its films. The attempt must name its points as the reference does.
pub(super) struct TwoTracings<'a> {
    pub(super) foot: &'a PracticeFoot,
    pub(super) reference: &'a Tracing,
    pub(super) attempt: &'a Tracing,
    displacements: Displacements,
    /// The tracings in the middle of each step of the way from the reference to the attempt.
    between: Vec<Tracing>,
}

/// How far each thing of the attempt lies from the reference, on the film in pixels. What the reference lacks is not
/// among it.
struct Displacements {
    points: BTreeMap<(View, Landmark), FilmStep>,
    vertices: BTreeMap<(View, LongBone), [Vec<FilmStep>; 2]>,
}

impl<'a> TwoTracings<'a> {
    /// Two tracings of a foot, with the way from the one to the other.
    pub(super) fn new(
        foot: &'a PracticeFoot,
        reference: &'a Tracing,
        attempt: &'a Tracing,
    ) -> Self {
        let displacements = displacements(foot, reference, attempt);
        let between = (0..STEPS)
            .map(|step| {
                let left = 1.0 - (f64::from(step) + 0.5) / f64::from(STEPS);
                displacements.undone(attempt, left)
            })
            .collect();
        Self {
            foot,
            reference,
            attempt,
            displacements,
            between,
        }
    }

    /// What explains the difference of a number between the two tracings; nothing where either lacks it.
    ///
    /// ```text
    /// amount of a thing = ∫₀¹ S(reference + t · d) · d dt ≈ Σ S((i + ½) / 8) · d / 8
    /// ```
    ///
    /// with d its displacement and S the engine's derivative of the number to its place, taken on the way from the
    /// reference (t = 0) to the attempt (t = 1): the derivative that each place has on average over the error that was
    /// made. The amounts of all things then add up to the error, but for what the steps miss. A vertex of a cortex has
    /// its step across the reference's cortex alone, since where along a cortex its vertices lie is no error.
    pub(super) fn blame(&self, measurement: Measurement) -> Option<Blame> {
        let value = |tracing: &Tracing| self.reading(tracing, measurement).map(|own| own.value);
        let error = value(self.attempt)? - value(self.reference)?;
        let mut amounts: BTreeMap<PlacedThing, (Part, f64)> = BTreeMap::new();
        for between in &self.between {
            let reading = self.reading(between, measurement)?;
            for sensitivity in &reading.sensitivities {
                if let Some((thing, amount)) = self.displacements.answer(sensitivity) {
                    let part = sensitivity.source.part();
                    amounts.entry(thing).or_insert((part, 0.0)).1 += amount / f64::from(STEPS);
                }
            }
        }
        let explained: f64 = amounts.values().map(|(_, amount)| amount).sum();
        Some(Blame {
            measurement,
            error,
            parts: by_part(&amounts, error),
            explained,
            unexplained: error - explained,
        })
    }

    fn reading(&self, tracing: &Tracing, measurement: Measurement) -> Option<Reading> {
        let foot = self.foot.traced(tracing);
        match measure(&foot, &Choices::default(), measurement) {
            Outcome::Value(reading) => Some(*reading),
            Outcome::Needs(_) | Outcome::Refused { .. } | Outcome::Degenerate { .. } => None,
        }
    }
}

fn displacements(foot: &PracticeFoot, reference: &Tracing, attempt: &Tracing) -> Displacements {
    let mut found = Displacements {
        points: BTreeMap::new(),
        vertices: BTreeMap::new(),
    };
    for view in View::ALL {
        let proportions = foot
            .film(view)
            .map_or(Proportions::SQUARE, |film| film.proportions);
        let (own, other) = (attempt.on(view), reference.on(view));
        for (landmark, placed) in &own.points {
            if let Some(from) = other.point(*landmark) {
                let step = FilmStep::new(placed.at.x_px - from.x_px, placed.at.y_px - from.y_px);
                found.points.insert((view, *landmark), step);
            }
        }
        for (bone, cortices) in &own.cortices {
            if let Some(reference) = other.cortices.get(bone) {
                let steps = [
                    steps_from(&reference.one, &cortices.one, proportions),
                    steps_from(&reference.two, &cortices.two, proportions),
                ];
                found.vertices.insert((view, *bone), steps);
            }
        }
    }
    found
}

/// The step of each vertex across a line; none where the line has no length.
fn steps_from(
    line: &[FilmPoint],
    vertices: &[FilmPoint],
    proportions: Proportions,
) -> Vec<FilmStep> {
    vertices
        .iter()
        .map(|at| {
            let step = across_line(line, *at, proportions).unwrap_or_default();
            FilmStep::new(step.x, step.y / proportions.height_over_width())
        })
        .collect()
}

impl Displacements {
    /// The attempt's tracing with this share of every displacement taken back.
    fn undone(&self, attempt: &Tracing, share: f64) -> Tracing {
        let mut tracing = attempt.clone();
        let take_back = |at: &mut FilmPoint, step: &FilmStep| {
            *at = FilmStep::new(-share * step.across_px, -share * step.down_px).from(*at);
        };
        for ((view, landmark), step) in &self.points {
            if let Some(placed) = tracing.on_mut(*view).points.get_mut(landmark) {
                take_back(&mut placed.at, step);
            }
        }
        for ((view, bone), [one, two]) in &self.vertices {
            if let Some(cortices) = tracing.on_mut(*view).cortices.get_mut(bone) {
                let all = cortices.one.iter_mut().zip(one);
                for (at, step) in all.chain(cortices.two.iter_mut().zip(two)) {
                    take_back(at, step);
                }
            }
        }
        tracing
    }

    /// The derivative to one placed thing times its displacement; nothing where it has none.
    fn answer(&self, sensitivity: &Sensitivity) -> Option<(PlacedThing, f64)> {
        let (thing, step) = match sensitivity.source {
            Source::Landmark(view, landmark) => {
                let step = self.points.get(&(view, landmark))?;
                (PlacedThing::Landmark(view, landmark), step)
            }
            Source::CortexVertex {
                view,
                bone,
                cortex,
                vertex,
            } => {
                let step = self.vertices.get(&(view, bone))?.get(cortex)?.get(vertex)?;
                (PlacedThing::Cortices(view, bone), step)
            }
            // The shift that the points of a cortex share is in the points already, and both tracings lie on one film
            // with one calibration.
            Source::Cortex { .. } | Source::Calibration(_) => return None,
        };
        let amount = sensitivity.per_x * step.across_px + sensitivity.per_y * step.down_px;
        Some((thing, amount))
    }
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
