//! The map between two films that most of their shared points agree on.

use nalgebra::{Matrix4, Vector4};
use plumbray_anatomy::{PhysicalVector, Similarity, WeightedPair};

use super::SharedPoint;

/// A map with how much each point counted in the end.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fitted {
    pub(super) map: Similarity,
    pub(super) weights: Vec<f64>,
}

/// A point that lies off by so many robust standard deviations counts nothing (Tukey's biweight; 95 % as
/// efficient as least squares where nothing is wrong, from memory).
const CUT_OFF: f64 = 4.685;
/// From the median of absolute deviations to a standard deviation.
const SD_OF_MEDIAN: f64 = 1.4826;
const ROUNDS: usize = 20;

/// The map from the later to the earlier film by least squares, repeated with points that lie far off
/// counting less, by Tukey's biweight of their distance. Nothing where the points do not tell a map.
///
/// Distances count in their robust standard deviation, though never in less than `least_spread_px` pixel
/// widths: of few points some always fit better than the rest by chance.
pub(super) fn fitted(
    points: &[SharedPoint],
    mirrored: bool,
    least_spread_px: f64,
) -> Option<Fitted> {
    let mut weights: Vec<f64> = points.iter().map(|point| point.weight).collect();
    let mut map = by_weights(points, &weights, mirrored)?;
    for _ in 0..ROUNDS {
        let distances: Vec<f64> = points.iter().map(|point| point.distance(&map)).collect();
        let spread = (SD_OF_MEDIAN * median(&distances)).max(least_spread_px);
        let next: Vec<f64> = points
            .iter()
            .zip(&distances)
            .map(|(point, distance)| point.weight * biweight(distance / spread))
            .collect();
        let Some(better) = by_weights(points, &next, mirrored) else {
            break;
        };
        let moved = points
            .iter()
            .map(|point| (better.of(point.later) - map.of(point.later)).length())
            .fold(0.0, f64::max);
        (map, weights) = (better, next);
        if moved < 1e-9 {
            break;
        }
    }
    Some(Fitted { map, weights })
}

/// The map of least weighted squares, by the closed form where every point is one of its bone.
fn by_weights(points: &[SharedPoint], weights: &[f64], mirrored: bool) -> Option<Similarity> {
    let pairs: Vec<WeightedPair> = points
        .iter()
        .zip(weights)
        .map(|(point, weight)| (point.later, point.earlier, *weight))
        .collect();
    let start = Similarity::fitted(&pairs, mirrored)?;
    if points.iter().all(|point| point.along.is_none()) {
        return Some(start);
    }
    by_metric(points, weights, &start)
}

/// The same where points count less along a line. The map is linear in its four parameters (a, b, u, v), so
/// that its change from `start` solves four equations.
fn by_metric(points: &[SharedPoint], weights: &[f64], start: &Similarity) -> Option<Similarity> {
    let middle = points.first()?.earlier;
    let mut normal = Matrix4::zeros();
    let mut right = Vector4::zeros();
    for (point, weight) in points.iter().zip(weights) {
        let at = start.of(point.later);
        let (from, off) = (at - middle, point.earlier - at);
        let by_x = Vector4::new(from.x, -from.y, 1.0, 0.0);
        let by_y = Vector4::new(from.y, from.x, 0.0, 1.0);
        let [xx, xy, yy] = point.metric();
        let (to_x, to_y) = (by_x * xx + by_y * xy, by_x * xy + by_y * yy);
        normal += (by_x * to_x.transpose() + by_y * to_y.transpose()) * *weight;
        right += (to_x * off.x + to_y * off.y) * *weight;
    }
    let change = normal.cholesky()?.solve(&right);
    let (a, b) = (1.0 + change[0], change[1]);
    // What `start` gives, turned and enlarged about `middle`, then moved.
    let away = start.origin() - middle;
    let origin = middle
        + PhysicalVector::new(
            a * away.x - b * away.y + change[2],
            b * away.x + a * away.y + change[3],
        );
    Some(Similarity::new(
        origin,
        start.scale() * a.hypot(b),
        start.turn() + b.atan2(a),
        start.is_mirrored(),
    ))
}

/// The root of the weighted mean square of the distances, in pixel widths of the earlier film.
pub(super) fn root_mean_square(points: &[SharedPoint], weights: &[f64], map: &Similarity) -> f64 {
    let total: f64 = weights.iter().sum();
    let squares: f64 = points
        .iter()
        .zip(weights)
        .map(|(point, weight)| weight * point.distance(map).powi(2))
        .sum();
    (squares / total).sqrt()
}

fn biweight(off: f64) -> f64 {
    let share = off / CUT_OFF;
    if share < 1.0 {
        (1.0 - share * share).powi(2)
    } else {
        0.0
    }
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{LongBone, PhysicalPoint};

    use super::*;

    fn points(map: &Similarity) -> Vec<SharedPoint> {
        [
            (0.0, 0.0),
            (10.0, 300.0),
            (80.0, 20.0),
            (90.0, 280.0),
            (150.0, 40.0),
            (160.0, 250.0),
            (40.0, 150.0),
        ]
        .map(|(x, y)| {
            let later = PhysicalPoint::new(x, y);
            SharedPoint {
                bone: Some(LongBone::M2),
                earlier: map.of(later),
                later,
                weight: 1.0,
                along: None,
            }
        })
        .to_vec()
    }

    #[test]
    fn one_bone_that_was_moved_does_not_move_the_map() {
        let map = Similarity::new(PhysicalPoint::new(50.0, -20.0), 1.15, 0.35, false);
        let mut points = points(&map);
        points[3].earlier.x += 60.0;
        let found = fitted(&points, false, 2.0).expect("seven points");
        for point in &points {
            let away = (found.map.of(point.later) - map.of(point.later)).length();
            assert!(away < 1e-6, "{away} px off");
        }
        assert!(found.weights[3] < 1e-9, "the moved point counts nothing");
    }

    #[test]
    fn a_mirrored_film_is_laid_over_when_it_is_said_to_be_mirrored() {
        let map = Similarity::new(PhysicalPoint::new(700.0, 10.0), 0.9, 0.1, true);
        let points = points(&map);
        let found = fitted(&points, true, 2.0).expect("seven points");
        let residual = root_mean_square(&points, &found.weights, &found.map);
        assert!(residual < 1e-9, "{residual}");
        let plain = fitted(&points, false, 2.0).expect("some map");
        let residual = root_mean_square(&points, &plain.weights, &plain.map);
        assert!(residual > 10.0, "not without mirroring: {residual}");
    }

    #[test]
    fn a_point_that_slid_along_its_line_moves_the_map_less_than_one_that_was_moved_across_it() {
        for mirrored in [false, true] {
            let map = Similarity::new(PhysicalPoint::new(50.0, -20.0), 1.15, 0.35, mirrored);
            let along = PhysicalVector::new(0.6, 0.8);
            let moved = |by: PhysicalVector, line: Option<PhysicalVector>| {
                let mut points = points(&map);
                for point in &mut points[..3] {
                    point.along = line;
                }
                points[0].earlier = points[0].earlier + by;
                let found = fitted(&points, mirrored, 100.0).expect("seven points").map;
                (found.of(points[0].later) - map.of(points[0].later)).length()
            };
            let exact = moved(along * 0.0, Some(along));
            assert!(exact < 1e-9, "nothing slid: {exact}");
            let (slid, whole) = (moved(along * 20.0, Some(along)), moved(along * 20.0, None));
            assert!(slid < 0.5 * whole, "{slid} along, {whole} without a line");
            let across = moved(along.perpendicular() * 20.0, Some(along));
            assert!(across > 0.8 * whole, "{across} across, {whole} before");
        }
    }
}
