//! A foot before its operation and at two visits after it.

use super::{Callus, Operation, Screws};
use crate::{
    bones::first_ray::FirstRay,
    parameters::{FootParameters, ParameterError, check},
};

/// The same foot at three visits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FollowUp {
    /// Before the operation.
    pub before: FootParameters,
    /// Some days after it: no callus is seen yet.
    pub early: FootParameters,
    /// Months later, with callus, and with some of the correction lost.
    pub late: FootParameters,
}

impl FollowUp {
    /// A foot that is operated on and then loses a share, from 0 to 1, of its correction until the
    /// last visit some weeks later. Up to about three tenths has been reported while the bone heals
    /// (common practice, no source). The screws stay where they were driven into the shaft, and the
    /// fragment drifts along them.
    ///
    /// # Errors
    /// [`ParameterError`] when a parameter, the share or the weeks are out of range.
    pub fn new(
        foot: FootParameters,
        operation: Operation,
        share_lost: f64,
        weeks: f64,
    ) -> Result<Self, ParameterError> {
        check("share_lost", share_lost, &(0.0..=1.0))?;
        let before = FootParameters {
            operation: None,
            ..foot
        };
        let mut driven = Operation {
            callus: None,
            ..operation
        };
        let early = FootParameters {
            operation: Some(driven),
            ..foot
        };
        early.validate()?;
        if let &[first, second] = FirstRay::new(&early).screws.as_slice() {
            driven.screws = Screws::Placed([first, second]);
        }
        let late = FootParameters {
            operation: Some(Operation {
                callus: Some(Callus { weeks }),
                ..driven.with_correction_lost(share_lost)
            }),
            ..foot
        };
        late.validate()?;
        Ok(Self {
            before,
            early,
            late,
        })
    }
}

impl Operation {
    /// The same operation after the fragment and the toe have drifted back by a share of their
    /// correction.
    #[must_use]
    pub fn with_correction_lost(self, share: f64) -> Self {
        let kept = 1.0 - share;
        Self {
            shift_mm: kept * self.shift_mm,
            plantar_shift_mm: kept * self.plantar_shift_mm,
            medial_turn_degrees: kept * self.medial_turn_degrees,
            supination_degrees: kept * self.supination_degrees,
            toe_turn_degrees: kept * self.toe_turn_degrees,
            ..self
        }
    }
}
