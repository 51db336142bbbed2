//! The proximal half of the first metatarsal's shaft, which an osteotomy through the neck does not move, at the same places
//! of the bone on two films.

use plumbray_anatomy::{FilmTracing, Landmark, LongBone, PhysicalPoint, PhysicalVector, View};
use plumbray_measure::{Foot, PROXIMAL_LEVELS, ProximalShaft, TracedFilm, proximal_shaft};

use super::NotLaidByShaft;

/// How often directions and lengths are found anew from each other; what is left then is below a thousandth.
const ROUNDS: usize = 12;

/// A bone shorter than this gives no directions, in pixel widths.
const SHORTEST_BONE: f64 = 10.0;

/// The ends by which the engine tells levels along the first metatarsal.
const BASE: Landmark = Landmark::BaseCentre(LongBone::M1);
const TIP: Landmark = Landmark::Tip(LongBone::M1);

/// The proximal shaft of the first metatarsal on one film, in physical proportions.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PlacedShaft {
    /// Where the centre of the base lies on the line through its middle.
    pub(super) base: PhysicalPoint,
    /// Along it toward distal, of length one.
    pub(super) along: PhysicalVector,
    /// Its width at each of [`PROXIMAL_LEVELS`].
    widths: [f64; PROXIMAL_LEVELS.len()],
    /// From the base to the levels' share 1.
    length: f64,
}

impl PlacedShaft {
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

    /// The engine's line through the proximal shaft and the widths there, with the tip not where it was placed but along
    /// the shaft at the bone's length before: the osteotomy has moved the tip and not the shaft. The levels depend on
    /// direction and length, and those on the levels, so that they are found in turn.
    fn found(
        film: TracedFilm<'_>,
        length_by: impl Fn(&[f64; PROXIMAL_LEVELS.len()]) -> f64,
    ) -> Result<Self, NotLaidByShaft> {
        let missing = |what: &'static str| NotLaidByShaft::Missing { what };
        let place = |landmark| {
            let at = film.tracing.point(landmark)?;
            Some(film.proportions.physical(at))
        };
        let base = place(BASE).ok_or(missing("the base of M1"))?;
        let tip = place(TIP).ok_or(missing("the tip of M1"))?;
        let mut bone = first_metatarsal(film.tracing).ok_or(missing("the shaft of M1"))?;
        if (tip - base).length() < SHORTEST_BONE {
            return Err(missing("a base and a tip of M1 that lie apart"));
        }
        let not_swept =
            missing("the shaft of M1, swept from a quarter of its length to beyond two fifths");
        let mut reach = tip - base;
        let mut shaft = None;
        for _ in 0..ROUNDS {
            if let Some(placed) = bone.points.get_mut(&TIP) {
                placed.at = film.proportions.film(base + reach);
            }
            let found = line_of(&TracedFilm {
                tracing: &bone,
                ..film
            });
            let found = found.ok_or_else(|| not_swept.clone())?;
            let length = length_by(&found.widths);
            reach = found.along * length;
            shaft = Some((found, length));
        }
        let (found, length) = shaft.ok_or(not_swept)?;
        Ok(Self {
            base: found.through + found.along * (base - found.through).dot(found.along),
            along: found.along,
            widths: found.widths,
            length,
        })
    }
}

/// The engine's proximal shaft of a bone by itself.
fn line_of(film: &TracedFilm<'_>) -> Option<ProximalShaft> {
    let foot = Foot {
        ap: Some(*film),
        ..Foot::default()
    };
    proximal_shaft(&foot, View::Ap).ok()
}

/// What is traced of the first metatarsal's shaft and its ends; nothing without the shaft.
fn first_metatarsal(tracing: &FilmTracing) -> Option<FilmTracing> {
    let mut bone = FilmTracing::default();
    let cortices = tracing.cortices.get(&LongBone::M1)?.clone();
    bone.cortices.insert(LongBone::M1, cortices);
    for landmark in [BASE, TIP] {
        bone.points
            .insert(landmark, *tracing.points.get(&landmark)?);
    }
    Some(bone)
}

/// How much larger some widths are than others, by least squares.
fn scale_of(from: &[f64], to: &[f64]) -> f64 {
    let product: f64 = from.iter().zip(to).map(|(from, to)| from * to).sum();
    let square: f64 = from.iter().map(|from| from * from).sum();
    product / square
}
