//! The measurements by name: identifier, question, unit, definition, source and usual range.

use plumbray_anatomy::View;

use crate::convention::AxisConvention;

/// A published measurement of the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measurement {
    /// First metatarsal to proximal phalanx.
    HalluxValgusAngle,
    /// First to second metatarsal.
    IntermetatarsalAngle12,
    /// First metatarsal to the perpendicular of its distal articular surface.
    DistalMetatarsalArticularAngle,
    /// Proximal to distal phalanx of the great toe.
    HalluxInterphalangealAngle,
    /// Tibial sesamoid in seven positions.
    TibialSesamoidPosition,
    /// Tibial sesamoid in four grades.
    TibialSesamoidGrade,
    /// Per cent of the tibial sesamoid lateral to the first metatarsal's axis.
    TibialSesamoidShare,
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
    /// Talus to first metatarsal on the lateral film.
    TaloFirstMetatarsalAngle,
    /// Plantar line of the calcaneus to the floor.
    CalcanealInclinationAngle,
    /// First metatarsal to the floor.
    FirstMetatarsalInclinationAngle,
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
    /// The lateral film.
    Arch,
}

impl Question {
    /// Every question, in the order of the worksheet.
    pub const ALL: [Self; 4] = [
        Self::Deformity,
        Self::Sesamoids,
        Self::FirstRayLength,
        Self::Arch,
    ];

    /// The question as the worksheet asks it.
    #[must_use]
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Deformity => "How big is the deformity?",
            Self::Sesamoids => "Where are the sesamoids?",
            Self::FirstRayLength => "How long is the first ray?",
            Self::Arch => "Is the arch involved?",
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

const ZERO_UPWARD: &str =
    "limit from memory, as commonly quoted; below 0° the part turns the other way";

impl Measurement {
    /// Every measurement, in the order of the worksheet.
    pub const ALL: [Self; 21] = [
        Self::HalluxValgusAngle,
        Self::IntermetatarsalAngle12,
        Self::DistalMetatarsalArticularAngle,
        Self::HalluxInterphalangealAngle,
        Self::TibialSesamoidPosition,
        Self::TibialSesamoidGrade,
        Self::TibialSesamoidShare,
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
        Self::TaloFirstMetatarsalAngle,
        Self::CalcanealInclinationAngle,
        Self::FirstMetatarsalInclinationAngle,
    ];

    /// The plain identifier used in files and on the command line.
    #[must_use]
    pub const fn identifier(self) -> &'static str {
        match self {
            Self::HalluxValgusAngle => "hallux_valgus_angle",
            Self::IntermetatarsalAngle12 => "intermetatarsal_angle_1_2",
            Self::DistalMetatarsalArticularAngle => "distal_metatarsal_articular_angle",
            Self::HalluxInterphalangealAngle => "hallux_interphalangeal_angle",
            Self::TibialSesamoidPosition => "tibial_sesamoid_position",
            Self::TibialSesamoidGrade => "tibial_sesamoid_grade",
            Self::TibialSesamoidShare => "tibial_sesamoid_share",
            Self::M1Length => "m1_length",
            Self::M2Length => "m2_length",
            Self::M3Length => "m3_length",
            Self::M4Length => "m4_length",
            Self::M5Length => "m5_length",
            Self::LengthRatioM1M2 => "length_ratio_m1_m2",
            Self::LengthRatioM3M2 => "length_ratio_m3_m2",
            Self::LengthRatioM4M2 => "length_ratio_m4_m2",
            Self::LengthRatioM5M2 => "length_ratio_m5_m2",
            Self::RelativeFirstMetatarsalLength => "relative_first_metatarsal_length",
            Self::RelativeFirstMetatarsalLengthRatio => "relative_first_metatarsal_length_ratio",
            Self::TaloFirstMetatarsalAngle => "talo_first_metatarsal_angle",
            Self::CalcanealInclinationAngle => "calcaneal_inclination_angle",
            Self::FirstMetatarsalInclinationAngle => "first_metatarsal_inclination_angle",
        }
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
        match self {
            Self::HalluxValgusAngle => "Hallux valgus angle",
            Self::IntermetatarsalAngle12 => "1–2 intermetatarsal angle",
            Self::DistalMetatarsalArticularAngle => "Distal metatarsal articular angle",
            Self::HalluxInterphalangealAngle => "Hallux interphalangeal angle",
            Self::TibialSesamoidPosition => "Tibial sesamoid position",
            Self::TibialSesamoidGrade => "Tibial sesamoid grade",
            Self::TibialSesamoidShare => "Tibial sesamoid lateral to the axis",
            Self::M1Length => "First metatarsal length",
            Self::M2Length => "Second metatarsal length",
            Self::M3Length => "Third metatarsal length",
            Self::M4Length => "Fourth metatarsal length",
            Self::M5Length => "Fifth metatarsal length",
            Self::LengthRatioM1M2 => "Length ratio, first to second",
            Self::LengthRatioM3M2 => "Length ratio, third to second",
            Self::LengthRatioM4M2 => "Length ratio, fourth to second",
            Self::LengthRatioM5M2 => "Length ratio, fifth to second",
            Self::RelativeFirstMetatarsalLength => "Relative first metatarsal length",
            Self::RelativeFirstMetatarsalLengthRatio => {
                "Relative first metatarsal length, share of the second"
            }
            Self::TaloFirstMetatarsalAngle => "Talo–first metatarsal angle",
            Self::CalcanealInclinationAngle => "Calcaneal inclination angle",
            Self::FirstMetatarsalInclinationAngle => "First metatarsal inclination angle",
        }
    }

    /// A short name for a label on the film.
    #[must_use]
    pub const fn short_name(self) -> &'static str {
        match self {
            Self::HalluxValgusAngle => "hallux valgus",
            Self::IntermetatarsalAngle12 => "intermetatarsal",
            Self::DistalMetatarsalArticularAngle => "articular",
            Self::HalluxInterphalangealAngle => "interphalangeal",
            Self::TibialSesamoidPosition => "sesamoid position",
            Self::TibialSesamoidGrade => "sesamoid grade",
            Self::TibialSesamoidShare => "sesamoid share",
            Self::M1Length => "M1",
            Self::M2Length => "M2",
            Self::M3Length => "M3",
            Self::M4Length => "M4",
            Self::M5Length => "M5",
            Self::LengthRatioM1M2 => "M1 : M2",
            Self::LengthRatioM3M2 => "M3 : M2",
            Self::LengthRatioM4M2 => "M4 : M2",
            Self::LengthRatioM5M2 => "M5 : M2",
            Self::RelativeFirstMetatarsalLength => "M1 beyond M2",
            Self::RelativeFirstMetatarsalLengthRatio => "M1 beyond M2, share",
            Self::TaloFirstMetatarsalAngle => "talus – M1",
            Self::CalcanealInclinationAngle => "calcaneus – floor",
            Self::FirstMetatarsalInclinationAngle => "M1 – floor",
        }
    }

    /// The view on which it is read.
    #[must_use]
    pub const fn view(self) -> View {
        match self {
            Self::TaloFirstMetatarsalAngle
            | Self::CalcanealInclinationAngle
            | Self::FirstMetatarsalInclinationAngle => View::Lateral,
            _ => View::Ap,
        }
    }

    /// The question under which it stands in the worksheet.
    #[must_use]
    pub const fn question(self) -> Question {
        match self {
            Self::HalluxValgusAngle
            | Self::IntermetatarsalAngle12
            | Self::DistalMetatarsalArticularAngle
            | Self::HalluxInterphalangealAngle => Question::Deformity,
            Self::TibialSesamoidPosition
            | Self::TibialSesamoidGrade
            | Self::TibialSesamoidShare => Question::Sesamoids,
            Self::M1Length
            | Self::M2Length
            | Self::M3Length
            | Self::M4Length
            | Self::M5Length
            | Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2
            | Self::RelativeFirstMetatarsalLength
            | Self::RelativeFirstMetatarsalLengthRatio => Question::FirstRayLength,
            Self::TaloFirstMetatarsalAngle
            | Self::CalcanealInclinationAngle
            | Self::FirstMetatarsalInclinationAngle => Question::Arch,
        }
    }

    /// The unit of its value.
    #[must_use]
    pub const fn unit(self) -> Unit {
        match self {
            Self::HalluxValgusAngle
            | Self::IntermetatarsalAngle12
            | Self::DistalMetatarsalArticularAngle
            | Self::HalluxInterphalangealAngle
            | Self::TaloFirstMetatarsalAngle
            | Self::CalcanealInclinationAngle
            | Self::FirstMetatarsalInclinationAngle => Unit::Degrees,
            Self::TibialSesamoidPosition => Unit::Position,
            Self::TibialSesamoidGrade => Unit::Grade,
            Self::TibialSesamoidShare => Unit::PerCent,
            Self::M1Length
            | Self::M2Length
            | Self::M3Length
            | Self::M4Length
            | Self::M5Length
            | Self::RelativeFirstMetatarsalLength => Unit::Millimetres,
            Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2
            | Self::RelativeFirstMetatarsalLengthRatio => Unit::Ratio,
        }
    }

    /// The axis conventions that can change its value: all five where the first metatarsal's axis
    /// takes part, the three of the shaft where only other axes do, none where there is no axis.
    #[must_use]
    pub const fn conventions(self) -> &'static [AxisConvention] {
        match self {
            Self::HalluxValgusAngle
            | Self::IntermetatarsalAngle12
            | Self::DistalMetatarsalArticularAngle
            | Self::TibialSesamoidPosition
            | Self::TibialSesamoidGrade
            | Self::TibialSesamoidShare
            | Self::TaloFirstMetatarsalAngle
            | Self::FirstMetatarsalInclinationAngle => &AxisConvention::ALL,
            Self::HalluxInterphalangealAngle
            | Self::RelativeFirstMetatarsalLength
            | Self::RelativeFirstMetatarsalLengthRatio => &AxisConvention::OF_SHAFT,
            Self::M1Length
            | Self::M2Length
            | Self::M3Length
            | Self::M4Length
            | Self::M5Length
            | Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2
            | Self::CalcanealInclinationAngle => &[],
        }
    }

    /// How it is constructed, in one or two sentences.
    #[must_use]
    pub const fn definition(self) -> &'static str {
        match self {
            Self::HalluxValgusAngle => {
                "The angle from the axis of the first metatarsal to that of the proximal phalanx; \
                 positive when the toe points laterally."
            }
            Self::IntermetatarsalAngle12 => {
                "The angle between the axes of the first and the second metatarsal; positive when \
                 the first diverges medially."
            }
            Self::DistalMetatarsalArticularAngle => {
                "The angle from the first metatarsal’s axis to the perpendicular of the line through \
                 both ends of its distal articular surface; positive when the surface faces \
                 laterally. The least reliable of these angles."
            }
            Self::HalluxInterphalangealAngle => {
                "The angle from the axis of the proximal to that of the distal phalanx; positive \
                 when the tip of the toe points laterally."
            }
            Self::TibialSesamoidPosition => {
                "Position I to VII by the share of the tibial sesamoid’s width that lies lateral to \
                 the first metatarsal’s axis: I clear medially, II touching, III below 45 %, IV 45 \
                 to 55 %, V above 55 %, VI touching laterally, VII clear. IV and V are hard to tell \
                 apart."
            }
            Self::TibialSesamoidGrade => {
                "Grade 0 to 3 by the same share: 0 none, 1 up to half, 2 more than half, 3 wholly \
                 beyond the axis."
            }
            Self::TibialSesamoidShare => {
                "How much of the tibial sesamoid’s width, measured across the first metatarsal’s \
                 axis, lies lateral to it."
            }
            Self::M1Length | Self::M2Length | Self::M3Length | Self::M4Length | Self::M5Length => {
                "The distance from the centre of the bone’s base to its tip, as projected on the \
                 film."
            }
            Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2 => {
                "The length from base centre to tip over that of the second metatarsal."
            }
            Self::RelativeFirstMetatarsalLength => {
                "How far the first metatarsal’s tip lies beyond the second’s, measured along the \
                 second’s axis; positive when the first reaches further distally."
            }
            Self::RelativeFirstMetatarsalLengthRatio => {
                "How far the first metatarsal’s tip lies beyond the second’s along the second’s \
                 axis, over the second’s length from base centre to tip."
            }
            Self::TaloFirstMetatarsalAngle => {
                "The angle between the axis of the talus and that of the first metatarsal; negative \
                 when its apex is plantar, as in a flattened arch."
            }
            Self::CalcanealInclinationAngle => {
                "The angle of the plantar line of the calcaneus to the floor; positive when its \
                 anterior end rises."
            }
            Self::FirstMetatarsalInclinationAngle => {
                "The angle of the first metatarsal’s axis to the floor; positive when the head is \
                 lower than the base."
            }
        }
    }

    /// Where the definition comes from.
    #[must_use]
    pub const fn source(self) -> &'static str {
        match self {
            Self::HalluxValgusAngle
            | Self::IntermetatarsalAngle12
            | Self::DistalMetatarsalArticularAngle => {
                "Coughlin, Saltzman, Nunley, Foot Ankle Int 2002;23:68–74 (from memory)"
            }
            Self::HalluxInterphalangealAngle => "Common practice, no source",
            Self::TibialSesamoidPosition => {
                "Hardy, Clapham, J Bone Joint Surg Br 1951;33-B:376–391 (from memory); the bands \
                 around touching (± 3 %) and around half are ours"
            }
            Self::TibialSesamoidGrade => {
                "Smith, Reynolds, Stewart, Foot Ankle 1984;5:92–103 (from memory)"
            }
            Self::TibialSesamoidShare => "The number behind both published grades; ours",
            Self::M1Length
            | Self::M2Length
            | Self::M3Length
            | Self::M4Length
            | Self::M5Length
            | Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2 => "Common practice, no source",
            Self::RelativeFirstMetatarsalLength => {
                "Perpendiculars to the second metatarsal’s axis, after Coughlin (from memory)"
            }
            Self::RelativeFirstMetatarsalLengthRatio => {
                "Perpendiculars to the second metatarsal’s axis, after Coughlin (from memory); the \
                 share is ours"
            }
            Self::TaloFirstMetatarsalAngle | Self::CalcanealInclinationAngle => {
                "Common definition (from memory)"
            }
            Self::FirstMetatarsalInclinationAngle => {
                "Common definition; Lee et al., Arch Orthop Trauma Surg 2023 uses it"
            }
        }
    }

    /// The range in which it usually lies, where a source gives one for this construction.
    #[must_use]
    pub const fn usual_range(self) -> Option<UsualRange> {
        let (low, high, source) = match self {
            Self::HalluxValgusAngle => (0.0, 15.0, ZERO_UPWARD),
            Self::IntermetatarsalAngle12 => (0.0, 9.0, ZERO_UPWARD),
            Self::DistalMetatarsalArticularAngle | Self::HalluxInterphalangealAngle => {
                (0.0, 10.0, ZERO_UPWARD)
            }
            Self::TibialSesamoidPosition => (
                1.0,
                4.0,
                "Okuda et al., J Bone Joint Surg Am 2009;91:1637–1645: 50 of 60 feet without \
                 deformity up to IV",
            ),
            Self::TaloFirstMetatarsalAngle => (-4.0, 4.0, "from memory"),
            Self::CalcanealInclinationAngle => (18.0, 30.0, "from memory; sources differ"),
            Self::FirstMetatarsalInclinationAngle => (
                20.0,
                25.0,
                "from memory; mean 21.1° in feet without complaint, Lee et al., Arch Orthop Trauma \
                 Surg 2023",
            ),
            Self::TibialSesamoidGrade
            | Self::TibialSesamoidShare
            | Self::M1Length
            | Self::M2Length
            | Self::M3Length
            | Self::M4Length
            | Self::M5Length
            | Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2
            | Self::RelativeFirstMetatarsalLength
            | Self::RelativeFirstMetatarsalLengthRatio => return None,
        };
        Some(UsualRange { low, high, source })
    }

    /// The ends of the strip on which its value is drawn, in its unit.
    #[must_use]
    pub const fn strip_range(self) -> (f64, f64) {
        match self {
            Self::HalluxValgusAngle => (-10.0, 60.0),
            Self::IntermetatarsalAngle12 => (0.0, 25.0),
            Self::DistalMetatarsalArticularAngle => (-10.0, 40.0),
            Self::HalluxInterphalangealAngle => (-10.0, 30.0),
            Self::TibialSesamoidPosition => (1.0, 7.0),
            Self::TibialSesamoidGrade => (0.0, 3.0),
            Self::TibialSesamoidShare => (0.0, 100.0),
            Self::M1Length | Self::M2Length | Self::M3Length | Self::M4Length | Self::M5Length => {
                (40.0, 90.0)
            }
            Self::LengthRatioM1M2
            | Self::LengthRatioM3M2
            | Self::LengthRatioM4M2
            | Self::LengthRatioM5M2 => (0.6, 1.2),
            Self::RelativeFirstMetatarsalLength => (-15.0, 15.0),
            Self::RelativeFirstMetatarsalLengthRatio => (-0.2, 0.2),
            Self::TaloFirstMetatarsalAngle => (-30.0, 30.0),
            Self::CalcanealInclinationAngle | Self::FirstMetatarsalInclinationAngle => (0.0, 40.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

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
