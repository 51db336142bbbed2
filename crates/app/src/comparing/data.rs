//! A comparison as plain data, documented in `docs/command-line.md`.

use plumbray_compare::{
    ChangeRow, Comparison, Correction, CorrectionLost, Direction, Estimate, HeadMove, Recurrence,
    TYPICAL_DRIFT, TypicalDrift, VisitColumn,
};
use plumbray_measure::{Measurement, Unit};
use serde::Serialize;

use super::{
    HeldPlan,
    plan_table::{ComparedPlan, compared_plan},
};

use crate::window::CAUTION;

/// A foot at its visits.
#[derive(Debug, Serialize)]
pub(crate) struct ComparedFoot {
    /// By which axes everything is read.
    pub convention: &'static str,
    /// The visits in their order.
    pub visits: Vec<ComparedVisit>,
    /// The place of the earlier of the two visits that are subtracted, counted from 1.
    pub from: usize,
    /// The place of the later one.
    pub to: usize,
    /// Every measurement that some visit has a number of.
    pub measurements: Vec<ComparedNumber>,
    /// What the operation corrected.
    pub corrections: Vec<ComparedCorrection>,
    /// What was lost of it.
    pub lost: Vec<ComparedLoss>,
    /// How far the head was moved until the later visit: from before surgery, and since the earlier visit where
    /// that is after surgery too.
    pub head_moves: Vec<ComparedShift>,
    /// What was planned, held against the later visit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plan: Option<ComparedPlan>,
    /// Whether the deformity is back at the later visit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recurrence: Option<ComparedRecurrence>,
    /// How far numbers drift in feet that keep their correction, from a published series.
    pub typical_drift: Vec<ComparedDrift>,
    /// What should be known before any of it is believed.
    pub warnings: Vec<String>,
    /// What the numbers are not.
    pub caution: &'static str,
}

/// A visit.
#[derive(Debug, Serialize)]
pub(crate) struct ComparedVisit {
    pub name: String,
    pub date: Option<String>,
    pub occasion: &'static str,
    pub days_after_operation: Option<i32>,
    pub side: Option<&'static str>,
    pub films: Vec<ComparedFilm>,
}

/// A film of a visit.
#[derive(Debug, Serialize)]
pub(crate) struct ComparedFilm {
    pub view: &'static str,
    /// The name of its calibration; nothing where it has none.
    pub calibration: Option<String>,
    #[serde(skip)]
    pub words: String,
}

/// One measurement at every visit.
#[derive(Debug, Serialize)]
pub(crate) struct ComparedNumber {
    pub identifier: &'static str,
    pub name: &'static str,
    pub unit: &'static str,
    /// The number at each visit; nothing where it has none.
    pub values: Vec<Option<f64>>,
    /// Its standard deviation from the spread of the tracing.
    pub sds: Vec<Option<f64>>,
    pub change: Option<f64>,
    pub change_interval: Option<(f64, f64)>,
    pub smallest_detectable_change: Option<f64>,
    pub is_real: Option<bool>,
    /// `toward` the usual range or `away` from it, of a real change.
    pub direction: Option<&'static str>,
    /// Why the two are not subtracted.
    pub why_no_change: Option<String>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedEstimate {
    pub value: f64,
    pub interval: (f64, f64),
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedCorrection {
    pub identifier: &'static str,
    pub degrees: ComparedEstimate,
    pub is_real: bool,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedLoss {
    pub identifier: &'static str,
    pub degrees: ComparedEstimate,
    /// Of the correction; nothing where that is within the error of measuring.
    pub per_cent: Option<ComparedEstimate>,
    pub is_real: bool,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedShift {
    pub from: usize,
    pub to: usize,
    pub per_cent_of_width: Option<ComparedEstimate>,
    pub millimetres: Option<ComparedEstimate>,
    pub calibration: Option<String>,
    pub turn_degrees: Option<ComparedEstimate>,
    pub lengthening_per_cent_of_second: Option<ComparedEstimate>,
    pub lengthening_millimetres: Option<ComparedEstimate>,
    pub why_not: Option<String>,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedRecurrence {
    pub limit: &'static str,
    pub name: &'static str,
    pub source: &'static str,
    /// `within`, `too_close_to_say` or `beyond`.
    pub standing: &'static str,
}

#[derive(Debug, Serialize)]
pub(crate) struct ComparedDrift {
    pub identifier: &'static str,
    pub from: f64,
    pub to: f64,
    pub months: f64,
    pub source: &'static str,
}

/// A comparison as plain data with a plan held against its result, if there is one; `limit` is by which the
/// deformity counts as being back.
#[must_use]
pub(crate) fn compared_foot(
    comparison: &Comparison,
    limit: Recurrence,
    plan: Option<&HeldPlan>,
) -> ComparedFoot {
    ComparedFoot {
        convention: comparison.convention.identifier(),
        visits: comparison.visits.iter().map(visit).collect(),
        from: comparison.pair.earlier + 1,
        to: comparison.pair.later + 1,
        measurements: comparison
            .rows
            .iter()
            .map(|row| number(row, comparison))
            .collect(),
        corrections: comparison.corrections.iter().map(correction).collect(),
        lost: comparison.lost.iter().map(loss).collect(),
        head_moves: comparison.head_moves.iter().map(shift).collect(),
        plan: plan.map(compared_plan),
        recurrence: recurrence(comparison, limit),
        typical_drift: TYPICAL_DRIFT.iter().map(drift).collect(),
        warnings: comparison.warnings.clone(),
        caution: CAUTION,
    }
}

fn visit(column: &VisitColumn) -> ComparedVisit {
    ComparedVisit {
        name: column.name.long.clone(),
        date: column.date.map(|date| date.to_string()),
        occasion: column.occasion.name(),
        days_after_operation: column.days_after_operation,
        side: column.side.map(plumbray_anatomy::Side::identifier),
        films: column
            .films
            .iter()
            .map(|film| ComparedFilm {
                view: film.view.identifier(),
                calibration: film.calibration.clone(),
                words: film.words(),
            })
            .collect(),
    }
}

fn number(row: &ChangeRow, comparison: &Comparison) -> ComparedNumber {
    let readings = || row.outcomes.iter().map(plumbray_measure::Outcome::reading);
    let change = row.change.as_ref();
    // A position or a grade is a class: only the share behind it has a spread.
    let is_class = matches!(row.measurement.unit(), Unit::Position | Unit::Grade);
    ComparedNumber {
        identifier: row.measurement.identifier(),
        name: row.measurement.name(),
        unit: row.measurement.unit().identifier(),
        values: readings()
            // Zero has no sign in a table.
            .map(|reading| reading.map(|reading| reading.value + 0.0))
            .collect(),
        sds: readings()
            .map(|reading| reading.filter(|_| !is_class).map(|reading| reading.sd))
            .collect(),
        change: change.ok().map(|change| change.difference),
        change_interval: change.ok().and_then(plumbray_compare::Change::interval),
        smallest_detectable_change: change.ok().and_then(|change| change.smallest_detectable),
        is_real: change.ok().map(|change| change.is_real),
        direction: row.direction(comparison.pair).map(direction),
        why_no_change: change.err().map(ToString::to_string),
    }
}

const fn direction(direction: Direction) -> &'static str {
    match direction {
        Direction::Toward => "toward",
        Direction::Away => "away",
    }
}

fn estimate(estimate: &Estimate) -> ComparedEstimate {
    ComparedEstimate {
        value: estimate.value,
        interval: estimate.interval(),
    }
}

fn correction(correction: &Correction) -> ComparedCorrection {
    ComparedCorrection {
        identifier: correction.measurement.identifier(),
        degrees: estimate(&correction.corrected),
        is_real: correction.is_real,
    }
}

fn loss(lost: &CorrectionLost) -> ComparedLoss {
    ComparedLoss {
        identifier: lost.measurement.identifier(),
        degrees: estimate(&lost.degrees),
        per_cent: lost.share.map(|share| estimate(&share.times(100.0))),
        is_real: lost.is_real,
    }
}

fn shift(moved: &HeadMove) -> ComparedShift {
    let told = moved.shift.as_ref().ok();
    let in_mm = |value: Option<&(Estimate, String)>| value.map(|(value, _)| estimate(value));
    ComparedShift {
        from: moved.between.earlier + 1,
        to: moved.between.later + 1,
        per_cent_of_width: told.map(|told| estimate(&told.share_of_width.times(100.0))),
        millimetres: in_mm(told.and_then(|told| told.millimetres.as_ref())),
        calibration: told.and_then(|told| Some(told.millimetres.as_ref()?.1.clone())),
        turn_degrees: told.and_then(|told| Some(estimate(told.turn_degrees.as_ref()?))),
        lengthening_per_cent_of_second: told
            .and_then(|told| Some(estimate(&told.lengthening_share.as_ref()?.times(100.0)))),
        lengthening_millimetres: in_mm(told.and_then(|told| told.lengthening_millimetres.as_ref())),
        why_not: moved.shift.as_ref().err().map(ToString::to_string),
    }
}

fn recurrence(comparison: &Comparison, limit: Recurrence) -> Option<ComparedRecurrence> {
    let standing = comparison.standing(limit)?;
    Some(ComparedRecurrence {
        limit: limit.identifier(),
        name: limit.name(),
        source: limit.source(),
        standing: standing.identifier(),
    })
}

fn drift(drift: &TypicalDrift) -> ComparedDrift {
    let measurement: Measurement = drift.measurement;
    ComparedDrift {
        identifier: measurement.identifier(),
        from: drift.from_to.0,
        to: drift.from_to.1,
        months: TypicalDrift::MONTHS,
        source: TypicalDrift::SOURCE,
    }
}
