//! The fragment of an operated first metatarsal on the lateral film.

use crate::catalogue::{Question, Unit};

use super::{COMMON_PRACTICE, Entry};

pub(super) static ENTRIES: [Entry; 3] = [
    Entry {
        identifier: "fragment_shift",
        name: "Dorsal shift of the fragment",
        short_name: "fragment shift",
        question: Question::Fragment,
        unit: Unit::Millimetres,
        conventions: &[],
        definition: "How far the middle of the fragment’s cut face lies dorsal of the shaft’s, along the shaft’s face; negative when plantar.",
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: (-15.0, 15.0),
    },
    Entry {
        identifier: "fragment_shift_ratio",
        name: "Dorsal shift of the fragment, share of the shaft",
        short_name: "fragment shift, share",
        question: Question::Fragment,
        unit: Unit::Ratio,
        conventions: &[],
        definition: "The same over the height of the shaft at the cut.",
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: (-1.0, 1.0),
    },
    Entry {
        identifier: "fragment_tilt",
        name: "Plantar tilt of the fragment",
        short_name: "fragment tilt",
        question: Question::Fragment,
        unit: Unit::Degrees,
        conventions: &[],
        definition: "The turn from the cut face of the shaft to that of the fragment; positive when the head is turned plantarward.",
        source: COMMON_PRACTICE,
        usual_range: None,
        strip_range: (-30.0, 30.0),
    },
];
