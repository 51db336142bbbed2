//! Where the tracing of one film differs from the reference.

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PhysicalVector, Proportions,
    Tracing, View,
};
use plumbray_measure::Need;

use super::{
    correspond::{middle, stands_for_a_line},
    direction::{FootDirections, Toward},
    distance::{LengthUnit, unit_of},
    offset::across_line,
    strokes::is_by_hand,
};
use crate::set::PracticeFoot;

/// Where the tracing of one film differs from the reference.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmLesson {
    /// The film.
    pub view: View,
    /// The unit of every distance on it.
    pub unit: LengthUnit,
    /// Each single point that both have placed, in anatomical order.
    pub landmarks: Vec<LandmarkLesson>,
    /// Each cortex that both have traced, in anatomical order of the bones.
    pub cortices: Vec<CortexLesson>,
    /// What the reference has and the attempt lacks, but for the points that only a few numbers ask for.
    pub missing: Vec<Need>,
}

/// How far a point lies from the reference.
#[derive(Clone, Debug, PartialEq)]
pub struct LandmarkLesson {
    /// The point.
    pub landmark: Landmark,
    /// How far off it is, in the film's unit. Of a point that stands for a line (talus, calcaneus, floor) across that
    /// line; of the edge of the head the difference of the two radii.
    pub distance: f64,
    /// Where it lies from the reference: the main direction, and a second one where it goes clearly that way too.
    /// Empty where it does not lie off, for the edge of the head, and where the foot's directions cannot be told.
    pub toward: Vec<Toward>,
    /// The distance that is expected of a careful hand: the root of the mean square, from the spread of a hand with
    /// the reference's own spread in each direction that counts, in the film's unit.
    pub expected: f64,
}

/// How far a cortex lies from the reference.
#[derive(Clone, Debug, PartialEq)]
pub struct CortexLesson {
    /// The bone.
    pub bone: LongBone,
    /// Which of its two cortices: the medial or lateral one on the AP film, the dorsal or plantar one on the lateral
    /// film. Nothing where the foot's directions cannot be told.
    pub cortex: Option<Toward>,
    /// The square root of its points' mean squared distance across the reference's cortex, in the film's unit.
    pub distance: f64,
    /// How far its points lie off together: their mean distance, from 0, in the film's unit.
    pub together: f64,
    /// Where they lie together from the reference, across the foot.
    pub toward: Option<Toward>,
    /// As for a point.
    pub expected: f64,
}

impl LandmarkLesson {
    /// In words: "1.2 mm toward lateral and distal".
    #[must_use]
    pub fn in_words(&self, unit: &LengthUnit) -> String {
        let names: Vec<&str> = self.toward.iter().map(|toward| toward.name()).collect();
        let distance = unit.in_words(self.distance);
        if names.is_empty() {
            distance
        } else {
            format!("{distance} toward {}", names.join(" and "))
        }
    }
}

/// Whether a point is a mark of the hand that no number needs: the ends of the rough stroke along a shaft.
const fn is_stroke(landmark: Landmark) -> bool {
    matches!(landmark, Landmark::ShaftStart(_) | Landmark::ShaftEnd(_))
}

/// In how many directions a point can lie off: one for a point that stands for a line, such as the end of a stroke, and
/// for the edge of a circle.
fn directions_that_count(landmark: Landmark) -> f64 {
    if stands_for_a_line(landmark) || is_stroke(landmark) || landmark == Landmark::HeadEdge {
        1.0
    } else {
        2.0
    }
}

/// Whether a point stands in the lesson. The ends of a stroke do where the shaft was drawn by hand; its ends then stand
/// for those of the bone, which nobody pointed at.
fn is_told(attempt: &FilmTracing, landmark: Landmark) -> bool {
    match landmark {
        Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) => is_by_hand(attempt, bone),
        Landmark::BaseCentre(bone) | Landmark::Tip(bone) => !is_by_hand(attempt, bone),
        // Of a head that was only clicked on, nobody pointed at the edge.
        Landmark::HeadEdge => attempt
            .points
            .get(&landmark)
            .is_some_and(|placed| placed.origin != Origin::Derived),
        _ => true,
    }
}

/// The lesson of one film; the attempt names its points as the reference does. Nothing where the foot has no such
/// film.
pub(super) fn film_lesson(
    foot: &PracticeFoot,
    reference: &Tracing,
    attempt: &FilmTracing,
    view: View,
) -> Option<FilmLesson> {
    let (unit, per_pixel_width) = unit_of(foot, reference, view)?;
    let film = foot.film(view)?;
    let own = reference.on(view);
    let measure = Measure {
        reference: own,
        attempt,
        proportions: film.proportions,
        directions: FootDirections::of(&foot.traced(reference), view),
        per_pixel_width,
        hand: unit.hand_spread(),
    };
    let landmarks = own
        .points
        .keys()
        .copied()
        .filter(|landmark| is_told(attempt, *landmark))
        .filter_map(|landmark| measure.landmark(landmark))
        .collect();
    let cortices = own
        .cortices
        .keys()
        .copied()
        .flat_map(|bone| [0, 1].map(|which| measure.cortex(bone, which)))
        .flatten()
        .collect();
    Some(FilmLesson {
        view,
        unit,
        landmarks,
        cortices,
        missing: missing(own, attempt, view),
    })
}

fn missing(reference: &FilmTracing, attempt: &FilmTracing, view: View) -> Vec<Need> {
    let shafts = reference
        .cortices
        .keys()
        .filter(|bone| !attempt.cortices.contains_key(bone))
        .map(|bone| Need::Shaft(view, *bone));
    let points = reference
        .points
        .keys()
        .filter(|landmark| !attempt.points.contains_key(landmark))
        .filter(|landmark| !is_stroke(**landmark) && !landmark.is_seldom_asked_for())
        .map(|landmark| Need::Landmark(view, *landmark));
    shafts.chain(points).collect()
}

/// What the differences on one film are measured with.
struct Measure<'a> {
    reference: &'a FilmTracing,
    attempt: &'a FilmTracing,
    proportions: Proportions,
    directions: Option<FootDirections>,
    per_pixel_width: f64,
    hand: f64,
}

impl Measure<'_> {
    fn landmark(&self, landmark: Landmark) -> Option<LandmarkLesson> {
        let step = self.step(landmark)?;
        let sd_px = self.reference.points.get(&landmark)?.sd_px;
        let (length, toward) = if landmark == Landmark::HeadEdge {
            let radius = |tracing: &FilmTracing| {
                let [centre, edge] = [
                    tracing.point(Landmark::HeadCentre)?,
                    tracing.point(Landmark::HeadEdge)?,
                ]
                .map(|at| self.proportions.physical(at));
                Some((edge - centre).length())
            };
            let difference = radius(self.attempt)? - radius(self.reference)?;
            (difference.abs(), Vec::new())
        } else {
            let toward = self.directions.map(|directions| directions.toward(step));
            (step.length(), toward.unwrap_or_default())
        };
        Some(LandmarkLesson {
            landmark,
            distance: length * self.per_pixel_width,
            toward,
            expected: directions_that_count(landmark).sqrt()
                * self.hand.hypot(sd_px * self.per_pixel_width),
        })
    }

    fn step(&self, landmark: Landmark) -> Option<PhysicalVector> {
        let ends = self
            .attempt
            .point(landmark)
            .zip(self.reference.point(landmark))?;
        let [to, from] = [ends.0, ends.1].map(|at| self.proportions.physical(at));
        Some(to - from)
    }

    fn cortex(&self, bone: LongBone, which: usize) -> Option<CortexLesson> {
        let own = self.reference.cortices.get(&bone)?;
        let line = side_of(own, which);
        let points = side_of(self.attempt.cortices.get(&bone)?, which);
        let steps: Vec<PhysicalVector> = points
            .iter()
            .filter_map(|at| across_line(line, *at, self.proportions))
            .collect();
        #[expect(
            clippy::cast_precision_loss,
            reason = "a cortex has at most thousands of points"
        )]
        let count = steps.len() as f64;
        if steps.is_empty() {
            return None;
        }
        let square: f64 = steps.iter().map(|step| step.dot(*step)).sum();
        let sum = steps
            .iter()
            .fold(PhysicalVector::default(), |sum, step| sum + *step);
        let mean = sum * (1.0 / count);
        let opposite = middle(side_of(own, 1 - which), self.proportions);
        let outward = middle(line, self.proportions)
            .zip(opposite)
            .map(|(own, other)| own - other);
        let across =
            |step: PhysicalVector| self.directions.map(|directions| directions.across(step));
        Some(CortexLesson {
            bone,
            cortex: outward.and_then(across),
            distance: (square / count).sqrt() * self.per_pixel_width,
            together: mean.length() * self.per_pixel_width,
            toward: across(mean).filter(|_| mean.length() > 0.0),
            expected: self.hand.hypot(own.sd_px * self.per_pixel_width),
        })
    }
}

fn side_of(cortices: &Cortices, which: usize) -> &[FilmPoint] {
    if which == 0 {
        &cortices.one
    } else {
        &cortices.two
    }
}
