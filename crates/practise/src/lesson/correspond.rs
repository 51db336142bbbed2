//! The same tracing written so that each of its points answers to one of the reference.
//!
//! Some things can be placed in more than one way that means the same: either end of a sesamoid's axis, any point of
//! the head's circle, any two points of a line, and which cortex comes first. Such a choice is no error. What comes
//! out of here gives the same numbers as what went in.

use std::mem::swap;

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, PhysicalPoint, PhysicalVector, Proportions,
    Sesamoid,
};

/// Pairs of points that stand for the line through them.
const LINES: [[Landmark; 2]; 3] = [
    [Landmark::TalusPosterior, Landmark::TalusAnterior],
    [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
    [Landmark::FloorPosterior, Landmark::FloorAnterior],
];

/// Pairs of points that are the two ends of one thing: which is called which is told by the bones around, whatever
/// they were named when they were placed.
const ENDS: [[Landmark; 2]; 1] = [[Landmark::ArticularMedial, Landmark::ArticularLateral]];

/// Two lines with a larger angle than this cosine's between them are no attempt at one line.
const LEAST_COSINE: f64 = 0.5;

/// Whether only the distance across a line counts for this point.
pub(super) fn stands_for_a_line(landmark: Landmark) -> bool {
    LINES.iter().flatten().any(|own| *own == landmark)
}

/// The attempt's tracing with its free choices as the reference made them.
pub(super) fn corresponding(
    attempt: &FilmTracing,
    reference: &FilmTracing,
    proportions: Proportions,
) -> FilmTracing {
    let mut same = attempt.clone();
    for (bone, cortices) in &mut same.cortices {
        if let Some(other) = reference.cortices.get(bone)
            && are_crossed(cortices, other, proportions)
        {
            swap(&mut cortices.one, &mut cortices.two);
        }
    }
    let pair = Pair {
        reference,
        proportions,
    };
    for sesamoid in Sesamoid::ALL {
        pair.name_ends_alike(&mut same, sesamoid);
    }
    for ends in ENDS {
        pair.exchange_ends(&mut same, ends);
    }
    pair.turn_head_edge(&mut same);
    for line in LINES {
        pair.slide_along_line(&mut same, line);
    }
    same
}

fn are_crossed(cortices: &Cortices, reference: &Cortices, proportions: Proportions) -> bool {
    let middle = |points: &[FilmPoint]| middle(points, proportions);
    let apart = |a: &[FilmPoint], b: &[FilmPoint]| {
        middle(a)
            .zip(middle(b))
            .map_or(0.0, |(a, b)| (a - b).length())
    };
    let as_named = apart(&cortices.one, &reference.one) + apart(&cortices.two, &reference.two);
    let crossed = apart(&cortices.one, &reference.two) + apart(&cortices.two, &reference.one);
    crossed < as_named
}

/// The mean of some points; nothing without any.
pub(super) fn middle(points: &[FilmPoint], proportions: Proportions) -> Option<PhysicalPoint> {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a cortex has at most thousands of points"
    )]
    let count = points.len() as f64;
    let sum = points
        .iter()
        .map(|at| proportions.physical(*at))
        .fold(PhysicalPoint::default(), |sum, at| {
            PhysicalPoint::new(sum.x + at.x, sum.y + at.y)
        });
    (count > 0.0).then(|| PhysicalPoint::new(sum.x / count, sum.y / count))
}

/// A reference's film and the shape of its pixels.
struct Pair<'a> {
    reference: &'a FilmTracing,
    proportions: Proportions,
}

impl Pair<'_> {
    fn places<const N: usize>(
        &self,
        tracing: &FilmTracing,
        landmarks: [Landmark; N],
    ) -> Option<[PhysicalPoint; N]> {
        let mut places = [PhysicalPoint::default(); N];
        for (place, landmark) in places.iter_mut().zip(landmarks) {
            *place = self.proportions.physical(tracing.point(landmark)?);
        }
        Some(places)
    }

    fn put(&self, tracing: &mut FilmTracing, landmark: Landmark, place: PhysicalPoint) {
        if let Some(placed) = tracing.points.get_mut(&landmark) {
            placed.at = self.proportions.film(place);
        }
    }

    /// Names the ends of a sesamoid's half-diameters as the reference does: either may be the opposite end, and any
    /// of the two may be called the long one.
    fn name_ends_alike(&self, tracing: &mut FilmTracing, sesamoid: Sesamoid) {
        let landmarks = Landmark::of_sesamoid(sesamoid);
        let both = self
            .places(tracing, landmarks)
            .zip(self.places(self.reference, landmarks));
        let Some(([centre, long, short], [own_centre, own_long, own_short])) = both else {
            return;
        };
        let (u, v) = (long - centre, short - centre);
        let (own_u, own_v) = (own_long - own_centre, own_short - own_centre);
        let toward = |vector: PhysicalVector, own: PhysicalVector| {
            vector * if vector.dot(own) < 0.0 { -1.0 } else { 1.0 }
        };
        let candidates = [
            [toward(u, own_u), toward(v, own_v)],
            [toward(v, own_u), toward(u, own_v)],
        ];
        let misfit =
            |[long, short]: [PhysicalVector; 2]| (long - own_u).length() + (short - own_v).length();
        let [as_named, exchanged] = candidates;
        let [long, short] = if misfit(exchanged) < misfit(as_named) {
            exchanged
        } else {
            as_named
        };
        self.put(tracing, landmarks[1], centre + long);
        self.put(tracing, landmarks[2], centre + short);
    }

    /// Names two ends as the reference does.
    fn exchange_ends(&self, tracing: &mut FilmTracing, ends: [Landmark; 2]) {
        let both = self
            .places(tracing, ends)
            .zip(self.places(self.reference, ends));
        let Some(([one, other], [own_one, own_other])) = both else {
            return;
        };
        let as_named = (one - own_one).length() + (other - own_other).length();
        let exchanged = (other - own_one).length() + (one - own_other).length();
        if exchanged < as_named {
            let placed = ends.map(|end| tracing.points.get(&end).copied());
            for (end, placed) in ends.into_iter().rev().zip(placed) {
                if let Some(placed) = placed {
                    tracing.points.insert(end, placed);
                }
            }
        }
    }

    /// Turns the point of the head's edge about the head's centre to where the reference has it.
    fn turn_head_edge(&self, tracing: &mut FilmTracing) {
        let landmarks = [Landmark::HeadCentre, Landmark::HeadEdge];
        let both = self
            .places(tracing, landmarks)
            .zip(self.places(self.reference, landmarks));
        let Some(([centre, edge], [own_centre, own_edge])) = both else {
            return;
        };
        if let Some(direction) = (own_edge - own_centre).unit() {
            let radius = (edge - centre).length();
            self.put(tracing, Landmark::HeadEdge, centre + direction * radius);
        }
    }

    /// Slides two points along the line through them until each lies straight across from the reference's.
    fn slide_along_line(&self, tracing: &mut FilmTracing, line: [Landmark; 2]) {
        let both = self
            .places(tracing, line)
            .zip(self.places(self.reference, line));
        let Some(([from, to], own)) = both else {
            return;
        };
        let directions = (to - from).unit().zip((own[1] - own[0]).unit());
        let Some((direction, own_direction)) = directions else {
            return;
        };
        let cosine = direction.dot(own_direction);
        if cosine < LEAST_COSINE {
            return;
        }
        for (landmark, place) in line.into_iter().zip(own) {
            let along = (place - from).dot(own_direction) / cosine;
            self.put(tracing, landmark, from + direction * along);
        }
    }
}
