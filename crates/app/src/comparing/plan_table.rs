//! A plan held against its result as data and as lines of a table, documented in `docs/command-line.md`.

use plumbray_compare::{Change, Estimate, PLAN_CONVENTION, PlanResult, PlanRow};
use serde::Serialize;

use super::HeldPlan;

/// A plan held against its result.
#[derive(Debug, Serialize)]
pub(crate) struct ComparedPlan {
    pub name: String,
    /// The place of the visit whose plan it is, counted from 1.
    pub from: usize,
    /// The place of the visit that it is held against.
    pub to: usize,
    /// By which axes the plan and its result are read.
    pub convention: &'static str,
    pub rows: Vec<ComparedPlanRow>,
    /// What the plan's model takes for granted.
    pub assumptions: Vec<String>,
    pub not_compared: Vec<String>,
    /// Why it is not held against the result.
    pub why_not: Option<String>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedPlanRow {
    pub identifier: &'static str,
    pub name: &'static str,
    pub unit: &'static str,
    pub before: PlanNumber,
    pub intended: PlanNumber,
    pub achieved: PlanNumber,
    /// Achieved less intended.
    pub difference: Option<f64>,
    pub difference_interval: Option<(f64, f64)>,
    pub smallest_detectable_difference: Option<f64>,
    pub is_beyond_error: Option<bool>,
    pub calibration: Option<String>,
    /// Why the two are not subtracted.
    pub why_no_difference: Option<String>,
}

/// A number with its interval from the spread of its film's tracing, or why there is none.
#[derive(Debug, Serialize)]
pub(crate) struct PlanNumber {
    pub value: Option<f64>,
    pub interval: Option<(f64, f64)>,
    pub why_not: Option<String>,
}

/// A plan held against its result as plain data.
pub(crate) fn compared_plan(held: &HeldPlan) -> ComparedPlan {
    let told = held.result.as_ref();
    let result = told.ok();
    ComparedPlan {
        name: held.name.clone(),
        from: held.visit + 1,
        to: held.against + 1,
        convention: PLAN_CONVENTION.identifier(),
        rows: result.map_or_else(Vec::new, rows),
        assumptions: result.map_or_else(Vec::new, |result| {
            let assumptions = result.assumptions.iter();
            assumptions.map(|one| one.text.clone()).collect()
        }),
        not_compared: result.map_or_else(Vec::new, |result| result.not_compared.clone()),
        why_not: told.err().map(ToString::to_string),
    }
}

fn rows(result: &PlanResult) -> Vec<ComparedPlanRow> {
    result.rows.iter().map(row).collect()
}

fn row(row: &PlanRow) -> ComparedPlanRow {
    let change = row.difference.as_ref();
    ComparedPlanRow {
        identifier: row.what.identifier(),
        name: row.what.name(),
        unit: row.what.unit().identifier(),
        before: number(&row.before),
        intended: number(&row.intended),
        achieved: number(&row.achieved),
        difference: change.ok().map(|change| change.difference),
        difference_interval: change.ok().and_then(Change::interval),
        smallest_detectable_difference: change.ok().and_then(|change| change.smallest_detectable),
        is_beyond_error: change.ok().map(|change| change.is_real),
        calibration: row.calibration.clone(),
        why_no_difference: change.err().map(ToString::to_string),
    }
}

fn number(told: &Result<Estimate, String>) -> PlanNumber {
    let estimate = told.as_ref().ok();
    PlanNumber {
        // Zero has no sign in a table.
        value: estimate.map(|estimate| estimate.value + 0.0),
        interval: estimate.map(Estimate::interval),
        why_not: told.as_ref().err().cloned(),
    }
}

/// A plan's own columns of the table of a comparison, in the order of [`PLAN_HEADS`].
pub(super) fn plan_cells(plan: &ComparedPlan, row: &ComparedPlanRow) -> Vec<String> {
    let mut cells = vec![
        plan.name.clone(),
        row.calibration.clone().unwrap_or_default(),
    ];
    for told in [&row.before, &row.intended, &row.achieved] {
        let (low, high) = told.interval.unzip();
        cells.extend([told.value, low, high].map(cell));
    }
    let (low, high) = row.difference_interval.unzip();
    let smallest = row.smallest_detectable_difference;
    cells.extend([row.difference, low, high, smallest].map(cell));
    cells.extend([
        row.is_beyond_error
            .map(|is_beyond| is_beyond.to_string())
            .unwrap_or_default(),
        row.why_no_difference.clone().unwrap_or_default(),
    ]);
    cells
}

/// A plan's own columns where it is not held against the result: its name, and why.
pub(super) fn refused_cells(plan: &ComparedPlan, why: &str) -> Vec<String> {
    let mut cells = vec![String::new(); PLAN_HEADS.len()];
    if let [name, .., reason] = cells.as_mut_slice() {
        name.clone_from(&plan.name);
        why.clone_into(reason);
    }
    cells
}

/// A number as it stands in a table; empty where there is none.
pub(super) fn cell(number: Option<f64>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}

/// The heads of a plan's own columns.
pub(super) const PLAN_HEADS: [&str; 17] = [
    "plan",
    "calibration",
    "before",
    "before_low",
    "before_high",
    "intended",
    "intended_low",
    "intended_high",
    "achieved",
    "achieved_low",
    "achieved_high",
    "difference",
    "difference_low",
    "difference_high",
    "smallest_detectable_difference",
    "is_beyond_error",
    "why_no_difference",
];
