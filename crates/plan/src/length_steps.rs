//! The lengths in which screws are at hand.

use serde::{Deserialize, Serialize};

use crate::{
    error::PlanError,
    limits::{NumberLimits, within},
};

/// The lengths in which screws are at hand, in millimetres. Every surgeon states their own.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LengthSteps {
    /// The shortest.
    pub shortest_mm: f64,
    /// From one to the next.
    pub step_mm: f64,
    /// The longest.
    pub longest_mm: f64,
}

impl LengthSteps {
    /// The shortest length at hand that is not below `length_mm`; nothing where it exceeds the longest.
    #[must_use]
    pub fn at_least(&self, length_mm: f64) -> Option<f64> {
        let steps = ((length_mm - self.shortest_mm) / self.step_mm)
            .ceil()
            .max(0.0);
        let found = self.shortest_mm + steps * self.step_mm;
        (found <= self.longest_mm + 1e-9).then_some(found)
    }

    /// The longest length at hand that is not above `length_mm`; nothing where it is below the shortest.
    #[must_use]
    pub fn at_most(&self, length_mm: f64) -> Option<f64> {
        if length_mm < self.shortest_mm {
            return None;
        }
        let most = length_mm.min(self.longest_mm);
        let steps = ((most - self.shortest_mm) / self.step_mm + 1e-9).floor();
        Some(self.shortest_mm + steps * self.step_mm)
    }

    pub(crate) fn validate(&self) -> Result<(), PlanError> {
        let [least, most] = NumberLimits::SCREW_LENGTH.range;
        within("The shortest screw in mm", self.shortest_mm, [least, most])?;
        NumberLimits::LENGTH_STEP.check(self.step_mm)?;
        within(
            "The longest screw in mm",
            self.longest_mm,
            [self.shortest_mm, most],
        )
    }
}

impl Default for LengthSteps {
    /// Every two millimetres from 20 to 60; ours, to be changed by whoever has others.
    fn default() -> Self {
        Self {
            shortest_mm: 20.0,
            step_mm: 2.0,
            longest_mm: 60.0,
        }
    }
}
