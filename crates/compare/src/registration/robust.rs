//! The map between two films that most of their shared points agree on.

use plumbray_anatomy::{Similarity, WeightedPair};

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
/// Points closer than this to where they belong are never doubted, in pixel widths.
const NEVER_DOUBTED_PX: f64 = 2.0;
const ROUNDS: usize = 20;

/// The map from the later to the earlier film by least squares, repeated with points that lie far off
/// counting less, by Tukey's biweight of their distance. Nothing where the points do not tell a map.
pub(super) fn fitted(points: &[SharedPoint], mirrored: bool) -> Option<Fitted> {
    let mut weights: Vec<f64> = points.iter().map(|point| point.weight).collect();
    let mut map = by_weights(points, &weights, mirrored)?;
    for _ in 0..ROUNDS {
        let distances: Vec<f64> = points.iter().map(|point| distance(&map, point)).collect();
        let spread = (SD_OF_MEDIAN * median(&distances)).max(NEVER_DOUBTED_PX);
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

fn by_weights(points: &[SharedPoint], weights: &[f64], mirrored: bool) -> Option<Similarity> {
    let pairs: Vec<WeightedPair> = points
        .iter()
        .zip(weights)
        .map(|(point, weight)| (point.later, point.earlier, *weight))
        .collect();
    Similarity::fitted(&pairs, mirrored)
}

fn distance(map: &Similarity, point: &SharedPoint) -> f64 {
    (map.of(point.later) - point.earlier).length()
}

/// The root of the weighted mean square of the distances, in pixel widths of the earlier film.
pub(super) fn root_mean_square(points: &[SharedPoint], weights: &[f64], map: &Similarity) -> f64 {
    let total: f64 = weights.iter().sum();
    let squares: f64 = points
        .iter()
        .zip(weights)
        .map(|(point, weight)| weight * distance(map, point).powi(2))
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
            }
        })
        .to_vec()
    }

    #[test]
    fn one_bone_that_was_moved_does_not_move_the_map() {
        let map = Similarity::new(PhysicalPoint::new(50.0, -20.0), 1.15, 0.35, false);
        let mut points = points(&map);
        points[3].earlier.x += 60.0;
        let found = fitted(&points, false).expect("seven points");
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
        let found = fitted(&points, true).expect("seven points");
        let residual = root_mean_square(&points, &found.weights, &found.map);
        assert!(residual < 1e-9, "{residual}");
        let plain = fitted(&points, false).expect("some map");
        let residual = root_mean_square(&points, &plain.weights, &plain.map);
        assert!(residual > 10.0, "not without mirroring: {residual}");
    }
}
