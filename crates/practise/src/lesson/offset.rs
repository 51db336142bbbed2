//! How far a traced thing lies from where the reference has it.

use plumbray_anatomy::{FilmPoint, PhysicalPoint, PhysicalVector, Proportions};

/// The step from a line of points to a point, square to the line's nearest stretch; the first and the last stretch go
/// on without end. Nothing where the line has no stretch of any length.
pub(super) fn across_line(
    line: &[FilmPoint],
    point: FilmPoint,
    proportions: Proportions,
) -> Option<PhysicalVector> {
    let at = proportions.physical(point);
    let last = line.len().saturating_sub(2);
    line.windows(2)
        .enumerate()
        .filter_map(|(index, ends)| {
            let [from, to] = [ends[0], ends[1]].map(|end| proportions.physical(end));
            let lowest = if index == 0 { f64::NEG_INFINITY } else { 0.0 };
            let highest = if index == last { f64::INFINITY } else { 1.0 };
            step_from_stretch([from, to], [lowest, highest], at)
        })
        .min_by(|one, other| one.length().total_cmp(&other.length()))
}

fn step_from_stretch(
    [from, to]: [PhysicalPoint; 2],
    [lowest, highest]: [f64; 2],
    at: PhysicalPoint,
) -> Option<PhysicalVector> {
    let along = to - from;
    let square = along.dot(along);
    if square.is_nan() || square <= 0.0 {
        return None;
    }
    let share = ((at - from).dot(along) / square).clamp(lowest, highest);
    Some(at - (from + along * share))
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn a_point_beyond_the_end_of_a_line_counts_across_it_only() {
        let line = [(0.0, 0.0), (10.0, 0.0), (20.0, 0.0)].map(|(x, y)| FilmPoint::new(x, y));
        let tall = Proportions::new(2.0).expect("possible");
        for x in [-7.0, 3.0, 15.0, 40.0] {
            let step = across_line(&line, FilmPoint::new(x, 3.0), tall).expect("a line");
            assert_close(step.x, 0.0, 1e-12, "nothing along the line");
            assert_close(step.y, 6.0, 1e-12, "three tall pixels across it");
        }
    }

    #[test]
    fn a_line_without_length_has_no_across() {
        let spot = [FilmPoint::new(1.0, 1.0); 3];
        let step = across_line(&spot, FilmPoint::new(2.0, 2.0), Proportions::SQUARE);
        assert_eq!(step, None, "no direction");
    }
}
