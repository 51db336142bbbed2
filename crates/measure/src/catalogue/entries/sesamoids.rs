//! Where the sesamoids lie.

use crate::{
    catalogue::{Question, Unit},
    convention::AxisConvention,
};

use super::{Entry, usual};

pub(super) static ENTRIES: [Entry; 5] = [
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
        identifier: "fibular_sesamoid_share",
        name: "Fibular sesamoid lateral to the metatarsal",
        short_name: "fibular share",
        question: Question::Sesamoids,
        unit: Unit::PerCent,
        conventions: &[],
        definition: "How much of the fibular sesamoid’s width lies lateral to the line along the lateral cortex of the first metatarsal’s shaft.",
        source: "Displacement beyond the lateral cortex: Panchani, Reading, Mehta, Foot 2015; the line through the cortex at a third and two thirds of the bone is ours",
        usual_range: None,
        strip_range: (0.0, 100.0),
    },
    Entry {
        identifier: "fibular_sesamoid_grade",
        name: "Fibular sesamoid grade",
        short_name: "fibular grade",
        question: Question::Sesamoids,
        unit: Unit::Grade,
        conventions: &[],
        definition: "Grade 0 to 3 by the same share: 0 none, 1 up to half, 2 more than half, 3 wholly beyond the cortex; they are called normal, mild, moderate and severe.",
        source: "Panchani, Reading, Mehta, Foot 2015",
        usual_range: None,
        strip_range: (0.0, 3.0),
    },
];
