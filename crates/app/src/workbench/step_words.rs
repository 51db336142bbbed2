//! The words for each step: its names, what it asks for, and its help.

use plumbray_anatomy::{LongBone, Sesamoid, View};

use super::step::TraceStep;

impl TraceStep {
    /// The name of what is traced: "First metatarsal".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Shaft(_, LongBone::M1) => "First metatarsal",
            Self::Shaft(_, LongBone::M2) => "Second metatarsal",
            Self::Shaft(_, LongBone::M3) => "Third metatarsal",
            Self::Shaft(_, LongBone::M4) => "Fourth metatarsal",
            Self::Shaft(_, LongBone::M5) => "Fifth metatarsal",
            Self::Shaft(_, LongBone::ProximalPhalanx) => "Proximal phalanx of the great toe",
            Self::Shaft(_, LongBone::DistalPhalanx) => "Distal phalanx of the great toe",
            Self::Head(_) => "Head of the first metatarsal",
            Self::JointSurface => "Joint surface of the first metatarsal head",
            Self::Sesamoid(Sesamoid::Tibial) => "Tibial sesamoid",
            Self::Sesamoid(Sesamoid::Fibular) => "Fibular sesamoid",
            Self::OsteotomyLevel => "Level of the earlier osteotomy",
            Self::Talus => "Talus",
            Self::Calcaneus => "Calcaneus",
            Self::Floor => "Floor line",
            Self::BaseCorners(LongBone::ProximalPhalanx) => "Base of the proximal phalanx",
            Self::BaseCorners(_) => "Base of the first metatarsal",
            Self::PhalanxHead => "Head of the proximal phalanx",
            Self::LateralBaseCorner(LongBone::M4) => {
                "Lateral corner of the fourth metatarsal’s base"
            }
            Self::LateralBaseCorner(_) => "Lateral corner of the fifth metatarsal’s base",
            Self::ForefootBorders => "Borders of the forefoot",
            Self::FourthHead => "Head of the fourth metatarsal",
            Self::TarsalJoints => "Borders of the midtarsal joints",
            Self::IntermediateCuneiform => "Intermediate cuneiform",
            Self::DorsalCortex(LongBone::M1) => "Dorsal cortex of the first metatarsal",
            Self::DorsalCortex(_) => "Dorsal cortex of the second metatarsal",
            Self::MedialCuneiform => "Medial cuneiform",
            Self::ShaftCut => "Cut face of the shaft",
            Self::FragmentCut => "Cut face of the fragment",
        }
    }

    /// Its name where room is short: "M1", "the joint surface".
    #[must_use]
    pub const fn short_name(self) -> &'static str {
        match self {
            Self::Shaft(View::Lateral, LongBone::M1) => "M1, lateral",
            Self::Shaft(_, LongBone::M1) => "M1",
            Self::Shaft(_, LongBone::M2) => "M2",
            Self::Shaft(_, LongBone::M3) => "M3",
            Self::Shaft(_, LongBone::M4) => "M4",
            Self::Shaft(_, LongBone::M5) => "M5",
            Self::Shaft(_, LongBone::ProximalPhalanx) => "proximal phalanx",
            Self::Shaft(_, LongBone::DistalPhalanx) => "distal phalanx",
            Self::Head(_) => "the head of M1",
            Self::JointSurface => "the joint surface",
            Self::Sesamoid(Sesamoid::Tibial) => "the tibial sesamoid",
            Self::Sesamoid(Sesamoid::Fibular) => "the fibular sesamoid",
            Self::OsteotomyLevel => "the osteotomy’s level",
            Self::Talus => "the talus",
            Self::Calcaneus => "the calcaneus",
            Self::Floor => "the floor",
            Self::BaseCorners(LongBone::ProximalPhalanx) => "the phalanx’s base",
            Self::BaseCorners(_) => "the base of M1",
            Self::PhalanxHead => "the phalanx’s head",
            Self::LateralBaseCorner(LongBone::M4) => "the base corner of M4",
            Self::LateralBaseCorner(_) => "the base corner of M5",
            Self::ForefootBorders => "the forefoot’s borders",
            Self::FourthHead => "the head of M4",
            Self::TarsalJoints => "the midtarsal joints",
            Self::IntermediateCuneiform => "the intermediate cuneiform",
            Self::DorsalCortex(LongBone::M1) => "the dorsum of M1",
            Self::DorsalCortex(_) => "the dorsum of M2",
            Self::MedialCuneiform => "the medial cuneiform",
            Self::ShaftCut => "the shaft’s cut face",
            Self::FragmentCut => "the fragment’s cut face",
        }
    }

    /// One sentence that asks for it.
    #[must_use]
    pub const fn prompt(self) -> &'static str {
        match self {
            Self::Shaft(_, LongBone::M1) => "Sweep along the first metatarsal, base to head.",
            Self::Shaft(_, LongBone::M2) => "Sweep along the second metatarsal, base to head.",
            Self::Shaft(_, LongBone::M3) => "Sweep along the third metatarsal, base to head.",
            Self::Shaft(_, LongBone::M4) => "Sweep along the fourth metatarsal, base to head.",
            Self::Shaft(_, LongBone::M5) => "Sweep along the fifth metatarsal, base to head.",
            Self::Shaft(_, LongBone::ProximalPhalanx) => {
                "Sweep along the proximal phalanx of the great toe, base to head."
            }
            Self::Shaft(_, LongBone::DistalPhalanx) => {
                "Sweep along the distal phalanx of the great toe, base to tip."
            }
            Self::Head(_) => "Click in the middle of the first metatarsal head.",
            Self::JointSurface => {
                "Sweep from one end of the metatarsal’s joint surface to the other."
            }
            Self::Sesamoid(Sesamoid::Tibial) => "Click on the tibial sesamoid, the medial one.",
            Self::Sesamoid(Sesamoid::Fibular) => "Click on the fibular sesamoid, the lateral one.",
            Self::OsteotomyLevel => {
                "Click where the earlier osteotomy crosses the first metatarsal."
            }
            Self::Talus => "Sweep along the axis of the talus, body to head.",
            Self::Calcaneus => "Sweep along the plantar border of the calcaneus, heel to front.",
            Self::Floor => "Sweep along the floor, heel to forefoot.",
            Self::BaseCorners(LongBone::ProximalPhalanx) => {
                "Sweep along the base of the proximal phalanx, medial to lateral corner."
            }
            Self::BaseCorners(_) => {
                "Sweep along the base of the first metatarsal, medial to lateral corner."
            }
            Self::PhalanxHead => {
                "Sweep along the head of the proximal phalanx, medial to lateral corner."
            }
            Self::LateralBaseCorner(LongBone::M4) => {
                "Click on the lateral corner of the fourth metatarsal’s base."
            }
            Self::LateralBaseCorner(_) => {
                "Click on the lateral corner of the fifth metatarsal’s base."
            }
            Self::ForefootBorders => {
                "Sweep from the medial edge of the first head to the lateral edge of the fifth."
            }
            Self::FourthHead => "Click in the middle of the fourth metatarsal head.",
            Self::TarsalJoints => {
                "Sweep from the medial end of the talonavicular to the lateral end of the calcaneocuboid joint."
            }
            Self::IntermediateCuneiform => {
                "Sweep along the intermediate cuneiform, proximal to distal surface."
            }
            Self::DorsalCortex(LongBone::M1) => {
                "Sweep along the dorsal cortex of the first metatarsal’s shaft, base to neck."
            }
            Self::DorsalCortex(_) => {
                "Sweep along the dorsal cortex of the second metatarsal’s shaft, base to neck."
            }
            Self::MedialCuneiform => "Click on the lowest point of the medial cuneiform.",
            Self::ShaftCut => "Sweep along the cut face of the shaft, plantar to dorsal.",
            Self::FragmentCut => "Sweep along the cut face of the fragment, plantar to dorsal.",
        }
    }

    /// One line of help under the prompt.
    #[must_use]
    pub const fn help(self) -> &'static str {
        match self {
            Self::Shaft(..) => {
                "Both cortices and both ends are found for you. A rough stroke will do."
            }
            Self::Head(_) => "A circle is fitted to the articular edge.",
            Self::JointSurface => "Each end goes to where the outline leaves the head’s circle.",
            Self::Sesamoid(_) => {
                "Its outline is fitted as an ellipse; drag its points to correct it."
            }
            Self::OsteotomyLevel => "The shaft axis is then taken proximal to it only.",
            Self::Talus => "Midway between its upper and lower margin.",
            Self::Calcaneus | Self::DorsalCortex(_) => "Both ends go to the nearest edge.",
            Self::Floor => "Along the line on which heel and forefoot stand.",
            Self::BaseCorners(_) | Self::LateralBaseCorner(_) => {
                "A corner is where the outline lies farthest between proximal and the side."
            }
            Self::PhalanxHead => {
                "A corner is where the outline lies farthest between distal and the side."
            }
            Self::ForefootBorders => "Bone to bone; both ends go to the nearest edge.",
            Self::FourthHead => "The point stays where you click.",
            Self::TarsalJoints => "Both ends go to the nearest edge or corner.",
            Self::IntermediateCuneiform => "From the middle of one surface to that of the other.",
            Self::MedialCuneiform => "The point goes to the nearest edge.",
            Self::ShaftCut | Self::FragmentCut => {
                "The shift and the tilt of the fragment follow from both faces."
            }
        }
    }
}
