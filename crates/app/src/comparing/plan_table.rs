//! A plan held against its result as data and as a table, documented in `docs/command-line.md`.

use plumbray_compare::{Change, Estimate, PlanResult, PlanRow};
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

/// A line for each number of a plan held against its result; UTF-8.
///
/// # Errors
/// When the plan is not held against the result.
pub(crate) fn plan_result_table(held: &HeldPlan) -> anyhow::Result<Vec<u8>> {
    if let Err(why) = &held.result {
        return Err(why.clone().into());
    }
    let data = compared_plan(held);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEADS)?;
    for row in &data.rows {
        let mut record = vec![
            data.name.clone(),
            data.from.to_string(),
            data.to.to_string(),
            row.identifier.to_owned(),
            row.unit.to_owned(),
            row.calibration.clone().unwrap_or_default(),
        ];
        for told in [&row.before, &row.intended, &row.achieved] {
            let (low, high) = told.interval.unzip();
            record.extend([told.value, low, high].map(cell));
        }
        let (low, high) = row.difference_interval.unzip();
        let smallest = row.smallest_detectable_difference;
        record.extend([row.difference, low, high, smallest].map(cell));
        record.extend([
            row.is_beyond_error
                .map(|is_beyond| is_beyond.to_string())
                .unwrap_or_default(),
            row.why_no_difference.clone().unwrap_or_default(),
        ]);
        table.write_record(&record)?;
    }
    Ok(table.into_inner()?)
}

fn cell(number: Option<f64>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}

const HEADS: [&str; 21] = [
    "plan",
    "from",
    "to",
    "identifier",
    "unit",
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
