//! Whether a class comes true as often as its probability says.

use anyhow::Result;
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, View};
use plumbray_measure::{
    Choices, Class, LineRole, Measurement, ReaderError, SeverityOutcome, Worksheet, worksheet,
};
use plumbray_phantom::{Exposure, truth_of_ap};
use plumbray_trace::HAND_SPREAD_MM;
use rayon::prelude::*;

use crate::{accuracy::measured, chance::Chance, cohort::random_foot, requested::true_tracing};

/// How much is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReliabilityPlan {
    /// Seed of feet and tracings.
    pub seed: u64,
    /// How many random feet.
    pub feet: usize,
    /// How many tracings of each.
    pub tracings: usize,
}

/// What makes one tracing differ from the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origins {
    /// Every point lies off by the spread that is stated of it; no reader's error is taken in.
    StatedSpread,
    /// A hand lays the axes, as published readers do; what the tracing states of its own spread is
    /// nothing, and the usual reader's error is taken in.
    ReadersHand,
}

/// The classes that are judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Question {
    /// Normal, mild, moderate or severe.
    Severity,
    /// The tibial sesamoid's position or grade.
    Sesamoid(Measurement),
}

impl Question {
    /// All of them.
    pub const ALL: [Self; 3] = [
        Self::Severity,
        Self::Sesamoid(Measurement::TibialSesamoidGrade),
        Self::Sesamoid(Measurement::TibialSesamoidPosition),
    ];
}

/// A class with the probability that a tracing gave it, and whether it is the true one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Said {
    /// What makes tracings differ.
    pub origins: Origins,
    /// Of which question the class is an answer.
    pub question: Question,
    /// From 0 to 1.
    pub probability: f64,
    /// Whether the class is the true one.
    pub came_true: bool,
}

/// Size of a pixel at the detector, in mm.
const PIXEL_MM: f64 = 0.2;

/// The stream of the hands among the streams of a seed.
const HANDS: u64 = 5 << 32;

/// Everything that all tracings of all feet say.
///
/// # Errors
/// When a foot or its film's truth cannot be made.
pub fn said_of_all(plan: &ReliabilityPlan) -> Result<Vec<Said>> {
    let all: Vec<Vec<Said>> = (0..plan.feet)
        .into_par_iter()
        .map(|number| said_of_foot(plan, number))
        .collect::<Result<_>>()?;
    Ok(all.into_iter().flatten().collect())
}

fn said_of_foot(plan: &ReliabilityPlan, number: usize) -> Result<Vec<Said>> {
    let foot = random_foot(plan.seed, number as u64)?;
    let exposure = Exposure {
        pixel_mm: PIXEL_MM,
        ..Exposure::default()
    };
    let truth = true_tracing(&truth_of_ap(&foot, &exposure)?)?;
    let by_hand = with_axes_by_hand(&truth);
    let mut chance = Chance::new(plan.seed, HANDS + number as u64);
    let mut said = Vec::new();
    for _ in 0..plan.tracings {
        let spread_px = chance.between(0.2, 1.5) / PIXEL_MM;
        let stated = stating(&truth, spread_px);
        let drawn = redrawn(&stated, spread_px, &mut chance);
        said.extend(compared(
            Origins::StatedSpread,
            &read(&stated, ReaderError::NONE),
            &read(&drawn, ReaderError::NONE),
        ));
        let drawn = with_moved_axes(&by_hand, HAND_SPREAD_MM / PIXEL_MM, &mut chance);
        said.extend(compared(
            Origins::ReadersHand,
            &read(&by_hand, ReaderError::default()),
            &read(&drawn, ReaderError::default()),
        ));
    }
    Ok(said)
}

fn read(tracing: &FilmTracing, reader_error: ReaderError) -> Worksheet {
    let choices = Choices {
        reader_error,
        ..Choices::default()
    };
    worksheet(&measured(View::Ap, tracing, None), &choices)
}

/// The same tracing, stated to spread by so much.
fn stating(tracing: &FilmTracing, spread_px: f64) -> FilmTracing {
    let mut stating = tracing.clone();
    for placed in stating.points.values_mut() {
        placed.sd_px = spread_px;
    }
    for cortices in stating.cortices.values_mut() {
        // A cortex that lies off at random from vertex to vertex would be a saw.
        (cortices.sd_px, cortices.together_sd_px) = (spread_px, 0.9 * spread_px);
    }
    stating
}

fn redrawn(tracing: &FilmTracing, spread_px: f64, chance: &mut Chance) -> FilmTracing {
    let mut drawn = tracing.clone();
    for placed in drawn.points.values_mut() {
        stray(&mut placed.at, spread_px, chance);
    }
    for cortices in drawn.cortices.values_mut() {
        let together = cortices.together_sd_px;
        let own = (cortices.sd_px.powi(2) - together.powi(2)).sqrt();
        for cortex in [&mut cortices.one, &mut cortices.two] {
            let shift = chance.normal(together);
            let Some((first, last)) = cortex.first().zip(cortex.last()) else {
                continue;
            };
            let length = first.distance_px(*last);
            let (x, y) = (last.x_px - first.x_px, last.y_px - first.y_px);
            for vertex in cortex {
                stray(vertex, own, chance);
                vertex.x_px -= shift * y / length;
                vertex.y_px += shift * x / length;
            }
        }
    }
    drawn
}

fn stray(at: &mut FilmPoint, spread_px: f64, chance: &mut Chance) {
    at.x_px += chance.normal(spread_px);
    at.y_px += chance.normal(spread_px);
}

/// The bones whose axes the judged classes stand on.
const AXES: [LongBone; 3] = [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx];

/// The same tracing with its axes drawn by hand through the middles at the quarters; without a spread.
fn with_axes_by_hand(tracing: &FilmTracing) -> FilmTracing {
    let mut by_hand = stating(tracing, 0.0);
    let sheet = read(&by_hand, ReaderError::NONE);
    for bone in AXES {
        if let Some([start, end]) = middles_at_the_quarters(&sheet, bone) {
            by_hand.cortices.remove(&bone);
            for (landmark, at) in [
                (Landmark::ShaftStart(bone), start),
                (Landmark::ShaftEnd(bone), end),
            ] {
                let placed = PlacedPoint {
                    at,
                    sd_px: 0.0,
                    origin: Origin::Hand,
                };
                by_hand.points.insert(landmark, placed);
            }
        }
    }
    by_hand
}

/// The middles of the levels that carry a bone's axis, the proximal one first.
fn middles_at_the_quarters(sheet: &Worksheet, bone: LongBone) -> Option<[FilmPoint; 2]> {
    let angle = if bone == LongBone::M2 {
        Measurement::IntermetatarsalAngle12
    } else {
        Measurement::HalluxValgusAngle
    };
    let lines = &sheet.outcome(angle)?.reading()?.construction.lines;
    let axis = lines
        .iter()
        .position(|line| line.role == LineRole::Axis(bone))?;
    let middle = |place: usize| {
        let level = lines.get(place)?;
        (level.role == LineRole::Level).then(|| {
            FilmPoint::new(
                f64::midpoint(level.from.x_px, level.to.x_px),
                f64::midpoint(level.from.y_px, level.to.y_px),
            )
        })
    };
    Some([middle(axis + 1)?, middle(axis + 2)?])
}

/// The same tracing with the two points of each axis off by what a hand does.
fn with_moved_axes(tracing: &FilmTracing, spread_px: f64, chance: &mut Chance) -> FilmTracing {
    let mut drawn = tracing.clone();
    for landmark in AXES
        .into_iter()
        .flat_map(|bone| [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)])
    {
        if let Some(placed) = drawn.points.get_mut(&landmark) {
            stray(&mut placed.at, spread_px, chance);
        }
    }
    drawn
}

/// What a tracing says of each class, beside the true one.
fn compared(origins: Origins, truth: &Worksheet, read: &Worksheet) -> Vec<Said> {
    let mut said = Vec::new();
    let mut push = |question, probability, came_true| {
        said.push(Said {
            origins,
            question,
            probability,
            came_true,
        });
    };
    if let (SeverityOutcome::Graded(truth), SeverityOutcome::Graded(read)) =
        (&truth.severity, &read.severity)
    {
        for (class, probability) in Class::ALL.into_iter().zip(read.probabilities) {
            push(Question::Severity, probability, truth.class == class);
        }
    }
    for measurement in [
        Measurement::TibialSesamoidGrade,
        Measurement::TibialSesamoidPosition,
    ] {
        let of = |sheet: &Worksheet| Some(sheet.outcome(measurement)?.reading()?.clone());
        let Some((truth, read)) = of(truth).zip(of(read)) else {
            continue;
        };
        // Positions count from 1, grades from 0.
        let first = if measurement == Measurement::TibialSesamoidPosition {
            1.0
        } else {
            0.0
        };
        for (index, (_, probability)) in read.classes.iter().enumerate() {
            let is_true = (truth.value - first - index as f64).abs() < 0.5;
            push(Question::Sesamoid(measurement), *probability, is_true);
        }
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_tracings_answer_every_question_in_both_ways_and_repeat() {
        let plan = ReliabilityPlan {
            seed: 9,
            feet: 2,
            tracings: 3,
        };
        let said = said_of_all(&plan).expect("possible feet");
        for origins in [Origins::StatedSpread, Origins::ReadersHand] {
            for question in Question::ALL {
                let own: Vec<&Said> = said
                    .iter()
                    .filter(|one| one.origins == origins && one.question == question)
                    .collect();
                let true_ones = own.iter().filter(|one| one.came_true).count();
                assert_eq!(true_ones, 6, "one true class a tracing: {question:?}");
                let whole: f64 = own.iter().map(|one| one.probability).sum();
                assert!((whole - 6.0).abs() < 1e-9, "{question:?}: {whole}");
            }
        }
        assert_eq!(said, said_of_all(&plan).expect("again"), "the same seed");
    }
}
