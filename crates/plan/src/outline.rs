//! The outline of a bone as a closed line whose stretches know what they are.

use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint};

use crate::foot_before::ViewBefore;

/// Stretches of the arc that stands for the joint surface of the head.
const ARC_STRETCHES: u32 = 24;

/// What a stretch of an outline is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The cortex toward medial, on a lateral film toward plantar.
    Near,
    /// The cortex toward lateral, on a lateral film toward dorsal.
    Far,
    /// The joint surface of the head.
    HeadSurface,
    /// The joint surface of the base.
    Base,
    /// A face of the cut, which is no cortex.
    CutFace,
}

/// A closed line about a bone in the bone's own directions, across (x) and along (y) in pixel widths.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Each vertex with what the stretch from it to the next one is.
    pub vertices: Vec<(PhysicalPoint, Edge)>,
}

/// Where a straight line crosses an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OutlineCrossing {
    /// How far along the line, from 0 at its start to 1 at its end.
    pub(crate) share: f64,
    /// Which stretch it crosses.
    pub(crate) edge: Edge,
}

impl Outline {
    /// The outline of the first metatarsal on a film; nothing where its cortices or the edge of its head were
    /// not traced.
    pub(crate) fn of_first_metatarsal(before: &ViewBefore, tracing: &FilmTracing) -> Option<Self> {
        let bone = LongBone::M1;
        let cortices = tracing.cortices.get(&bone)?;
        let place = |at: FilmPoint| before.on_bone(before.proportions.physical(at));
        let point = |landmark| tracing.point(landmark).map(place);
        let (head, rim) = (point(Landmark::HeadCentre)?, point(Landmark::HeadEdge)?);
        let radius = (rim - head).length();
        let mut lines = [&cortices.one, &cortices.two]
            .map(|line| line.iter().copied().map(place).collect::<Vec<_>>());
        let mean = |line: &[PhysicalPoint]| {
            line.iter().map(|vertex| vertex.x).sum::<f64>()
                / f64::from(u32::try_from(line.len()).unwrap_or(1).max(1))
        };
        if lines.iter().any(Vec::is_empty) {
            return None;
        }
        if mean(&lines[0]) > mean(&lines[1]) {
            lines.swap(0, 1);
        }
        let surface = |near: Landmark, side: f64| {
            point(near).unwrap_or(PhysicalPoint::new(head.x + side * radius, head.y))
        };
        let ends = [
            surface(Landmark::ArticularMedial, -1.0),
            surface(Landmark::ArticularLateral, 1.0),
        ];
        let [near, far] = lines;
        // A cortex that was traced on into the head would run back: the surface begins where it does.
        let below = |line: Vec<PhysicalPoint>, end: PhysicalPoint| {
            line.into_iter()
                .filter(move |vertex| vertex.y < end.y)
                .collect::<Vec<_>>()
        };
        let (near, far) = (below(near, ends[0]), below(far, ends[1]));
        let edge = |edge: Edge| move |vertex: PhysicalPoint| (vertex, edge);
        let mut vertices: Vec<(PhysicalPoint, Edge)> =
            near.into_iter().map(edge(Edge::Near)).collect();
        vertices.extend(
            point(Landmark::HeadMedialEdge)
                .filter(|eminence| {
                    vertices.last().is_some_and(|(last, _)| last.y < eminence.y)
                        && eminence.y < ends[0].y
                })
                .map(edge(Edge::Near)),
        );
        vertices.push((ends[0], Edge::HeadSurface));
        vertices.extend(
            arc(head, radius, ends)
                .into_iter()
                .map(edge(Edge::HeadSurface)),
        );
        vertices.push((ends[1], Edge::Far));
        vertices.extend(far.into_iter().rev().map(edge(Edge::Far)));
        let (last, _) = vertices.last_mut()?;
        let last = *last;
        if let Some(corner) = vertices.last_mut() {
            corner.1 = Edge::Base;
        }
        vertices.extend(
            point(Landmark::BaseCentre(bone))
                .filter(|base| base.y < last.y)
                .map(edge(Edge::Base)),
        );
        (vertices.len() >= 3).then_some(Self { vertices })
    }

    /// The part of it on one side of a line: where `(vertex − through) · normal` is not negative. What the line
    /// cuts is a face of the cut.
    #[must_use]
    pub fn beyond(&self, through: PhysicalPoint, normal: plumbray_anatomy::PhysicalVector) -> Self {
        let height = |vertex: PhysicalPoint| (vertex - through).dot(normal);
        let mut vertices = Vec::new();
        for ((from, edge), (to, _)) in self.stretches() {
            let (start, end) = (height(from), height(to));
            if start >= 0.0 {
                vertices.push((from, edge));
            }
            if (start >= 0.0) != (end >= 0.0) {
                let crossing = from + (to - from) * (start / (start - end));
                let follows = if start >= 0.0 { Edge::CutFace } else { edge };
                vertices.push((crossing, follows));
            }
        }
        Self { vertices }
    }

    /// The outline with each vertex moved.
    #[must_use]
    pub fn moved(&self, motion: impl Fn(PhysicalPoint) -> PhysicalPoint) -> Self {
        Self {
            vertices: self
                .vertices
                .iter()
                .map(|(vertex, edge)| (motion(*vertex), *edge))
                .collect(),
        }
    }

    /// Whether a place lies within, by the even-odd rule.
    #[must_use]
    pub fn contains(&self, place: PhysicalPoint) -> bool {
        self.stretches()
            .fold(false, |inside, ((from, _), (to, _))| {
                let spans = (from.y > place.y) != (to.y > place.y);
                let is_left =
                    || place.x < from.x + (to.x - from.x) * (place.y - from.y) / (to.y - from.y);
                inside != (spans && is_left())
            })
    }

    /// Where the straight line between two places crosses it, in order.
    pub(crate) fn crossings(&self, from: PhysicalPoint, to: PhysicalPoint) -> Vec<OutlineCrossing> {
        let along = to - from;
        let mut crossings: Vec<OutlineCrossing> = self
            .stretches()
            .filter_map(|((start, edge), (end, _))| {
                let (before, after) = (along.cross(start - from), along.cross(end - from));
                if (before >= 0.0) == (after >= 0.0) {
                    return None;
                }
                let crossing = start + (end - start) * (before / (before - after));
                let share = (crossing - from).dot(along) / along.dot(along);
                (0.0..=1.0)
                    .contains(&share)
                    .then_some(OutlineCrossing { share, edge })
            })
            .collect();
        crossings.sort_by(|one, other| one.share.total_cmp(&other.share));
        crossings
    }

    /// The stretches between two places of a line that lie within, as shares of the line.
    pub(crate) fn within(&self, from: PhysicalPoint, to: PhysicalPoint) -> Vec<[f64; 2]> {
        let mut marks: Vec<f64> = self
            .crossings(from, to)
            .iter()
            .map(|crossing| crossing.share)
            .collect();
        marks.insert(0, 0.0);
        marks.push(1.0);
        marks
            .windows(2)
            .filter(|pair| {
                let middle = from + (to - from) * f64::midpoint(pair[0], pair[1]);
                pair[1] > pair[0] && self.contains(middle)
            })
            .map(|pair| [pair[0], pair[1]])
            .collect()
    }

    /// How far a place lies from the stretches of these kinds, in pixel widths; nothing where there are none.
    pub(crate) fn distance(&self, place: PhysicalPoint, edges: &[Edge]) -> Option<f64> {
        self.stretches()
            .filter(|((_, edge), _)| edges.contains(edge))
            .map(|((from, _), (to, _))| distance_to_stretch(place, from, to))
            .min_by(f64::total_cmp)
    }

    fn stretches(
        &self,
    ) -> impl Iterator<Item = ((PhysicalPoint, Edge), (PhysicalPoint, Edge))> + '_ {
        let next = self.vertices.iter().skip(1).chain(self.vertices.first());
        self.vertices.iter().copied().zip(next.copied())
    }
}

/// Points of a head's circle between the ends of its joint surface, over its distal side.
fn arc(centre: PhysicalPoint, radius: f64, ends: [PhysicalPoint; 2]) -> Vec<PhysicalPoint> {
    // Turned from distal, positive toward lateral.
    let [from, to] = ends.map(|end| (end.x - centre.x).atan2(end.y - centre.y));
    (1..ARC_STRETCHES)
        .map(|step| {
            let turn = from + (to - from) * f64::from(step) / f64::from(ARC_STRETCHES);
            PhysicalPoint::new(
                centre.x + radius * turn.sin(),
                centre.y + radius * turn.cos(),
            )
        })
        .collect()
}

fn distance_to_stretch(place: PhysicalPoint, from: PhysicalPoint, to: PhysicalPoint) -> f64 {
    let along = to - from;
    let square = along.dot(along);
    let share = if square > 0.0 {
        ((place - from).dot(along) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (place - (from + along * share)).length()
}
