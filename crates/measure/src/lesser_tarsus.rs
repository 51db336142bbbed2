//! How the second metatarsal stands against the lesser tarsus.

use plumbray_anatomy::{Landmark, LongBone, View};

use crate::{
    construction::{Line, LineRole},
    ends::Ends,
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    placed::{Gap, PlacedFilm, SHORTEST_LINE, both},
    plane::Point,
    two_point_line::TwoPointLine,
};

/// The metatarsus adductus angle: from the perpendicular of the line through the middles of the medial
/// and the lateral border of the lesser tarsus to the axis of the second metatarsal, positive when the
/// metatarsal points medially.
///
/// The medial middle lies between the medial ends of the first tarsometatarsal and the talonavicular
/// joint, the lateral one between the lateral ends of the calcaneocuboid joint and of the joint between the
/// cuboid and the fourth (after Sgarlato) or fifth metatarsal (the modified form).
pub(crate) fn metatarsus_adductus<'t>(
    evaluation: &Evaluation<'_, 't>,
    lateral_metatarsal: LongBone,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let borders = both(
        middle_between(
            &film,
            [
                Landmark::BaseMedial(LongBone::M1),
                Landmark::TalonavicularMedial,
            ],
        ),
        middle_between(
            &film,
            [
                Landmark::CalcaneocuboidLateral,
                Landmark::BaseLateral(lateral_metatarsal),
            ],
        ),
    );
    // Whatever else is missing, borders that coincide give no number.
    let tarsus = borders.and_then(|(medial, lateral)| across(medial, lateral));
    let bone = LongBone::M2;
    let metatarsal = both(evaluation.axes.axis(&film, bone), Ends::of(&film, bone));
    let ((tarsus, (axis, ends)), side) = both(both(tarsus, metatarsal), lateral_turn(&film))?;
    let normal = tarsus.normal_along(ends.vector().value());
    let turn = normal.turn_to(axis.direction) * -side.sign();
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&axis]);
    let middle = tarsus.middle().value();
    let tip = middle + normal.value();
    finding.construction.lines.extend([
        tarsus.line(&film, LineRole::LesserTarsus),
        Line {
            role: LineRole::Perpendicular,
            from: film.on_film(middle),
            to: film.on_film(tip),
        },
    ]);
    finding
        .construction
        .mark_angle(&film, [middle, tip], axis.span());
    Ok(finding)
}

/// The angle from the axis of the intermediate cuneiform to that of the second metatarsal, positive when
/// the metatarsal points medially (after Engel).
pub(crate) fn cuneiform_to_second<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let cuneiform = TwoPointLine::of(
        &film,
        [
            Landmark::IntermediateCuneiformProximal,
            Landmark::IntermediateCuneiformDistal,
        ],
    );
    let parts = both(evaluation.axes.axis(&film, LongBone::M2), cuneiform);
    let ((axis, cuneiform), side) = both(parts, lateral_turn(&film))?;
    let turn = cuneiform.vector().turn_to(axis.direction) * -side.sign();
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&axis]);
    finding
        .construction
        .lines
        .push(cuneiform.line(&film, LineRole::LesserTarsus));
    let ends = [cuneiform.from.value(), cuneiform.to.value()];
    finding.construction.mark_angle(&film, ends, axis.span());
    Ok(finding)
}

fn middle_between<'t>(
    film: &PlacedFilm<'_, 't>,
    landmarks: [Landmark; 2],
) -> Result<Point<'t>, Gap> {
    let (one, other) = both(film.point(landmarks[0]), film.point(landmarks[1]))?;
    Ok(one.midpoint(other))
}

/// The line across the lesser tarsus, where the middles of its borders lie apart.
fn across<'t>(medial: Point<'t>, lateral: Point<'t>) -> Result<TwoPointLine<'t>, Gap> {
    let tarsus = TwoPointLine {
        from: medial,
        to: lateral,
    };
    if tarsus.vector().value().length() >= SHORTEST_LINE {
        return Ok(tarsus);
    }
    Err(Gap::Degenerate {
        landmarks: vec!["The lesser tarsus".to_owned()],
        reason:
            "the middles of its medial and its lateral border coincide; place their points again"
                .to_owned(),
    })
}
