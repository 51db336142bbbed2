//! How much of the first metatarsophalangeal joint's surfaces face each other.

use plumbray_anatomy::{LongBone, View};

use crate::{
    construction::{Line, LineRole},
    derivative::Scalar,
    evaluation::{Evaluation, Finding},
    joints::{METATARSAL_HEAD, base_of},
    placed::{Gap, both},
    plane::Point,
    two_point_line::TwoPointLine,
};

/// The congruency index: the share of the first metatarsal's distal joint surface that the proximal
/// phalanx's base faces, seen square to the metatarsal's surface; from 0 to 1.
///
/// ```text
/// s = (c − m) · e / (e · e),   index = max(0, min(1, greater s) − max(0, smaller s))
/// ```
///
/// with m the medial end of the metatarsal's surface, e from there to its lateral end, and c each corner of
/// the phalanx's base. It makes no difference which end or corner is called medial.
pub(crate) fn congruency_index<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let (head, base) = both(
        TwoPointLine::of(&film, METATARSAL_HEAD),
        TwoPointLine::of(&film, base_of(LongBone::ProximalPhalanx)),
    )?;
    let along = head.vector();
    let share = |corner: Point<'t>| (corner - head.from).dot(along) / along.dot(along);
    let limited = |share: Scalar<'t>| {
        if (0.0..=1.0).contains(&share.value()) {
            share
        } else {
            film.constant(share.value().clamp(0.0, 1.0))
        }
    };
    // Beyond the same end of the surface, both corners are limited to that end and face nothing of it.
    let faced = [base.from, base.to].map(|corner| limited(share(corner)));
    let index = if faced[0].value() <= faced[1].value() {
        faced[1] - faced[0]
    } else {
        faced[0] - faced[1]
    };
    let mut finding = Finding::plain(index);
    let surfaces = [head, base].map(|surface| surface.line(&film, LineRole::JointSurface));
    let ends = [base.from, base.to].into_iter().zip(faced);
    let perpendiculars = ends.map(|(corner, share)| Line {
        role: LineRole::Perpendicular,
        from: film.on_film(head.from.value() + along.value() * share.value()),
        to: film.on_film(corner.value()),
    });
    let drawn = &mut finding.construction.lines;
    drawn.extend(surfaces.into_iter().chain(perpendiculars));
    Ok(finding)
}
