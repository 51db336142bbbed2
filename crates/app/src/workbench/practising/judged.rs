//! What is judged of a foot, told before it is handed in and without a number of it.

use plumbray_anatomy::{LongBone, Tracing, View};
use plumbray_measure::{Choices, Measurement, Need, Outcome, measure};

use super::Practising;
use crate::workbench::TraceStep;

/// A number by whose limit a foot is missed, and what has to be traced for it.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitedNumber {
    /// The number.
    pub measurement: Measurement,
    /// The largest difference from the reference that is not yet a miss, in the measurement's unit.
    pub largest: f64,
    /// What it is measured from.
    pub steps: Vec<TraceStep>,
}

impl Practising {
    /// The numbers of the foot of this name that have a limit in this set: those that its films can give.
    #[must_use]
    pub fn limited_numbers(&self, foot: &str) -> Vec<LimitedNumber> {
        let Some(foot) = self.foot(foot) else {
            return Vec::new();
        };
        let nothing = Tracing::default();
        let untraced = foot.traced(&nothing);
        let limits = self.set.defaults.limits.iter();
        limits
            .filter_map(|limit| {
                let outcome = measure(&untraced, &Choices::default(), limit.measurement);
                let Outcome::Needs(needs) = outcome else {
                    return None;
                };
                if needs.iter().any(|need| matches!(need, Need::Film(_))) {
                    return None;
                }
                let mut steps: Vec<TraceStep> = needs.into_iter().filter_map(step_of).collect();
                steps.sort_unstable();
                steps.dedup();
                Some(LimitedNumber {
                    measurement: limit.measurement,
                    largest: limit.largest,
                    steps,
                })
            })
            .collect()
    }
}

fn step_of(need: Need) -> Option<TraceStep> {
    match need {
        Need::Shaft(view, bone) => Some(TraceStep::Shaft(view, bone)),
        Need::Landmark(view, landmark) => TraceStep::of_landmark(view, landmark),
        Need::AnotherMetatarsal => Some(TraceStep::Shaft(View::Ap, LongBone::M2)),
        Need::Film(_) | Need::Calibration(_) => None,
    }
}
