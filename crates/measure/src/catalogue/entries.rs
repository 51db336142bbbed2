//! What is known of each measurement, one entry each, in the order of `Measurement::ALL`.

use crate::convention::AxisConvention;

use super::{Question, Unit, UsualRange};

/// What is known of a measurement; `Measurement`'s methods say what each part means.
#[derive(Debug)]
pub(super) struct Entry {
    pub(super) identifier: &'static str,
    pub(super) name: &'static str,
    pub(super) short_name: &'static str,
    pub(super) question: Question,
    pub(super) unit: Unit,
    pub(super) conventions: &'static [AxisConvention],
    pub(super) definition: &'static str,
    pub(super) source: &'static str,
    pub(super) usual_range: Option<UsualRange>,
    pub(super) strip_range: (f64, f64),
}

const COMMITTEE: &str = "Coughlin, Saltzman, Nunley, Foot Ankle Int 2002;23:68–74 (from memory)";
const COMMON_PRACTICE: &str = "Common practice, no source";
const FROM_ZERO: &str = "limit from memory; below 0° the part turns the other way";
const BASE_TO_TIP: &str =
    "The distance from the centre of the bone’s base to its tip, as projected on the film.";
const OVER_SECOND: &str = "The length from base centre to tip over that of the second metatarsal.";
const LENGTH_STRIP: (f64, f64) = (40.0, 90.0);
const RATIO_STRIP: (f64, f64) = (0.6, 1.2);

const fn usual(low: f64, high: f64, source: &'static str) -> Option<UsualRange> {
    Some(UsualRange { low, high, source })
}

pub(super) static ENTRIES: [Entry; 21] = [
    Entry {
        identifier: "hallux_valgus_angle",
        name: "Hallux valgus angle",
        short_name: "hallux valgus",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The angle from the axis of the first metatarsal to that of the proximal \
                     phalanx; positive when the toe points laterally.",
        source: COMMITTEE,
        usual_range: usual(0.0, 15.0, FROM_ZERO),
        strip_range: (-10.0, 60.0),
    },
    Entry {
        identifier: "intermetatarsal_angle_1_2",
        name: "1–2 intermetatarsal angle",
        short_name: "intermetatarsal",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The angle between the axes of the first and the second metatarsal; \
                     positive when the first diverges medially.",
        source: COMMITTEE,
        usual_range: usual(0.0, 9.0, FROM_ZERO),
        strip_range: (0.0, 25.0),
    },
    Entry {
        identifier: "distal_metatarsal_articular_angle",
        name: "Distal metatarsal articular angle",
        short_name: "articular",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The angle from the first metatarsal’s axis to the perpendicular of the \
                     line through both ends of its distal articular surface; positive when \
                     the surface faces laterally. The least reliable of these angles.",
        source: COMMITTEE,
        usual_range: usual(0.0, 10.0, FROM_ZERO),
        strip_range: (-10.0, 40.0),
    },
    Entry {
        identifier: "hallux_interphalangeal_angle",
        name: "Hallux interphalangeal angle",
        short_name: "interphalangeal",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "The angle from the axis of the proximal to that of the distal phalanx; \
                     positive when the tip of the toe points laterally.",
        source: COMMON_PRACTICE,
        usual_range: usual(0.0, 10.0, FROM_ZERO),
        strip_range: (-10.0, 30.0),
    },
    Entry {
        identifier: "tibial_sesamoid_position",
        name: "Tibial sesamoid position",
        short_name: "sesamoid position",
        question: Question::Sesamoids,
        unit: Unit::Position,
        conventions: &AxisConvention::ALL,
        definition: "Position I to VII by the share of the tibial sesamoid’s width that lies \
                     lateral to the first metatarsal’s axis: I clear medially, II touching, \
                     III below 45 %, IV 45 to 55 %, V above 55 %, VI touching laterally, VII \
                     clear. IV and V are hard to tell apart.",
        source: "Hardy, Clapham, J Bone Joint Surg Br 1951;33-B:376–391 (from memory); \
                     the bands around touching (± 3 %) and around half are ours",
        usual_range: usual(
            1.0,
            4.0,
            "Okuda et al., J Bone Joint Surg Am 2009;91:1637–1645: 50 of 60 feet \
             without deformity up to IV",
        ),
        strip_range: (1.0, 7.0),
    },
    Entry {
        identifier: "tibial_sesamoid_grade",
        name: "Tibial sesamoid grade",
        short_name: "sesamoid grade",
        question: Question::Sesamoids,
        unit: Unit::Grade,
        conventions: &AxisConvention::ALL,
        definition: "Grade 0 to 3 by the same share: 0 none, 1 up to half, 2 more than half, \
                     3 wholly beyond the axis.",
        source: "Smith, Reynolds, Stewart, Foot Ankle 1984;5:92–103 (from memory)",
        usual_range: None,
        strip_range: (0.0, 3.0),
    },
    Entry {
        identifier: "tibial_sesamoid_share",
        name: "Tibial sesamoid lateral to the axis",
        short_name: "sesamoid share",
        question: Question::Sesamoids,
        unit: Unit::PerCent,
        conventions: &AxisConvention::ALL,
        definition: "How much of the tibial sesamoid’s width, measured across the first \
                     metatarsal’s axis, lies lateral to it.",
        source: "The number behind both published grades; ours",
        usual_range: None,
        strip_range: (0.0, 100.0),
    },
    Entry {
        identifier: "m1_length",
        name: "First metatarsal length",
        short_name: "M1",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    },
    Entry {
        identifier: "m2_length",
        name: "Second metatarsal length",
        short_name: "M2",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    },
    Entry {
        identifier: "m3_length",
        name: "Third metatarsal length",
        short_name: "M3",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    },
    Entry {
        identifier: "m4_length",
        name: "Fourth metatarsal length",
        short_name: "M4",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    },
    Entry {
        identifier: "m5_length",
        name: "Fifth metatarsal length",
        short_name: "M5",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    },
    Entry {
        identifier: "length_ratio_m1_m2",
        name: "Length ratio, first to second",
        short_name: "M1 : M2",
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &[],
        definition: OVER_SECOND,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: RATIO_STRIP,
    },
    Entry {
        identifier: "length_ratio_m3_m2",
        name: "Length ratio, third to second",
        short_name: "M3 : M2",
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &[],
        definition: OVER_SECOND,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: RATIO_STRIP,
    },
    Entry {
        identifier: "length_ratio_m4_m2",
        name: "Length ratio, fourth to second",
        short_name: "M4 : M2",
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &[],
        definition: OVER_SECOND,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: RATIO_STRIP,
    },
    Entry {
        identifier: "length_ratio_m5_m2",
        name: "Length ratio, fifth to second",
        short_name: "M5 : M2",
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &[],
        definition: OVER_SECOND,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: RATIO_STRIP,
    },
    Entry {
        identifier: "relative_first_metatarsal_length",
        name: "Relative first metatarsal length",
        short_name: "M1 beyond M2",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "How far the first metatarsal’s tip lies beyond the second’s, measured \
                     along the second’s axis; positive when the first reaches further \
                     distally.",
        source: "Perpendiculars to the second metatarsal’s axis, after Coughlin (from \
                     memory)",
        usual_range: None,
        strip_range: (-15.0, 15.0),
    },
    Entry {
        identifier: "relative_first_metatarsal_length_ratio",
        name: "Relative first metatarsal length, share of the second",
        short_name: "M1 beyond M2, share",
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "How far the first metatarsal’s tip lies beyond the second’s along the \
                     second’s axis, over the second’s length from base centre to tip.",
        source: "Perpendiculars to the second metatarsal’s axis, after Coughlin (from \
                     memory); the share is ours",
        usual_range: None,
        strip_range: (-0.2, 0.2),
    },
    Entry {
        identifier: "talo_first_metatarsal_angle",
        name: "Talo–first metatarsal angle",
        short_name: "talus – M1",
        question: Question::Arch,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The angle between the axis of the talus and that of the first \
                     metatarsal; negative when its apex is plantar, as in a flattened arch.",
        source: "Common definition (from memory)",
        usual_range: usual(-4.0, 4.0, "from memory"),
        strip_range: (-30.0, 30.0),
    },
    Entry {
        identifier: "calcaneal_inclination_angle",
        name: "Calcaneal inclination angle",
        short_name: "calcaneus – floor",
        question: Question::Arch,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The angle of the plantar line of the calcaneus to the floor; positive \
                     when its anterior end rises.",
        source: "Common definition (from memory)",
        usual_range: usual(18.0, 30.0, "from memory; sources differ"),
        strip_range: (0.0, 40.0),
    },
    Entry {
        identifier: "first_metatarsal_inclination_angle",
        name: "First metatarsal inclination angle",
        short_name: "M1 – floor",
        question: Question::Arch,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The angle of the first metatarsal’s axis to the floor; positive when the \
                     head is lower than the base.",
        source: "Common definition (from memory)",
        usual_range: usual(
            20.0,
            25.0,
            "from memory; mean 21.1° in feet without complaint: Lee et al., Arch Orthop Trauma Surg 2023",
        ),
        strip_range: (0.0, 40.0),
    },
];
