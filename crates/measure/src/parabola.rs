//! How far the metatarsals reach by arcs about a point behind them.

use plumbray_anatomy::{Landmark, LongBone, View};

use crate::{
    axis::Axis,
    construction::LineRole,
    evaluation::{Evaluation, Finding},
    placed::{Gap, both},
    plane::Point,
    two_point_line::TwoPointLine,
};

/// The sine of the smallest angle at which the second metatarsal's axis may meet the line across the
/// tarsus, about 6°.
const SMALLEST_SINE: f64 = 0.1;

/// How much farther from a point behind the foot the tip of a metatarsal lies than that of the second, in
/// millimetres; positive when it reaches farther.
///
/// The point is where the second metatarsal's axis meets the line from the medial end of the talonavicular
/// to the lateral end of the calcaneocuboid joint (Domínguez-Maldonado et al., ScientificWorldJournal
/// 2014:505736). The first metatarsal's own axis takes no part: it runs near parallel to the second's, and
/// where they meet is anywhere.
pub(crate) fn by_arcs<'t>(
    evaluation: &Evaluation<'_, 't>,
    bone: LongBone,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let tarsus = TwoPointLine::of(
        &film,
        [
            Landmark::TalonavicularMedial,
            Landmark::CalcaneocuboidLateral,
        ],
    );
    let tips = both(
        film.point(Landmark::Tip(bone)),
        film.point(Landmark::Tip(LongBone::M2)),
    );
    let lines = both(evaluation.axes.axis(&film, LongBone::M2), tarsus);
    let (((axis, tarsus), (tip, second)), scale) =
        both(both(lines, tips), film.mm_per_pixel_width())?;
    let centre = meeting(&axis, &tarsus)?;
    let beyond = (tip - centre).length() - (second - centre).length();
    let mut finding = Finding::plain(beyond * scale).by_axes(&evaluation.axes, &film, [&axis]);
    finding.calibration_name = film.calibration_name();
    finding
        .construction
        .lines
        .push(tarsus.line(&film, LineRole::LesserTarsus));
    for end in [tip, second] {
        finding
            .construction
            .mark_distance(&film, centre.value(), end.value());
    }
    Ok(finding)
}

/// Where an axis meets a line that runs across it.
fn meeting<'t>(axis: &Axis<'t>, line: &TwoPointLine<'t>) -> Result<Point<'t>, Gap> {
    let across = line.vector();
    let determinant = axis.direction.cross(across);
    let lengths = axis.direction.value().length() * across.value().length();
    if determinant.value().abs() <= SMALLEST_SINE * lengths {
        return Err(Gap::degenerate(
            [
                Landmark::TalonavicularMedial,
                Landmark::CalcaneocuboidLateral,
            ],
            "their line runs along the second metatarsal; place both points again",
        ));
    }
    let along = (line.from - axis.through).cross(across) / determinant;
    Ok(axis.through + axis.direction * along)
}
