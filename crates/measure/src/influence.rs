//! Where the uncertainty of a number comes from.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid, View};

/// One thing that was placed and that a number depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Source {
    /// A single point on the film of this view.
    Landmark(View, Landmark),
    /// One vertex of a traced cortex.
    CortexVertex {
        /// The film that it lies on.
        view: View,
        /// The bone.
        bone: LongBone,
        /// 0 for the first of the two cortices, 1 for the second.
        cortex: usize,
        /// Which vertex, counted from 0 at the proximal end.
        vertex: usize,
    },
    /// The shift across the bone that all points of a traced cortex share; its number is that shift in pixel
    /// widths.
    Cortex {
        /// The film that it lies on.
        view: View,
        /// The bone.
        bone: LongBone,
        /// 0 for the first of the two cortices, 1 for the second.
        cortex: usize,
    },
    /// The calibration of the film of this view; its number is the scale as a share of itself.
    Calibration(View),
}

impl Source {
    /// The film that it belongs to.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::Landmark(view, _)
            | Self::CortexVertex { view, .. }
            | Self::Cortex { view, .. }
            | Self::Calibration(view) => view,
        }
    }

    /// The part of the tracing that it belongs to.
    #[must_use]
    pub const fn part(self) -> Part {
        match self {
            Self::CortexVertex { bone, .. } | Self::Cortex { bone, .. } => Part::LongBone(bone),
            Self::Calibration(view) => Part::Calibration(view),
            Self::Landmark(_, landmark) => match landmark {
                Landmark::ShaftStart(bone)
                | Landmark::ShaftEnd(bone)
                | Landmark::BaseCentre(bone)
                | Landmark::Tip(bone)
                | Landmark::BaseMedial(bone)
                | Landmark::BaseLateral(bone)
                | Landmark::DistalMedial(bone)
                | Landmark::DistalLateral(bone)
                | Landmark::DorsalProximal(bone)
                | Landmark::DorsalDistal(bone) => Part::LongBone(bone),
                Landmark::HeadCentre
                | Landmark::HeadEdge
                | Landmark::HeadMedialEdge
                | Landmark::OsteotomyLevel => Part::LongBone(LongBone::M1),
                Landmark::ArticularMedial | Landmark::ArticularLateral => Part::JointSurface,
                Landmark::SesamoidCentre(sesamoid)
                | Landmark::SesamoidLongEnd(sesamoid)
                | Landmark::SesamoidShortEnd(sesamoid) => Part::Sesamoid(sesamoid),
                Landmark::TalusPosterior | Landmark::TalusAnterior => Part::Talus,
                Landmark::CalcaneusPosterior | Landmark::CalcaneusAnterior => Part::Calcaneus,
                Landmark::FloorPosterior | Landmark::FloorAnterior => Part::Floor,
                Landmark::FourthHeadCentre => Part::LongBone(LongBone::M4),
                Landmark::FifthHeadLateralEdge => Part::LongBone(LongBone::M5),
                Landmark::TalonavicularMedial
                | Landmark::CalcaneocuboidLateral
                | Landmark::IntermediateCuneiformProximal
                | Landmark::IntermediateCuneiformDistal
                | Landmark::MedialCuneiformPlantar => Part::LesserTarsus,
                Landmark::ShaftCutDorsal
                | Landmark::ShaftCutPlantar
                | Landmark::FragmentCutDorsal
                | Landmark::FragmentCutPlantar => Part::Osteotomy,
            },
        }
    }
}

/// A part of the tracing, coarse enough to name beside a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The shaft, ends and head of a long bone.
    LongBone(LongBone),
    /// The distal articular surface of the first metatarsal.
    JointSurface,
    /// A sesamoid's outline.
    Sesamoid(Sesamoid),
    /// The axis of the talus.
    Talus,
    /// The plantar line of the calcaneus.
    Calcaneus,
    /// The floor line.
    Floor,
    /// The joints and bones between the hindfoot and the metatarsals.
    LesserTarsus,
    /// The two faces of an earlier osteotomy.
    Osteotomy,
    /// The film's calibration.
    Calibration(View),
}

impl Part {
    /// The name within a sentence: "proximal phalanx of the great toe".
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::LongBone(bone) => bone.name(),
            Self::JointSurface => "joint surface of the first metatarsal",
            Self::Sesamoid(sesamoid) => sesamoid.name(),
            Self::Talus => "talus",
            Self::Calcaneus => "calcaneus",
            Self::Floor => "floor line",
            Self::LesserTarsus => "lesser tarsus",
            Self::Osteotomy => "faces of the osteotomy",
            Self::Calibration(_) => "calibration",
        }
    }
}

/// How much of a number's variance comes from one part of the tracing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Influence {
    /// The part.
    pub part: Part,
    /// Its share of the variance, from 0 to 1.
    pub share: f64,
}

/// How a number answers to one placed thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitivity {
    /// What was placed.
    pub source: Source,
    /// Change of the number, in its unit, per pixel to the right; for a calibration, per whole of
    /// the scale.
    pub per_x: f64,
    /// Change of the number, in its unit, per pixel downward; 0 for a calibration.
    pub per_y: f64,
    /// Standard deviation of the place in each direction in pixels, or of the scale as a share.
    pub sd: f64,
    /// Its share of the number's variance, from 0 to 1.
    pub share: f64,
}
