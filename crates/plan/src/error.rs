//! Why a plan cannot be carried out on a tracing.

use plumbray_anatomy::LongBone;
use plumbray_measure::Outcome;

/// Why a plan cannot be carried out on a tracing.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// The tracing lacks something, or holds something that has no answer.
    #[error("the plan {reason}; trace it in Measure")]
    Tracing {
        /// What is missing or wrong: "needs the head of M1".
        reason: String,
    },
    /// The foot was operated on before.
    #[error(
        "these films show a foot after an operation; plan on the films before it, where the shaft and the \
         head are one bone"
    )]
    Operated,
    /// A length is in millimetres and the film has none.
    #[error(
        "{what} is in millimetres, and the AP film is not calibrated; calibrate it, or say it in per cent"
    )]
    NeedsCalibration {
        /// The field, as a sentence begins: "The level of the cut".
        what: &'static str,
    },
    /// A number lies where no operation can.
    #[error("{what} is {value}; it can be from {lowest} to {highest}")]
    OutOfRange {
        /// The field, as a sentence begins.
        what: &'static str,
        /// What it is, in the unit of the limits.
        value: f64,
        /// The least that it can be.
        lowest: f64,
        /// The most that it can be.
        highest: f64,
    },
    /// A cut is aimed at a bone that it cannot be aimed at.
    #[error("a cut can be aimed at m2, m3 or m4, and this one is aimed at {}", bone.identifier())]
    NoAim {
        /// The bone.
        bone: LongBone,
    },
    /// The cut does not pass both cortices as they were traced.
    #[error(
        "the cut does not meet both traced cortices of the first metatarsal; move it, or sweep the shaft \
         again as far as the head"
    )]
    CutOffBone,
    /// A plan has more screws and wires than a bone can hold.
    #[error("there are {count} screws and wires; a plan holds at most {most}")]
    TooManyScrews {
        /// How many there are.
        count: usize,
        /// How many there can be.
        most: usize,
    },
}

impl PlanError {
    /// The error of an engine that has no number; nothing where it has one.
    pub(crate) fn of_outcome(outcome: &Outcome) -> Self {
        let reason = outcome
            .why_not()
            .unwrap_or_else(|| "needs more of the tracing".to_owned());
        let reason = if reason.starts_with("needs") {
            reason
        } else {
            format!("stops at the tracing: {reason}")
        };
        Self::Tracing { reason }
    }

    /// The error where a landmark is missing.
    pub(crate) fn needs(what: &str) -> Self {
        Self::Tracing {
            reason: format!("needs {what}"),
        }
    }
}
