//! The named ways to lay an axis through a bone.

use plumbray_anatomy::LongBone;

/// A named way to lay the axis of a long bone. It is part of every number that an axis makes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AxisConvention {
    /// Through the middle of the shaft at a quarter and at three quarters of the bone's length.
    MidDiaphysealQuarters,
    /// Through the middle of the shaft at a stated number of millimetres from each end.
    MidDiaphysealMm,
    /// The straight line that best fits the middle of the shaft at 21 levels.
    ShaftFit,
    /// From the centre of the base to the centre of the head; first metatarsal only.
    HeadBase,
    /// From the middle of the proximal shaft to the centre of the head; first metatarsal only.
    HeadShaft,
}

impl AxisConvention {
    /// Every convention, the default of an unoperated foot first.
    pub const ALL: [Self; 5] = [
        Self::MidDiaphysealQuarters,
        Self::MidDiaphysealMm,
        Self::ShaftFit,
        Self::HeadBase,
        Self::HeadShaft,
    ];

    /// The conventions that lay an axis through a shaft, and so apply to every long bone.
    pub const OF_SHAFT: [Self; 3] = [
        Self::MidDiaphysealQuarters,
        Self::MidDiaphysealMm,
        Self::ShaftFit,
    ];

    /// The plain identifier used in files and on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::MidDiaphysealQuarters => "mid_diaphyseal_quarters",
            Self::MidDiaphysealMm => "mid_diaphyseal_mm",
            Self::ShaftFit => "shaft_fit",
            Self::HeadBase => "head_base",
            Self::HeadShaft => "head_shaft",
        }
    }

    /// The convention whose [`identifier`](Self::identifier) this is.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|convention| convention.identifier() == identifier)
    }

    /// The name as a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::MidDiaphysealQuarters => "Mid-diaphyseal, at the quarters",
            Self::MidDiaphysealMm => "Mid-diaphyseal, by millimetres",
            Self::ShaftFit => "Fitted to the shaft",
            Self::HeadBase => "Head centre – base centre",
            Self::HeadShaft => "Head centre – shaft centre",
        }
    }

    /// How the axis is laid, in one or two sentences.
    #[must_use]
    pub const fn definition(self) -> &'static str {
        match self {
            Self::MidDiaphysealQuarters => {
                "The line through the points midway between the two cortices at a quarter and at \
                 three quarters of the length from the centre of the base to the tip."
            }
            Self::MidDiaphysealMm => {
                "The line through the points midway between the two cortices at a stated distance \
                 from each end of the bone. Needs a calibration."
            }
            Self::ShaftFit => {
                "The straight line with the least squared distances from the points midway between \
                 the two cortices at 21 equal levels from a quarter to three quarters of the length."
            }
            Self::HeadBase => {
                "First metatarsal: from the centre of the base to the centre of the head's circle. \
                 Every other bone: mid-diaphyseal at the quarters."
            }
            Self::HeadShaft => {
                "First metatarsal: from the middle of the shaft at a quarter of the length to the \
                 centre of the head's circle. Every other bone: mid-diaphyseal at the quarters."
            }
        }
    }

    /// Where the convention comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::MidDiaphysealQuarters => {
                "Points midway between the cortices: Coughlin, Saltzman, Nunley, Foot Ankle Int \
                 2002;23:68–74 (from memory). The levels at the quarters are ours."
            }
            Self::MidDiaphysealMm => {
                "Coughlin, Saltzman, Nunley, Foot Ankle Int 2002;23:68–74: metatarsals 1–2 cm and \
                 proximal phalanx 0.5–1 cm from each articular surface (from memory). The distal \
                 phalanx's distance is ours."
            }
            Self::ShaftFit => {
                "Ours: repeats better than two points, the more so the more closely the cortices were traced."
            }
            Self::HeadBase => {
                "Miller, J Bone Joint Surg Am 1974;56:923–931 (from memory); recommended whatever \
                 the operation: Schneider, Knahr, Foot Ankle Int 1998;19:532–536."
            }
            Self::HeadShaft => "Common practice, no source.",
        }
    }

    /// The convention by which this bone's axis is really laid: the two that lean on the head exist
    /// for the first metatarsal only, every other bone then goes by the quarters.
    #[must_use]
    pub const fn for_bone(self, bone: LongBone) -> Self {
        let leans_on_head = matches!(self, Self::HeadBase | Self::HeadShaft);
        if leans_on_head && !matches!(bone, LongBone::M1) {
            Self::MidDiaphysealQuarters
        } else {
            self
        }
    }
}

/// The distance of the two levels of [`AxisConvention::MidDiaphysealMm`] from the ends of a bone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisLevels {
    /// In a metatarsal, in millimetres.
    pub metatarsal_mm: f64,
    /// In the proximal phalanx of the great toe, in millimetres.
    pub proximal_phalanx_mm: f64,
    /// In the distal phalanx of the great toe, in millimetres.
    pub distal_phalanx_mm: f64,
}

impl AxisLevels {
    /// The distance from each end of this bone, in millimetres.
    #[must_use]
    pub const fn of(&self, bone: LongBone) -> f64 {
        match bone {
            LongBone::M1 | LongBone::M2 | LongBone::M3 | LongBone::M4 | LongBone::M5 => {
                self.metatarsal_mm
            }
            LongBone::ProximalPhalanx => self.proximal_phalanx_mm,
            LongBone::DistalPhalanx => self.distal_phalanx_mm,
        }
    }
}

impl AxisLevels {
    /// The levels at a share of the way, from 0 to 1, through the ranges that are in use: 1–2 cm in a
    /// metatarsal and 0.5–1 cm in the proximal phalanx (Coughlin, Saltzman, Nunley 2002, from memory),
    /// 4–8 mm in the distal phalanx (ours).
    pub(crate) const fn within_the_ranges_in_use(share: f64) -> Self {
        Self {
            metatarsal_mm: 10.0 + 10.0 * share,
            proximal_phalanx_mm: 5.0 + 5.0 * share,
            distal_phalanx_mm: 4.0 + 4.0 * share,
        }
    }
}

impl Default for AxisLevels {
    /// The middle of the published range where there is one (1–2 cm, 0.5–1 cm), 6 mm in the distal
    /// phalanx.
    fn default() -> Self {
        Self {
            metatarsal_mm: 15.0,
            proximal_phalanx_mm: 7.5,
            distal_phalanx_mm: 6.0,
        }
    }
}
