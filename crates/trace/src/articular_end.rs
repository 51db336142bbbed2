//! Where the joint surface of the first metatarsal head ends: the place at which the bone's outline
//! leaves the head's circle for its side.

use plumbray_anatomy::{FilmPoint, Origin, PhysicalPoint, PlacedPoint};
use plumbray_film::GreyView;

use crate::{
    error::TraceError,
    polar::{Outward, PolarContour, Rays, contour},
    raster::{Raster, count_from},
    round::{PhysicalAxis, check_size, checked_place},
    smooth::smoothed,
    strip::Ruler,
    stroke::Stroke,
};

/// How far along the circle an end is looked for to each side of where a person pointed, in radians:
/// about 5 mm on a head of 10.5 mm.
const REACH: f64 = 0.5;
/// How much farther the outline is followed on both sides, in radians.
const MARGIN: f64 = 0.3;
/// How far inside and outside the circle the outline is looked for, over its radius.
const BAND: (f64, f64) = (0.32, 0.12);
/// The joint surface ends where the outline lies so far inside the circle, over its radius: 0.26 mm on
/// a head of 10.5 mm. The bend is round, so that a depth has to be chosen. This one is ours: on the
/// simulated films, whose bones have the ends by construction, it meets them within half a millimetre.
const DEPTH: f64 = 0.025;
/// The spread of an end is the way along the circle in which the outline goes from one of these depths
/// to the other, halved: what another choice of depth would give.
const DEPTHS_OF_SPREAD: (f64, f64) = (0.0125, 0.0375);
/// Over so many radians beyond its end the outline has to stay inside the circle.
const STAYS: f64 = 0.15;
/// Rays for one radian.
const RAYS: f64 = 90.0;

/// Finds one end of the joint surface near a place.
///
/// `head` is the head's centre and a point on its circle; `axis` runs from the middle of the bone's
/// base to its tip and says where distal is.
///
/// # Errors
/// When the film or a place cannot be used, or the outline does not leave the circle there.
pub fn snap_articular_end(
    film: &GreyView<'_>,
    near: FilmPoint,
    head: (FilmPoint, FilmPoint),
    axis: Stroke,
) -> Result<PlacedPoint, TraceError> {
    let raster = Raster::new(film)?;
    let (near, centre, edge) = (
        checked_place(film, &raster, near)?,
        checked_place(film, &raster, head.0)?,
        checked_place(film, &raster, head.1)?,
    );
    let radius = (edge - centre).length();
    check_size(&raster, radius)?;
    let distal = PhysicalAxis::of(film, axis)
        .ok_or(TraceError::NoRoundEdge)?
        .distal;
    let pointed = near - centre;
    let from_distal = distal.cross(pointed).atan2(distal.dot(pointed));
    let turn = if from_distal < 0.0 { -1.0 } else { 1.0 };
    let first = (from_distal.abs() - REACH - MARGIN).max(0.1);
    let last = from_distal.abs() + REACH + MARGIN;
    let rays = Rays {
        centre,
        first: distal.y.atan2(distal.x) + turn * first,
        turn: turn * (last - first),
        count: count_from(RAYS * (last - first), 24, 400),
    };
    let step = (radius / 70.0).clamp(0.25, 2.0);
    let outline = contour(
        &raster,
        rays,
        |_| radius,
        Ruler::spanning(-BAND.0 * radius, BAND.1 * radius, step, 12),
        Outward::Falls,
        None,
    );
    let depths = Depths::of(&outline, centre, radius, (first, last));
    let end = depths
        .reached(DEPTH * radius)
        .filter(|end| (end - from_distal.abs()).abs() <= REACH)
        .ok_or(TraceError::NoRoundEdge)?;
    let (nearer, farther) = DEPTHS_OF_SPREAD;
    let spread = depths
        .reached(nearer * radius)
        .zip(depths.reached(farther * radius))
        .map_or(REACH, |(begins, goes_on)| (goes_on - begins).max(0.0) / 2.0);
    let angle = turn * end;
    let direction = distal * angle.cos() + distal.perpendicular() * angle.sin();
    Ok(PlacedPoint {
        at: film.proportions.film(centre + direction * radius),
        sd_px: (spread * radius).max(0.5),
        origin: Origin::Snapped,
    })
}

/// How deep inside a circle an outline lies, from ray to ray away from distal.
#[derive(Clone, Debug)]
struct Depths {
    first: f64,
    ray: f64,
    depths: Vec<f64>,
}

impl Depths {
    fn of(
        outline: &PolarContour,
        centre: PhysicalPoint,
        radius: f64,
        (first, last): (f64, f64),
    ) -> Self {
        let depths: Vec<f64> = outline
            .points
            .iter()
            .map(|point| radius - (*point - centre).length())
            .collect();
        Self {
            first,
            ray: (last - first) / (depths.len().max(2) - 1) as f64,
            depths: smoothed(&depths, 1.5),
        }
    }

    /// The angle from distal at which the outline comes so deep and stays there; nothing when it does
    /// not, or begins deeper.
    fn reached(&self, depth: f64) -> Option<f64> {
        let stays = count_from(STAYS / self.ray, 2, self.depths.len());
        let at = (1..self.depths.len().saturating_sub(stays)).find(|at| {
            self.depths[at - 1] < depth
                && self.depths[*at..at + stays]
                    .iter()
                    .all(|later| *later >= depth)
        })?;
        let (before, after) = (self.depths[at - 1], self.depths[at]);
        let share = (depth - before) / (after - before).max(f64::MIN_POSITIVE);
        Some(self.first + self.ray * (at as f64 - 1.0 + share))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bend(depths: Vec<f64>) -> Depths {
        Depths {
            first: 0.5,
            ray: 0.01,
            depths,
        }
    }

    #[test]
    fn the_end_lies_where_the_outline_leaves_the_circle() {
        // On the circle for 40 rays, then half a pixel deeper from ray to ray.
        let depths = (0..100)
            .map(|ray| 0.5 * f64::from((ray - 40).max(0)))
            .collect();
        let end = bend(depths).reached(2.0).expect("it leaves");
        assert!((end - (0.5 + 0.44)).abs() < 1e-9, "at {end}");
    }

    #[test]
    fn a_notch_is_no_end() {
        let notch = (0..100)
            .map(|ray| if (50..55).contains(&ray) { 3.0 } else { 0.0 })
            .collect();
        assert_eq!(bend(notch).reached(2.0), None, "the outline comes back");
    }
}
