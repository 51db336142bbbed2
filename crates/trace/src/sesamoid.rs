//! A sesamoid's outline through the head that overlaps it.

use std::f64::consts::{PI, TAU};

use plumbray_anatomy::{FilmPoint, Origin, PhysicalPoint, PhysicalVector, PlacedPoint};
use plumbray_film::GreyView;

use crate::{
    edge::median,
    ellipse::Ellipse,
    error::TraceError,
    patch::Patch,
    polar::{Outward, Rays, contour},
    raster::Raster,
    round::{PhysicalAxis, check_size, checked_place, frame_at},
    strip::{Frame, Ruler},
    stroke::Stroke,
};

/// An ellipse fitted to a sesamoid's outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipseFit {
    /// Its centre.
    pub centre: PlacedPoint,
    /// The end of its long axis that lies more distal, where distal is known.
    pub long_end: PlacedPoint,
    /// An end of its short axis.
    pub short_end: PlacedPoint,
    /// How clearly the outline was seen around, from 0 (not at all) to 1.
    pub confidence: f64,
}

/// Below this mean strength around there is no outline.
const LEAST_STRENGTH: f64 = 0.25;
/// Width over length of a sesamoid: about 9 by 13 mm and 8 by 11 mm (from memory).
const USUAL_RATIO: f64 = 0.72;
/// A sesamoid's length over the length of the first metatarsal: about 11 of 60 mm (from memory).
const LENGTH_SHARE: f64 = 0.18;

/// How far proximal of the tip a sesamoid's centre lies, over the length of the first metatarsal:
/// about 7 of 60 mm (from memory), and how much that varies.
const DISTANCE_FROM_TIP: f64 = 0.115;
const DISTANCE_SPREAD: f64 = 0.04;

/// Where along the first metatarsal a sesamoid is usual, in the patch's `u`.
#[derive(Clone, Copy, Debug)]
struct UnderHead {
    u: f64,
    spread: f64,
}

impl UnderHead {
    fn cost(self, u: f64) -> f64 {
        let unusual = (u - self.u) / self.spread;
        0.06 * unusual * unusual
    }
}

/// One ellipse of the search, in the patch's frame.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    centre: (f64, f64),
    half_length: f64,
    ratio: f64,
    turn: f64,
}

impl Candidate {
    /// A place on the outline and its outward normal.
    fn on_outline(&self, angle: f64) -> ((f64, f64), (f64, f64)) {
        let (sine, cosine) = angle.sin_cos();
        let (turn_sine, turn_cosine) = self.turn.sin_cos();
        let half_width = self.ratio * self.half_length;
        let turned = |x: f64, y: f64| {
            (
                x * turn_cosine - y * turn_sine,
                x * turn_sine + y * turn_cosine,
            )
        };
        let place = turned(self.half_length * cosine, half_width * sine);
        let normal = turned(half_width * cosine, self.half_length * sine);
        let length = normal.0.hypot(normal.1);
        (
            (self.centre.0 + place.0, self.centre.1 + place.1),
            (normal.0 / length, normal.1 / length),
        )
    }
}

/// Fits an ellipse to the outline of a sesamoid, through the head that overlaps it.
///
/// `near` is a rough centre, several millimetres off at most. `rough_length_px` is a guess of its
/// length in pixel widths; without it the length is guessed from `axis_hint`, the line
/// from the middle of the first metatarsal's base to its tip, or from the size of the film.
///
/// # Errors
/// When the film, the place or the size cannot be used, or no outline is there.
pub fn fit_sesamoid(
    film: &GreyView<'_>,
    near: FilmPoint,
    rough_length_px: Option<f64>,
    axis_hint: Option<Stroke>,
) -> Result<EllipseFit, TraceError> {
    let raster = Raster::new(film)?;
    let origin = checked_place(film, &raster, near)?;
    let axis = axis_hint.and_then(|axis| PhysicalAxis::of(film, axis));
    let length = rough_length_px
        .or_else(|| axis.map(|axis| LENGTH_SHARE * axis.length))
        .unwrap_or_else(|| LENGTH_ON_FILM * raster.diagonal());
    check_size(&raster, length)?;
    let distal = axis.map_or(PhysicalVector::new(0.0, -1.0), |axis| axis.distal);
    let under_head = axis.map(|axis| {
        let distance = (axis.tip - origin).dot(axis.distal);
        UnderHead {
            u: distance - DISTANCE_FROM_TIP * axis.length,
            spread: DISTANCE_SPREAD * axis.length,
        }
    });
    let rough = rough_outline(&raster, frame_at(origin, distal), length, under_head)
        .ok_or(TraceError::NoRoundEdge)?;
    let (ellipse, confidence, scatter) = refined(&raster, rough)?;
    if confidence < LEAST_STRENGTH {
        return Err(TraceError::NoRoundEdge);
    }
    let long = if ellipse.long.dot(distal) < 0.0 {
        ellipse.long * -1.0
    } else {
        ellipse.long
    };
    let place = |point: PhysicalPoint, sd_px: f64| PlacedPoint {
        at: film.proportions.film(point),
        sd_px,
        origin: Origin::Snapped,
    };
    // A faint outline may follow the wrong line on one side: half the scatter over the confidence.
    let spread = (0.5 * scatter / confidence).max(0.3);
    Ok(EllipseFit {
        centre: place(ellipse.centre, spread),
        long_end: place(ellipse.centre + long, 1.4 * spread),
        short_end: place(ellipse.centre + ellipse.short, 1.4 * spread),
        confidence,
    })
}

/// A sesamoid's length over the diagonal of a film that shows one foot.
const LENGTH_ON_FILM: f64 = 0.05;

/// The best of many ellipses on a coarse patch.
fn rough_outline(
    raster: &Raster<'_>,
    frame: Frame,
    length: f64,
    under_head: Option<UnderHead>,
) -> Option<Ellipse> {
    let half = 0.5 * length;
    let reach = 1.1 * half;
    let step = (half / 14.0).max(0.7);
    let patch = Patch::around(raster, frame, 1.35 * half + reach, step, 1.3);
    let places = Ruler::spanning(-reach, reach, reach / 6.0, 13);
    let mut best: Option<(f64, Candidate)> = None;
    for cell in 0..places.count * places.count {
        let centre = (
            places.at(cell / places.count),
            places.at(cell % places.count),
        );
        for half_length in [0.7, 0.8, 0.9, 1.0, 1.15, 1.3].map(|share| share * half) {
            for ratio in [0.6, 0.75, 0.9] {
                for turn in [0.0, 0.25, 0.5, 0.75].map(|share| share * PI) {
                    let candidate = Candidate {
                        centre,
                        half_length,
                        ratio,
                        turn,
                    };
                    let off_head = under_head.map_or(0.0, |usual| usual.cost(centre.0));
                    let score = score(&patch, candidate, half, reach) - off_head;
                    if best.is_none_or(|(greatest, _)| score > greatest) {
                        best = Some((score, candidate));
                    }
                }
            }
        }
    }
    let (score, candidate) = best?;
    if score <= 0.0 {
        return None;
    }
    let (turn_sine, turn_cosine) = candidate.turn.sin_cos();
    let axis = frame.along * turn_cosine + frame.across * turn_sine;
    Some(Ellipse {
        centre: patch.point(candidate.centre.0, candidate.centre.1),
        long: axis * candidate.half_length,
        short: axis.perpendicular() * (candidate.ratio * candidate.half_length),
    })
}

/// Places around an ellipse at which its edge is read.
const PLACES: usize = 20;
/// How many of them, the weakest ones, count.
const WEAKEST: usize = 10;

/// Mean strength of the weaker half of the edge around an ellipse, less a little for being unusual.
///
/// The weaker half, because a sesamoid's faint outline goes all around, while the head's own edge gives
/// a wrong ellipse a strong but short stretch.
fn score(patch: &Patch, candidate: Candidate, half: f64, reach: f64) -> f64 {
    let mut strengths = [0.0; PLACES];
    for (index, strength) in strengths.iter_mut().enumerate() {
        let (place, normal) = candidate.on_outline(TAU * index as f64 / PLACES as f64);
        *strength = patch.fall(place, normal);
    }
    strengths.sort_unstable_by(f64::total_cmp);
    let weaker: f64 = strengths.iter().take(WEAKEST).sum();
    let off_centre = candidate.centre.0.hypot(candidate.centre.1) / reach;
    let off_size = (candidate.half_length / half).ln() / 0.3;
    let off_ratio = (candidate.ratio - USUAL_RATIO) / 0.2;
    weaker / WEAKEST as f64
        - 0.04 * (2.0 * off_centre * off_centre + off_size * off_size + off_ratio * off_ratio)
}

/// Follows the outline near a rough ellipse and fits it again, each time more closely. Also the outline's strength and
/// its scatter about the fit.
fn refined(raster: &Raster<'_>, rough: Ellipse) -> Result<(Ellipse, f64, f64), TraceError> {
    let (mut ellipse, mut confidence, mut scatter) = (rough, 0.0, 0.0);
    for share in [0.3, 0.2, 0.15] {
        let around = ellipse;
        let rays = Rays {
            centre: around.centre,
            first: around.long.y.atan2(around.long.x),
            turn: TAU,
            count: 72,
        };
        let reach = (share * around.short.length()).max(3.0);
        let step = (reach / 16.0).clamp(0.3, 2.0);
        let followed = contour(
            raster,
            rays,
            |direction| radius_towards(around, direction),
            Ruler::spanning(-reach, reach, step, 12),
            Outward::Falls,
            None,
        );
        let fitted = Ellipse::robustly_fitted_to(&followed.points)?;
        let is_plausible = fitted.long.length() < 1.6 * rough.long.length()
            && fitted.short.length() > 0.5 * rough.short.length();
        if !is_plausible {
            break;
        }
        ellipse = fitted;
        confidence = median(&followed.strengths);
        let distances: Vec<f64> = followed
            .points
            .iter()
            .map(|point| ellipse.distance(*point).abs())
            .collect();
        scatter = 1.4826 * median(&distances);
    }
    Ok((ellipse, confidence, scatter))
}

/// The distance from an ellipse's centre to its outline in a direction of length one.
fn radius_towards(ellipse: Ellipse, direction: PhysicalVector) -> f64 {
    let (long, short) = (ellipse.long.length(), ellipse.short.length());
    1.0 / (direction.dot(ellipse.long) / (long * long))
        .hypot(direction.dot(ellipse.short) / (short * short))
}
