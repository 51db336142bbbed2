//! The angles of the AP film.

use plumbray_anatomy::{Landmark, LongBone, View};

use crate::{
    construction::{Line, LineRole},
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    placed::{Gap, PlacedFilm, both},
    plane::Point,
};

/// The cosine of the angle beyond which a joint surface counts as running along the axis.
const SMALLEST_COSINE: f64 = 1e-6;

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

/// The distal metatarsal articular angle: from the first metatarsal's axis to the perpendicular of
/// its distal articular surface, positive when the surface faces laterally.
///
/// The perpendicular is the one that points the way the axis points, so that it makes no difference
/// which end of the surface is called medial.
pub(crate) fn distal_metatarsal_articular<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let parts = both(
        evaluation.axes.axis(&film, LongBone::M1),
        articular_surface(&film),
    );
    let ((axis, [medial, lateral]), side) = both(parts, lateral_turn(&film))?;
    let normal = (lateral - medial).perpendicular();
    let (a, n) = (axis.direction.value(), normal.value());
    if n.dot(a).abs() <= SMALLEST_COSINE * n.length() * a.length() {
        return Err(Gap::degenerate(
            [Landmark::ArticularMedial, Landmark::ArticularLateral],
            "the joint surface runs along the axis of the bone; place its two ends again",
        ));
    }
    let normal = normal.along(a);
    let turn = axis.direction.turn_to(normal) * side.sign();
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&axis]);
    let middle = medial.midpoint(lateral).value();
    let reach = (lateral - medial).value().length() / normal.value().length();
    let tip_of_normal = middle + normal.value() * reach;
    finding.construction.lines.extend([
        Line {
            role: LineRole::JointSurface,
            from: film.on_film(medial.value()),
            to: film.on_film(lateral.value()),
        },
        Line {
            role: LineRole::JointNormal,
            from: film.on_film(middle),
            to: film.on_film(tip_of_normal),
        },
    ]);
    finding
        .construction
        .mark_angle(&film, axis.span(), [middle, tip_of_normal]);
    Ok(finding)
}

fn articular_surface<'t>(film: &PlacedFilm<'_, 't>) -> Result<[Point<'t>; 2], Gap> {
    let landmarks = [Landmark::ArticularMedial, Landmark::ArticularLateral];
    let (medial, lateral) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    film.far_enough_apart(
        (landmarks[0], medial.value()),
        (landmarks[1], lateral.value()),
    )?;
    Ok([medial, lateral])
}
