//! A plan held against its result, in words.

use plumbray_compare::{Estimate, PlanResult, PlanRow};
use plumbray_measure::Unit;
use plumbray_report::number::{in_unit, plain, signed};

use super::words::{decimals, unit_words};

/// One number before, as intended and as achieved, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct PlanLine {
    /// What it is, with the calibration's name where it is in millimetres.
    pub name: String,
    /// "31.6 ± 1.7°"; "–" where it is not told.
    pub before: String,
    /// Likewise.
    pub intended: String,
    /// Likewise.
    pub achieved: String,
    /// "−9.8 ± 3.1°", or why they are not subtracted.
    pub difference: String,
    /// "beyond measurement error"; empty where they are not subtracted.
    pub verdict: &'static str,
}

/// The rows of a plan held against its result.
pub(crate) fn plan_lines(result: &PlanResult) -> Vec<PlanLine> {
    result.rows.iter().map(line).collect()
}

fn line(row: &PlanRow) -> PlanLine {
    let unit = row.what.unit();
    let spread = |told: &Result<Estimate, String>| estimate_words(unit, told.as_ref().ok());
    PlanLine {
        name: plan_row_name(row),
        before: spread(&row.before),
        intended: spread(&row.intended),
        achieved: spread(&row.achieved),
        difference: plan_difference_words(row),
        verdict: row.verdict().unwrap_or_default(),
    }
}

/// What a row tells, with the calibration's name where it is in millimetres.
pub(crate) fn plan_row_name(row: &PlanRow) -> String {
    let name = row.what.name();
    match &row.calibration {
        Some(calibration) => format!("{name} ({calibration})"),
        None => name.to_owned(),
    }
}

/// A number with half of its 95 % interval, which is left out where nothing spreads: "31.6 ± 1.7°".
pub(crate) fn estimate_words(unit: Unit, told: Option<&Estimate>) -> String {
    let Some(told) = told else {
        return "–".to_owned();
    };
    let decimals = decimals(unit);
    let half = told.half_interval();
    if half <= 0.0 {
        return in_unit(unit, told.value, decimals);
    }
    format!(
        "{} ± {}{}",
        plain(told.value, decimals),
        plain(half, decimals),
        unit_words(unit)
    )
}

/// Achieved less intended with the smallest difference that is beyond measurement error, or why they are not
/// subtracted.
pub(crate) fn plan_difference_words(row: &PlanRow) -> String {
    let unit = row.what.unit();
    let decimals = decimals(unit);
    match &row.difference {
        Ok(change) => {
            let smallest = change.smallest_detectable.unwrap_or_default();
            format!(
                "{} ± {}{}",
                signed(change.difference, decimals),
                plain(smallest, decimals),
                unit_words(unit)
            )
        }
        Err(why) => why.to_string(),
    }
}

/// How the rows are meant, what the plan takes for granted and what is not compared, a sentence each.
pub(crate) fn plan_notes(result: &PlanResult) -> Vec<String> {
    let mut notes = vec![HOW_READ.to_owned()];
    let assumed: Vec<&str> = result
        .assumptions
        .iter()
        .map(|assumption| assumption.text.as_str())
        .collect();
    notes.push(format!("{EXACTNESS} {}", assumed.join(" ")));
    notes.extend(result.not_compared.iter().cloned());
    notes
}

const HOW_READ: &str = "Before, intended and achieved by head centre – base centre; ± beside them is the spread of the film’s \
                        tracing (95 %). Beside the difference it is the measurement error of both films: beyond it is more than \
                        chance, in 95 %.";

const EXACTNESS: &str =
    "How exactly a plan foretells is in none of these intervals. It takes for granted:";
