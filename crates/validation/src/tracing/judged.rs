//! A whole tracing beside the truth of its film.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, View};
use plumbray_film::GreyView;
use plumbray_measure::Measurement;
use plumbray_proposal::{Hints, Proposal, Sight};

use super::{
    spots::{Flag, SpotError, is_of_first_ray, spot_errors},
    truth::{Truth, axes, readings},
};
use crate::snapping::snapped;

/// What was traced, with what the reader is asked to look at.
#[derive(Clone, Debug, Default)]
pub struct Traced {
    /// The tracing.
    pub tracing: FilmTracing,
    /// The flags, by landmark; that of a shaft at either end of its stroke.
    pub flags: BTreeMap<Landmark, Flag>,
}

impl Traced {
    /// From a rough reader's hints: by what was seen on the film, or by the plain searches where nothing
    /// was.
    #[must_use]
    pub fn from_hints(
        film: &GreyView<'_>,
        sight: Option<&Sight>,
        view: View,
        hints: &Hints,
    ) -> Self {
        if let Some(sight) = sight {
            return sight.traced(film, view, hints).into();
        }
        let tracing = snapped(film, view, hints).tracing;
        let flags = wanted(hints)
            .filter(|landmark| !is_found(&tracing, *landmark))
            .map(|landmark| (landmark, Flag::NotFound))
            .collect();
        Self { tracing, flags }
    }
}

/// What a reader who points there wants to have: with a stroke, base and tip too.
fn wanted(hints: &Hints) -> impl Iterator<Item = Landmark> {
    hints.points.keys().flat_map(|landmark| match *landmark {
        Landmark::ShaftStart(bone) => {
            vec![Landmark::ShaftStart(bone), Landmark::BaseCentre(bone)]
        }
        Landmark::ShaftEnd(bone) => vec![Landmark::ShaftEnd(bone), Landmark::Tip(bone)],
        other => vec![other],
    })
}

fn is_found(tracing: &FilmTracing, landmark: Landmark) -> bool {
    match landmark {
        Landmark::ShaftStart(bone) | Landmark::ShaftEnd(bone) => {
            tracing.cortices.contains_key(&bone)
        }
        other => tracing.points.contains_key(&other),
    }
}

impl From<Proposal> for Traced {
    fn from(proposal: Proposal) -> Self {
        let doubted = proposal.doubts.into_iter();
        let left = proposal.left_to_reader.into_iter();
        Self {
            tracing: proposal.tracing,
            flags: doubted
                .map(|(landmark, doubt)| (landmark, Flag::Doubted(doubt)))
                .chain(left.map(|(landmark, doubt)| (landmark, Flag::Left(doubt))))
                .collect(),
        }
    }
}

/// A tracing beside the truth.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// Every single place.
    pub spots: Vec<SpotError>,
    /// Every number that the truth has.
    pub numbers: Vec<NumberError>,
    /// By how many degrees each bone's axis is turned, without its sign; nothing where it was not found.
    pub axes: Vec<(LongBone, Option<f64>)>,
    /// Whether a landmark of the first ray is flagged.
    pub first_ray_is_flagged: bool,
}

/// A number beside its truth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NumberError {
    /// Which.
    pub measurement: Measurement,
    /// What the truth gives.
    pub truth: f64,
    /// What the tracing gives; nothing where it gives none.
    pub read: Option<NumberRead>,
}

/// A number that a tracing gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NumberRead {
    /// The number.
    pub value: f64,
    /// Its stated standard deviation, as [`plumbray_measure::Reading::sd`].
    pub sd: f64,
    /// Whether the stated 95 % interval holds the truth.
    pub holds: bool,
}

impl NumberError {
    /// Read less true.
    #[must_use]
    pub fn error(&self) -> Option<f64> {
        self.read.map(|read| read.value - self.truth)
    }
}

impl Judged {
    /// Lays a tracing beside the truth.
    #[must_use]
    pub fn new(truth: &Truth, traced: &Traced) -> Self {
        let read = readings(truth.view, &traced.tracing);
        let found = axes(&read);
        let numbers = truth
            .numbers
            .iter()
            .map(|(measurement, value)| NumberError {
                measurement: *measurement,
                truth: *value,
                read: read.get(measurement).map(|reading| NumberRead {
                    value: reading.value,
                    sd: reading.sd,
                    holds: (reading.interval.0..=reading.interval.1).contains(value),
                }),
            })
            .collect();
        Self {
            spots: spot_errors(truth, &traced.tracing, &traced.flags),
            numbers,
            axes: truth
                .axes
                .iter()
                .map(|(bone, axis)| (*bone, found.get(bone).map(|own| turn_degrees(*axis, *own))))
                .collect(),
            first_ray_is_flagged: traced.flags.keys().any(|one| is_of_first_ray(*one)),
        }
    }

    /// The error of one number, if the truth has it.
    #[must_use]
    pub fn number(&self, measurement: Measurement) -> Option<&NumberError> {
        self.numbers
            .iter()
            .find(|number| number.measurement == measurement)
    }

    /// The places of the first ray.
    pub fn first_ray(&self) -> impl Iterator<Item = &SpotError> {
        self.spots
            .iter()
            .filter(|error| error.spot.is_of_first_ray())
    }

    /// Whether every place of the first ray was found and lies within a distance of its truth.
    #[must_use]
    pub fn first_ray_is_within(&self, distance_mm: f64) -> bool {
        self.first_ray().all(|error| error.is_within(distance_mm))
    }
}

impl SpotError {
    /// Whether it was found and lies within a distance of its truth.
    #[must_use]
    pub fn is_within(&self, distance_mm: f64) -> bool {
        self.found
            .is_some_and(|offset| offset.distance_mm <= distance_mm)
    }
}

/// The angle between two directed lines, 0° to 180°.
fn turn_degrees(one: [FilmPoint; 2], other: [FilmPoint; 2]) -> f64 {
    let [(ax, ay), (bx, by)] =
        [one, other].map(|[from, to]| (to.x_px - from.x_px, to.y_px - from.y_px));
    (ax * by - ay * bx)
        .abs()
        .atan2(ax * bx + ay * by)
        .to_degrees()
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;
    use plumbray_phantom::{Exposure, truth_of_ap};

    use super::*;
    use crate::{cohort::random_foot, requested::true_tracing};

    fn truth() -> Truth {
        let foot = random_foot(3, 2).expect("possible");
        let exposure = Exposure::default();
        let truth = truth_of_ap(&foot, &exposure).expect("a truth");
        let tracing = true_tracing(&truth).expect("a foot");
        Truth::of_tracing(View::Ap, truth.feet[0].side, exposure.pixel_mm, tracing)
    }

    #[test]
    fn the_truth_judged_by_itself_is_right_everywhere() {
        let truth = truth();
        let traced = Traced {
            tracing: truth.tracing.clone(),
            flags: BTreeMap::new(),
        };
        let judged = Judged::new(&truth, &traced);
        assert!(judged.first_ray_is_within(1e-9), "places");
        assert_eq!(judged.first_ray().count(), 13, "places of the first ray");
        assert!(!judged.first_ray_is_flagged, "no flag");
        assert_eq!(judged.axes.len(), 3, "axes");
        for (bone, turn) in &judged.axes {
            assert_close(turn.expect("found"), 0.0, 1e-9, bone.name());
        }
        for number in &judged.numbers {
            assert_eq!(number.error(), Some(0.0), "{:?}", number.measurement);
        }
    }

    #[test]
    fn nothing_traced_is_within_no_distance_and_gives_no_number() {
        let judged = Judged::new(&truth(), &Traced::default());
        assert!(!judged.first_ray_is_within(1e9), "missing is not near");
        assert!(judged.axes.iter().all(|axis| axis.1.is_none()), "no axis");
        assert!(
            judged.numbers.iter().all(|number| number.error().is_none()),
            "no number"
        );
    }

    #[test]
    fn a_turn_has_no_sign_and_knows_a_reversed_axis() {
        let [origin, right, below, left] =
            [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (-1.0, 0.0)].map(|(x, y)| FilmPoint::new(x, y));
        for (other, expected) in [(right, 0.0), (below, 45.0), (left, 180.0)] {
            let turn = turn_degrees([origin, right], [origin, other]);
            assert_close(turn, expected, 1e-12, "from pointing right");
        }
    }
}
