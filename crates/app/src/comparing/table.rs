//! A comparison as a table of comma-separated values, documented in `docs/command-line.md`.

use plumbray_compare::{Comparison, Recurrence};

use super::{
    HeldPlan,
    data::{ComparedFoot, ComparedNumber, compared_foot},
    plan_table::{ComparedPlan, ComparedPlanRow, PLAN_HEADS, cell, plan_cells, refused_cells},
};

/// What the first column says of a line that tells a measurement at every visit.
const CHANGE: &str = "change";
/// What it says of a line that holds a number of a plan against the result.
const PLAN: &str = "plan";

/// Heads of the columns that both kinds of lines fill, before those of the visits.
const SHARED: [&str; 6] = ["table", "identifier", "unit", "convention", "from", "to"];

/// Heads of the columns behind those of the visits.
const CHANGED: [&str; 4] = [
    "change",
    "smallest_detectable_change",
    "is_real",
    "why_no_change",
];

/// A line for each measurement with its number at every visit and the change, and below a line for each number of
/// a plan that is held against the result; one rectangular table, whose first column says which of both a line is.
/// UTF-8.
///
/// # Errors
/// When the table cannot be written, which memory does not refuse.
pub(crate) fn comparison_table(
    comparison: &Comparison,
    plan: Option<&HeldPlan>,
) -> anyhow::Result<Vec<u8>> {
    let data = compared_foot(comparison, Recurrence::default(), plan);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(heads(&data))?;
    for row in &data.measurements {
        table.write_record(change_line(&data, row))?;
    }
    if let Some(plan) = &data.plan {
        for row in &plan.rows {
            table.write_record(plan_line(&data, plan, row))?;
        }
        if let Some(why) = &plan.why_not {
            let own = refused_cells(plan, why);
            table.write_record(below(&data, plan, ["", "", ""], own))?;
        }
    }
    Ok(table.into_inner()?)
}

fn change_line(data: &ComparedFoot, row: &ComparedNumber) -> Vec<String> {
    let mut line = [CHANGE, row.identifier, row.unit, data.convention]
        .map(str::to_owned)
        .to_vec();
    line.extend([data.from, data.to].map(|place| place.to_string()));
    for (value, sd) in row.values.iter().zip(&row.sds) {
        line.extend([*value, *sd].map(cell));
    }
    line.extend([row.change, row.smallest_detectable_change].map(cell));
    line.extend([
        row.is_real
            .map(|is_real| is_real.to_string())
            .unwrap_or_default(),
        row.why_no_change.clone().unwrap_or_default(),
    ]);
    line.extend(PLAN_HEADS.map(|_| String::new()));
    line
}

fn plan_line(data: &ComparedFoot, plan: &ComparedPlan, row: &ComparedPlanRow) -> Vec<String> {
    let what = [row.identifier, row.unit, plan.convention];
    below(data, plan, what, plan_cells(plan, row))
}

/// A line of the plan: what it is, nothing in the columns of the visits and their change, and its own cells.
fn below(
    data: &ComparedFoot,
    plan: &ComparedPlan,
    what: [&str; 3],
    own: Vec<String>,
) -> Vec<String> {
    let mut line = vec![PLAN.to_owned()];
    line.extend(what.map(str::to_owned));
    line.extend([plan.from, plan.to].map(|place| place.to_string()));
    let empty = 2 * data.visits.len() + CHANGED.len();
    line.extend(std::iter::repeat_n(String::new(), empty));
    line.extend(own);
    line
}

/// The heads of the columns. Each visit's names its films' calibrations, since millimetres mean nothing without.
fn heads(data: &ComparedFoot) -> Vec<String> {
    let mut heads = SHARED.map(str::to_owned).to_vec();
    for (place, visit) in data.visits.iter().enumerate() {
        let films: Vec<&str> = visit.films.iter().map(|film| film.words.as_str()).collect();
        heads.push(format!(
            "{} {} ({})",
            place + 1,
            visit.name,
            films.join("; ")
        ));
        heads.push(format!("{} sd", place + 1));
    }
    heads.extend(CHANGED.map(str::to_owned));
    heads.extend(PLAN_HEADS.map(str::to_owned));
    heads
}
