//! How far the metatarsals reach: by arcs about a point behind them, and by steps along the second.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid, View};

use crate::{
    axis::Axis,
    construction::{Line, LineRole},
    derivative::Scalar,
    evaluation::{Evaluation, Finding},
    placed::{Gap, PlacedFilm, both},
    plane::{Point, Vector},
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
        finding.construction.lines.push(Line {
            role: LineRole::Distance,
            from: film.on_film(centre.value()),
            to: film.on_film(end.value()),
        });
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

/// How much farther distally one metatarsal's tip lies than another's along the second's axis, in
/// millimetres.
pub(crate) fn step<'t>(
    evaluation: &Evaluation<'_, 't>,
    from: LongBone,
    to: LongBone,
) -> Result<Finding<'t>, Gap> {
    along_second(evaluation, [Landmark::Tip(to), Landmark::Tip(from)])
}

/// How far distally of the centre of the fourth metatarsal's head the line square to the second
/// metatarsal through the fibular sesamoid runs, in millimetres; negative when it runs proximally.
pub(crate) fn sesamoid_line_at_fourth<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    along_second(
        evaluation,
        [
            Landmark::FourthHeadCentre,
            Landmark::SesamoidCentre(Sesamoid::Fibular),
        ],
    )
}

/// How much farther distally the second of two places lies, along the second metatarsal's axis.
fn along_second<'t>(
    evaluation: &Evaluation<'_, 't>,
    places: [Landmark; 2],
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let points = both(film.point(places[0]), film.point(places[1]));
    let ((axis, (from, to)), scale) = both(
        both(evaluation.axes.axis(&film, LongBone::M2), points),
        film.mm_per_pixel_width(),
    )?;
    let along = distally(&axis, to - from);
    let mut finding = Finding::plain(along * scale).by_axes(&evaluation.axes, &film, [&axis]);
    finding.calibration_name = film.calibration_name();
    drop_on_axis(&mut finding, &film, &axis, [from, to]);
    Ok(finding)
}

/// How far a displacement reaches along an axis, in pixel widths.
fn distally<'t>(axis: &Axis<'t>, displacement: Vector<'t>) -> Scalar<'t> {
    displacement.dot(axis.direction) / axis.direction.length()
}

/// Draws the perpendiculars from places onto an axis.
fn drop_on_axis<'t>(
    finding: &mut Finding<'t>,
    film: &PlacedFilm<'_, 't>,
    axis: &Axis<'t>,
    places: [Point<'t>; 2],
) {
    let (through, direction) = (axis.through.value(), axis.direction.value());
    for place in places.map(Point::value) {
        let along = (place - through).dot(direction) / direction.dot(direction);
        finding.construction.points.push(film.on_film(place));
        finding.construction.lines.push(Line {
            role: LineRole::Perpendicular,
            from: film.on_film(place),
            to: film.on_film(through + direction * along),
        });
    }
}
