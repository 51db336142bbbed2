//! The angles of the lateral film.
//!
//! Dorsal is the side of the floor on which the bones lie, anterior the way in which the first
//! metatarsal points, so that a mirrored or turned film reads the same.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, PhysicalVector, View};

use crate::{
    construction::LineRole,
    evaluation::{Evaluation, Finding},
    outcome::Need,
    placed::{Gap, PlacedFilm, both},
    two_point_line::TwoPointLine,
};

/// The sine of the smallest angle between a bone and the dorsal direction that still tells which way
/// dorsal is, about 6°.
const SMALLEST_SINE: f64 = 0.1;

pub(crate) const TALUS: [Landmark; 2] = [Landmark::TalusPosterior, Landmark::TalusAnterior];
pub(crate) const CALCANEUS: [Landmark; 2] =
    [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior];
pub(crate) const FLOOR: [Landmark; 2] = [Landmark::FloorPosterior, Landmark::FloorAnterior];

/// The angle from the talus to the first metatarsal, negative when its apex is plantar.
///
/// ```text
/// −δ · atan2(t × m, t · m)
/// ```
///
/// with m the axis of the first metatarsal from proximal to distal, t that of the talus, taken the
/// way in which m points, and δ = 1 where dorsal lies clockwise of anterior on the film, −1 where
/// it lies counter-clockwise.
pub(crate) fn talo_first_metatarsal<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let parts = both(
        evaluation.axes.axis(&film, LongBone::M1),
        TwoPointLine::of(&film, TALUS),
    );
    let ((metatarsal, talus), dorsal) = both(parts, dorsal(&film))?;
    let anterior = metatarsal.direction.value();
    let talar_axis = talus.vector().along(anterior);
    let toward_dorsal = toward_dorsal(anterior, dorsal).ok_or_else(|| Gap::Degenerate {
        landmarks: vec!["The first metatarsal".to_owned()],
        reason: "it stands upright on the floor, so that dorsal and plantar cannot be told; \
                     check the floor line and the ends of the bone"
            .to_owned(),
    })?;
    let turn = talar_axis.turn_to(metatarsal.direction) * -toward_dorsal;
    let mut finding = Finding::degrees(turn).by_axes(&evaluation.axes, &film, [&metatarsal]);
    finding
        .construction
        .lines
        .push(talus.line(&film, LineRole::Talus));
    finding
        .construction
        .mark_angle(&film, talus.ends_along(anterior), metatarsal.span());
    Ok(finding)
}

/// The angle of the plantar line of the calcaneus to the floor, positive when its anterior end
/// rises.
///
/// ```text
/// atan2(c · g, c · e)
/// ```
///
/// with e along the floor toward anterior, g square to it toward dorsal, and c along the plantar
/// line the way in which e points.
pub(crate) fn calcaneal_inclination<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let lines = both(
        TwoPointLine::of(&film, CALCANEUS),
        TwoPointLine::of(&film, FLOOR),
    );
    let ((calcaneus, floor), dorsal) = both(lines, dorsal(&film))?;
    let anterior = match middle_of_first_metatarsal(&film)? {
        Some(metatarsal) => metatarsal - calcaneus.middle().value(),
        None => calcaneus.vector().value(),
    };
    let along_floor = floor.vector().along(anterior);
    let square_to_floor = floor.vector().perpendicular().along(dorsal);
    let plantar_line = calcaneus.vector().along(along_floor.value());
    let rise = plantar_line
        .dot(square_to_floor)
        .atan2(plantar_line.dot(along_floor));
    let mut finding = Finding::degrees(rise);
    finding.construction.lines = vec![
        calcaneus.line(&film, LineRole::Calcaneus),
        floor.line(&film, LineRole::Floor),
    ];
    finding.construction.mark_angle(
        &film,
        floor.ends_along(along_floor.value()),
        calcaneus.ends_along(along_floor.value()),
    );
    Ok(finding)
}

/// The angle of the first metatarsal's axis to the floor, positive when its head is lower than its
/// base.
///
/// ```text
/// atan2(−m · g, m · e)
/// ```
///
/// with m the axis from proximal to distal, g square to the floor toward dorsal, and e along the
/// floor the way in which m points.
pub(crate) fn first_metatarsal_inclination<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let lines = both(
        evaluation.axes.axis(&film, LongBone::M1),
        TwoPointLine::of(&film, FLOOR),
    );
    let ((metatarsal, floor), dorsal) = both(lines, dorsal(&film))?;
    let anterior = metatarsal.direction.value();
    let along_floor = floor.vector().along(anterior);
    let square_to_floor = floor.vector().perpendicular().along(dorsal);
    let fall =
        (-metatarsal.direction.dot(square_to_floor)).atan2(metatarsal.direction.dot(along_floor));
    let mut finding = Finding::degrees(fall).by_axes(&evaluation.axes, &film, [&metatarsal]);
    finding
        .construction
        .lines
        .push(floor.line(&film, LineRole::Floor));
    finding
        .construction
        .mark_angle(&film, floor.ends_along(anterior), metatarsal.span());
    Ok(finding)
}

/// 1 where dorsal lies clockwise of a direction on the film, −1 where it lies counter-clockwise; nothing
/// where the direction itself points dorsally or plantarward.
pub(crate) fn toward_dorsal(direction: PhysicalVector, dorsal: PhysicalVector) -> Option<f64> {
    let sine = direction.cross(dorsal) / (direction.length() * dorsal.length());
    (sine.abs() > SMALLEST_SINE).then(|| sine.signum())
}

/// A direction square to the floor that points dorsally: toward the mean of the middles of talus,
/// calcaneus and first metatarsal, as many as were placed. Without a floor it is square to the
/// plantar line of the calcaneus, toward the middle of the talus.
pub(crate) fn dorsal(film: &PlacedFilm<'_, '_>) -> Result<PhysicalVector, Gap> {
    let talus = middle_of(film, TALUS)?;
    let calcaneus = middle_of(film, CALCANEUS)?;
    if let Some(floor) = span_of(film, FLOOR)? {
        let middles: Vec<PhysicalPoint> = [talus, calcaneus, middle_of_first_metatarsal(film)?]
            .into_iter()
            .flatten()
            .collect();
        if middles.is_empty() {
            // Whatever asks for dorsal also asks for one of these bones, and says that it is missing.
            return Err(Gap::Needs(Vec::new()));
        }
        return square_toward(floor, FLOOR, &middles);
    }
    match (span_of(film, CALCANEUS)?, talus) {
        (Some(plantar_line), Some(talus)) => square_toward(plantar_line, CALCANEUS, &[talus]),
        _ => Err(Gap::Needs(
            FLOOR
                .into_iter()
                .filter(|landmark| !film.has(*landmark))
                .map(|landmark| Need::Landmark(View::Lateral, landmark))
                .collect(),
        )),
    }
}

/// The perpendicular of a line that points toward the mean of some points.
fn square_toward(
    line: [PhysicalPoint; 2],
    landmarks: [Landmark; 2],
    points: &[PhysicalPoint],
) -> Result<PhysicalVector, Gap> {
    let square = (line[1] - line[0])
        .perpendicular()
        .unit()
        .ok_or_else(|| Gap::degenerate(landmarks, "both lie on the same spot; move them apart"))?;
    let height: f64 = points
        .iter()
        .map(|point| (*point - line[0]).dot(square))
        .sum();
    if height > 0.0 {
        Ok(square)
    } else if height < 0.0 {
        Ok(square * -1.0)
    } else {
        Err(Gap::degenerate(
            landmarks,
            "the bones lie on this line, so that dorsal cannot be told from plantar; place it again",
        ))
    }
}

fn span_of(
    film: &PlacedFilm<'_, '_>,
    landmarks: [Landmark; 2],
) -> Result<Option<[PhysicalPoint; 2]>, Gap> {
    if !landmarks.iter().all(|landmark| film.has(*landmark)) {
        return Ok(None);
    }
    let ends = [film.place(landmarks[0])?, film.place(landmarks[1])?];
    film.far_enough_apart((landmarks[0], ends[0]), (landmarks[1], ends[1]))?;
    Ok(Some(ends))
}

fn middle_of(
    film: &PlacedFilm<'_, '_>,
    landmarks: [Landmark; 2],
) -> Result<Option<PhysicalPoint>, Gap> {
    if !landmarks.iter().all(|landmark| film.has(*landmark)) {
        return Ok(None);
    }
    let [one, other] = [film.place(landmarks[0])?, film.place(landmarks[1])?];
    Ok(Some(one.midpoint(other)))
}

/// The middle of the first metatarsal on the lateral film, by the first of these pairs that is
/// complete: base and tip, base and head centre, the ends of the stroke.
pub(crate) fn middle_of_first_metatarsal(
    film: &PlacedFilm<'_, '_>,
) -> Result<Option<PhysicalPoint>, Gap> {
    let bone = LongBone::M1;
    for pair in [
        [Landmark::BaseCentre(bone), Landmark::Tip(bone)],
        [Landmark::BaseCentre(bone), Landmark::HeadCentre],
        [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)],
    ] {
        if let Some(middle) = middle_of(film, pair)? {
            return Ok(Some(middle));
        }
    }
    Ok(None)
}
