//! The two axes of the first metatarsal that lean on the centre of its head.

use plumbray_anatomy::{Landmark, LongBone};

use crate::{
    placed::{Gap, PlacedFilm, both},
    plane::Point,
};

use super::{Axis, QUARTERS, levels::Shaft, long_enough, operated};

/// From the centre of the base to the centre of the head.
pub(super) fn base_to_head<'t>(film: &PlacedFilm<'_, 't>) -> Result<Axis<'t>, Gap> {
    let bone = LongBone::M1;
    let landmarks = [Landmark::BaseCentre(bone), Landmark::HeadCentre];
    let (base, head) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    let ends = [base.value(), head.value()];
    film.far_enough_apart((landmarks[0], ends[0]), (landmarks[1], ends[1]))?;
    Ok(Axis {
        bone,
        through: base,
        direction: head - base,
        marks: ends.to_vec(),
        levels: Vec::new(),
        ends,
        remark: None,
    })
}

/// From the middle of the shaft at a quarter of its length to the centre of the head. On an operated
/// foot that quarter must lie proximal to the cut.
pub(super) fn shaft_to_head<'t>(
    film: &PlacedFilm<'_, 't>,
    operated: bool,
) -> Result<Axis<'t>, Gap> {
    let bone = LongBone::M1;
    if operated {
        operated::cut_level(film)?;
    }
    let proximal = Shaft::of(film, bone).and_then(|shaft| {
        if operated {
            operated::check_share(film, shaft.ends(), QUARTERS[0])?;
        }
        shaft.crossings(film.constant(QUARTERS[0]))
    });
    let (proximal, head) = both(proximal, film.point(Landmark::HeadCentre))?;
    let middle = proximal[0].midpoint(proximal[1]);
    let axis = Axis {
        bone,
        through: middle,
        direction: head - middle,
        marks: vec![middle.value(), head.value()],
        levels: vec![proximal.map(Point::value)],
        ends: [middle.value(), head.value()],
        remark: None,
    };
    long_enough(axis)
}
