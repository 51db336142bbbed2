//! Planned screws and wires on a later AP film, and where the wires truly lie.

mod difference;
mod shaft;

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, PhysicalPoint, Proportions, Similarity, View,
};
use plumbray_measure::{Foot, TracedFilm};
use plumbray_plan::{BonePlace, FootBefore, Outline};

use self::shaft::PlacedShaft;

pub use difference::{EndDifference, MetalDifference};

/// Why a later film is not laid by the shaft.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotLaidByShaft {
    /// Something that it takes is not traced.
    #[error("the plan cannot be laid on the later AP film: it needs {what}; trace it in Measure")]
    Missing {
        /// What.
        what: &'static str,
    },
    /// There is no such film.
    #[error("the plan cannot be laid on the later AP film: there is none")]
    NoFilm,
}

/// By what the scale of a later film was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScaleBy {
    /// By the lengths, from base to tip, of the lesser metatarsals that are traced on both films.
    LesserMetatarsals,
    /// By the widths of the first metatarsal's shaft, where none is. A width that was read 2 % too large puts the tip
    /// of a screw 2 % of the bone's length too far distal, about a tenth of the shaft's width.
    ShaftWidth,
}

/// A later AP film laid by the proximal half of the first metatarsal's own shaft, so that places of the bone before
/// an operation through the neck are found on it.
///
/// It takes the first metatarsal's base, tip and shaft, and a landmark of a lesser metatarsal that is traced on both
/// films, which tells the two sides of the bone apart; neither a calibration nor the head in its old place. Its
/// direction is that of the line through the middles of the shaft from a quarter to beyond two fifths of its length, its
/// place along that line the centre of the base, and its scale as [`ScaleBy`] says.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidByShaft {
    before: FootBefore,
    /// From the film before to the later one, in physical proportions.
    map: Similarity,
    scale_by: ScaleBy,
    proportions: Proportions,
}

impl LaidByShaft {
    /// Lays the AP film of `later` by the shaft. `foot` is the foot before, of which `before` was found.
    ///
    /// # Errors
    /// [`NotLaidByShaft`]: what a film lacks.
    pub fn of(
        before: &FootBefore,
        foot: &Foot<'_>,
        later: &Foot<'_>,
    ) -> Result<Self, NotLaidByShaft> {
        let films = foot.film(View::Ap).zip(later.film(View::Ap));
        let (earlier, later) = films.ok_or(NotLaidByShaft::NoFilm)?;
        let was = PlacedShaft::before(earlier, before.bone_length)?;
        let lesser = scale_of_lesser(earlier, later);
        let is = PlacedShaft::later(later, &was, lesser)?;
        let mirrored = is_mirrored([earlier, later], [&was, &is])?;
        let (scale, scale_by) = match lesser {
            Some(scale) => (scale, ScaleBy::LesserMetatarsals),
            None => (was.scale_to(&is), ScaleBy::ShaftWidth),
        };
        let length = before.bone_length;
        let pairs = [
            (was.base, is.base, 1.0),
            (
                was.base + was.along * length,
                is.base + is.along * (scale * length),
                1.0,
            ),
        ];
        let map = Similarity::fitted(&pairs, mirrored).ok_or(NotLaidByShaft::Missing {
            what: "a shaft of M1 of some length",
        })?;
        Ok(Self {
            before: before.clone(),
            map,
            scale_by,
            proportions: later.proportions,
        })
    }

    /// Where a place of the bone before lies on the later film.
    #[must_use]
    pub fn on_later(&self, place: BonePlace) -> FilmPoint {
        let ap = &self.before.ap;
        let on_bone = PhysicalPoint::new(place.lateral * ap.length, place.along * ap.length);
        self.of_bone(on_bone)
    }

    /// An outline of the plan on the later film.
    #[must_use]
    pub fn outline_on_later(&self, outline: &Outline) -> Vec<FilmPoint> {
        let vertices = outline.vertices.iter();
        vertices.map(|(vertex, _)| self.of_bone(*vertex)).collect()
    }

    /// How large a pixel width of the film before is on the later one.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.map.scale()
    }

    /// By what that was found.
    #[must_use]
    pub const fn scale_by(&self) -> ScaleBy {
        self.scale_by
    }

    /// A place across and along the bone, in pixel widths of the film before, on the later film.
    fn of_bone(&self, on_bone: PhysicalPoint) -> FilmPoint {
        let at = self.before.ap.physical(on_bone);
        self.proportions.film(self.map.of(at))
    }

    /// A point of the later film across and along the bone, in pixel widths of the film before.
    fn on_bone(&self, at: FilmPoint) -> PhysicalPoint {
        let at = self.map.back(self.proportions.physical(at));
        self.before.ap.on_bone(at)
    }
}

/// The lesser metatarsals.
const LESSER: [LongBone; 4] = [LongBone::M2, LongBone::M3, LongBone::M4, LongBone::M5];

/// How much larger the lesser metatarsals that are traced on both films are on the later one; nothing without any.
fn scale_of_lesser(earlier: TracedFilm<'_>, later: TracedFilm<'_>) -> Option<f64> {
    let length = |film: TracedFilm<'_>, bone: LongBone| {
        let place = |landmark| {
            let at = film.tracing.point(landmark)?;
            Some(film.proportions.physical(at))
        };
        let ends = place(Landmark::BaseCentre(bone)).zip(place(Landmark::Tip(bone)));
        ends.map(|(base, tip)| (tip - base).length())
    };
    let both = LESSER
        .into_iter()
        .filter_map(|bone| length(earlier, bone).zip(length(later, bone)));
    let (one, other) = both.fold((0.0, 0.0), |sum, both| (sum.0 + both.0, sum.1 + both.1));
    (one > 0.0 && other > 0.0).then(|| other / one)
}

/// Landmarks that tell on which side of the first metatarsal the others lie.
fn beside(tracing: &FilmTracing) -> impl Iterator<Item = (Landmark, FilmPoint)> {
    LESSER
        .into_iter()
        .flat_map(|bone| [Landmark::BaseCentre(bone), Landmark::Tip(bone)])
        .filter_map(|landmark| Some((landmark, tracing.point(landmark)?)))
}

/// Whether one film shows the foot as in a mirror of the other.
fn is_mirrored(
    films: [TracedFilm<'_>; 2],
    shafts: [&PlacedShaft; 2],
) -> Result<bool, NotLaidByShaft> {
    let [earlier, later] = films;
    let shared = beside(earlier.tracing).find_map(|(landmark, one)| {
        let other = later.tracing.point(landmark)?;
        Some([
            earlier.proportions.physical(one),
            later.proportions.physical(other),
        ])
    });
    let [one, other] = shared.ok_or(NotLaidByShaft::Missing {
        what: "a base or a tip of a lesser metatarsal that is traced on the film before as well",
    })?;
    let side = |shaft: &PlacedShaft, at: PhysicalPoint| shaft.along.cross(at - shaft.base);
    Ok(side(shafts[0], one) * side(shafts[1], other) < 0.0)
}
