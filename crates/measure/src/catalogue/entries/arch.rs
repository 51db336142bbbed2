//! The lateral film.

use crate::{
    catalogue::{Question, Unit},
    convention::AxisConvention,
};

use super::{COMMON_PRACTICE, Entry, usual};

pub(super) static ENTRIES: [Entry; 7] = [
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
    Entry {
        identifier: "lateral_talocalcaneal_angle",
        name: "Lateral talocalcaneal angle",
        short_name: "talus – calcaneus",
        question: Question::Arch,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The angle from the axis of the talus to the plantar line of the calcaneus; positive when they open anteriorly.",
        source: "Common definition (from memory)",
        usual_range: usual(25.0, 45.0, "from memory"),
        strip_range: (0.0, 70.0),
    },
    Entry {
        identifier: "sagittal_intermetatarsal_angle",
        name: "1–2 intermetatarsal angle, lateral",
        short_name: "M1 – M2, lateral",
        question: Question::Arch,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The angle from the dorsal cortex of the second metatarsal to that of the first; positive when the first diverges dorsally.",
        source: "Dorsal cortices of both bones, after Schuberth (from memory)",
        usual_range: None,
        strip_range: (-15.0, 15.0),
    },
    Entry {
        identifier: "first_metatarsal_elevation",
        name: "First metatarsal elevation",
        short_name: "M1 elevation",
        question: Question::Arch,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: "How far the distal point of the first metatarsal’s dorsal cortex lies dorsal to the line along the second’s.",
        source: "Foot Ankle Int 2010;31:807, doi 10.3113/FAI.2010.0807: the number depends on the method; mean 2.6 mm in feet without complaint there",
        usual_range: None,
        strip_range: (-10.0, 15.0),
    },
    Entry {
        identifier: "medial_cuneiform_height",
        name: "Medial cuneiform height",
        short_name: "cuneiform height",
        question: Question::Arch,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: "How high the lowest point of the medial cuneiform lies above the floor.",
        source: COMMON_PRACTICE,
        usual_range: usual(15.0, 20.0, "from memory"),
        strip_range: (0.0, 40.0),
    },
];
