//! Lines of points on a film: what of them is kept, and where a ruler rests on them.

use plumbray_anatomy::FilmPoint;

/// The points of a line without those that lie within a tolerance of the straight line between the
/// points that are kept (Douglas, Peucker, Cartographica 1973;10:112–122, from memory). The first and
/// the last point are kept.
pub(crate) fn simplified(points: &[FilmPoint], tolerance_px: f64) -> Vec<FilmPoint> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut is_kept = vec![false; points.len()];
    is_kept[0] = true;
    is_kept[last] = true;
    let mut stretches = vec![(0, last)];
    while let Some((from, to)) = stretches.pop() {
        let farthest = (from + 1..to)
            .map(|index| (index, distance_px(points[index], points[from], points[to])))
            .max_by(|one, other| one.1.total_cmp(&other.1));
        if let Some((index, distance)) = farthest
            && distance > tolerance_px
        {
            is_kept[index] = true;
            stretches.extend([(from, index), (index, to)]);
        }
    }
    points
        .iter()
        .zip(is_kept)
        .filter_map(|(point, kept)| kept.then_some(*point))
        .collect()
}

/// The distance from a point to the straight stretch between two others, in pixels.
fn distance_px(point: FilmPoint, from: FilmPoint, to: FilmPoint) -> f64 {
    let length = from.distance_px(to);
    if length <= 0.0 {
        return point.distance_px(from);
    }
    let along = ((point.x_px - from.x_px) * (to.x_px - from.x_px)
        + (point.y_px - from.y_px) * (to.y_px - from.y_px))
        / (length * length);
    point.distance_px(from.toward(to, along.clamp(0.0, 1.0)))
}

/// The pair of points, farthest apart, between which no point of a line of points lies lower on the
/// film than the straight line through the two, within a hundredth of a pixel.
pub(crate) fn resting_points(line: &[FilmPoint]) -> Option<(FilmPoint, FilmPoint)> {
    let mut best: Option<(f64, FilmPoint, FilmPoint)> = None;
    for (index, first) in line.iter().enumerate() {
        for second in &line[index + 1..] {
            let width = second.x_px - first.x_px;
            if width.abs() < 1e-6 {
                continue;
            }
            let slope = (second.y_px - first.y_px) / width;
            let is_support = line
                .iter()
                .all(|point| point.y_px <= first.y_px + slope * (point.x_px - first.x_px) + 0.01);
            let length = first.distance_px(*second);
            if is_support && best.is_none_or(|known| length > known.0) {
                best = Some((length, *first, *second));
            }
        }
    }
    best.map(|(_, first, second)| (first, second))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_corner_is_kept_and_what_lies_straight_between_is_not() {
        let points: Vec<FilmPoint> = (0..=10)
            .map(|step| FilmPoint::new(f64::from(step), f64::from((step - 5).max(0))))
            .collect();
        let kept = simplified(&points, 0.01);
        assert_eq!(kept, [points[0], points[5], points[10]], "the corner");
    }

    #[test]
    fn no_point_of_a_circle_lies_farther_off_than_the_tolerance() {
        let points: Vec<FilmPoint> = (0..=200)
            .map(|step| {
                let (y, x) = (f64::from(step) * std::f64::consts::TAU / 200.0).sin_cos();
                FilmPoint::new(50.0 * x, 50.0 * y)
            })
            .collect();
        let kept = simplified(&points, 0.1);
        assert!(kept.len() < 80, "{} points", kept.len());
        for point in points {
            let off = kept
                .windows(2)
                .map(|pair| distance_px(point, pair[0], pair[1]))
                .fold(f64::INFINITY, f64::min);
            assert!(off <= 0.1, "{point:?}: {off}");
        }
    }

    #[test]
    fn a_ruler_rests_on_the_two_lowest_bumps() {
        let line: Vec<FilmPoint> = [0.0, 3.0, 1.0, 2.0, 5.0, 4.5]
            .into_iter()
            .zip(0..)
            .map(|(y, x)| FilmPoint::new(f64::from(x), y))
            .collect();
        let rests = resting_points(&line).expect("two points");
        assert_eq!(rests, (line[1], line[4]), "the bumps");
    }
}
