//! How much of each pixel of a raster an outline covers.

use rayon::prelude::*;

/// How much of each pixel of a raster the inside of an outline covers, from 0, nothing, to 255, all of it.
///
/// With the distance *d* from a pixel's centre to the nearest place of the outline, in pixels,
///
/// ```text
/// covered = 0.5 ± d, at least 0 and at most 1        + inside, − outside
/// ```
///
/// which is exact for a straight upright edge and soft over one pixel for any other. It is this rule, not the exact
/// area, because a graphics processor follows it as cheaply as it draws.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Coverage {
    width: usize,
    shares: Vec<u8>,
}

impl Coverage {
    /// The coverage of `width * height` pixels by a closed outline, given by its corners as x and y in pixels from
    /// the raster's upper left corner; the last is joined to the first.
    ///
    /// Inside is what the outline surrounds an odd number of times. An outline of fewer than three corners, or with
    /// a coordinate that is no number, covers nothing.
    #[must_use]
    pub fn of(outline: &[[f64; 2]], width: usize, height: usize) -> Self {
        let mut shares = vec![0; width * height];
        let is_number = |corner: &[f64; 2]| corner.iter().all(|place| place.is_finite());
        if width > 0 && outline.len() >= 3 && outline.iter().all(is_number) {
            let next = outline.iter().cycle().skip(1);
            let edges: Vec<Edge> = outline
                .iter()
                .zip(next)
                .map(|(from, to)| Edge::new(*from, *to))
                .collect();
            shares
                .par_chunks_exact_mut(width)
                .enumerate()
                .for_each_init(
                    || (Vec::new(), vec![0.0; width]),
                    |(crossings, distances), (row, shares)| {
                        cover_row(&edges, row as f64 + 0.5, crossings, distances, shares);
                    },
                );
        }
        Self { width, shares }
    }

    /// The shares of the pixels of a row, from left to right; none for a row beyond the raster.
    #[must_use]
    pub fn row(&self, row: usize) -> &[u8] {
        let start = row.saturating_mul(self.width);
        let end = start.saturating_add(self.width);
        self.shares.get(start..end).unwrap_or_default()
    }

    /// The shares of all pixels, row by row.
    #[must_use]
    pub fn shares(&self) -> &[u8] {
        &self.shares
    }
}

/// A pixel farther than this from the outline is covered whole or not at all.
const SOFT: f64 = 0.5;

/// One side of an outline.
struct Edge {
    from: [f64; 2],
    along: [f64; 2],
    square: f64,
}

impl Edge {
    fn new(from: [f64; 2], to: [f64; 2]) -> Self {
        let along = [to[0] - from[0], to[1] - from[1]];
        Self {
            from,
            along,
            square: along[0] * along[0] + along[1] * along[1],
        }
    }

    /// Where it crosses a level: from its upper end, included, to its lower end, excluded.
    fn crossing(&self, y: f64) -> Option<f64> {
        let [x_from, y_from] = self.from;
        let crosses = (y_from > y) != (y_from + self.along[1] > y);
        crosses.then(|| x_from + (y - y_from) / self.along[1] * self.along[0])
    }

    /// From where to where it runs within [`SOFT`] of a level; nothing where it does not come so close.
    fn reach(&self, y: f64) -> Option<(f64, f64)> {
        let [x_from, y_from] = self.from;
        let [x_along, y_along] = self.along;
        let shares = [y - SOFT, y + SOFT].map(|level| (level - y_from) / y_along);
        let (first, last) = if y_along == 0.0 {
            ((y - y_from).abs() <= SOFT).then_some((0.0, 1.0))?
        } else {
            (
                shares[0].min(shares[1]).max(0.0),
                shares[0].max(shares[1]).min(1.0),
            )
        };
        let ends = [first, last].map(|share| x_from + share * x_along);
        (first <= last).then_some((ends[0].min(ends[1]), ends[0].max(ends[1])))
    }

    fn distance(&self, x: f64, y: f64) -> f64 {
        let away = [x - self.from[0], y - self.from[1]];
        let share = if self.square > 0.0 {
            let dot = away[0] * self.along[0] + away[1] * self.along[1];
            (dot / self.square).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (away[0] - share * self.along[0]).hypot(away[1] - share * self.along[1])
    }
}

/// Writes the shares of the row whose centres lie at `y`. `crossings` and `distances` are room to work in; the latter
/// has one place for each pixel.
fn cover_row(
    edges: &[Edge],
    y: f64,
    crossings: &mut Vec<f64>,
    distances: &mut [f64],
    shares: &mut [u8],
) {
    crossings.clear();
    crossings.extend(edges.iter().filter_map(|edge| edge.crossing(y)));
    crossings.sort_by(f64::total_cmp);
    // An outline is closed, so that it crosses any level an even number of times.
    for inside in crossings.chunks_exact(2) {
        let (start, end) = (
            first_centre(inside[0], shares),
            first_centre(inside[1], shares),
        );
        shares[start..end].fill(u8::MAX);
    }
    let near = |edge: &Edge| {
        let (left, right) = edge.reach(y)?;
        let (start, end) = (left - SOFT, right + SOFT);
        Some(first_centre(start, shares)..first_centre(end, shares))
    };
    let runs: Vec<_> = edges
        .iter()
        .filter_map(|edge| near(edge).map(|run| (edge, run)))
        .collect();
    for (_, run) in &runs {
        distances[run.clone()].fill(SOFT);
    }
    for (edge, run) in &runs {
        for column in run.clone() {
            let distance = edge.distance(column as f64 + 0.5, y);
            distances[column] = distances[column].min(distance);
        }
    }
    for (_, run) in runs {
        for column in run {
            let is_inside = shares[column] > HALF;
            shares[column] = softened(is_inside, distances[column]);
        }
    }
}

/// Shares above this are those of pixels whose centres lie inside; see [`softened`].
const HALF: u8 = 127;

/// The first column whose centre lies at or to the right of a place, among those of a row.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, and the place is held within the row"
)]
fn first_centre(x: f64, row: &[u8]) -> usize {
    ((x - 0.5).ceil() as usize).min(row.len())
}

/// The share of a pixel whose centre lies so near the outline: above [`HALF`] exactly when it lies inside, so that a
/// pixel near two edges is softened twice to the same share.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of at most one times 255"
)]
fn softened(is_inside: bool, distance: f64) -> u8 {
    let distance = distance.min(SOFT);
    if is_inside {
        (((0.5 + distance) * 255.0).round() as u8).max(HALF + 1)
    } else {
        (((0.5 - distance) * 255.0).round() as u8).min(HALF)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const WIDTH: usize = 24;
    const HEIGHT: usize = 18;

    /// The rule as it stands in the document, pixel by pixel.
    fn by_the_rule(outline: &[[f64; 2]], x: f64, y: f64) -> f64 {
        let mut inside = false;
        let mut nearest = f64::INFINITY;
        for (index, to) in outline.iter().enumerate() {
            let from = outline[(index + outline.len() - 1) % outline.len()];
            let edge = Edge::new(from, *to);
            nearest = nearest.min(edge.distance(x, y));
            if edge.crossing(y).is_some_and(|crossing| x < crossing) {
                inside = !inside;
            }
        }
        (0.5 + if inside { nearest } else { -nearest }).clamp(0.0, 1.0)
    }

    #[test]
    fn a_rectangle_with_half_pixels_at_its_edges_covers_exactly_that_much() {
        let outline = [[2.5, 3.0], [8.0, 3.0], [8.0, 6.25], [2.5, 6.25]];
        let coverage = Coverage::of(&outline, 10, 8);
        let expected: [u8; 10] = [0, 0, 128, 255, 255, 255, 255, 255, 0, 0];
        assert_eq!(coverage.row(4), expected, "a row within");
        assert_eq!(coverage.row(2), [0; 10], "a row above");
        assert_eq!(coverage.row(6)[4], 64, "a quarter of the last row");
        assert_eq!(coverage.row(7), [0; 10], "a row below");
        assert_eq!(coverage.row(8), [0_u8; 0], "no row beyond");
    }

    #[test]
    fn what_is_no_outline_covers_nothing() {
        for outline in [
            &[][..],
            &[[1.0, 1.0]],
            &[[1.0, 1.0], [5.0, 5.0]],
            &[[1.0, 1.0], [5.0, f64::NAN], [1.0, 5.0]],
        ] {
            let coverage = Coverage::of(outline, 6, 6);
            assert!(
                coverage.shares().iter().all(|share| *share == 0),
                "{outline:?}"
            );
        }
        assert!(
            Coverage::of(&[[0.0; 2]; 3], 0, 5).shares().is_empty(),
            "no raster"
        );
    }

    proptest! {
        #[test]
        fn every_pixel_follows_the_rule(
            corners in prop::collection::vec((-9.0..33.0, -9.0..27.0), 3..9),
        ) {
            let outline: Vec<[f64; 2]> = corners.iter().map(|(x, y)| [*x, *y]).collect();
            let coverage = Coverage::of(&outline, WIDTH, HEIGHT);
            for row in 0..HEIGHT {
                for (column, share) in coverage.row(row).iter().enumerate() {
                    let rule = by_the_rule(&outline, column as f64 + 0.5, row as f64 + 0.5);
                    let off = (f64::from(*share) / 255.0 - rule).abs();
                    prop_assert!(off < 1.01 / 255.0, "{share} at {column}, {row}, not {rule}");
                }
            }
        }

        #[test]
        fn a_large_convex_outline_covers_its_area(
            x in 5.0..8.0, y in 5.0..8.0, radius in 4.0..5.0, turn in 0.0..7.0,
        ) {
            let outline: Vec<[f64; 2]> = (0..40)
                .map(|index| {
                    let angle: f64 = turn + f64::from(index) / 40.0 * std::f64::consts::TAU;
                    [x + radius * angle.cos(), y + radius * angle.sin()]
                })
                .collect();
            let sum: f64 = Coverage::of(&outline, WIDTH, HEIGHT)
                .shares()
                .iter()
                .map(|share| f64::from(*share) / 255.0)
                .sum();
            // Forty triangles of sin(9°)/2 · r².
            let area: f64 = 20.0 * (std::f64::consts::TAU / 40.0).sin() * radius * radius;
            let off: f64 = sum / area - 1.0;
            prop_assert!(off.abs() < 0.02, "{sum} for {area}");
        }
    }
}
