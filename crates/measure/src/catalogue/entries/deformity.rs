//! The angles of the great toe and the first ray.

use crate::{
    catalogue::{Question, Unit},
    convention::AxisConvention,
};

use super::{COMMON_PRACTICE, Entry, usual};

const COMMITTEE: &str = "Coughlin, Saltzman, Nunley, Foot Ankle Int 2002;23:68–74 (from memory)";
const FROM_ZERO: &str = "limit from memory; below 0° the part turns the other way";

pub(super) static ENTRIES: [Entry; 10] = [
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
        identifier: "proximal_phalangeal_articular_angle",
        name: "Proximal phalangeal articular angle",
        short_name: "phalangeal articular",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "The angle from the perpendicular of the line through both corners of the proximal phalanx’s base to the axis of the phalanx; positive when the toe points laterally of that perpendicular.",
        source: COMMON_PRACTICE,
        usual_range: usual(
            -6.0,
            6.0,
            "limits below 6° to below 10° are in use; J Foot Ankle Res 2009;2:15, table 1, has 6°",
        ),
        strip_range: (-20.0, 30.0),
    },
    Entry {
        identifier: "first_metatarsophalangeal_angle",
        name: "First metatarsophalangeal joint angle",
        short_name: "joint",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The angle between the perpendiculars of the first metatarsal’s distal and the proximal phalanx’s proximal joint surface; positive when the phalanx faces more laterally. Congruent where both lines are about parallel, else deviated where they meet beside the joint and subluxated where they meet within it.",
        source: "Common definition (from memory); where surfaces face each other: Piggott, J Bone Joint Surg Br 1960;42-B:749–760 (from memory)",
        usual_range: usual(
            -10.67,
            10.67,
            "J Orthop Surg Res 2022, doi 10.1186/s13018-022-03028-1: incongruent above it, 245 feet",
        ),
        strip_range: (-20.0, 50.0),
    },
    Entry {
        identifier: "congruency_index",
        name: "Congruency index of the first metatarsophalangeal joint",
        short_name: "congruency",
        question: Question::Deformity,
        unit: Unit::Ratio,
        conventions: &[],
        definition: "The share of the first metatarsal’s distal joint surface that the proximal phalanx’s base faces, seen square to the metatarsal’s surface.",
        source: "Li, Tao, Tang, J Orthop Surg Res 2022, doi 10.1186/s13018-022-03028-1; the abstract does not give the construction, so that this one is ours",
        usual_range: usual(
            0.765,
            1.0,
            "Li, Tao, Tang 2022: incongruent below it, 245 feet, sensitivity 0.95, specificity 0.64",
        ),
        strip_range: (0.3, 1.0),
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
        identifier: "proximal_distal_phalangeal_articular_angle",
        name: "Proximal to distal phalangeal articular angle",
        short_name: "phalanx, base – head",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The angle from the perpendicular of the line through both corners of the proximal phalanx’s base to that of the line through both corners of its head; positive when the head faces more laterally.",
        source: "Common definition (from memory)",
        usual_range: usual(
            -8.0,
            8.0,
            "J Orthop Surg Res 2019, doi 10.1186/s13018-019-1319-2: above it more correction was lost after a chevron osteotomy without a wedge of the phalanx, 859 feet",
        ),
        strip_range: (-20.0, 30.0),
    },
    Entry {
        identifier: "first_tarsometatarsal_angle",
        name: "First tarsometatarsal joint against the second metatarsal",
        short_name: "tarsometatarsal – M2",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "The angle from the axis of the second metatarsal to the perpendicular of the line through both corners of the first metatarsal’s base; positive when that perpendicular points medially.",
        source: "Descriptive: no tie to the deformity was found in 136 films, J Foot Ankle Surg 2019;58:679–686",
        usual_range: None,
        strip_range: (-20.0, 40.0),
    },
    Entry {
        identifier: "first_tarsometatarsal_angle_own",
        name: "First tarsometatarsal joint against the first metatarsal",
        short_name: "tarsometatarsal – M1",
        question: Question::Deformity,
        unit: Unit::Degrees,
        conventions: &AxisConvention::ALL,
        definition: "The same against the axis of the first metatarsal itself.",
        source: "Descriptive: no tie to the deformity was found in 136 films, J Foot Ankle Surg 2019;58:679–686",
        usual_range: None,
        strip_range: (-30.0, 30.0),
    },
];
