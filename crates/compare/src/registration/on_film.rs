//! The map between two films made finer on their pixels, around the bones that surgery leaves alone.

use nalgebra::{Matrix4, Vector4};
use plumbray_anatomy::{PhysicalPoint, Similarity};
use plumbray_film::GreyView;

use super::{
    compared_places::{Strip, compared_places},
    reduced::Reduced,
};

/// How many reduced pixels a known length of about 70 mm has: about half a millimetre each.
const PIXELS_ALONG: f64 = 140.0;
const ROUNDS: usize = 40;
/// The map has settled when no compared point moves by more than this share of a reduced pixel, some five
/// thousandths of a millimetre. Between films of different pixels the search may circle at a fifth of that,
/// from one side of a pixel's edge to the other.
const SETTLED: f64 = 1e-2;

/// The map from the later to the earlier film that makes both most alike in strips of the earlier one,
/// searched from `start`. A map that moves them farther than `farthest` has found something else. `length`
/// is one of about 70 mm on the earlier film; both are in pixel widths.
///
/// Alike is what has the highest correlation of greys, whatever their brightness and contrast: Evangelidis,
/// Psarakis, IEEE Trans Pattern Anal Mach Intell 2008;30:1858–1865 (from memory). Nothing where the search
/// does not settle near `start`, or makes the films less alike.
pub(super) fn refined(
    earlier: GreyView<'_>,
    later: GreyView<'_>,
    strips: &[Strip],
    length: f64,
    farthest: f64,
    start: &Similarity,
) -> Option<Similarity> {
    let step = length / PIXELS_ALONG;
    if !step.is_finite() || step <= 0.0 {
        return None;
    }
    let one = Reduced::of(&earlier, step)?;
    let other = Reduced::of(&later, step / start.scale())?;
    let places = compared_places(strips, step);
    let search = Search::new(&one, &other, &places, start)?;
    search.settled(step, farthest)
}

/// From the earlier to the later film: q = (a·x − b·y + u, b·x + a·y + v) with (x, y) from the middle of the
/// compared places, mirrored afterwards where the map mirrors.
#[derive(Clone, Copy)]
struct Parameters {
    a: f64,
    b: f64,
    u: f64,
    v: f64,
}

struct Search<'a> {
    one: &'a Reduced,
    other: &'a Reduced,
    places: &'a [PhysicalPoint],
    middle: PhysicalPoint,
    mirrored: bool,
    start: Parameters,
}

impl<'a> Search<'a> {
    fn new(
        one: &'a Reduced,
        other: &'a Reduced,
        places: &'a [PhysicalPoint],
        map: &Similarity,
    ) -> Option<Self> {
        if places.is_empty() {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "some ten thousand places")]
        let count = places.len() as f64;
        let sum = places
            .iter()
            .fold([0.0, 0.0], |[x, y], place| [x + place.x, y + place.y]);
        let middle = PhysicalPoint::new(sum[0] / count, sum[1] / count);
        let flip = if map.is_mirrored() { -1.0 } else { 1.0 };
        let back = |place: PhysicalPoint| {
            let later = map.back(place);
            PhysicalPoint::new(flip * later.x, later.y)
        };
        let at_middle = back(middle);
        let beside = back(PhysicalPoint::new(middle.x + 1.0, middle.y));
        Some(Self {
            one,
            other,
            places,
            middle,
            mirrored: map.is_mirrored(),
            start: Parameters {
                a: beside.x - at_middle.x,
                b: beside.y - at_middle.y,
                u: at_middle.x,
                v: at_middle.y,
            },
        })
    }

    /// The map where the search settles, if that is near its start and the films are more alike there.
    fn settled(&self, step: f64, farthest: f64) -> Option<Similarity> {
        let mut now = self.start;
        let begun = self.round(&now)?.correlation;
        let mut is_settled = false;
        for _ in 0..ROUNDS {
            let round = self.round(&now)?;
            let next = Parameters {
                a: now.a + round.change[0],
                b: now.b + round.change[1],
                u: now.u + round.change[2],
                v: now.v + round.change[3],
            };
            let moved = self.farthest_between(&now, &next);
            if self.farthest_between(&self.start, &next)
                > farthest * self.start.a.hypot(self.start.b)
            {
                return None;
            }
            now = next;
            if moved < SETTLED * step {
                is_settled = true;
                break;
            }
        }
        let ended = self.round(&now)?.correlation;
        (is_settled && ended >= begun).then(|| self.map(&now))
    }

    /// How far the corners of the compared places lie apart by two maps, in pixel widths of the later film.
    fn farthest_between(&self, one: &Parameters, other: &Parameters) -> f64 {
        self.places
            .iter()
            .step_by(97)
            .map(|place| (self.on_later(one, *place) - self.on_later(other, *place)).length())
            .fold(0.0, f64::max)
    }

    /// Before mirroring.
    fn on_later(&self, by: &Parameters, place: PhysicalPoint) -> PhysicalPoint {
        let away = place - self.middle;
        PhysicalPoint::new(
            by.a * away.x - by.b * away.y + by.u,
            by.b * away.x + by.a * away.y + by.v,
        )
    }

    fn map(&self, by: &Parameters) -> Similarity {
        // The way back: (x, y) = R⁻¹ (q − (u, v)) + middle.
        let square = by.a * by.a + by.b * by.b;
        let (a, b) = (by.a / square, -by.b / square);
        let origin = PhysicalPoint::new(
            self.middle.x - (a * by.u - b * by.v),
            self.middle.y - (b * by.u + a * by.v),
        );
        Similarity::new(origin, a.hypot(b), b.atan2(a), self.mirrored)
    }

    /// One step of the search: how alike the films are now, and how the map should change.
    fn round(&self, by: &Parameters) -> Option<Round> {
        let flip = if self.mirrored { -1.0 } else { 1.0 };
        let rows: Vec<Sample> = self
            .places
            .iter()
            .filter_map(|place| {
                let later = self.on_later(by, *place);
                let [value, by_x, by_y] =
                    self.other.at(PhysicalPoint::new(flip * later.x, later.y))?;
                let [wanted, ..] = self.one.at(*place)?;
                let away = *place - self.middle;
                let by_x = flip * by_x;
                Some(Sample {
                    wanted,
                    value,
                    slopes: Vector4::new(
                        by_x * away.x + by_y * away.y,
                        by_y * away.x - by_x * away.y,
                        by_x,
                        by_y,
                    ),
                })
            })
            .collect();
        // Half of the places at least must lie on both films.
        if 2 * rows.len() < self.places.len() || rows.len() < 100 {
            return None;
        }
        Round::of(&rows)
    }
}

/// The films at one compared place.
struct Sample {
    wanted: f64,
    value: f64,
    /// Of the value by the four parameters.
    slopes: Vector4<f64>,
}

struct Round {
    correlation: f64,
    change: [f64; 4],
}

impl Round {
    fn of(rows: &[Sample]) -> Option<Self> {
        #[expect(clippy::cast_precision_loss, reason = "some ten thousand places")]
        let count = rows.len() as f64;
        let wanted_mean = rows.iter().map(|row| row.wanted).sum::<f64>() / count;
        let value_mean = rows.iter().map(|row| row.value).sum::<f64>() / count;
        let slopes_mean = rows.iter().map(|row| row.slopes).sum::<Vector4<f64>>() / count;
        let mut normal = Matrix4::zeros();
        let (mut on_wanted, mut on_value) = (Vector4::zeros(), Vector4::zeros());
        let (mut wanted_square, mut value_square, mut product) = (0.0, 0.0, 0.0);
        for row in rows {
            let (wanted, value) = (row.wanted - wanted_mean, row.value - value_mean);
            let slopes = row.slopes - slopes_mean;
            normal += slopes * slopes.transpose();
            on_wanted += slopes * wanted;
            on_value += slopes * value;
            wanted_square += wanted * wanted;
            value_square += value * value;
            product += wanted * value;
        }
        if wanted_square <= 0.0 || value_square <= 0.0 {
            return None;
        }
        // The four parameters have very different sizes, which a plain inverse would lose.
        let scales = normal
            .diagonal()
            .map(|own| if own > 0.0 { own.sqrt() } else { 1.0 });
        let scaled =
            Matrix4::from_fn(|row, column| normal[(row, column)] / (scales[row] * scales[column]));
        let inverse = scaled.try_inverse()?;
        let solved = |right: &Vector4<f64>| -> Vector4<f64> {
            (inverse * right.component_div(&scales)).component_div(&scales)
        };
        let (by_wanted, by_value) = (solved(&on_wanted), solved(&on_value));
        let below = product - on_wanted.dot(&by_value);
        let factor = if below > 0.0 {
            (value_square - on_value.dot(&by_value)) / below
        } else {
            (value_square / wanted_square).sqrt()
        };
        let change = by_wanted * factor - by_value;
        change
            .iter()
            .all(|part: &f64| part.is_finite())
            .then(|| Self {
                correlation: product / (wanted_square * value_square).sqrt(),
                change: [change[0], change[1], change[2], change[3]],
            })
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::Proportions;

    use super::*;

    const SIDE: usize = 900;

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "greys of a made film, far below 2^16"
    )]
    /// A film of four bright bars that stand upright, with spots so that no place along them looks like
    /// another; seen through a map, brighter and of less contrast where asked.
    fn film(seen_by: &Similarity, contrast: f64) -> Vec<u16> {
        let mut samples = Vec::with_capacity(SIDE * SIDE);
        for row in 0..SIDE {
            for column in 0..SIDE {
                let at = seen_by.of(PhysicalPoint::new(column as f64 + 0.5, row as f64 + 0.5));
                let bar = (at.x / 150.0).fract() * 150.0;
                let inside = (-((bar - 75.0) / 18.0).powi(4)).exp();
                let spots = (at.y / 23.0).sin() * (at.x / 31.0).cos();
                let grey = 20_000.0 + contrast * (inside * 15_000.0 + 3000.0 * spots);
                samples.push(grey as u16);
            }
        }
        samples
    }

    /// Strips along the bars.
    fn strips() -> [Strip; 4] {
        [225.0, 375.0, 525.0, 675.0].map(|x| Strip {
            ends: [650.0, 250.0].map(|y| PhysicalPoint::new(x, y)),
            beyond: [0.2, 0.02],
            beside: [0.09; 2],
        })
    }

    fn view(samples: &[u16]) -> GreyView<'_> {
        GreyView {
            width: SIDE,
            height: SIDE,
            samples,
            bone_is_bright: true,
            proportions: Proportions::SQUARE,
        }
    }

    #[test]
    fn a_map_that_is_a_little_off_is_made_exact_on_the_films() {
        for (mirrored, turn) in [(false, 0.1), (true, -0.06)] {
            let origin = PhysicalPoint::new(if mirrored { 910.0 } else { -25.0 }, 40.0);
            let truth = Similarity::new(origin, 1.04, turn, mirrored);
            let (one, other) = (film(&Similarity::IDENTITY, 1.0), film(&truth, 0.6));
            let start = Similarity::new(
                PhysicalPoint::new(origin.x + 2.0, origin.y - 1.5),
                1.042,
                turn + 0.004,
                mirrored,
            );
            let found = refined(view(&one), view(&other), &strips(), 400.0, 8.0, &start)
                .expect("it settles");
            for at in strips().into_iter().flat_map(|strip| strip.ends) {
                let away = (found.back(at) - truth.back(at)).length();
                assert!(away < 0.15, "{away} px off, mirrored {mirrored}");
            }
        }
    }

    #[test]
    fn films_without_anything_in_common_are_left_to_the_points() {
        let (one, flat) = (film(&Similarity::IDENTITY, 1.0), vec![7; SIDE * SIDE]);
        let found = refined(
            view(&one),
            view(&flat),
            &strips(),
            400.0,
            8.0,
            &Similarity::IDENTITY,
        );
        assert_eq!(found, None, "a flat film");
    }
}
