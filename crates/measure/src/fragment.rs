//! How the head's fragment of an operated first metatarsal lies against its shaft on the lateral film.
//!
//! Before it was moved, the face of the fragment lay on that of the shaft.

use plumbray_anatomy::{Landmark, LongBone, View};

use crate::{
    construction::LineRole,
    derivative::Scalar,
    ends::Ends,
    evaluation::{Evaluation, Finding},
    placed::{Gap, PlacedFilm, both},
    two_point_line::TwoPointLine,
};

/// The sine of the smallest angle between the first metatarsal and the face of its cut, about 6°.
const SMALLEST_SINE: f64 = 0.1;

/// Both faces of the cut, each from plantar to dorsal.
struct Faces<'t> {
    shaft: TwoPointLine<'t>,
    fragment: TwoPointLine<'t>,
}

impl<'t> Faces<'t> {
    fn of(evaluation: &Evaluation<'_, 't>, film: &PlacedFilm<'_, 't>) -> Result<Self, Gap> {
        if !evaluation.axes.operated {
            return Err(Gap::Refused(
                "only after an osteotomy; say in the visit that the foot was operated on"
                    .to_owned(),
            ));
        }
        let (shaft, fragment) = both(
            TwoPointLine::of(film, [Landmark::ShaftCutPlantar, Landmark::ShaftCutDorsal]),
            TwoPointLine::of(
                film,
                [Landmark::FragmentCutPlantar, Landmark::FragmentCutDorsal],
            ),
        )?;
        Ok(Self { shaft, fragment })
    }

    /// How far the middle of the fragment's face lies dorsal of the shaft's, along the shaft's face, in
    /// pixel widths.
    fn shift(&self) -> Scalar<'t> {
        let dorsal = self.shaft.vector();
        (self.fragment.middle() - self.shaft.middle()).dot(dorsal) / dorsal.length()
    }

    fn drawn(&self, finding: &mut Finding<'t>, film: &PlacedFilm<'_, 't>) {
        finding.construction.lines.extend([
            self.shaft.line(film, LineRole::CutFace),
            self.fragment.line(film, LineRole::CutFace),
        ]);
        let middles = [&self.shaft, &self.fragment].map(|face| face.middle().value());
        finding
            .construction
            .mark_distance(film, middles[0], middles[1]);
    }
}

/// How far the fragment lies dorsal of the shaft, in millimetres; negative when it lies plantar.
pub(crate) fn dorsal_shift<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let (faces, scale) = both(Faces::of(evaluation, &film), film.mm_per_pixel_width())?;
    let mut finding = Finding::plain(faces.shift() * scale);
    finding.calibration_name = film.calibration_name();
    faces.drawn(&mut finding, &film);
    Ok(finding)
}

/// The same over the height of the shaft at the cut.
pub(crate) fn dorsal_shift_ratio<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let faces = Faces::of(evaluation, &film)?;
    let mut finding = Finding::plain(faces.shift() / faces.shaft.vector().length());
    faces.drawn(&mut finding, &film);
    Ok(finding)
}

/// By how much the fragment is tilted against the shaft, in degrees; positive when its head is turned
/// plantarward.
///
/// ```text
/// −sign(r × s) · atan2(s × f, s · f)
/// ```
///
/// with s and f the faces of shaft and fragment from plantar to dorsal and r from base to tip.
pub(crate) fn plantar_tilt<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Lateral)?;
    let (faces, ends) = both(Faces::of(evaluation, &film), Ends::of(&film, LongBone::M1))?;
    let distal = ends.vector().value();
    let dorsal = faces.shaft.vector();
    let face = dorsal.value();
    let sine = distal.cross(face) / (distal.length() * face.length());
    if sine.abs() <= SMALLEST_SINE {
        return Err(Gap::degenerate(
            [Landmark::ShaftCutDorsal, Landmark::ShaftCutPlantar],
            "the face of the cut runs along the bone; place its two ends again",
        ));
    }
    let turn = dorsal.turn_to(faces.fragment.vector()) * -sine.signum();
    let mut finding = Finding::degrees(turn);
    faces.drawn(&mut finding, &film);
    Ok(finding)
}
