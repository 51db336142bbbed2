//! Talus against calcaneus, and how high the first ray stands, on the lateral film.
//!
//! Dorsal is told as for the other angles of this film.

use plumbray_anatomy::{Landmark, LongBone, PhysicalVector, View};

use crate::{
    construction::LineRole,
    evaluation::{Evaluation, Finding},
    lateral_view::{self, CALCANEUS, FLOOR, TALUS, middle_of_first_metatarsal},
    outcome::Need,
    placed::{Gap, PlacedFilm, both},
    two_point_line::TwoPointLine,
};

/// The angle from the axis of the talus to the plantar line of the calcaneus, positive when they open
/// anteriorly, the calcaneus rising more than the talus.
pub(crate) fn talocalcaneal<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let lines = both(
        TwoPointLine::of(&film, TALUS),
        TwoPointLine::of(&film, CALCANEUS),
    );
    let ((talus, calcaneus), dorsal) = both(lines, dorsal(&film))?;
    let anterior = match middle_of_first_metatarsal(&film)? {
        Some(metatarsal) => metatarsal - calcaneus.middle().value(),
        None => talus.vector().value(),
    };
    let from = talus.vector().along(anterior);
    let to = calcaneus.vector().along(anterior);
    let turn = from.turn_to(to) * toward_dorsal(anterior, dorsal)?;
    let mut finding = Finding::degrees(turn);
    finding.construction.lines = vec![
        talus.line(&film, LineRole::Talus),
        calcaneus.line(&film, LineRole::Calcaneus),
    ];
    finding.construction.mark_angle(
        &film,
        talus.ends_along(anterior),
        calcaneus.ends_along(anterior),
    );
    Ok(finding)
}

/// The angle from the dorsal cortex of the second metatarsal to that of the first, positive when the first
/// diverges dorsally.
pub(crate) fn sagittal_intermetatarsal<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let ((first, second), dorsal) = first_two_cortices(&film)?;
    let anterior = second.vector().value();
    let turn = second.vector().turn_to(first.vector()) * toward_dorsal(anterior, dorsal)?;
    let mut finding = Finding::degrees(turn);
    finding.construction.lines = vec![
        first.line(&film, LineRole::Cortex(LongBone::M1)),
        second.line(&film, LineRole::Cortex(LongBone::M2)),
    ];
    let ends = |line: &TwoPointLine<'_>| [line.from.value(), line.to.value()];
    finding
        .construction
        .mark_angle(&film, ends(&second), ends(&first));
    Ok(finding)
}

/// How far the distal point of the first metatarsal's dorsal cortex lies dorsal to the line along the
/// second's, in millimetres.
pub(crate) fn first_metatarsal_elevation<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let parts = both(
        film.point(Landmark::DorsalDistal(LongBone::M1)),
        dorsal_line(&film, LongBone::M2),
    );
    let (((point, line), dorsal), scale) =
        both(both(parts, dorsal(&film)), film.mm_per_pixel_width())?;
    // Else the line itself would run dorsally, and nothing would lie dorsal of it.
    toward_dorsal(line.vector().value(), dorsal)?;
    let square = line.normal_along(dorsal);
    let (height, foot) = line.offset_of(point, square);
    let mut finding = Finding::plain(height * scale);
    finding.calibration_name = film.calibration_name();
    let drawn = line.line(&film, LineRole::Cortex(LongBone::M2));
    finding.construction.lines.push(drawn);
    finding
        .construction
        .mark_distance(&film, foot, point.value());
    Ok(finding)
}

/// How much farther dorsal of the line along the second metatarsal's dorsal cortex the distal point of the
/// first's lies than its proximal point, in millimetres.
pub(crate) fn first_metatarsal_elevation_gain<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let (((first, second), dorsal), scale) =
        both(first_two_cortices(&film), film.mm_per_pixel_width())?;
    toward_dorsal(second.vector().value(), dorsal)?;
    let square = second.normal_along(dorsal);
    let ends = [first.from, first.to];
    let [proximal, distal] = ends.map(|end| second.offset_of(end, square));
    let mut finding = Finding::plain((distal.0 - proximal.0) * scale);
    finding.calibration_name = film.calibration_name();
    let drawn = second.line(&film, LineRole::Cortex(LongBone::M2));
    finding.construction.lines.push(drawn);
    for (end, (_, foot)) in ends.iter().zip([proximal, distal]) {
        finding.construction.mark_distance(&film, foot, end.value());
    }
    Ok(finding)
}

/// How high the lowest point of the medial cuneiform lies above the floor, in millimetres.
pub(crate) fn medial_cuneiform_height<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let parts = both(
        film.point(Landmark::MedialCuneiformPlantar),
        TwoPointLine::of(&film, FLOOR),
    );
    let (((point, floor), dorsal), scale) =
        both(both(parts, dorsal(&film)), film.mm_per_pixel_width())?;
    let square = floor.normal_along(dorsal);
    let (height, foot) = floor.offset_of(point, square);
    let mut finding = Finding::plain(height * scale);
    finding.calibration_name = film.calibration_name();
    let drawn = floor.line(&film, LineRole::Floor);
    finding.construction.lines.push(drawn);
    finding
        .construction
        .mark_distance(&film, foot, point.value());
    Ok(finding)
}

/// The dorsal direction. Where there is a floor and no bone above it that tells on which side dorsal is,
/// the first metatarsal is needed.
fn dorsal(film: &PlacedFilm<'_, '_>) -> Result<PhysicalVector, Gap> {
    match lateral_view::dorsal(film) {
        Err(Gap::Needs(needs)) if needs.is_empty() => {
            Err(Gap::Needs(vec![Need::Shaft(View::Lateral, LongBone::M1)]))
        }
        other => other,
    }
}

/// 1 where dorsal lies clockwise of a direction on the film, −1 where it lies counter-clockwise; an error
/// where the direction itself points dorsally or plantarward.
fn toward_dorsal(direction: PhysicalVector, dorsal: PhysicalVector) -> Result<f64, Gap> {
    lateral_view::toward_dorsal(direction, dorsal).ok_or_else(|| Gap::Degenerate {
        landmarks: vec!["The lateral film".to_owned()],
        reason: "the bones stand upright on the floor, so that dorsal and plantar cannot be told; check \
                 the floor line and the points of the bones"
            .to_owned(),
    })
}

/// The dorsal cortices of the first and second metatarsal, and the dorsal direction.
type FirstTwoCortices<'t> = ((TwoPointLine<'t>, TwoPointLine<'t>), PhysicalVector);

fn first_two_cortices<'t>(film: &PlacedFilm<'_, 't>) -> Result<FirstTwoCortices<'t>, Gap> {
    let cortices = both(
        dorsal_line(film, LongBone::M1),
        dorsal_line(film, LongBone::M2),
    );
    both(cortices, dorsal(film))
}

fn dorsal_line<'t>(film: &PlacedFilm<'_, 't>, bone: LongBone) -> Result<TwoPointLine<'t>, Gap> {
    TwoPointLine::of(
        film,
        [Landmark::DorsalProximal(bone), Landmark::DorsalDistal(bone)],
    )
}
