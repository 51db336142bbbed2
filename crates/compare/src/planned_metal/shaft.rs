//! The proximal half of the first metatarsal's shaft, which an osteotomy through the neck does not move.

use plumbray_anatomy::{Cortices, Landmark, LongBone, PhysicalPoint, PhysicalVector, Proportions};
use plumbray_measure::{PROXIMAL_LEVELS, TracedFilm};

use super::NotLaidByShaft;

/// How often directions and lengths are found anew from each other; what is left then is below a thousandth.
const ROUNDS: usize = 12;

/// A bone shorter than this gives no directions, in pixel widths.
const SHORTEST_BONE: f64 = 10.0;

/// The proximal shaft of the first metatarsal on one film, in physical proportions.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ProximalShaft {
    /// Where the centre of the base lies on the line through its middle.
    pub(super) base: PhysicalPoint,
    /// Along it toward distal, of length one.
    pub(super) along: PhysicalVector,
    /// Its width at each of [`PROXIMAL_LEVELS`].
    widths: [f64; PROXIMAL_LEVELS.len()],
    /// From the base to the levels' share 1.
    length: f64,
}

/// The two cortices of a shaft in physical proportions.
struct Walls([Vec<PhysicalPoint>; 2]);

impl Walls {
    fn of(cortices: &Cortices, proportions: Proportions) -> Self {
        Self([&cortices.one, &cortices.two].map(|line| {
            let points = line.iter();
            points.map(|at| proportions.physical(*at)).collect()
        }))
    }

    /// Where a line square to `along` through a place meets both; nothing where it meets only one.
    fn across(&self, place: PhysicalPoint, along: PhysicalVector) -> Option<[PhysicalPoint; 2]> {
        let [one, other] = &self.0;
        Some([met(one, place, along)?, met(other, place, along)?])
    }
}

/// Where a line of points passes the level of a place.
fn met(
    line: &[PhysicalPoint],
    place: PhysicalPoint,
    along: PhysicalVector,
) -> Option<PhysicalPoint> {
    line.windows(2).find_map(|pair| {
        let [from, to] = [pair[0], pair[1]];
        let [below, above] = [from, to].map(|at| (at - place).dot(along));
        let passes = below <= 0.0 && above > 0.0 || below >= 0.0 && above < 0.0;
        passes.then(|| from + (to - from) * (below / (below - above)))
    })
}

impl ProximalShaft {
    /// The shaft on the film before, of this length from the base to the tip in pixel widths.
    pub(super) fn before(film: TracedFilm<'_>, length: f64) -> Result<Self, NotLaidByShaft> {
        Self::found(film, |_| length)
    }

    /// The shaft on a later film, on which everything is so much larger; where that is not known, by its widths.
    pub(super) fn later(
        film: TracedFilm<'_>,
        before: &Self,
        scale: Option<f64>,
    ) -> Result<Self, NotLaidByShaft> {
        Self::found(film, |widths| {
            before.length * scale.unwrap_or_else(|| scale_of(&before.widths, widths))
        })
    }

    /// How much larger the same shaft is on another film.
    pub(super) fn scale_to(&self, other: &Self) -> f64 {
        scale_of(&self.widths, &other.widths)
    }

    /// The line of least squared distances from the middles at the levels, and the widths there. The levels depend on
    /// the length, and the length may depend on the widths, so that both are found in turn.
    fn found(
        film: TracedFilm<'_>,
        length_by: impl Fn(&[f64; PROXIMAL_LEVELS.len()]) -> f64,
    ) -> Result<Self, NotLaidByShaft> {
        let missing = |what: &'static str| NotLaidByShaft::Missing { what };
        let place = |landmark| {
            let at = film.tracing.point(landmark)?;
            Some(film.proportions.physical(at))
        };
        let base = place(Landmark::BaseCentre(LongBone::M1)).ok_or(missing("the base of M1"))?;
        let tip = place(Landmark::Tip(LongBone::M1)).ok_or(missing("the tip of M1"))?;
        let cortices = film.tracing.cortices.get(&LongBone::M1);
        let cortices = cortices.ok_or(missing("the shaft of M1"))?;
        let walls = Walls::of(cortices, film.proportions);
        let unit = (tip - base).unit();
        let along = unit.filter(|_| (tip - base).length() >= SHORTEST_BONE);
        let mut shaft = Self {
            base,
            along: along.ok_or(missing("a base and a tip of M1 that lie apart"))?,
            widths: [0.0; PROXIMAL_LEVELS.len()],
            length: (tip - base).length(),
        };
        for _ in 0..ROUNDS {
            shaft = shaft.again(&walls, base, &length_by).ok_or(missing(
                "the shaft of M1, swept from a quarter of its length to beyond two fifths",
            ))?;
        }
        Ok(shaft)
    }

    fn again(
        &self,
        walls: &Walls,
        base: PhysicalPoint,
        length_by: &impl Fn(&[f64; PROXIMAL_LEVELS.len()]) -> f64,
    ) -> Option<Self> {
        let mut middles = [PhysicalPoint::default(); PROXIMAL_LEVELS.len()];
        let mut widths = [0.0; PROXIMAL_LEVELS.len()];
        for (level, share) in PROXIMAL_LEVELS.into_iter().enumerate() {
            let place = self.base + self.along * (share * self.length);
            let [one, other] = walls.across(place, self.along)?;
            middles[level] = one.midpoint(other);
            widths[level] = (other - one).length();
        }
        let (through, along) = line_through(&middles, self.along)?;
        Some(Self {
            base: through + along * (base - through).dot(along),
            along,
            widths,
            length: length_by(&widths),
        })
    }
}

/// How much larger some widths are than others, by least squares.
fn scale_of(from: &[f64], to: &[f64]) -> f64 {
    let product: f64 = from.iter().zip(to).map(|(from, to)| from * to).sum();
    let square: f64 = from.iter().map(|from| from * from).sum();
    product / square
}

/// The line of least squared distances through points, in the sense of `sense`.
fn line_through(
    points: &[PhysicalPoint],
    sense: PhysicalVector,
) -> Option<(PhysicalPoint, PhysicalVector)> {
    let count = points.len() as f64;
    let first = *points.first()?;
    let sum = points
        .iter()
        .fold(PhysicalVector::default(), |sum, at| sum + (*at - first));
    let middle = first + sum * (1.0 / count);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for at in points {
        let away = *at - middle;
        xx += away.x * away.x;
        xy += away.x * away.y;
        yy += away.y * away.y;
    }
    let turn = 0.5 * (2.0 * xy).atan2(xx - yy);
    let along = PhysicalVector::new(turn.cos(), turn.sin());
    let along = if along.dot(sense) < 0.0 {
        along * -1.0
    } else {
        along
    };
    (xx + yy > 0.0).then_some((middle, along))
}
