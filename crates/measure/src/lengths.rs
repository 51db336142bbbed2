//! Lengths of the metatarsals and how they compare.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, View};

use crate::{
    axis::Axis,
    construction::{Line, LineRole},
    derivative::Scalar,
    ends::Ends,
    evaluation::{Evaluation, Finding},
    placed::{Gap, PlacedFilm, both},
};

/// The length of a metatarsal from the centre of its base to its tip, in millimetres.
pub(crate) fn of_metatarsal<'t>(
    evaluation: &Evaluation<'_, 't>,
    bone: LongBone,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let (ends, scale) = both(Ends::of(&film, bone), film.mm_per_pixel_width())?;
    let mut finding = Finding::plain(ends.length() * scale);
    finding.calibration_name = film.calibration_name();
    finding.construction.lines.push(ends.line(&film));
    Ok(finding)
}

/// The length of a metatarsal over that of the second; needs no calibration.
pub(crate) fn ratio_to_second<'t>(
    evaluation: &Evaluation<'_, 't>,
    bone: LongBone,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let (ends, second) = both(Ends::of(&film, bone), Ends::of(&film, LongBone::M2))?;
    let mut finding = Finding::plain(ends.length() / second.length());
    finding.construction.lines = vec![ends.line(&film), second.line(&film)];
    Ok(finding)
}

/// How much farther distally one place lies than another along the second metatarsal's axis, in
/// millimetres. Of the tips of the first and the second: how far the first reaches beyond it.
pub(crate) fn beyond_along_second<'t>(
    evaluation: &Evaluation<'_, 't>,
    places: [Landmark; 2],
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let (steps, scale) = both(
        Protrusion::of(evaluation, &film, places),
        film.mm_per_pixel_width(),
    )?;
    let mut finding = steps.finding(evaluation, &film, steps.along_second * scale);
    finding.calibration_name = film.calibration_name();
    Ok(finding)
}

/// How far the first metatarsal's tip lies beyond the second's along the second's axis, as a share of the
/// second metatarsal's length; needs no calibration.
pub(crate) fn relative_first_ratio<'t>(
    evaluation: &Evaluation<'_, 't>,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let tips = [LongBone::M1, LongBone::M2].map(Landmark::Tip);
    let (steps, second) = both(
        Protrusion::of(evaluation, &film, tips),
        Ends::of(&film, LongBone::M2),
    )?;
    Ok(steps.finding(evaluation, &film, steps.along_second / second.length()))
}

/// One place against another along the second metatarsal's axis.
#[derive(Debug)]
struct Protrusion<'t> {
    axis: Axis<'t>,
    places: [PhysicalPoint; 2],
    /// In pixel widths, positive where the first place lies farther distally.
    along_second: Scalar<'t>,
}

impl<'t> Protrusion<'t> {
    fn of(
        evaluation: &Evaluation<'_, 't>,
        film: &PlacedFilm<'_, 't>,
        places: [Landmark; 2],
    ) -> Result<Self, Gap> {
        let points = both(film.point(places[0]), film.point(places[1]));
        let (axis, (first, second)) = both(evaluation.axes.axis(film, LongBone::M2), points)?;
        let along_second = (first - second).dot(axis.direction) / axis.direction.length();
        Ok(Self {
            axis,
            places: [first.value(), second.value()],
            along_second,
        })
    }

    fn finding(
        &self,
        evaluation: &Evaluation<'_, 't>,
        film: &PlacedFilm<'_, '_>,
        value: Scalar<'t>,
    ) -> Finding<'t> {
        let mut finding = Finding::plain(value).by_axes(&evaluation.axes, film, [&self.axis]);
        let (through, direction) = (self.axis.through.value(), self.axis.direction.value());
        for place in self.places {
            let along = (place - through).dot(direction) / direction.dot(direction);
            finding.construction.points.push(film.on_film(place));
            finding.construction.lines.push(Line {
                role: LineRole::Perpendicular,
                from: film.on_film(place),
                to: film.on_film(through + direction * along),
            });
        }
        finding
    }
}
