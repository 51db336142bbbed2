//! The bone in two parts: their outlines, how much of their faces still meets, and the step between them.

use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::{
    cut::PlannedCut, error::PlanError, foot_before::FootBefore, movement::Movement,
    outline::Outline,
};

/// The two parts of the bone.
#[derive(Debug)]
pub(crate) struct Parts {
    /// The shaft as it remains.
    pub(crate) shaft: Outline,
    /// The head's fragment where it was.
    pub(crate) former_fragment: Outline,
    /// The head's fragment where it comes to lie.
    pub(crate) fragment: Outline,
    /// How far the shaft's medial corner stands out beyond the fragment's, square to the shaft; not negative.
    pub(crate) step: f64,
    pub(crate) faces: Faces,
}

/// Where the faces of shaft and fragment meet the medial and the lateral cortex, before anything moves.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Faces {
    shaft: [PhysicalPoint; 2],
    fragment: [PhysicalPoint; 2],
}

impl Faces {
    pub(crate) fn of(before: &FootBefore, cut: &PlannedCut) -> Result<Self, PlanError> {
        let whole = before.ap.outline.as_ref().ok_or(PlanError::CutOffBone)?;
        let corners = |side: f64| {
            let (through, reach) = (cut.face(side), cut.direction() * cut.chord());
            let (from, to) = (through + reach * -1.0, through + reach);
            let crossings = whole.crossings(from, to);
            let at = |share: f64| from + (to - from) * share;
            match crossings.as_slice() {
                [medial, .., lateral] => Ok([at(medial.share), at(lateral.share)]),
                _ => Err(PlanError::CutOffBone),
            }
        };
        Ok(Self {
            shaft: corners(-1.0)?,
            fragment: corners(1.0)?,
        })
    }

    /// The corners of the fragment's face where they come to lie.
    fn moved(&self, before: &FootBefore, movement: &Movement) -> [PhysicalPoint; 2] {
        self.fragment.map(|corner| {
            let at = before.ap.physical(corner);
            before.ap.on_bone(movement.fragment.of(at))
        })
    }

    /// How far the two faces overlap along the cut, in pixel widths; negative where they have passed each other.
    ///
    /// With the part `o` of the shaft's face, of length c, that the fragment's face still covers as seen from above, and
    /// a dorsal or plantar shift x that is not seen from there:
    ///
    /// ```text
    /// overlap = c − √((c − o)² + x²)
    /// ```
    pub(crate) fn overlap(
        &self,
        before: &FootBefore,
        cut: &PlannedCut,
        movement: &Movement,
    ) -> f64 {
        let along = |corner: PhysicalPoint| (corner - cut.middle).dot(cut.direction());
        let [medial, lateral] = self.shaft.map(along);
        let [moved_medial, moved_lateral] = self.moved(before, movement).map(along);
        let covered = lateral.min(moved_lateral) - medial.max(moved_medial);
        let face = lateral - medial;
        face - (face - covered).hypot(movement.dorsal)
    }
}

impl Parts {
    pub(crate) fn of(
        before: &FootBefore,
        cut: &PlannedCut,
        movement: &Movement,
        trimmed: bool,
    ) -> Result<Self, PlanError> {
        let whole = before.ap.outline.as_ref().ok_or(PlanError::CutOffBone)?;
        let faces = Faces::of(before, cut)?;
        let normal = cut.normal();
        let shaft = whole.beyond(cut.face(-1.0), normal * -1.0);
        let former_fragment = whole.beyond(cut.face(1.0), normal);
        let fragment = former_fragment.moved(|place| {
            let at = before.ap.physical(place);
            before.ap.on_bone(movement.fragment.of(at))
        });
        let corner = faces.shaft[0];
        let step = (faces.moved(before, movement)[0].x - corner.x).max(0.0);
        let shaft = if trimmed && step > 0.0 {
            trimmed_shaft(&shaft, cut, corner, step)
        } else {
            shaft
        };
        Ok(Self {
            shaft,
            former_fragment,
            fragment,
            step,
            faces,
        })
    }
}

/// The shaft without its medial corner: from the face, a step's width lateral, to the cortex, a step's width proximal.
fn trimmed_shaft(shaft: &Outline, cut: &PlannedCut, corner: PhysicalPoint, step: f64) -> Outline {
    let on_face = corner + cut.direction() * (step / cut.tilt.cos());
    let on_cortex = corner + PhysicalVector::new(0.0, -step);
    let square = (on_cortex - on_face).perpendicular();
    let keeps_corner = (corner - on_face).dot(square) > 0.0;
    let inward = if keeps_corner { square * -1.0 } else { square };
    shaft.beyond(on_face, inward)
}
