//! The joint surfaces of the first ray: how they are tilted, and how they face each other.

use plumbray_anatomy::{Landmark, LongBone, PhysicalVector, View};

use crate::{
    construction::{Line, LineRole},
    ends::Ends,
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    outcome::{JointCongruence, PARALLEL_DEGREES, Remark},
    placed::{Gap, PlacedFilm, both},
    plane::Vector,
    two_point_line::TwoPointLine,
};

/// The cosine of the angle beyond which a joint surface counts as running along the axis.
const SMALLEST_COSINE: f64 = 1e-6;

/// The distal joint surface of the first metatarsal.
pub(crate) const METATARSAL_HEAD: [Landmark; 2] =
    [Landmark::ArticularMedial, Landmark::ArticularLateral];

/// The two corners of a bone's base, between which its proximal joint surface lies.
pub(crate) const fn base_of(bone: LongBone) -> [Landmark; 2] {
    [Landmark::BaseMedial(bone), Landmark::BaseLateral(bone)]
}

/// The distal metatarsal articular angle: from the first metatarsal's axis to the perpendicular of
/// its distal articular surface, positive when the surface faces laterally.
///
/// The perpendicular is the one that points the way the axis points, so that it makes no difference
/// which end of the surface is called medial.
pub(crate) fn distal_metatarsal_articular<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    surface_against_axis(evaluation, LongBone::M1, METATARSAL_HEAD, 1.0)
}

/// The proximal phalangeal articular angle: from the perpendicular of the proximal phalanx's base to its
/// axis, positive when the toe points laterally of that perpendicular.
///
/// The hallux valgus angle is the sum of the distal metatarsal articular angle, the angle of the joint and
/// this one.
pub(crate) fn proximal_phalangeal_articular<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let bone = LongBone::ProximalPhalanx;
    surface_against_axis(evaluation, bone, base_of(bone), -1.0)
}

/// The angle of the first tarsometatarsal joint: from the axis of a metatarsal to the perpendicular of the
/// first metatarsal's base, positive when that perpendicular points medially of the axis.
pub(crate) fn first_tarsometatarsal<'t>(
    evaluation: &Evaluation<'_, 't>,
    against: LongBone,
) -> Result<Finding<'t>, Gap> {
    surface_against_axis(evaluation, against, base_of(LongBone::M1), -1.0)
}

/// The turn from a bone's axis to the perpendicular of a joint surface that points the way the axis
/// points; toward lateral it counts as `sign`.
fn surface_against_axis<'t>(
    evaluation: &Evaluation<'_, 't>,
    bone: LongBone,
    surface: [Landmark; 2],
    sign: f64,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let parts = both(
        evaluation.axes.axis(&film, bone),
        TwoPointLine::of(&film, surface),
    );
    let ((axis, line), side) = both(parts, lateral_turn(&film))?;
    let normal = normal_of(&line, axis.direction.value(), surface)?;
    let turn = axis.direction.turn_to(normal) * (side.sign() * sign);
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&axis]);
    let drawn = draw_surface(&mut finding, &film, &line, normal);
    finding.construction.mark_angle(&film, axis.span(), drawn);
    Ok(finding)
}

/// The angle between the two surfaces of the first metatarsophalangeal joint: from the perpendicular of
/// the metatarsal's surface to that of the phalanx's, positive when the phalanx faces more laterally.
pub(crate) fn first_metatarsophalangeal<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let toe = LongBone::ProximalPhalanx;
    let surfaces = [METATARSAL_HEAD, base_of(toe)];
    let (mut finding, [head, base]) = between_surfaces(evaluation, surfaces, [LongBone::M1, toe])?;
    let congruence = congruence(&head, &base, finding.value.value());
    finding.remarks.push(Remark::Congruence(congruence));
    Ok(finding)
}

/// The angle between both joint surfaces of the proximal phalanx: from the perpendicular of its base to
/// that of its head, positive when the head faces more laterally.
pub(crate) fn proximal_distal_phalangeal_articular<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let toe = LongBone::ProximalPhalanx;
    let head = [Landmark::DistalMedial(toe), Landmark::DistalLateral(toe)];
    between_surfaces(evaluation, [base_of(toe), head], [toe, toe]).map(|(finding, _)| finding)
}

/// The turn from the perpendicular of one joint surface to that of another, each on the bone beside it,
/// positive when the other faces more laterally. With it both surfaces.
///
/// Each perpendicular is the one that points distally, as its bone does from base to tip.
fn between_surfaces<'t>(
    evaluation: &Evaluation<'_, 't>,
    surfaces: [[Landmark; 2]; 2],
    bones: [LongBone; 2],
) -> Result<(Finding<'t>, [TwoPointLine<'t>; 2]), Gap> {
    let film = evaluation.film(View::Ap)?;
    let lines = both(
        TwoPointLine::of(&film, surfaces[0]),
        TwoPointLine::of(&film, surfaces[1]),
    );
    let ends = both(Ends::of(&film, bones[0]), Ends::of(&film, bones[1]));
    let (((one, other), (guide, other_guide)), side) =
        both(both(lines, ends), lateral_turn(&film))?;
    let from = normal_of(&one, guide.vector().value(), surfaces[0])?;
    let to = normal_of(&other, other_guide.vector().value(), surfaces[1])?;
    let mut finding = Finding::degrees(from.turn_to(to) * side.sign());
    let drawn = [
        draw_surface(&mut finding, &film, &one, from),
        draw_surface(&mut finding, &film, &other, to),
    ];
    finding.construction.mark_angle(&film, drawn[0], drawn[1]);
    Ok((finding, [one, other]))
}

/// How two joint surfaces that differ by this angle face each other: where their lines meet along the
/// metatarsal's.
fn congruence(head: &TwoPointLine<'_>, base: &TwoPointLine<'_>, degrees: f64) -> JointCongruence {
    if degrees.abs() <= PARALLEL_DEGREES {
        return JointCongruence::Congruent;
    }
    let (along_head, along_base) = (head.vector().value(), base.vector().value());
    let away = base.from.value() - head.from.value();
    let share = away.cross(along_base) / along_head.cross(along_base);
    if (0.0..=1.0).contains(&share) {
        JointCongruence::Subluxated
    } else {
        JointCongruence::Deviated
    }
}

/// The perpendicular of a surface that points along `guide`; an error where the surface itself does.
pub(crate) fn normal_of<'t>(
    surface: &TwoPointLine<'t>,
    guide: PhysicalVector,
    landmarks: [Landmark; 2],
) -> Result<Vector<'t>, Gap> {
    let normal = surface.normal_along(guide);
    let along = normal.value();
    if along.dot(guide).abs() <= SMALLEST_COSINE * along.length() * guide.length() {
        return Err(Gap::degenerate(
            landmarks,
            "the joint surface runs along the axis of the bone; place its two ends again",
        ));
    }
    Ok(normal)
}

/// Adds a surface and its perpendicular to the drawing; the two ends of the perpendicular.
fn draw_surface<'t>(
    finding: &mut Finding<'t>,
    film: &PlacedFilm<'_, 't>,
    surface: &TwoPointLine<'t>,
    normal: Vector<'t>,
) -> [plumbray_anatomy::PhysicalPoint; 2] {
    let middle = surface.middle().value();
    let reach = surface.vector().value().length() / normal.value().length();
    let tip = middle + normal.value() * reach;
    finding.construction.lines.extend([
        surface.line(film, LineRole::JointSurface),
        Line {
            role: LineRole::JointNormal,
            from: film.on_film(middle),
            to: film.on_film(tip),
        },
    ]);
    [middle, tip]
}
