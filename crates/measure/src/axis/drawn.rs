//! A shaft that was drawn by hand: its axis is the line as drawn.

use plumbray_anatomy::{Landmark, LongBone, PhysicalVector};

use crate::{
    ends::Ends,
    outcome::Remark,
    placed::{Gap, PlacedFilm, both},
};

use super::Axis;

/// A shaft without cortices whose stroke was placed is the line as it was drawn.
pub(super) fn is_drawn_by_hand(film: &PlacedFilm<'_, '_>, bone: LongBone) -> bool {
    !film.film.tracing.cortices.contains_key(&bone)
        && film.has(Landmark::ShaftStart(bone))
        && film.has(Landmark::ShaftEnd(bone))
}

/// The axis of such a shaft, turned the way the bone points where its ends say so.
pub(super) fn axis<'t>(film: &PlacedFilm<'_, 't>, bone: LongBone) -> Result<Axis<'t>, Gap> {
    let landmarks = [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)];
    let (start, end) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    film.far_enough_apart((landmarks[0], start.value()), (landmarks[1], end.value()))?;
    let drawn = end - start;
    let direction = match bone_direction(film, bone)? {
        Some(guide) => drawn.along(guide),
        None => drawn,
    };
    let mut ends = [start.value(), end.value()];
    if direction.value().dot(ends[1] - ends[0]) < 0.0 {
        ends.reverse();
    }
    Ok(Axis {
        bone,
        through: start,
        direction,
        marks: ends.to_vec(),
        levels: Vec::new(),
        ends,
        remark: Some(Remark::DrawnByHand(bone)),
    })
}

/// From base to tip, where both were placed.
pub(super) fn bone_direction(
    film: &PlacedFilm<'_, '_>,
    bone: LongBone,
) -> Result<Option<PhysicalVector>, Gap> {
    let landmarks = [Landmark::BaseCentre(bone), Landmark::Tip(bone)];
    if !landmarks.iter().all(|landmark| film.has(*landmark)) {
        return Ok(None);
    }
    let ends = Ends::of(film, bone)?;
    Ok(Some(ends.vector().value()))
}
