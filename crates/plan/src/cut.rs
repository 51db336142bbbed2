//! The cut on the bone.

use plumbray_anatomy::{PhysicalPoint, PhysicalVector, View};

use crate::{
    aim::aimed_tilt,
    error::PlanError,
    extent::{Extent, Length, Ruler},
    foot_before::{FootBefore, ViewBefore},
    outline::Edge,
    plan::{Cut, CutDirection, CutForm},
};

/// The cut of a plan, worked out on the bone.
///
/// Places are across (lateral) and along in pixel widths of the AP film, in the bone's own directions.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedCut {
    /// Its middle, halfway between the cortices.
    pub middle: PhysicalPoint,
    /// Its tilt from square to the shaft in radians, positive where its lateral end lies more distal.
    pub tilt: f64,
    /// Where it meets the medial and the lateral cortex.
    pub ends: [PhysicalPoint; 2],
    /// The width of the shaft square to its axis at the cut, in pixel widths.
    pub width: f64,
    /// How much the burr takes, square to the cut as seen from above, in pixel widths.
    pub kerf: f64,
    /// By how much the fragment comes closer when that is closed, along the normal of the cut, in pixel widths:
    /// the kerf, and more where a chevron's limbs stand slanted to it.
    pub closing: f64,
    /// How far it lies proximal of the joint's centre along the shaft.
    pub from_joint: Length,
    /// The same as a share of the bone's length.
    pub from_joint_share: f64,
    /// How far its middle lies distal of the base's centre, as a share of the distance to the head's centre:
    /// the level at which it is seen on the lateral film.
    pub along_share: f64,
    /// How far the sesamoids' proximal edge lies distal of its middle, along the shaft; negative where the cut
    /// passes beside a sesamoid. Nothing where none was traced.
    pub clear_of_sesamoids: Option<Length>,
    pub(crate) ruler: Ruler,
}

impl PlannedCut {
    /// The direction of travel along it, toward lateral.
    pub(crate) fn direction(&self) -> PhysicalVector {
        PhysicalVector::new(self.tilt.cos(), self.tilt.sin())
    }

    /// Square to it, toward distal.
    pub(crate) fn normal(&self) -> PhysicalVector {
        PhysicalVector::new(-self.tilt.sin(), self.tilt.cos())
    }

    /// The middle of the face of the shaft (−1) or of the fragment (1): half a kerf off.
    pub(crate) fn face(&self, side: f64) -> PhysicalPoint {
        self.middle + self.normal() * (side * self.kerf / 2.0)
    }

    /// How far the middle of the cut (0), the face of the shaft (−1) or that of the fragment (1) lies distal of the base's
    /// centre on the lateral film, in pixel widths of that film.
    pub(crate) fn level_on_lateral(
        &self,
        before: &FootBefore,
        lateral: &ViewBefore,
        side: f64,
    ) -> f64 {
        let half_kerf = self.kerf / 2.0 / before.ap.length;
        (self.along_share + side * half_kerf) * lateral.length
    }

    /// How long the cut is between the cortices, in pixel widths.
    #[must_use]
    pub fn chord(&self) -> f64 {
        (self.ends[1] - self.ends[0]).length()
    }

    /// How far the fragment travels along the cut for a lateral shift `T`, both in pixel widths:
    ///
    /// ```text
    /// T = s·cos θ + k·sin θ        s = (T − k·sin θ) / cos θ
    /// ```
    ///
    /// with the tilt θ and the kerf k as it closes.
    #[must_use]
    pub fn travel(&self, shift: f64) -> f64 {
        (shift - self.closing * self.tilt.sin()) / self.tilt.cos()
    }

    /// How far the fragment moves toward lateral (x) and distal (y) by a travel `s` along the cut, the kerf
    /// closed:
    ///
    /// ```text
    /// lateral = s·cos θ + k·sin θ        distal = s·sin θ − k·cos θ
    /// ```
    #[must_use]
    pub fn displacement(&self, travel: f64) -> PhysicalVector {
        self.direction() * travel - self.normal() * self.closing
    }

    /// An extent that is a share of the shaft's width at the cut, in pixel widths.
    pub(crate) fn of_width(&self, extent: Extent, what: &'static str) -> Result<f64, PlanError> {
        in_pixel_widths(extent, self.width, self.ruler.mm_per_pixel_width, what)
    }

    /// So many pixel widths of the AP film as a length on the bone.
    #[must_use]
    pub fn length(&self, pixel_widths: f64) -> Length {
        self.ruler.length(pixel_widths)
    }
}

/// An extent in pixel widths, given what its share is of.
pub(crate) fn in_pixel_widths(
    extent: Extent,
    whole: f64,
    mm_per_pixel_width: Option<f64>,
    what: &'static str,
) -> Result<f64, PlanError> {
    match extent {
        Extent::Share(share) => Ok(share * whole),
        Extent::Millimetres(mm) => mm_per_pixel_width
            .map(|size| mm / size)
            .ok_or(PlanError::NeedsCalibration { what }),
    }
}

/// Works a cut out on the bone.
///
/// # Errors
/// Where it is in millimetres without a calibration, aimed at a bone that was not traced, or does not pass both
/// cortices.
pub(crate) fn planned_cut(
    before: &FootBefore,
    lesser: &crate::aim::LesserRays,
    sesamoids: Option<f64>,
    cut: &Cut,
) -> Result<PlannedCut, PlanError> {
    let size = before.ap.mm_per_pixel_width;
    let from_joint = in_pixel_widths(cut.level, before.bone_length, size, "The level of the cut")?;
    let along = before.joint - from_joint;
    let square = across_at(before, PhysicalPoint::new(0.0, along), 0.0)?;
    let width = (square[1] - square[0]).length();
    let middle = square[0].midpoint(square[1]);
    let tilt = match cut.direction {
        CutDirection::TiltDegrees(degrees) => degrees.to_radians(),
        CutDirection::Toward(aim) => aimed_tilt(lesser, middle, aim)?,
    };
    let ends = across_at(before, middle, tilt)?;
    let kerf = in_pixel_widths(cut.kerf, width, size, "The kerf")?;
    let ruler = Ruler {
        mm_per_pixel_width: size,
        width,
    };
    Ok(PlannedCut {
        middle,
        tilt,
        ends,
        width,
        kerf,
        closing: kerf / half_opening(cut.form).cos(),
        from_joint: ruler.length(from_joint),
        from_joint_share: from_joint / before.bone_length,
        along_share: middle.y / before.ap.length,
        clear_of_sesamoids: sesamoids.map(|proximal| ruler.length(proximal - middle.y)),
        ruler,
    })
}

/// By how many radians each limb of a cut is slanted against its middle direction as seen from the side.
pub(crate) fn half_opening(form: CutForm) -> f64 {
    match form {
        CutForm::Straight => 0.0,
        CutForm::Chevron { opens_degrees } => (opens_degrees / 2.0).to_radians(),
    }
}

/// Where a line through a place, tilted from square to the shaft, meets the medial and the lateral cortex.
pub(crate) fn across_at(
    before: &FootBefore,
    through: PhysicalPoint,
    tilt: f64,
) -> Result<[PhysicalPoint; 2], PlanError> {
    let outline = before.ap.outline.as_ref().ok_or(PlanError::CutOffBone)?;
    let direction = PhysicalVector::new(tilt.cos(), tilt.sin());
    let reach = direction * before.ap.length;
    let (from, to) = (through + reach * -1.0, through + reach);
    let crossings = outline.crossings(from, to);
    let on = |edge: Edge| {
        crossings
            .iter()
            .find(|crossing| crossing.edge == edge)
            .map(|crossing| from + (to - from) * crossing.share)
    };
    match (on(Edge::Near), on(Edge::Far)) {
        (Some(medial), Some(lateral)) if crossings.len() == 2 => Ok([medial, lateral]),
        _ => Err(PlanError::CutOffBone),
    }
}

/// The line of the cut on a film, from medial to lateral or from plantar to dorsal, for drawing: on the lateral
/// film a chevron has its tip between the two.
pub(crate) fn drawn_on(
    before: &FootBefore,
    cut: &PlannedCut,
    form: CutForm,
    view: View,
) -> Vec<plumbray_anatomy::FilmPoint> {
    if view == View::Ap {
        let beyond = (cut.ends[1] - cut.ends[0]) * DRAWN_BEYOND;
        return [cut.ends[0] + beyond * -1.0, cut.ends[1] + beyond]
            .map(|end| before.ap.film_point(end))
            .to_vec();
    }
    let Some(lateral) = &before.lateral else {
        return Vec::new();
    };
    let along = cut.level_on_lateral(before, lateral, 0.0);
    let half = lateral
        .outline
        .as_ref()
        .map(|outline| {
            let reach = lateral.length;
            let [from, to] = [-reach, reach].map(|across| PhysicalPoint::new(across, along));
            let found = outline.crossings(from, to);
            found
                .iter()
                .map(|crossing| (from + (to - from) * crossing.share).x)
                .collect::<Vec<f64>>()
        })
        .filter(|found| found.len() >= 2);
    let (plantar, dorsal) = half.map_or_else(
        || {
            // Without cortices: as high as the shaft is wide.
            let half = cut.width / before.ap.length * lateral.length / 2.0;
            (-half, half)
        },
        |found| (found[0], found[found.len() - 1]),
    );
    let slope = half_opening(form).tan();
    let middle = f64::midpoint(plantar, dorsal);
    let deep = slope * (dorsal - plantar) / 2.0;
    [
        PhysicalPoint::new(plantar, along - deep / 2.0),
        PhysicalPoint::new(middle, along + deep / 2.0),
        PhysicalPoint::new(dorsal, along - deep / 2.0),
    ]
    .map(|place| lateral.film_point(place))
    .to_vec()
}

/// How far a cut is drawn beyond each cortex, as a share of its length.
const DRAWN_BEYOND: f64 = 0.15;
