//! All measurements before and after a plan, by the same engine.

use plumbray_measure::{Foot, Measurement, Outcome, Unit, worksheet};

use crate::{
    plan::{Plan, ToeRule},
    undertaking::choices,
};

/// A measurement before and as planned, both by head centre – base centre.
#[derive(Clone, Debug, PartialEq)]
pub struct PredictedRow {
    /// What is measured.
    pub measurement: Measurement,
    /// What it is.
    pub before: Outcome,
    /// What it would be.
    pub planned: PlannedOutcome,
    /// What it would be once the plan's share of the correction is lost, in the measurement's unit:
    ///
    /// ```text
    /// planned + share · (before − planned)
    /// ```
    ///
    /// For angles and for the tibial sesamoid's share; nothing for any other.
    pub with_loss: Option<f64>,
}

/// What a measurement would be.
#[derive(Clone, Debug, PartialEq)]
pub enum PlannedOutcome {
    /// As the engine measures it on the moved landmarks.
    Measured(Outcome),
    /// As the plan chooses it, measured in the same way: no prediction.
    Chosen(Outcome),
    /// Nobody can tell from these films, for this reason.
    NotPredicted(&'static str),
}

impl PlannedOutcome {
    /// The number, where there is one.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        match self {
            Self::Measured(outcome) | Self::Chosen(outcome) => {
                outcome.reading().map(|reading| reading.value)
            }
            Self::NotPredicted(_) => None,
        }
    }
}

const BY_SUPINATION: &str =
    "not predicted: no flat film shows what supination does to the joint surface";
const BY_STEP: &str = "not predicted: the step and what is trimmed of it make a new medial edge";

/// Why a measurement cannot be predicted, where it cannot.
fn unpredictable(measurement: Measurement, plan: &Plan) -> Option<&'static str> {
    let turned = plan.head.supination_degrees.abs() > 0.0;
    match measurement {
        Measurement::DistalMetatarsalArticularAngle
        | Measurement::FirstMetatarsophalangealAngle
        | Measurement::CongruencyIndex
            if turned =>
        {
            Some(BY_SUPINATION)
        }
        Measurement::MedialEminence => Some(BY_STEP),
        _ => None,
    }
}

/// Whether a plan states a measurement: a toe that is realigned has the hallux valgus angle that was chosen, with its
/// wedge closed.
fn is_chosen(measurement: Measurement, plan: &Plan) -> bool {
    measurement == Measurement::HalluxValgusAngle
        && matches!(plan.toe.rule, ToeRule::Realigned { .. })
}

pub(crate) fn predicted(foot: &Foot<'_>, planned: &Foot<'_>, plan: &Plan) -> Vec<PredictedRow> {
    let (now, then) = (worksheet(foot, &choices()), worksheet(planned, &choices()));
    now.rows
        .into_iter()
        .zip(then.rows)
        .map(|(now, then)| {
            let measurement = now.measurement;
            let planned = match unpredictable(measurement, plan) {
                Some(why) => PlannedOutcome::NotPredicted(why),
                None if is_chosen(measurement, plan) => PlannedOutcome::Chosen(then.outcome),
                None => PlannedOutcome::Measured(then.outcome),
            };
            let with_loss = now
                .outcome
                .reading()
                .map(|reading| reading.value)
                .zip(planned.value())
                .filter(|(_, planned)| can_be_lost(measurement, *planned))
                .map(|(before, planned)| planned + plan.lost_share * (before - planned));
            PredictedRow {
                measurement,
                before: now.outcome,
                planned,
                with_loss,
            }
        })
        .collect()
}

/// Whether losing a part of the correction has a meaning for it. Not for a share that its limits cut: how far beyond the
/// axis a sesamoid would lie is not in it.
fn can_be_lost(measurement: Measurement, planned: f64) -> bool {
    let is_cut = !(f64::MIN_POSITIVE..100.0).contains(&planned);
    match measurement.unit() {
        Unit::Degrees => true,
        _ => measurement == Measurement::TibialSesamoidShare && !is_cut,
    }
}
