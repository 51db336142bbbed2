//! The centre of a head from its joint surface.

/// A place on a picture with its standard deviation, both in millimetres of the usual foot.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) at: [f64; 2],
    pub(crate) sd_mm: f64,
}

/// By how much the ends of a joint surface miss the head's circle, in millimetres.
const OFF_THE_CIRCLE_MM: f64 = 0.2;

/// The centre of a head's circle, given where it is seen and where both ends of its joint surface are.
///
/// Both ends lie on the circle, so that its centre lies on the perpendicular bisector between them. How far it
/// lies across is known from the ends better than from how the head looks, above all where metal or callus
/// surrounds it: the mean of both counts, weighted by their variances.
///
/// ```text
/// off = (c − m) · u,   c' = c − u · off · σ_c² / (σ_c² + σ_b²)
/// ```
///
/// with m the middle between the ends and u the direction from one to the other.
pub(crate) fn balanced(centre: Place, ends: [Place; 2]) -> [f64; 2] {
    let [one, other] = ends.map(|end| end.at);
    let way = [other[0] - one[0], other[1] - one[1]];
    let length = way[0].hypot(way[1]);
    if length <= 0.0 {
        return centre.at;
    }
    let along = way.map(|part| part / length);
    let off: f64 = [0, 1]
        .map(|axis| (centre.at[axis] - f64::midpoint(one[axis], other[axis])) * along[axis])
        .iter()
        .sum();
    let own = centre.sd_mm.powi(2);
    let middle = (0.5 * ends[0].sd_mm.hypot(ends[1].sd_mm)).hypot(OFF_THE_CIRCLE_MM);
    let share = own / (own + middle.powi(2));
    [0, 1].map(|axis| centre.at[axis] - share * off * along[axis])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(at: [f64; 2], sd_mm: f64) -> Place {
        Place { at, sd_mm }
    }

    #[test]
    fn a_centre_that_is_hardly_known_goes_onto_the_bisector_and_keeps_its_depth() {
        let ends = [place([-10.0, 0.0], 0.01), place([10.0, 0.0], 0.01)];
        let [x, y] = balanced(place([3.0, 12.0], 100.0), ends);
        assert!(x.abs() < 1e-3 && (y - 12.0).abs() < 1e-12, "{x}, {y}");
    }

    #[test]
    fn a_centre_that_is_known_stays_and_equal_doubt_meets_halfway() {
        let ends = [place([-10.0, 0.0], 0.0), place([10.0, 0.0], 0.0)];
        let known = balanced(place([3.0, 12.0], 0.0), ends);
        assert!((known[0] - 3.0).abs() < 1e-12, "{known:?}");
        let halfway = balanced(place([3.0, 12.0], OFF_THE_CIRCLE_MM), ends);
        assert!((halfway[0] - 1.5).abs() < 1e-12, "{halfway:?}");
    }

    #[test]
    fn ends_in_one_place_say_nothing() {
        let ends = [place([1.0, 2.0], 0.1); 2];
        let [x, y] = balanced(place([3.0, 4.0], 0.5), ends);
        assert!((x - 3.0).hypot(y - 4.0) < 1e-12, "as it was: {x}, {y}");
    }
}
