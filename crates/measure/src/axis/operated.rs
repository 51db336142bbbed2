//! Whether an axis of an operated first metatarsal keeps clear of the moved fragment.
//!
//! With a level inside the fragment the axis turns far more than the bone did, so that the number
//! means nothing (docs/measurements.md works an example).

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint};

use crate::{
    ends::Ends,
    placed::{Gap, PlacedFilm},
};

use super::drawn::bone_direction;

/// Passes where the most distal level of a shaft lies proximal to the earlier cut.
pub(crate) fn check_share(
    film: &PlacedFilm<'_, '_>,
    ends: &Ends<'_>,
    most_distal: f64,
) -> Result<(), Gap> {
    let cut = ends.share_of(cut_level(film)?);
    if most_distal < cut {
        return Ok(());
    }
    Err(Gap::Refused(format!(
        "operated foot: this axis leans on the shaft at {:.0} % of the first metatarsal’s length, \
         but the bone was cut at {:.0} %, and the fragment beyond has moved; only numbers by head \
         centre – base centre can be told",
        100.0 * most_distal,
        100.0 * cut
    )))
}

/// Passes where a line drawn by hand lies wholly proximal to the earlier cut.
pub(super) fn check_line(film: &PlacedFilm<'_, '_>, drawn: [PhysicalPoint; 2]) -> Result<(), Gap> {
    let cut = cut_level(film)?;
    let along = match bone_direction(film, LongBone::M1)? {
        Some(base_to_tip) => base_to_tip,
        None => drawn[1] - drawn[0],
    };
    let is_proximal = |end: PhysicalPoint| (end - cut).dot(along) < 0.0;
    if drawn.into_iter().all(is_proximal) {
        return Ok(());
    }
    Err(Gap::Refused(
        "operated foot: the line drawn along the first metatarsal reaches past the earlier cut, and \
         the fragment beyond has moved; draw it proximal to the cut, or use head centre – base \
         centre"
            .to_owned(),
    ))
}

/// Where the bone was cut; without it nothing along the shaft can be trusted.
pub(crate) fn cut_level(film: &PlacedFilm<'_, '_>) -> Result<PhysicalPoint, Gap> {
    if film.has(Landmark::OsteotomyLevel) {
        film.place(Landmark::OsteotomyLevel)
    } else {
        Err(Gap::Refused(
            "operated foot: an axis along the shaft of the first metatarsal may lean on the moved \
             fragment; mark the level of the earlier osteotomy. Without it only numbers by head \
             centre – base centre can be told"
                .to_owned(),
        ))
    }
}
