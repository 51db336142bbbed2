//! The measurements by name: identifier, question, unit, definition, source and usual range.

mod entries;

use plumbray_anatomy::View;

use crate::convention::AxisConvention;

use self::entries::{Entry, entry_at};

/// A published measurement of the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measurement {
    /// First metatarsal to proximal phalanx.
    HalluxValgusAngle,
    /// First to second metatarsal.
    IntermetatarsalAngle12,
    /// First metatarsal to the perpendicular of its distal articular surface.
    DistalMetatarsalArticularAngle,
    /// Proximal joint surface of the proximal phalanx to its axis.
    ProximalPhalangealArticularAngle,
    /// The two joint surfaces of the first metatarsophalangeal joint.
    FirstMetatarsophalangealAngle,
    /// The share of those surfaces that face each other.
    CongruencyIndex,
    /// Proximal to distal phalanx of the great toe.
    HalluxInterphalangealAngle,
    /// Proximal to distal joint surface of the proximal phalanx.
    ProximalDistalPhalangealArticularAngle,
    /// Base of the first metatarsal against the second's axis.
    FirstTarsometatarsalAngle,
    /// Base of the first metatarsal against its own axis.
    FirstTarsometatarsalAngleOwn,
    /// Tibial sesamoid in seven positions.
    TibialSesamoidPosition,
    /// Tibial sesamoid in four grades.
    TibialSesamoidGrade,
    /// Per cent of the tibial sesamoid lateral to the first metatarsal's axis.
    TibialSesamoidShare,
    /// Per cent of the fibular sesamoid lateral to the first metatarsal's lateral cortex.
    FibularSesamoidShare,
    /// The same in four grades.
    FibularSesamoidGrade,
    /// Length of the first metatarsal.
    M1Length,
    /// Length of the second metatarsal.
    M2Length,
    /// Length of the third metatarsal.
    M3Length,
    /// Length of the fourth metatarsal.
    M4Length,
    /// Length of the fifth metatarsal.
    M5Length,
    /// Length of the first metatarsal over that of the second.
    LengthRatioM1M2,
    /// Length of the third metatarsal over that of the second.
    LengthRatioM3M2,
    /// Length of the fourth metatarsal over that of the second.
    LengthRatioM4M2,
    /// Length of the fifth metatarsal over that of the second.
    LengthRatioM5M2,
    /// The first metatarsal's tip beyond the second's, in millimetres.
    RelativeFirstMetatarsalLength,
    /// The same as a share of the second metatarsal's length.
    RelativeFirstMetatarsalLengthRatio,
    /// The second metatarsal's tip beyond the third's along the second.
    M2M3Step,
    /// The third metatarsal's tip beyond the fourth's along the second.
    M3M4Step,
    /// The fourth metatarsal's tip beyond the fifth's along the second.
    M4M5Step,
    /// The first metatarsal's tip beyond the second's, by arcs.
    M1ReachByArcs,
    /// The third metatarsal's tip beyond the second's, by arcs.
    M3ReachByArcs,
    /// The fourth metatarsal's tip beyond the second's, by arcs.
    M4ReachByArcs,
    /// The fifth metatarsal's tip beyond the second's, by arcs.
    M5ReachByArcs,
    /// Where the line through the fibular sesamoid passes the fourth head.
    SesamoidLineAtM4,
    /// First to fifth metatarsal.
    IntermetatarsalAngle15,
    /// Fourth to fifth metatarsal.
    IntermetatarsalAngle45,
    /// Second metatarsal to the lesser tarsus, by the fourth metatarsal's base.
    MetatarsusAdductusAngle,
    /// Second metatarsal to the lesser tarsus, by the fifth metatarsal's base.
    MetatarsusAdductusAngleModified,
    /// Second metatarsal to the intermediate cuneiform.
    SecondMetatarsalCuneiformAngle,
    /// The first metatarsal's head beyond its medial cortex.
    MedialEminence,
    /// First to fifth head, bone to bone.
    ForefootWidth,
    /// Talus to first metatarsal on the lateral film.
    TaloFirstMetatarsalAngle,
    /// Plantar line of the calcaneus to the floor.
    CalcanealInclinationAngle,
    /// First metatarsal to the floor.
    FirstMetatarsalInclinationAngle,
    /// Talus to calcaneus on the lateral film.
    LateralTalocalcanealAngle,
    /// Dorsal cortices of the first two metatarsals.
    SagittalIntermetatarsalAngle,
    /// The first metatarsal's dorsal cortex beyond the second's.
    FirstMetatarsalElevation,
    /// How much that grows from the base to the neck.
    FirstMetatarsalElevationGain,
    /// Medial cuneiform above the floor.
    MedialCuneiformHeight,
    /// The fragment's dorsal shift in millimetres.
    FragmentShift,
    /// The same as a share of the shaft's height.
    FragmentShiftRatio,
    /// The fragment's plantar tilt.
    FragmentTilt,
}

/// A question that a clinician asks, and under which measurements stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Question {
    /// The angles of the great toe and first ray.
    Deformity,
    /// The place of the tibial sesamoid.
    Sesamoids,
    /// Lengths of the metatarsals.
    FirstRayLength,
    /// The whole forefoot.
    Forefoot,
    /// The lateral film.
    Arch,
    /// The fragment of an operated first metatarsal, on the lateral film.
    Fragment,
}

impl Question {
    /// Every question, in the order of the worksheet.
    pub const ALL: [Self; 6] = [
        Self::Deformity,
        Self::Sesamoids,
        Self::FirstRayLength,
        Self::Forefoot,
        Self::Arch,
        Self::Fragment,
    ];

    /// The question as the worksheet asks it.
    #[must_use]
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Deformity => "How big is the deformity?",
            Self::Sesamoids => "Where are the sesamoids?",
            Self::FirstRayLength => "How long is the first ray?",
            Self::Forefoot => "How is the forefoot built?",
            Self::Arch => "Is the arch involved?",
            Self::Fragment => "Where has the fragment gone?",
        }
    }
}

/// The unit of a measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Degrees.
    Degrees,
    /// Millimetres, true only with the name of their calibration.
    Millimetres,
    /// A length over another.
    Ratio,
    /// Per cent.
    PerCent,
    /// Position I to VII, as 1 to 7.
    Position,
    /// Grade 0 to 3.
    Grade,
}

impl Unit {
    /// Whether values of this unit can be averaged; a position or a grade is a class.
    #[must_use]
    pub const fn is_number(self) -> bool {
        !matches!(self, Self::Position | Self::Grade)
    }

    /// The plain identifier used in files.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::Degrees => "degrees",
            Self::Millimetres => "millimetres",
            Self::Ratio => "ratio",
            Self::PerCent => "per_cent",
            Self::Position => "position",
            Self::Grade => "grade",
        }
    }
}

/// The range in which a measurement usually lies in feet without complaint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UsualRange {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// Who says so.
    pub source: &'static str,
}

impl Measurement {
    /// Every measurement, in the order of the worksheet.
    pub const ALL: [Self; 52] = [
        Self::HalluxValgusAngle,
        Self::IntermetatarsalAngle12,
        Self::DistalMetatarsalArticularAngle,
        Self::ProximalPhalangealArticularAngle,
        Self::FirstMetatarsophalangealAngle,
        Self::CongruencyIndex,
        Self::HalluxInterphalangealAngle,
        Self::ProximalDistalPhalangealArticularAngle,
        Self::FirstTarsometatarsalAngle,
        Self::FirstTarsometatarsalAngleOwn,
        Self::TibialSesamoidPosition,
        Self::TibialSesamoidGrade,
        Self::TibialSesamoidShare,
        Self::FibularSesamoidShare,
        Self::FibularSesamoidGrade,
        Self::M1Length,
        Self::M2Length,
        Self::M3Length,
        Self::M4Length,
        Self::M5Length,
        Self::LengthRatioM1M2,
        Self::LengthRatioM3M2,
        Self::LengthRatioM4M2,
        Self::LengthRatioM5M2,
        Self::RelativeFirstMetatarsalLength,
        Self::RelativeFirstMetatarsalLengthRatio,
        Self::M2M3Step,
        Self::M3M4Step,
        Self::M4M5Step,
        Self::M1ReachByArcs,
        Self::M3ReachByArcs,
        Self::M4ReachByArcs,
        Self::M5ReachByArcs,
        Self::SesamoidLineAtM4,
        Self::IntermetatarsalAngle15,
        Self::IntermetatarsalAngle45,
        Self::MetatarsusAdductusAngle,
        Self::MetatarsusAdductusAngleModified,
        Self::SecondMetatarsalCuneiformAngle,
        Self::MedialEminence,
        Self::ForefootWidth,
        Self::TaloFirstMetatarsalAngle,
        Self::CalcanealInclinationAngle,
        Self::FirstMetatarsalInclinationAngle,
        Self::LateralTalocalcanealAngle,
        Self::SagittalIntermetatarsalAngle,
        Self::FirstMetatarsalElevation,
        Self::FirstMetatarsalElevationGain,
        Self::MedialCuneiformHeight,
        Self::FragmentShift,
        Self::FragmentShiftRatio,
        Self::FragmentTilt,
    ];

    const fn entry(self) -> &'static Entry {
        entry_at(self as usize)
    }

    /// The plain identifier used in files and on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        self.entry().identifier
    }

    /// The measurement whose [`identifier`](Self::identifier) this is.
    #[must_use]
    pub fn from_identifier(identifier: &str) -> Option<Self> {
        Self::ALL
            .into_iter()
            .find(|measurement| measurement.identifier() == identifier)
    }

    /// The name as a person reads it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.entry().name
    }

    /// A short name for a label on the film.
    #[must_use]
    pub const fn short_name(self) -> &'static str {
        self.entry().short_name
    }

    /// The view on which it is read.
    #[must_use]
    pub const fn view(self) -> View {
        match self.question() {
            Question::Arch | Question::Fragment => View::Lateral,
            Question::Deformity
            | Question::Sesamoids
            | Question::FirstRayLength
            | Question::Forefoot => View::Ap,
        }
    }

    /// The question under which it stands in the worksheet.
    #[must_use]
    pub const fn question(self) -> Question {
        self.entry().question
    }

    /// The unit of its value.
    #[must_use]
    pub const fn unit(self) -> Unit {
        self.entry().unit
    }

    /// The axis conventions that can change its value: all five where the first metatarsal's axis
    /// takes part, the three of the shaft where only other axes do, none where there is no axis.
    #[must_use]
    pub const fn conventions(self) -> &'static [AxisConvention] {
        self.entry().conventions
    }

    /// How it is constructed, in one or two sentences.
    #[must_use]
    pub const fn definition(self) -> &'static str {
        self.entry().definition
    }

    /// Where the definition comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        self.entry().source
    }

    /// The range in which it usually lies, where a source gives one for this construction.
    #[must_use]
    pub const fn usual_range(self) -> Option<UsualRange> {
        self.entry().usual_range
    }

    /// The ends of the strip on which its value is drawn, in its unit.
    #[must_use]
    pub const fn strip_range(self) -> (f64, f64) {
        self.entry().strip_range
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_entry_stands_in_its_measurements_place() {
        for measurement in Measurement::ALL {
            let variant = format!("{measurement:?}").to_lowercase();
            let identifier = measurement.identifier().replace('_', "");
            assert_eq!(variant, identifier, "the identifier spells the variant");
        }
    }

    #[test]
    fn every_measurement_is_found_again_by_its_identifier() {
        for measurement in Measurement::ALL {
            assert_eq!(
                Measurement::from_identifier(measurement.identifier()),
                Some(measurement),
                "{measurement:?}"
            );
        }
    }

    #[test]
    fn no_two_measurements_share_a_name() {
        for name in [
            Measurement::name,
            Measurement::short_name,
            Measurement::identifier,
        ] {
            let names: BTreeSet<&str> = Measurement::ALL.into_iter().map(name).collect();
            assert_eq!(names.len(), Measurement::ALL.len(), "{names:?}");
        }
    }

    #[test]
    fn the_usual_range_lies_on_the_strip() {
        for measurement in Measurement::ALL {
            let (from, to) = measurement.strip_range();
            assert!(from < to, "{measurement:?}");
            if let Some(usual) = measurement.usual_range() {
                assert!(
                    from <= usual.low && usual.low < usual.high && usual.high <= to,
                    "{measurement:?}: {usual:?}"
                );
            }
        }
    }
}
