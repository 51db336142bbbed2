//! The projected outline of a bone, computed from its geometry and not from the noisy film.

use plumbray_anatomy::FilmPoint;

use crate::{bones::bone::Bone, foot::StandingFoot, geometry::projection::Projection};

/// How far apart places are tried when an edge is looked for, in mm at the detector.
const SEARCH_STEP_MM: f64 = 0.3;

/// How far from the middle of a bone its edge may lie, in mm at the detector.
const SEARCH_REACH_MM: f64 = 60.0;

/// The shadow of one bone on a film.
#[derive(Clone, Copy)]
pub(crate) struct Silhouette<'a> {
    bone: &'a Bone,
    standing: &'a StandingFoot,
    projection: &'a Projection,
}

impl<'a> Silhouette<'a> {
    pub(crate) const fn new(
        bone: &'a Bone,
        standing: &'a StandingFoot,
        projection: &'a Projection,
    ) -> Self {
        Self {
            bone,
            standing,
            projection,
        }
    }

    /// Whether the ray to a point of the film passes through the bone.
    fn covers(&self, at: FilmPoint) -> bool {
        let ray = self.standing.ray_in_foot(&self.projection.ray(at));
        self.bone.clearance(&ray) < 0.0
    }

    /// The first edge of the shadow from a point within it along a direction; nothing when the point
    /// lies outside, or no edge within reach.
    pub(crate) fn edge(&self, from: FilmPoint, direction: [f64; 2]) -> Option<FilmPoint> {
        let place = |distance: f64| {
            FilmPoint::new(
                from.x_px + distance * direction[0],
                from.y_px + distance * direction[1],
            )
        };
        if !self.covers(from) {
            return None;
        }
        let step = SEARCH_STEP_MM / self.projection.pixel_mm();
        let reach = SEARCH_REACH_MM / self.projection.pixel_mm();
        let (mut inside, mut outside) = (0.0, step);
        while self.covers(place(outside)) {
            inside = outside;
            outside += step;
            if outside > reach {
                return None;
            }
        }
        for _ in 0..24 {
            let middle = f64::midpoint(inside, outside);
            if self.covers(place(middle)) {
                inside = middle;
            } else {
                outside = middle;
            }
        }
        Some(place(f64::midpoint(inside, outside)))
    }

    /// Edges in `count` directions from a point within the shadow, over `turn` radians centred on a
    /// direction.
    pub(crate) fn fan(
        &self,
        from: FilmPoint,
        direction: [f64; 2],
        turn: f64,
        count: u32,
    ) -> Option<Vec<FilmPoint>> {
        (0..count)
            .map(|index| {
                let angle = turn * (f64::from(index) / f64::from(count - 1) - 0.5);
                self.edge(from, turned(direction, angle))
            })
            .collect()
    }

    /// The farthest point of the shadow along a direction, looked for from a point within it.
    ///
    /// Near the farthest point the outline is nearly square to the direction, so that the fan of
    /// edges is searched ever more narrowly about the best.
    pub(crate) fn farthest(&self, from: FilmPoint, direction: [f64; 2]) -> Option<FilmPoint> {
        let along = |at: FilmPoint| {
            (at.x_px - from.x_px) * direction[0] + (at.y_px - from.y_px) * direction[1]
        };
        let (mut centre, mut turn) = (0.0, 1.6_f64);
        let mut best: Option<FilmPoint> = None;
        for _ in 0..7 {
            let count = 13;
            let mut best_angle = centre;
            for index in 0..count {
                let angle = centre + turn * (f64::from(index) / f64::from(count - 1) - 0.5);
                let edge = self.edge(from, turned(direction, angle))?;
                if best.is_none_or(|known| along(edge) > along(known)) {
                    best = Some(edge);
                    best_angle = angle;
                }
            }
            centre = best_angle;
            turn *= 0.3;
        }
        best
    }
}

/// A direction turned by an angle in radians.
pub(crate) fn turned(direction: [f64; 2], angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [
        direction[0] * cos - direction[1] * sin,
        direction[0] * sin + direction[1] * cos,
    ]
}
