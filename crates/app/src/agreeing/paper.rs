//! The agreement of readers as a sheet to print.

use plumbray_report::{
    AgreementContent, AgreementPart, AgreementRow, LimitsPlot, Paper, agreement_sheet,
};

use super::{
    Agreement, MeasurementAgreement, PRESUMED, heading_of, lines_of, one_value_words, words::Line,
};
use crate::{window::CAUTION, words::counted, workbench::PROGRAM};

/// The sheet of how far readers agree.
///
/// # Errors
/// When the PDF cannot be made.
pub(crate) fn agreement_pdf(agreement: &Agreement, paper: Paper) -> anyhow::Result<Vec<u8>> {
    let gathered = &agreement.gathered;
    let studies = counted(gathered.studies.len(), "study", "studies");
    let mut notes = vec![
        format!(
            "Between readers counts {}; grades always by the first.",
            one_value_words(agreement.one_value)
        ),
        PRESUMED.to_owned(),
    ];
    let problems = gathered.problems.iter();
    notes.extend(problems.map(|problem| format!("Not read: {problem}")));
    let content = AgreementContent {
        paper,
        summary: format!(
            "{studies}, {} ({})",
            counted(gathered.readers.len(), "reader", "readers"),
            gathered.readers.join(", ")
        ),
        parts: agreement
            .measurements
            .iter()
            .map(|measured| part(measured, &gathered.readers))
            .collect(),
        notes,
        caution: CAUTION.to_owned(),
        program: PROGRAM.to_owned(),
        origin: format!("{PROGRAM} · {studies}"),
    };
    Ok(agreement_sheet(&content)?)
}

fn part(measured: &MeasurementAgreement, readers: &[String]) -> AgreementPart {
    let readings = &measured.readings;
    let mut remarks = vec![measured.counts_in_words()];
    let silent = measured.silent(readers);
    if !silent.is_empty() {
        remarks.push(format!("Without any reading: {silent}"));
    }
    let left_out = readings.left_out.iter();
    remarks.extend(left_out.map(|one| format!("Left out: {one}")));
    remarks.extend(readings.notes.iter().cloned());
    AgreementPart {
        heading: heading_of(measured),
        rows: lines_of(measured).into_iter().map(row).collect(),
        plots: measured
            .plots
            .iter()
            .map(|plot| named(measured, plot))
            .collect(),
        remarks,
    }
}

/// A plot under a heading that names its measurement: on paper it may stand on another page than the table.
fn named(measured: &MeasurementAgreement, plot: &LimitsPlot) -> LimitsPlot {
    LimitsPlot {
        heading: format!("{}, {}", measured.measurement.name(), plot.heading),
        ..plot.clone()
    }
}

fn row(line: Line) -> AgreementRow {
    match line {
        Line::Defined {
            label,
            value,
            interval,
            beside,
        } => AgreementRow {
            name: label.to_owned(),
            value: if interval.is_empty() {
                value
            } else {
                format!("{value} ({interval})")
            },
            beside,
        },
        Line::Undefined { who, labels, why } => AgreementRow {
            name: labels,
            value: "–".to_owned(),
            beside: format!("{who}: {why}"),
        },
    }
}
