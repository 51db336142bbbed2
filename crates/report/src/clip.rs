//! Lines cut off at the edge of the film over which they are drawn.

use crate::mark::{Area, Spot};

/// The parts of a line through several places that lie inside an area, each with at least two places.
pub(crate) fn clipped(along: &[Spot], area: Area) -> Vec<Vec<Spot>> {
    let mut parts: Vec<Vec<Spot>> = Vec::new();
    for pair in along.windows(2) {
        let [from, to] = [pair[0], pair[1]];
        let Some((enters, leaves)) = inside(from, to, area) else {
            continue;
        };
        match parts.last_mut() {
            Some(part) if part.last() == Some(&enters) => part.push(leaves),
            _ => parts.push(vec![enters, leaves]),
        }
    }
    parts
}

/// The part of a straight line inside an area, by the bounds that each edge sets on the share of the way:
///
/// ```text
/// from + t (to − from), 0 ≤ t ≤ 1
/// ```
fn inside(from: Spot, to: Spot, area: Area) -> Option<(Spot, Spot)> {
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for (start, step, low, high) in [
        (from.x, to.x - from.x, area.left, area.right()),
        (from.y, to.y - from.y, area.top, area.bottom()),
    ] {
        if step == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (one, other) = ((low - start) / step, (high - start) / step);
        first = first.max(one.min(other));
        last = last.min(one.max(other));
    }
    let at = |share: f64| {
        if share <= 0.0 {
            from
        } else if share >= 1.0 {
            to
        } else {
            Spot {
                x: from.x + share * (to.x - from.x),
                y: from.y + share * (to.y - from.y),
            }
        }
    };
    (first < last).then(|| (at(first), at(last)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Area = Area {
        left: 10.0,
        top: 10.0,
        width: 20.0,
        height: 10.0,
    };

    fn spots(places: &[(f64, f64)]) -> Vec<Spot> {
        places.iter().map(|(x, y)| Spot { x: *x, y: *y }).collect()
    }

    #[test]
    fn a_line_inside_stays_and_one_outside_goes() {
        let within = spots(&[(11.0, 11.0), (20.0, 15.0), (29.0, 19.0)]);
        assert_eq!(clipped(&within, AREA), [within], "inside");
        let without = spots(&[(0.0, 0.0), (9.0, 40.0)]);
        assert_eq!(clipped(&without, AREA), [] as [Vec<Spot>; 0], "outside");
    }

    #[test]
    fn a_line_across_is_cut_at_both_edges() {
        let across = spots(&[(0.0, 15.0), (100.0, 15.0)]);
        let expected = spots(&[(10.0, 15.0), (30.0, 15.0)]);
        assert_eq!(clipped(&across, AREA), [expected], "across");
    }

    #[test]
    fn a_line_that_leaves_and_comes_back_is_two() {
        let bent = spots(&[(15.0, 15.0), (15.0, 40.0), (25.0, 40.0), (25.0, 15.0)]);
        let expected = [
            spots(&[(15.0, 15.0), (15.0, 20.0)]),
            spots(&[(25.0, 20.0), (25.0, 15.0)]),
        ];
        assert_eq!(clipped(&bent, AREA), expected, "two parts");
    }
}
