//! What was planned for a foot held against what was achieved.

mod dorsal;
mod number;
mod rows;

use plumbray_plan::{Assumption, Plan, PlanError, Undertaking, assumptions, carry_out};

use crate::{
    change::{Change, NoChange, WITHIN_ERROR},
    engine_input::foot_of,
    estimate::Estimate,
    registration::{NotLaidOver, Registration},
    visit::{Occasion, Visit},
};

pub use number::PlannedNumber;
pub use rows::PLAN_CONVENTION;

/// A plan, what it intended, and what was achieved.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanResult {
    /// The plan carried out on the films before.
    pub undertaking: Undertaking,
    /// What is held against each other, in a fixed order.
    pub rows: Vec<PlanRow>,
    /// What the plan's model takes for granted. How exactly it foretells has no known spread and is in no
    /// interval of the rows.
    pub assumptions: Vec<Assumption>,
    /// What is not compared, a sentence each.
    pub not_compared: Vec<String>,
}

/// One number before, as intended and as achieved, in the unit of [`PlannedNumber::unit`].
///
/// A number's spread is that of the tracing of its film.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanRow {
    /// What it is.
    pub what: PlannedNumber,
    /// On the film before, or why it is not told.
    pub before: Result<Estimate, String>,
    /// By the plan carried out on the film before, or why it is not told.
    pub intended: Result<Estimate, String>,
    /// On the film after, or why it is not told.
    pub achieved: Result<Estimate, String>,
    /// Achieved less intended, and whether by more than measuring errs, by the rule for a change between two
    /// visits ([`crate::change()`]); or why they are not subtracted.
    pub difference: Result<Change, NoChange>,
    /// Whose millimetres they are, both where those of the later film are others; nothing where they are none.
    pub calibration: Option<String>,
}

/// Why a plan is not held against a visit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoPlanResult {
    /// The plan cannot be carried out on the film on which it was made.
    #[error("the plan is not held against the result: {0}")]
    Plan(#[from] PlanError),
    /// The later visit lies before the operation as well.
    #[error("the plan is held against no result: the later visit is one before surgery")]
    NotOperated,
    /// They are not the same foot.
    #[error(
        "the plan is not held against the result: one visit is of a left foot and the other of a right one"
    )]
    OtherFoot,
}

/// The later films laid over those before, or why they are not.
#[derive(Clone, Debug)]
pub struct FilmsLaidOver<'a> {
    /// The AP film.
    pub ap: Result<&'a Registration, NotLaidOver>,
    /// The lateral film.
    pub lateral: Result<&'a Registration, NotLaidOver>,
}

/// Said of what is more than the error of measuring.
const BEYOND_ERROR: &str = "beyond measurement error";

impl PlanRow {
    /// Whether the difference is beyond measurement error, in a few words; nothing where there is none.
    #[must_use]
    pub fn verdict(&self) -> Option<&'static str> {
        let change = self.difference.as_ref().ok()?;
        Some(if change.is_real {
            BEYOND_ERROR
        } else {
            WITHIN_ERROR
        })
    }
}

impl PlanResult {
    /// The row of a number; nothing where it is not held against each other.
    #[must_use]
    pub fn row(&self, what: PlannedNumber) -> Option<&PlanRow> {
        self.rows.iter().find(|row| row.what == what)
    }
}

/// What a plan intended on the film before, held against what a later film shows.
///
/// Both are read by head centre – base centre, the intended numbers from the moved tracing of the film before, so
/// that all come from one engine. `laid_over` is the later AP film laid over the film before, of which the scale is
/// taken for the shift of the head. Where the foot bore weight on one film and not on the other, numbers stand beside
/// each other and nothing is subtracted.
///
/// # Errors
/// [`NoPlanResult`].
pub fn against_plan(
    before: &Visit<'_>,
    plan: &Plan,
    after: &Visit<'_>,
    laid_over: FilmsLaidOver<'_>,
) -> Result<PlanResult, NoPlanResult> {
    if after.occasion == Occasion::Before {
        return Err(NoPlanResult::NotOperated);
    }
    if let (Some(one), Some(other)) = (before.study.foot(), after.study.foot())
        && one != other
    {
        return Err(NoPlanResult::OtherFoot);
    }
    let undertaking = carry_out(&foot_of(before.study), plan)?;
    let rows = rows::rows(before, plan, &undertaking, after, laid_over);
    Ok(PlanResult {
        undertaking,
        rows,
        assumptions: assumptions(plan),
        not_compared: not_compared(plan),
    })
}

fn not_compared(plan: &Plan) -> Vec<String> {
    let degrees = plan.head.supination_degrees;
    let supinated = (degrees.abs() > 0.0).then(|| {
        format!(
            "Supination by {degrees:.0}° was intended and is not compared: no flat film shows how far the head \
             was turned about the shaft."
        )
    });
    supinated.into_iter().collect()
}
