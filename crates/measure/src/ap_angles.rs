//! Angles between the axes of two bones on the AP film.

use plumbray_anatomy::{LongBone, View};

use crate::{
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    placed::{Gap, both},
};

/// The angle from the axis of one long bone to that of another, positive when the second points
/// more laterally.
///
/// ```text
/// σ · atan2(a × b, a · b)
/// ```
///
/// with a and b the axes from proximal to distal and σ = 1 where lateral lies clockwise of distal
/// on the film, −1 where it lies counter-clockwise. Hallux valgus: first metatarsal to proximal
/// phalanx. Intermetatarsal: first to second metatarsal, so that it is positive when the first
/// diverges medially. Interphalangeal: proximal to distal phalanx.
pub(crate) fn between_bones<'t>(
    evaluation: &Evaluation<'_, 't>,
    from: LongBone,
    to: LongBone,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let axes = both(
        evaluation.axes.axis(&film, from),
        evaluation.axes.axis(&film, to),
    );
    let ((from, to), lateral) = both(axes, lateral_turn(&film))?;
    let turn = from.direction.turn_to(to.direction) * lateral.sign();
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&from, &to]);
    finding
        .construction
        .mark_angle(&film, from.span(), to.span());
    Ok(finding)
}
