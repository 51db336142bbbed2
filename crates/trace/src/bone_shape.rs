//! What is plausible for a bone before its film is looked at.

use plumbray_anatomy::LongBone;

/// The usual size of an adult's bone, from which a search takes its scale. Only proportions reach a
/// result, and only through the widths and lengths that a search allows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BoneShape {
    /// Length from the middle of the base to the tip, in millimetres.
    pub(crate) length_mm: f64,
    /// Width of the shaft where it is narrowest, in millimetres.
    pub(crate) waist_mm: f64,
    /// Whether neighbours overlap the base on an AP film, so that its surface is hard to see.
    pub(crate) base_is_overlapped: bool,
}

impl BoneShape {
    /// Usual sizes: first metatarsal 50 to 68 mm long and 12 to 14 mm wide, proximal phalanx 26 to
    /// 28 mm (Patil et al., J Clin Diagn Res 2017;11(9):AC05–AC09; J Foot Ankle Surg
    /// 2005;44:184–189); the other sizes from memory.
    pub(crate) const fn of(bone: LongBone) -> Self {
        let (length_mm, waist_mm) = match bone {
            LongBone::M1 => (60.0, 13.0),
            LongBone::M2 => (72.0, 8.0),
            LongBone::M3 => (67.0, 8.0),
            LongBone::M4 => (65.0, 8.0),
            LongBone::M5 => (63.0, 9.0),
            LongBone::ProximalPhalanx => (28.0, 11.5),
            LongBone::DistalPhalanx => (22.0, 9.0),
        };
        Self {
            length_mm,
            waist_mm,
            base_is_overlapped: matches!(
                bone,
                LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5
            ),
        }
    }

    /// The share of a bone's length that a stroke along its shaft usually covers.
    pub(crate) const USUAL_STROKE_SHARE: f64 = 0.65;

    /// Pixel widths per millimetre, guessed from a stroke of the usual share.
    pub(crate) fn scale_from_stroke(self, stroke_px: f64) -> f64 {
        stroke_px / (Self::USUAL_STROKE_SHARE * self.length_mm)
    }
}
