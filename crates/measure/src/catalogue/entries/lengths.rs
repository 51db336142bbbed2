//! Lengths of the metatarsals, and how far they reach.

use crate::{
    catalogue::{Question, Unit},
    convention::AxisConvention,
};

use super::{COMMON_PRACTICE, Entry, usual};

const BASE_TO_TIP: &str =
    "The distance from the centre of the bone’s base to its tip, as projected on the film.";
const OVER_SECOND: &str = "The length from base centre to tip over that of the second metatarsal.";
const LENGTH_STRIP: (f64, f64) = (40.0, 90.0);
const RATIO_STRIP: (f64, f64) = (0.6, 1.2);

/// The length of a metatarsal.
const fn length(identifier: &'static str, name: &'static str, short_name: &'static str) -> Entry {
    Entry {
        identifier,
        name,
        short_name,
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: BASE_TO_TIP,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: LENGTH_STRIP,
    }
}

/// The length of a metatarsal over that of the second.
const fn ratio_to_second(
    identifier: &'static str,
    name: &'static str,
    short_name: &'static str,
) -> Entry {
    Entry {
        identifier,
        name,
        short_name,
        question: Question::FirstRayLength,
        unit: Unit::Ratio,
        conventions: &[],
        definition: OVER_SECOND,
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: RATIO_STRIP,
    }
}

/// One metatarsal's tip beyond the next one's.
const fn step(
    identifier: &'static str,
    name: &'static str,
    short_name: &'static str,
    definition: &'static str,
) -> Entry {
    Entry {
        identifier,
        name,
        short_name,
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &AxisConvention::OF_SHAFT,
        definition,
        source: "Maestro et al., Foot Ankle Clin 2003;8:695–710 (from memory)",
        usual_range: None,
        strip_range: (-10.0, 25.0),
    }
}

/// A metatarsal's tip beyond the second's by arcs; its usual range is the mean ± 1.96 standard deviations.
const fn by_arcs(
    identifier: &'static str,
    name: &'static str,
    short_name: &'static str,
    definition: &'static str,
    (low, high): (f64, f64),
) -> Entry {
    Entry {
        identifier,
        name,
        short_name,
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &AxisConvention::OF_SHAFT,
        definition,
        source: "Domínguez-Maldonado et al., ScientificWorldJournal 2014:505736",
        usual_range: usual(
            low,
            high,
            "mean ± 1.96 standard deviations of 169 feet: Domínguez-Maldonado et al. 2014",
        ),
        strip_range: (-35.0, 15.0),
    }
}

pub(super) static ENTRIES: [Entry; 19] = [
    length("m1_length", "First metatarsal length", "M1"),
    length("m2_length", "Second metatarsal length", "M2"),
    length("m3_length", "Third metatarsal length", "M3"),
    length("m4_length", "Fourth metatarsal length", "M4"),
    length("m5_length", "Fifth metatarsal length", "M5"),
    ratio_to_second(
        "length_ratio_m1_m2",
        "Length ratio, first to second",
        "M1 : M2",
    ),
    ratio_to_second(
        "length_ratio_m3_m2",
        "Length ratio, third to second",
        "M3 : M2",
    ),
    ratio_to_second(
        "length_ratio_m4_m2",
        "Length ratio, fourth to second",
        "M4 : M2",
    ),
    ratio_to_second(
        "length_ratio_m5_m2",
        "Length ratio, fifth to second",
        "M5 : M2",
    ),
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
    step(
        "m2_m3_step",
        "Second metatarsal beyond the third, along the second",
        "M2 – M3, step",
        "How much farther distally the second metatarsal’s tip lies than the third’s, along the second’s axis. Together with the steps before and after it, ideally in the proportion 3 : 6 : 12.",
    ),
    step(
        "m3_m4_step",
        "Third metatarsal beyond the fourth, along the second",
        "M3 – M4, step",
        "How much farther distally the third metatarsal’s tip lies than the fourth’s, along the second’s axis. Together with the steps before and after it, ideally in the proportion 3 : 6 : 12.",
    ),
    step(
        "m4_m5_step",
        "Fourth metatarsal beyond the fifth, along the second",
        "M4 – M5, step",
        "How much farther distally the fourth metatarsal’s tip lies than the fifth’s, along the second’s axis. Together with the steps before and after it, ideally in the proportion 3 : 6 : 12.",
    ),
    by_arcs(
        "m1_reach_by_arcs",
        "First metatarsal beyond the second, by arcs",
        "M1 – M2, arcs",
        "How much farther the first metatarsal’s tip lies than the second’s from the point where the second’s axis meets the line from the medial end of the talonavicular to the lateral end of the calcaneocuboid joint.",
        (-4.37, 6.25),
    ),
    by_arcs(
        "m3_reach_by_arcs",
        "Third metatarsal beyond the second, by arcs",
        "M3 – M2, arcs",
        "How much farther the third metatarsal’s tip lies than the second’s from the point where the second’s axis meets the line from the medial end of the talonavicular to the lateral end of the calcaneocuboid joint.",
        (-7.63, -1.25),
    ),
    by_arcs(
        "m4_reach_by_arcs",
        "Fourth metatarsal beyond the second, by arcs",
        "M4 – M2, arcs",
        "How much farther the fourth metatarsal’s tip lies than the second’s from the point where the second’s axis meets the line from the medial end of the talonavicular to the lateral end of the calcaneocuboid joint.",
        (-15.50, -6.84),
    ),
    by_arcs(
        "m5_reach_by_arcs",
        "Fifth metatarsal beyond the second, by arcs",
        "M5 – M2, arcs",
        "How much farther the fifth metatarsal’s tip lies than the second’s from the point where the second’s axis meets the line from the medial end of the talonavicular to the lateral end of the calcaneocuboid joint.",
        (-27.60, -12.82),
    ),
    Entry {
        identifier: "sesamoid_line_at_m4",
        name: "Line through the fibular sesamoid at the fourth head",
        short_name: "sesamoid line at M4",
        question: Question::FirstRayLength,
        unit: Unit::Millimetres,
        conventions: &AxisConvention::OF_SHAFT,
        definition: "Where the line square to the second metatarsal through the centre of the fibular sesamoid passes the centre of the fourth metatarsal’s head; positive distally of it.",
        source: "Maestro et al., Foot Ankle Clin 2003;8:695–710 (from memory)",
        usual_range: usual(-2.0, 4.0, "Maestro et al. 2003 (from memory)"),
        strip_range: (-20.0, 20.0),
    },
];
