//! The inside of one bone on a network's picture.

use super::{PIXEL_MM, millimetres};

/// How likely each pixel lies inside a bone.
#[derive(Clone, Debug)]
pub(crate) struct Mask {
    width: usize,
    height: usize,
    /// Scores: above zero, inside is more likely than outside.
    scores: Vec<f32>,
}

/// An ellipse by its middle and two half axes, in millimetres from the middle of the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct MaskEllipse {
    pub(crate) middle: [f64; 2],
    /// From the middle to an end of the long axis.
    pub(crate) long: [f64; 2],
    /// From the middle to an end of the short axis.
    pub(crate) short: [f64; 2],
    pub(crate) area_mm2: f64,
    /// How sure the inside is, from 0.5 to 1: the mean of its pixels.
    pub(crate) sureness: f64,
}

impl Mask {
    pub(crate) fn new(width: usize, height: usize, scores: &[f32]) -> Self {
        Self {
            width,
            height,
            scores: scores.to_vec(),
        }
    }

    /// The score at a place in millimetres from the middle; far outside beyond the picture's edges.
    pub(crate) fn score(&self, [x, y]: [f64; 2]) -> f64 {
        let column = x / PIXEL_MM + 0.5 * self.width as f64 - 0.5;
        let row = y / PIXEL_MM + 0.5 * self.height as f64 - 0.5;
        let last_column = self.width as f64 - 1.0;
        let last_row = self.height as f64 - 1.0;
        if column < 0.0 || row < 0.0 || column > last_column || row > last_row {
            return OUTSIDE;
        }
        let (left, top) = (column.floor() as usize, row.floor() as usize);
        let (right, bottom) = (
            (left + 1).min(self.width - 1),
            (top + 1).min(self.height - 1),
        );
        let (across, down) = (column - column.floor(), row - row.floor());
        let at = |x: usize, y: usize| f64::from(self.scores[y * self.width + x]).clamp(-CAP, CAP);
        (at(left, top) * (1.0 - across) + at(right, top) * across) * (1.0 - down)
            + (at(left, bottom) * (1.0 - across) + at(right, bottom) * across) * down
    }

    /// The distance, in millimetres, from a place inside along a direction to where the inside ends;
    /// nothing when the place is outside, or the inside goes on for longer than `most`. With it the
    /// steepness of the end, in scores to the millimetre.
    pub(crate) fn way_out(
        &self,
        from: [f64; 2],
        toward: [f64; 2],
        most: f64,
    ) -> Option<(f64, f64)> {
        let at = |way: f64| self.score([from[0] + way * toward[0], from[1] + way * toward[1]]);
        let mut before = at(0.0);
        if before <= 0.0 {
            return None;
        }
        let step = 0.5 * PIXEL_MM;
        let mut way = step;
        while way <= most {
            let here = at(way);
            if here <= 0.0 {
                let part = before / (before - here);
                return Some((way - step + part * step, (before - here) / step));
            }
            before = here;
            way += step;
        }
        None
    }

    /// The point of the inside that lies farthest along a direction, looked for from a place inside, with
    /// the steepness of its end there; nothing where the place is outside.
    ///
    /// Near that point the outline is nearly square to the direction, so that a fan of ways out is searched
    /// ever more narrowly about the best.
    pub(crate) fn farthest(
        &self,
        from: [f64; 2],
        toward: [f64; 2],
        most: f64,
    ) -> Option<([f64; 2], f64)> {
        let middle = toward[1].atan2(toward[0]);
        let (mut centre, mut opening) = (0.0, FARTHEST_FAN);
        let mut best: Option<(f64, [f64; 2], f64)> = None;
        for _ in 0..5 {
            let mut best_angle = centre;
            for ray in -6_i32..=6 {
                let angle = centre + opening * f64::from(ray) / 12.0;
                let (sine, cosine) = (middle + angle).sin_cos();
                let Some((way, steepness)) = self.way_out(from, [cosine, sine], most) else {
                    continue;
                };
                let along = way * angle.cos();
                if best.is_none_or(|(known, ..)| along > known) {
                    let at = [from[0] + way * cosine, from[1] + way * sine];
                    best = Some((along, at, steepness));
                    best_angle = angle;
                }
            }
            centre = best_angle;
            opening *= 0.35;
        }
        best.map(|(_, at, steepness)| (at, steepness))
    }

    /// The ellipse that has the same area and spread as the inside around a place: what is connected to
    /// it. Nothing when the place is far from any inside.
    pub(crate) fn ellipse(&self, near: [f64; 2]) -> Option<MaskEllipse> {
        let inside = self.connected(near)?;
        let count = inside.len() as f64;
        let share = |index: &usize| 1.0 / (1.0 + (-f64::from(self.scores[*index])).exp());
        let place = |index: &usize| {
            millimetres(
                [self.width, self.height],
                [
                    (index % self.width) as f64 + 0.5,
                    (index / self.width) as f64 + 0.5,
                ],
            )
        };
        let mean = |value: &dyn Fn(&usize) -> f64| inside.iter().map(value).sum::<f64>() / count;
        let (x, y) = (
            mean(&|index| place(index)[0]),
            mean(&|index| place(index)[1]),
        );
        let xx = mean(&|index| (place(index)[0] - x).powi(2));
        let yy = mean(&|index| (place(index)[1] - y).powi(2));
        let xy = mean(&|index| (place(index)[0] - x) * (place(index)[1] - y));
        let middle = 0.5 * (xx + yy);
        let apart = (0.25 * (xx - yy).powi(2) + xy * xy).sqrt();
        // The spread of an evenly filled ellipse along an axis is half its half axis.
        let (long, short) = (
            2.0 * (middle + apart).sqrt(),
            2.0 * (middle - apart).max(0.0).sqrt(),
        );
        let turn = 0.5 * (2.0 * xy).atan2(xx - yy);
        Some(MaskEllipse {
            middle: [x, y],
            long: [long * turn.cos(), long * turn.sin()],
            short: [-short * turn.sin(), short * turn.cos()],
            area_mm2: count * PIXEL_MM * PIXEL_MM,
            sureness: mean(&share),
        })
    }

    /// The pixels inside that are connected with the one nearest to a place.
    fn connected(&self, near: [f64; 2]) -> Option<Vec<usize>> {
        let column = near[0] / PIXEL_MM + 0.5 * self.width as f64;
        let row = near[1] / PIXEL_MM + 0.5 * self.height as f64;
        let away = |index: usize| {
            let x = (index % self.width) as f64 + 0.5 - column;
            let y = (index / self.width) as f64 + 0.5 - row;
            x.hypot(y)
        };
        let start = (0..self.scores.len())
            .filter(|index| self.scores[*index] > 0.0)
            .min_by(|one, two| away(*one).total_cmp(&away(*two)))?;
        if away(start) * PIXEL_MM > FARTHEST_MM {
            return None;
        }
        let mut is_taken = vec![false; self.scores.len()];
        let mut open = vec![start];
        let mut inside = Vec::new();
        is_taken[start] = true;
        while let Some(index) = open.pop() {
            inside.push(index);
            let column = index % self.width;
            let neighbours = [
                (column > 0).then(|| index - 1),
                (column + 1 < self.width).then(|| index + 1),
                index.checked_sub(self.width),
                Some(index + self.width).filter(|next| *next < self.scores.len()),
            ];
            for next in neighbours.into_iter().flatten() {
                if !is_taken[next] && self.scores[next] > 0.0 {
                    is_taken[next] = true;
                    open.push(next);
                }
            }
        }
        Some(inside)
    }
}

/// Scores count no further than this: how sure a network is deep inside says nothing of the edge.
const CAP: f64 = 4.0;
/// The score of what is not on the picture.
const OUTSIDE: f64 = -CAP;
/// The opening of the first fan of ways out about a direction, in radians.
const FARTHEST_FAN: f64 = 1.6;
/// An inside that begins farther from a place than this does not belong to it.
const FARTHEST_MM: f64 = 6.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn disc(middle: [f64; 2], half: [f64; 2]) -> Mask {
        let (width, height) = (80, 60);
        let scores: Vec<f32> = (0..width * height)
            .map(|index| {
                let at = [(index % width) as f64 + 0.5, (index / width) as f64 + 0.5];
                let [x, y] = millimetres([width, height], at);
                let away = ((x - middle[0]) / half[0]).hypot((y - middle[1]) / half[1]);
                ((1.0 - away) * 20.0) as f32
            })
            .collect();
        Mask::new(width, height, &scores)
    }

    #[test]
    fn the_edge_of_a_disc_is_found_between_the_pixels() {
        let mask = disc([2.0, -1.0], [6.0, 6.0]);
        let (way, _) = mask
            .way_out([2.0, -1.0], [0.6, 0.8], 20.0)
            .expect("an edge");
        assert!((way - 6.0).abs() < 0.05, "{way}");
        assert_eq!(
            mask.way_out([15.0, 10.0], [1.0, 0.0], 20.0),
            None,
            "from outside"
        );
    }

    #[test]
    fn the_farthest_point_of_an_ellipse_lies_where_its_outline_is_square_to_the_way() {
        let mask = disc([2.0, -1.0], [8.0, 5.0]);
        // Along (1, 1) / √2 an ellipse with half axes a and b reaches farthest at
        // (a², b²) / √(a² + b²) from its middle.
        let toward = [std::f64::consts::FRAC_1_SQRT_2; 2];
        let (at, _) = mask.farthest([3.0, 0.0], toward, 20.0).expect("inside");
        let length = 89.0_f64.sqrt();
        let expected = [2.0 + 64.0 / length, -1.0 + 25.0 / length];
        let away = (at[0] - expected[0]).hypot(at[1] - expected[1]);
        assert!(away < 0.3, "{at:?}, {away} mm away");
        assert_eq!(mask.farthest([18.0, 10.0], toward, 20.0), None, "outside");
    }

    #[test]
    fn an_ellipse_is_found_again() {
        let ellipse = disc([2.0, -1.0], [8.0, 5.0])
            .ellipse([1.0, 0.0])
            .expect("inside");
        assert!(
            (ellipse.long[0].hypot(ellipse.long[1]) - 8.0).abs() < 0.1,
            "{ellipse:?}"
        );
        assert!(
            (ellipse.short[0].hypot(ellipse.short[1]) - 5.0).abs() < 0.1,
            "{ellipse:?}"
        );
        assert!((ellipse.middle[0] - 2.0).abs() < 0.05, "{ellipse:?}");
    }
}
