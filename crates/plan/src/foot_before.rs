//! The foot as it stands before a plan: the first metatarsal's own directions, lengths and outlines.

use plumbray_anatomy::{
    FilmPoint, Landmark, LongBone, PhysicalPoint, PhysicalVector, Proportions, View,
};
use plumbray_measure::{
    AxisConvention, BoneFrame, Choices, Foot, Measurement, TracedFilm, bone_frame, measure,
};
use serde::{Deserialize, Serialize};

use crate::{error::PlanError, in_space::InSpace, outline::Outline};

/// A place in the first metatarsal's own directions, as shares of the distance along its shaft from the
/// centre of its base to the centre of its head.
///
/// A share needs no calibration and means the same on both views, so that one place is seen on both.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BonePlace {
    /// Distal of the centre of the base.
    pub along: f64,
    /// Lateral of it.
    pub lateral: f64,
    /// Dorsal of it, as the lateral film shows it.
    pub dorsal: f64,
}

/// The first metatarsal on the film of one view.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewBefore {
    /// Its directions; the origin is the centre of its base.
    pub frame: BoneFrame,
    /// How far the shaft's midline runs lateral or dorsal of the centre of the base, in pixel widths.
    pub midline: f64,
    /// Along the shaft from the centre of the base to the centre of the AP film's head, in pixel widths of this
    /// film. On the lateral film it is the same share of the way to the tip as on the AP film, where both tips
    /// were traced: the circles through the head's outlines have no common centre in space, the tips have nearly
    /// the same.
    pub length: f64,
    /// Its outline; nothing where its cortices were not traced on this view.
    pub outline: Option<Outline>,
    /// Millimetres of one pixel width; nothing where the film is not calibrated.
    pub mm_per_pixel_width: Option<f64>,
    /// The calibration's name, to stand beside each millimetre.
    pub calibration_name: Option<String>,
    /// Whether a millimetre is one of the patient, not of the shadow on the detector.
    pub is_at_patient: bool,
    /// The shape of the film's pixels.
    pub proportions: Proportions,
}

/// The foot as it stands before a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct FootBefore {
    /// The AP film.
    pub ap: ViewBefore,
    /// The lateral film; nothing where there is none, or where it lacks what the plan needs.
    pub lateral: Option<ViewBefore>,
    /// What the lateral film lacks, as a sentence's part: "needs a lateral film". Nothing where it serves.
    pub lateral_lacks: Option<String>,
    /// How far the centre of the first metatarsophalangeal joint lies distal of the base's centre along the
    /// shaft, in pixel widths of the AP film: halfway between the metatarsal's tip and the phalanx's base, or
    /// the tip where the phalanx was not traced.
    pub joint: f64,
    /// The first metatarsal's length from the centre of its base to its tip, in pixel widths of the AP film.
    pub bone_length: f64,
    /// How far the first metatarsal's shaft diverges from the second's axis, in radians, positive where it
    /// points medially of it; nothing where the second was not traced.
    pub divergence: Option<f64>,
    /// By how many radians the first metatarsal falls to the floor on the lateral film; nothing where the floor
    /// was not traced.
    pub inclination: Option<f64>,
}

impl ViewBefore {
    /// Where a place of the film lies: across (lateral or dorsal) and along, in pixel widths.
    #[must_use]
    pub fn on_bone(&self, place: PhysicalPoint) -> PhysicalPoint {
        let away = place - self.frame.through;
        PhysicalPoint::new(away.dot(self.frame.across), away.dot(self.frame.along))
    }

    /// Where on the film a place of the bone lies, given across (x) and along (y) in pixel widths.
    #[must_use]
    pub fn physical(&self, on_bone: PhysicalPoint) -> PhysicalPoint {
        self.frame.through + self.frame.across * on_bone.x + self.frame.along * on_bone.y
    }

    /// The same as a point of the film.
    #[must_use]
    pub fn film_point(&self, on_bone: PhysicalPoint) -> FilmPoint {
        self.proportions.film(self.physical(on_bone))
    }

    /// A direction of the bone, across (x) and along (y), as one of the film.
    pub(crate) fn direction(&self, across: f64, along: f64) -> PhysicalVector {
        self.frame.across * across + self.frame.along * along
    }

    /// A length of this film in millimetres of the patient; nothing where it is not calibrated, or only at the
    /// detector.
    #[must_use]
    pub fn patient_mm(&self, pixel_widths: f64) -> Option<f64> {
        self.mm_per_pixel_width
            .filter(|_| self.is_at_patient)
            .map(|size| size * pixel_widths)
    }

    fn of(
        foot: &Foot<'_>,
        view: View,
        film: TracedFilm<'_>,
        axes: &[AxisConvention],
    ) -> Result<Self, PlanError> {
        let mut found = Err(PlanError::needs("M1"));
        for convention in axes {
            found = bone_frame(foot, view, LongBone::M1, *convention)
                .map_err(|outcome| PlanError::of_outcome(&outcome));
            if found.is_ok() {
                break;
            }
        }
        let mut frame = found?;
        let point = |landmark: Landmark| {
            film.tracing
                .point(landmark)
                .map(|at| film.proportions.physical(at))
        };
        let on_midline = frame.through;
        frame.through = point(Landmark::BaseCentre(LongBone::M1))
            .ok_or_else(|| PlanError::needs("the base of M1"))?;
        let head = point(Landmark::HeadCentre).ok_or_else(|| PlanError::needs("the head of M1"))?;
        let length = (head - frame.through).dot(frame.along);
        if !(length.is_finite() && length >= SHORTEST_BONE) {
            return Err(PlanError::Tracing {
                reason: "stops at the tracing: base and head of M1 lie on the same spot".to_owned(),
            });
        }
        let calibration = film.calibration;
        let mut before = Self {
            frame,
            midline: (on_midline - frame.through).dot(frame.across),
            length,
            outline: None,
            mm_per_pixel_width: calibration.map(plumbray_anatomy::Calibration::mm_per_pixel_width),
            calibration_name: calibration.map(|calibration| calibration.basis.name()),
            is_at_patient: calibration.is_some_and(|calibration| calibration.basis.is_at_patient()),
            proportions: film.proportions,
        };
        before.outline = Outline::of_first_metatarsal(&before, film.tracing);
        Ok(before)
    }
}

/// A bone shorter than this gives no directions, in pixel widths.
const SHORTEST_BONE: f64 = 10.0;

impl FootBefore {
    /// What a plan needs of a foot.
    ///
    /// # Errors
    /// [`PlanError::Operated`], or what the AP film's tracing lacks.
    pub fn of(foot: &Foot<'_>) -> Result<Self, PlanError> {
        if foot.operated {
            return Err(PlanError::Operated);
        }
        let film = foot.ap.ok_or_else(|| PlanError::needs("an AP film"))?;
        let ap = ViewBefore::of(
            foot,
            View::Ap,
            film,
            &[AxisConvention::MidDiaphysealQuarters],
        )?;
        if ap.outline.is_none() {
            return Err(PlanError::needs(
                "the shaft of M1, swept from end to end, and the edge of its head",
            ));
        }
        let along = |landmark| {
            film.tracing
                .point(landmark)
                .map(|at| ap.on_bone(film.proportions.physical(at)).y)
        };
        let tip = Landmark::Tip(LongBone::M1);
        let tip_place = film
            .tracing
            .point(tip)
            .ok_or_else(|| PlanError::needs("the tip of M1"))?;
        let tip_along = along(tip).unwrap_or(ap.length);
        let joint = along(Landmark::BaseCentre(LongBone::ProximalPhalanx))
            .map_or(tip_along, |base| f64::midpoint(base, tip_along));
        let bone_length = (film.proportions.physical(tip_place) - ap.frame.through).length();
        let second = bone_frame(
            foot,
            View::Ap,
            LongBone::M2,
            AxisConvention::MidDiaphysealQuarters,
        );
        let divergence = second.ok().map(|second| {
            let across = second.along.dot(ap.frame.across);
            across.atan2(second.along.dot(ap.frame.along))
        });
        let axes = [
            AxisConvention::MidDiaphysealQuarters,
            AxisConvention::HeadBase,
        ];
        let lateral = foot
            .lateral
            .ok_or_else(|| PlanError::needs("a lateral film"))
            .and_then(|film| {
                let mut view = ViewBefore::of(foot, View::Lateral, film, &axes)?;
                let tip_on_lateral = film
                    .tracing
                    .point(tip)
                    .map(|at| view.on_bone(film.proportions.physical(at)).y)
                    .filter(|tip| *tip >= view.length);
                if let Some(tip_on_lateral) = tip_on_lateral {
                    view.length = ap.length * tip_on_lateral / tip_along;
                }
                Ok(view)
            });
        let inclination = measure(
            foot,
            &Choices::default(),
            Measurement::FirstMetatarsalInclinationAngle,
        );
        let (lateral, lateral_lacks) = match lateral {
            Ok(view) => (Some(view), None),
            Err(PlanError::Tracing { reason }) => (None, Some(reason)),
            Err(other) => (None, Some(other.to_string())),
        };
        Ok(Self {
            ap,
            lateral,
            lateral_lacks,
            joint,
            bone_length,
            divergence,
            inclination: inclination
                .reading()
                .map(|reading| reading.value.to_radians()),
        })
    }

    /// The first metatarsal on the film of a view.
    #[must_use]
    pub const fn view(&self, view: View) -> Option<&ViewBefore> {
        match view {
            View::Ap => Some(&self.ap),
            View::Lateral => self.lateral.as_ref(),
        }
    }

    /// Where a place of the bone lies on the film of a view; nothing on a lateral film that does not serve.
    #[must_use]
    pub fn on_film(&self, view: View, place: BonePlace) -> Option<FilmPoint> {
        let before = self.view(view)?;
        let (across, along) = match view {
            View::Ap => (place.lateral, place.along),
            View::Lateral => (place.dorsal, place.along + self.looks_distal(place)),
        };
        let on_bone = PhysicalPoint::new(across * before.length, along * before.length);
        Some(before.film_point(on_bone))
    }

    /// A place of the bone moved so that it lies at this point on the film of a view; what that view cannot
    /// show stays as it was.
    #[must_use]
    pub fn moved_on(&self, view: View, place: BonePlace, to: FilmPoint) -> BonePlace {
        let Some(before) = self.view(view) else {
            return place;
        };
        let on_bone = before.on_bone(before.proportions.physical(to));
        let (across, along) = (on_bone.x / before.length, on_bone.y / before.length);
        match view {
            View::Ap => BonePlace {
                along,
                lateral: across,
                ..place
            },
            View::Lateral => BonePlace {
                along: along - self.looks_distal(place),
                dorsal: across,
                ..place
            },
        }
    }

    /// How much farther distal a place looks on the lateral film, since it lies lateral of a shaft that diverges from
    /// that film; as a share of the bone's length. Its dorsal share is already as the lateral film shows it.
    fn looks_distal(&self, place: BonePlace) -> f64 {
        place.lateral * InSpace::of(self).lateral_looks().y
    }
}
