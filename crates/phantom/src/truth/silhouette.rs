//! The projected outline of a bone, computed from its geometry and not from the noisy film.

use plumbray_anatomy::FilmPoint;

use crate::{
    bones::bone::Bone, foot::StandingFoot, geometry::projection::Projection,
    truth::polyline::simplified,
};

/// The shortest step toward an edge, in mm at the detector.
const SHORTEST_STEP_MM: f64 = 0.1;

/// How far from the middle of a bone its edge may lie, in mm at the detector.
const REACH_MM: f64 = 60.0;

/// How far apart the points of an outline are found, in mm at the detector.
const OUTLINE_STEP_MM: f64 = 0.5;

/// How far an outline's points may lie off the line that is kept of them, in mm at the detector.
const OUTLINE_TOLERANCE_MM: f64 = 0.02;

/// No outline has more points than this: a metre and a half at the detector.
const MOST_POINTS: usize = 3000;

/// The shadow of one bone on a film, or of several parts that count as one bone.
#[derive(Clone)]
pub(crate) struct Silhouette<'a> {
    parts: Vec<&'a Bone>,
    standing: &'a StandingFoot,
    projection: &'a Projection,
}

impl<'a> Silhouette<'a> {
    pub(crate) const fn new(
        parts: Vec<&'a Bone>,
        standing: &'a StandingFoot,
        projection: &'a Projection,
    ) -> Self {
        Self {
            parts,
            standing,
            projection,
        }
    }

    /// The least distance between the ray to a point of the film and the bone, in mm, negative within
    /// the shadow. It changes by no more than the point moves on the detector, which is never nearer
    /// to the source than the bone is.
    pub(crate) fn clearance_mm(&self, at: FilmPoint) -> f64 {
        let ray = self.standing.ray_in_foot(&self.projection.ray(at));
        self.parts
            .iter()
            .map(|part| part.clearance(&ray))
            .fold(f64::INFINITY, f64::min)
    }

    /// The first edge of the shadow from a point within it along a direction; nothing when the point
    /// lies outside, or no edge within reach.
    pub(crate) fn edge(&self, from: FilmPoint, direction: [f64; 2]) -> Option<FilmPoint> {
        let place = |distance_mm: f64| {
            let distance = distance_mm / self.projection.pixel_mm();
            FilmPoint::new(
                from.x_px + distance * direction[0],
                from.y_px + distance * direction[1],
            )
        };
        let clearance = |distance_mm: f64| self.clearance_mm(place(distance_mm));
        let mut inside = (0.0, clearance(0.0));
        while inside.1 < 0.0 && inside.0 < REACH_MM {
            let at = inside.0 + (-inside.1).max(SHORTEST_STEP_MM);
            let next = (at, clearance(at));
            if next.1 >= 0.0 {
                return Some(place(crossing(clearance, inside, next)));
            }
            inside = next;
        }
        None
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

    /// The outline about a point within the shadow as a closed line, its last point the first again;
    /// nothing when the point lies outside.
    ///
    /// It is walked: the next point lies where a small circle about the last one leaves the shadow. The
    /// points that a straight line between others replaces are left out.
    pub(crate) fn outline(&self, within: FilmPoint) -> Option<Vec<FilmPoint>> {
        let start = self.edge(within, [0.0, -1.0])?;
        let step_px = OUTLINE_STEP_MM / self.projection.pixel_mm();
        let mut points = vec![start];
        let mut heading = [1.0, 0.0];
        let mut at = start;
        while points.len() < MOST_POINTS {
            heading = self.next_heading(at, heading)?;
            at = FilmPoint::new(
                at.x_px + step_px * heading[0],
                at.y_px + step_px * heading[1],
            );
            if points.len() > 3 && at.distance_px(start) < step_px {
                points.push(start);
                let tolerance_px = OUTLINE_TOLERANCE_MM / self.projection.pixel_mm();
                return Some(simplified(&points, tolerance_px));
            }
            points.push(at);
        }
        None
    }

    /// Where the outline goes on from one of its points when it came there along `heading`, with the
    /// shadow to the right.
    fn next_heading(&self, at: FilmPoint, heading: [f64; 2]) -> Option<[f64; 2]> {
        /// How far to the right of the heading the search starts, and its shortest step, in radians.
        const START: f64 = 2.3;
        const SHORTEST: f64 = 0.1;
        let radius_px = OUTLINE_STEP_MM / self.projection.pixel_mm();
        let clearance = |angle: f64| {
            let [x, y] = turned(heading, START - angle);
            self.clearance_mm(FilmPoint::new(
                at.x_px + radius_px * x,
                at.y_px + radius_px * y,
            ))
        };
        let mut last = (0.0, clearance(0.0));
        while last.0 < std::f64::consts::TAU {
            let angle = last.0 + (last.1.abs() / OUTLINE_STEP_MM).max(SHORTEST);
            let next = (angle, clearance(angle));
            if last.1 < 0.0 && next.1 >= 0.0 {
                return Some(turned(heading, START - crossing(clearance, last, next)));
            }
            last = next;
        }
        None
    }
}

/// Where a function that is negative at the first place and not at the second crosses zero: regula
/// falsi that halves the weight of an end which stays (Dowell, Jarratt, BIT 1971;11:168–174, from
/// memory).
fn crossing(function: impl Fn(f64) -> f64, negative: (f64, f64), positive: (f64, f64)) -> f64 {
    const TOLERANCE: f64 = 1e-6;
    let (mut low, mut high) = (negative, positive);
    let mut last_was_low = None;
    for _ in 0..60 {
        if (high.0 - low.0).abs() < TOLERANCE || high.1 <= 0.0 {
            break;
        }
        let at = low.0 + (high.0 - low.0) * (low.1 / (low.1 - high.1));
        let value = function(at);
        if value.abs() < TOLERANCE {
            return at;
        }
        if value < 0.0 {
            low = (at, value);
            if last_was_low == Some(true) {
                high.1 /= 2.0;
            }
        } else {
            high = (at, value);
            if last_was_low == Some(false) {
                low.1 /= 2.0;
            }
        }
        last_was_low = Some(value < 0.0);
    }
    f64::midpoint(low.0, high.0)
}

/// A direction turned by an angle in radians, clockwise as seen on the film.
pub(crate) fn turned(direction: [f64; 2], angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [
        direction[0] * cos - direction[1] * sin,
        direction[0] * sin + direction[1] * cos,
    ]
}

#[cfg(test)]
mod tests {
    use nalgebra::Vector3;
    use plumbray_anatomy::{Side, View};

    use super::*;
    use crate::{
        bones::bone::BoneName,
        foot::Foot,
        geometry::frame::{Attitude, Frame},
        parameters::FootParameters,
        physics::exposure::Exposure,
        shape::{
            form::Form,
            solid::{Relief, Solid},
            wall::{Wall, Walls},
        },
    };

    const RADIUS_MM: f64 = 8.0;

    fn ball_at(place: Vector3<f64>) -> Bone {
        let solid = Solid {
            form: Form::Ellipsoid {
                centre: Vector3::zeros(),
                radii: Vector3::repeat(RADIUS_MM),
            },
            walls: Walls::new(1.0, &[Wall::new(0.0, 1.0, 0.3)]),
            length_mm: RADIUS_MM,
            relief: Relief::NONE,
            grain: Vector3::z(),
        };
        Bone::new(
            BoneName::Talus,
            Frame::new(place, Attitude::degrees(10.0, 20.0, 30.0)),
            &solid,
        )
    }

    fn usual_foot() -> StandingFoot {
        StandingFoot::in_the_middle(Foot::new(FootParameters::default()).expect("possible"))
    }

    fn upright_ap(tilt_degrees: f64) -> Projection {
        let exposure = Exposure {
            tube_tilt_degrees: tilt_degrees,
            ..Exposure::default()
        };
        exposure.ap_projection(Exposure::field_of_one_foot(View::Ap, Side::Right))
    }

    #[test]
    fn the_silhouette_of_a_ball_under_the_source_is_the_circle_of_the_tangent_cone() {
        // The source stands above (0, 5); the ball's middle is 940 mm below it, the detector 1000.
        let place = Vector3::new(0.0, 5.0, 52.0);
        let (ball, standing, projection) = (ball_at(place), usual_foot(), upright_ap(0.0));
        let silhouette = Silhouette::new(vec![&ball], &standing, &projection);
        let expected_mm = 1000.0 * (RADIUS_MM / 940.0).asin().tan();
        let middle = projection.project(place.into());
        let fan = silhouette
            .fan(middle, [1.0, 0.0], std::f64::consts::TAU, 25)
            .expect("within the ball");
        let outline = silhouette.outline(middle).expect("within the ball");
        for point in fan.iter().chain(&outline) {
            let radius_mm = middle.distance_px(*point) * projection.pixel_mm();
            assert!(
                (radius_mm - expected_mm).abs() < 0.03,
                "{point:?}: {radius_mm} mm instead of {expected_mm}"
            );
        }
    }

    #[test]
    fn the_silhouette_of_a_ball_beside_the_beam_touches_the_tangent_cone() {
        let place = Vector3::new(-40.0, 70.0, 30.0);
        let (ball, standing, projection) = (ball_at(place), usual_foot(), upright_ap(15.0));
        let silhouette = Silhouette::new(vec![&ball], &standing, &projection);
        let outline = silhouette
            .outline(projection.project(place.into()))
            .expect("within the ball");
        assert!(outline.len() > 20, "{} points", outline.len());
        for point in outline {
            let ray = projection.ray(point);
            let off = (place - ray.origin).cross(&ray.direction).norm();
            assert!((off - RADIUS_MM).abs() < 0.03, "{point:?}: {off} mm");
        }
    }

    #[test]
    fn the_outline_of_two_parts_that_overlap_goes_around_both() {
        let places = [
            Vector3::new(-5.0, 40.0, 20.0),
            Vector3::new(5.0, 40.0, 20.0),
        ];
        let balls = places.map(ball_at);
        let (standing, projection) = (usual_foot(), upright_ap(0.0));
        let silhouette = Silhouette::new(balls.iter().collect(), &standing, &projection);
        let outline = silhouette
            .outline(projection.project([0.0, 40.0, 20.0]))
            .expect("where they overlap");
        let across = |point: &FilmPoint| point.x_px;
        let low = outline.iter().map(across).fold(f64::INFINITY, f64::min);
        let high = outline.iter().map(across).fold(f64::NEG_INFINITY, f64::max);
        let width_mm = (high - low) * projection.pixel_mm();
        let expected = 2.0 * (5.0 + RADIUS_MM) * projection.magnification([0.0, 40.0, 20.0]);
        assert!((width_mm / expected - 1.0).abs() < 0.005, "{width_mm} mm");
    }

    #[test]
    fn a_projected_outline_has_no_clearance_and_a_step_off_it_has_as_much() {
        let (standing, projection) = (usual_foot(), upright_ap(15.0));
        let bone = standing
            .foot
            .bone(BoneName::Long(plumbray_anatomy::LongBone::M1));
        let silhouette = Silhouette::new(vec![bone], &standing, &projection);
        let middle = bone.frame.foot_from_bone(Vector3::new(0.0, 0.0, 30.0));
        let middle = projection.project(standing.point_in_room(middle).into());
        for step in 0..24 {
            let direction = turned([1.0, 0.0], f64::from(step) * 0.26);
            let edge = silhouette.edge(middle, direction).expect("an edge");
            let at_edge = silhouette.clearance_mm(edge);
            assert!(at_edge.abs() < 1e-4, "{edge:?}: {at_edge} mm");
            let beyond = middle.toward(edge, 1.0 + 5.0 / middle.distance_px(edge));
            assert!(silhouette.clearance_mm(beyond) > 0.0, "beyond {edge:?}");
        }
    }
}
