//! What is known of each measurement, one entry each, in the order of `Measurement::ALL`: a file for each
//! question.

mod arch;
mod deformity;
mod forefoot;
mod fragment;
mod lengths;
mod sesamoids;

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

/// The entry at a place of `Measurement::ALL`; every place of it has one.
pub(super) const fn entry_at(place: usize) -> &'static Entry {
    let (mut group, mut within) = (0, place);
    while within >= BY_QUESTION[group].len() {
        within -= BY_QUESTION[group].len();
        group += 1;
    }
    &BY_QUESTION[group][within]
}

static BY_QUESTION: [&[Entry]; 6] = [
    &deformity::ENTRIES,
    &sesamoids::ENTRIES,
    &lengths::ENTRIES,
    &forefoot::ENTRIES,
    &arch::ENTRIES,
    &fragment::ENTRIES,
];

const COMMON_PRACTICE: &str = "Common practice, no source";

const fn usual(low: f64, high: f64, source: &'static str) -> Option<UsualRange> {
    Some(UsualRange { low, high, source })
}
