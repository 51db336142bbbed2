//! Round things on a film: the first metatarsal head, and a calibration ball or coin.

use std::f64::consts::{PI, TAU};

use plumbray_anatomy::{FilmPoint, Origin, PhysicalPoint, PhysicalVector, PlacedPoint};
use plumbray_film::GreyView;

use crate::{
    circle::Circle,
    edge::median,
    error::TraceError,
    patch::Patch,
    polar::{Outward, PolarContour, Rays, contour},
    raster::{Raster, count_from},
    strip::{Frame, Ruler},
    stroke::Stroke,
};

/// A circle fitted to an edge on the film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CircleFit {
    /// Its centre.
    pub centre: PlacedPoint,
    /// A point on it: the middle of the arc that was seen.
    pub edge: PlacedPoint,
    /// Its radius in pixel widths.
    pub radius_px: f64,
    /// Standard deviation of the radius, in pixel widths.
    pub radius_sd_px: f64,
    /// Root mean square distance of the edge from it, in pixel widths.
    pub rms_px: f64,
    /// How clearly the edge was seen around the arc, from 0 (not at all) to 1.
    pub confidence: f64,
}

/// What a search for a circle may find. Lengths in pixel widths.
#[derive(Clone, Copy, Debug)]
struct CircleSearch {
    frame: Frame,
    /// Smallest and largest radius, and the usual one.
    radii: (f64, f64),
    usual: f64,
    /// How far from the frame's origin the centre may be.
    reach: f64,
    /// Directions of the arc: up to this angle to each side of the frame's `u` axis.
    half_arc: f64,
    outward: Outward,
    /// How far from the circle its edge is followed, over its radius, first and again.
    follow_shares: [f64; 2],
    /// A circle to start from, where one is known; else the best of many is looked for.
    start: Option<(PhysicalPoint, f64)>,
    /// The widest joint space to a bone beyond the edge, if there is one.
    gap: Option<f64>,
}

/// Below this mean strength along the arc there is no circle.
const LEAST_STRENGTH: f64 = 0.3;
/// Below this ratio of steepest to middling slope a patch holds only noise.
const LEAST_CONTRAST: f64 = 3.5;
/// A fit's standard deviation never goes below this: what the shape of a real edge adds.
const FLOOR_PX: f64 = 0.15;

/// Fits a circle to the distal articular contour of the first metatarsal head.
///
/// `near` is a rough centre, several millimetres off at most. `axis_hint` runs from the middle of the
/// bone's base to its tip: it says where distal is, and the contour passes near its end. Without it
/// the whole circle is looked for. `rough_radius_px` is a guess; without it the radius is guessed from
/// the length of the axis, or from the size of the film.
///
/// # Errors
/// When the film, the place or the radius cannot be used, or no round edge is there.
pub fn fit_head_circle(
    film: &GreyView<'_>,
    near: FilmPoint,
    rough_radius_px: Option<f64>,
    axis_hint: Option<Stroke>,
) -> Result<CircleFit, TraceError> {
    let raster = Raster::new(film)?;
    let origin = checked_place(film, &raster, near)?;
    let axis = axis_hint.and_then(|axis| PhysicalAxis::of(film, axis));
    let usual = rough_radius_px
        .or_else(|| axis.map(|axis| HEAD_RADIUS_SHARE * axis.length))
        .unwrap_or_else(|| HEAD_RADIUS_ON_FILM * raster.diagonal());
    check_size(&raster, usual)?;
    let frame = frame_at(
        origin,
        axis.map_or(PhysicalVector::new(1.0, 0.0), |axis| axis.distal),
    );
    let search = CircleSearch {
        frame,
        radii: (0.7 * usual, 1.3 * usual),
        usual,
        reach: 0.8 * usual,
        half_arc: if axis.is_some() { HEAD_HALF_ARC } else { PI },
        outward: Outward::Falls,
        follow_shares: [0.35, 0.15],
        start: axis.map(|axis| (axis.tip + axis.distal * -usual, usual)),
        gap: Some(0.28 * usual),
    };
    search.fit(film, &raster)
}

/// A bone's own axis in physical proportions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PhysicalAxis {
    pub(crate) distal: PhysicalVector,
    pub(crate) length: f64,
    pub(crate) tip: PhysicalPoint,
}

impl PhysicalAxis {
    /// The axis from a base to a tip; nothing when it has no direction.
    pub(crate) fn of(film: &GreyView<'_>, axis: Stroke) -> Option<Self> {
        let tip = film.proportions.physical(axis.to);
        let whole = tip - film.proportions.physical(axis.from);
        Some(Self {
            distal: whole.unit()?,
            length: whole.length(),
            tip,
        })
    }
}

/// A head's radius over the length of the bone: about 10.5 of 60 mm (from memory).
const HEAD_RADIUS_SHARE: f64 = 0.175;
/// The articular contour lies within this angle to each side of the axis, in radians.
const HEAD_HALF_ARC: f64 = 1.0;
/// A head's radius over the diagonal of a film that shows one foot.
const HEAD_RADIUS_ON_FILM: f64 = 0.045;

/// Fits a circle to the edge of a calibration ball or coin.
///
/// `near` is a rough centre and `rough_radius_px` a rough radius, in pixel widths, within about a
/// third. The object may be brighter or darker than what surrounds it.
///
/// # Errors
/// When the film, the place or the radius cannot be used, or no round edge is there.
pub fn fit_round_object(
    film: &GreyView<'_>,
    near: FilmPoint,
    rough_radius_px: f64,
) -> Result<CircleFit, TraceError> {
    let raster = Raster::new(film)?;
    let origin = checked_place(film, &raster, near)?;
    check_size(&raster, rough_radius_px)?;
    let search = CircleSearch {
        frame: frame_at(origin, PhysicalVector::new(1.0, 0.0)),
        radii: (0.6 * rough_radius_px, 1.6 * rough_radius_px),
        usual: rough_radius_px,
        reach: 0.6 * rough_radius_px,
        half_arc: PI,
        outward: Outward::Falls,
        follow_shares: [0.22, 0.12],
        start: None,
        gap: None,
    };
    let bright = search.fit(film, &raster);
    let dark = CircleSearch {
        outward: Outward::Rises,
        ..search
    }
    .fit(film, &raster);
    match (bright, dark) {
        (Ok(bright), Ok(dark)) if dark.rms_px < bright.rms_px => Ok(dark),
        (Err(_), Ok(dark)) => Ok(dark),
        (bright, _) => bright,
    }
}

/// The physical place of a film point that lies on the film.
pub(crate) fn checked_place(
    film: &GreyView<'_>,
    raster: &Raster<'_>,
    point: FilmPoint,
) -> Result<PhysicalPoint, TraceError> {
    if !point.is_finite() {
        return Err(TraceError::NotANumber);
    }
    let place = film.proportions.physical(point);
    if raster.contains(place) {
        Ok(place)
    } else {
        Err(TraceError::OutsideFilm)
    }
}

/// Whether something so large, in pixel widths, can be on the film and be seen.
pub(crate) fn check_size(raster: &Raster<'_>, size_px: f64) -> Result<(), TraceError> {
    if size_px >= 3.0 && size_px <= raster.diagonal() {
        Ok(())
    } else {
        Err(TraceError::BadSize { size_px })
    }
}

pub(crate) fn frame_at(origin: PhysicalPoint, along: PhysicalVector) -> Frame {
    Frame {
        origin,
        along,
        across: along.perpendicular(),
    }
}

impl CircleSearch {
    fn fit(&self, film: &GreyView<'_>, raster: &Raster<'_>) -> Result<CircleFit, TraceError> {
        let (centre, radius) = self
            .start
            .or_else(|| self.rough(raster))
            .ok_or(TraceError::NoRoundEdge)?;
        let mut circle = None;
        let mut around = (centre, radius);
        let mut followed = None;
        for share in self.follow_shares {
            let contour = self.follow(raster, around, share);
            let free = Circle::robustly_fitted_to(&contour.points)?;
            let held = free.radius.clamp(self.radii.0, self.radii.1);
            let is_held = (held - free.radius).abs() > 0.0;
            if is_held && self.half_arc >= PI {
                return Err(TraceError::NoRoundEdge);
            }
            let fitted = if is_held {
                free.with_radius(held, &contour.points)
            } else {
                free
            };
            around = (fitted.centre, fitted.radius);
            circle = Some(fitted);
            followed = Some(contour);
        }
        let (Some(circle), Some(contour)) = (circle, followed) else {
            return Err(TraceError::NoRoundEdge);
        };
        let confidence = median(&contour.strengths);
        if confidence < LEAST_STRENGTH || circle.rms > 0.15 * circle.radius {
            return Err(TraceError::NoRoundEdge);
        }
        let place = |point: PhysicalPoint, sd_px: f64| PlacedPoint {
            at: film.proportions.film(point),
            sd_px,
            origin: Origin::Snapped,
        };
        // Neighbouring rays see the same edge: about a third of them count as independent.
        let spread = |sd: f64| (CORRELATION * sd).hypot(FLOOR_PX);
        Ok(CircleFit {
            centre: place(circle.centre, spread(circle.centre_sd)),
            edge: place(
                circle.centre + self.frame.along * circle.radius,
                spread(circle.rms / (contour.points.len() as f64).sqrt()),
            ),
            radius_px: circle.radius,
            radius_sd_px: spread(circle.radius_sd),
            rms_px: circle.rms,
            confidence,
        })
    }

    /// The best of many circles on a coarse patch: the one along which brightness changes most.
    fn rough(&self, raster: &Raster<'_>) -> Option<(PhysicalPoint, f64)> {
        let step = (self.usual / 24.0).max(0.7);
        let patch = Patch::around(raster, self.frame, self.radii.1 + self.reach, step, 1.3);
        if patch.contrast() < LEAST_CONTRAST {
            return None;
        }
        let directions = self.directions(30);
        let (grid_count, radius_count) = (13, 16);
        let grid = Ruler::spanning(-self.reach, self.reach, 2.0 * self.reach / 12.0, grid_count);
        let radius_step = (self.radii.1 - self.radii.0) / radius_count as f64;
        let radii = Ruler::spanning(self.radii.0, self.radii.1, radius_step, radius_count);
        let mut best = (f64::NEG_INFINITY, 0.0, 0.0, 0.0);
        for u in (0..grid.count).map(|index| grid.at(index)) {
            for v in (0..grid.count).map(|index| grid.at(index)) {
                for radius in (0..radii.count).map(|index| radii.at(index)) {
                    let score = self.score(&patch, &directions, (u, v), radius);
                    if score > best.0 {
                        best = (score, u, v, radius);
                    }
                }
            }
        }
        (best.0 > 0.0).then(|| (self.frame.point(best.1, best.2), best.3))
    }

    /// Mean strength of the edge along a circle, less a little for being unusual.
    fn score(
        &self,
        patch: &Patch,
        directions: &[(f64, f64)],
        (u, v): (f64, f64),
        radius: f64,
    ) -> f64 {
        let sign = match self.outward {
            Outward::Falls => 1.0,
            Outward::Rises => -1.0,
        };
        let sum: f64 = directions
            .iter()
            .map(|direction| {
                let place = (u + radius * direction.0, v + radius * direction.1);
                sign * patch.fall(place, *direction)
            })
            .sum();
        let off_centre = u.hypot(v) / self.reach;
        let off_size = (radius / self.usual).ln() / 0.3;
        sum / directions.len() as f64 - 0.08 * (off_centre * off_centre + off_size * off_size)
    }

    /// Unit vectors in the frame's axes, evenly over the arc.
    fn directions(&self, count: usize) -> Vec<(f64, f64)> {
        (0..count)
            .map(|index| {
                let share = (index as f64 + 0.5) / count as f64;
                let angle = self.half_arc * (2.0 * share - 1.0);
                (angle.cos(), angle.sin())
            })
            .collect()
    }

    /// The edge near a circle, within a share of its radius, over the arc.
    fn follow(
        &self,
        raster: &Raster<'_>,
        (centre, radius): (PhysicalPoint, f64),
        share: f64,
    ) -> PolarContour {
        let is_whole = self.half_arc >= PI;
        let axis = self.frame.along.y.atan2(self.frame.along.x);
        let rays = Rays {
            centre,
            first: axis - self.half_arc,
            turn: if is_whole { TAU } else { 2.0 * self.half_arc },
            count: count_from(2.0 * self.half_arc * radius, 24, 180),
        };
        let reach = (share * radius).max(3.0);
        let step = (reach / 20.0).clamp(0.25, 2.0);
        contour(
            raster,
            rays,
            |_| radius,
            Ruler::spanning(-reach, reach, step, 12),
            self.outward,
            self.gap,
        )
    }
}

/// How much larger a spread is than independent points would give, since neighbouring rays read the
/// same pixels.
const CORRELATION: f64 = 1.7;
