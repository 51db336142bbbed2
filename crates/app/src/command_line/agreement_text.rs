//! The agreement of readers as a table to read.

use std::io::Write;

use crate::{
    agreeing::{Agreement, Line, MeasurementAgreement, heading_of, lines_of, one_value_words},
    words::counted,
};

/// How wide the names of statistics are.
const LABEL_WIDTH: usize = 44;

pub(super) fn write_text(
    agreement: &Agreement,
    closing: [&str; 2],
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let gathered = &agreement.gathered;
    writeln!(
        output,
        "Agreement of readers: {}, {} ({})",
        counted(gathered.studies.len(), "study", "studies"),
        counted(gathered.readers.len(), "reader", "readers"),
        gathered.readers.join(", ")
    )?;
    writeln!(
        output,
        "  Between readers counts {}; grades always by the first.",
        one_value_words(agreement.one_value)
    )?;
    for measured in &agreement.measurements {
        write_measurement(measured, &gathered.readers, output)?;
    }
    for line in closing {
        writeln!(output, "  {line}")?;
    }
    Ok(())
}

fn write_measurement(
    measured: &MeasurementAgreement,
    readers: &[String],
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let readings = &measured.readings;
    writeln!(output, "{}", heading_of(measured))?;
    writeln!(output, "  {}", measured.counts_in_words())?;
    for line in lines_of(measured) {
        write_line(&line, output)?;
    }
    let silent = measured.silent(readers);
    if !silent.is_empty() {
        writeln!(output, "  Without any reading: {silent}")?;
    }
    for left_out in &readings.left_out {
        writeln!(output, "  Left out: {left_out}")?;
    }
    for note in &readings.notes {
        writeln!(output, "  {note}")?;
    }
    Ok(())
}

fn write_line(line: &Line, output: &mut dyn Write) -> anyhow::Result<()> {
    match line {
        Line::Undefined { who, labels, why } => {
            writeln!(output, "  Not defined for {who} ({labels}): {why}")?;
        }
        Line::Defined {
            label,
            value,
            interval,
            beside,
        } => {
            let interval = if interval.is_empty() {
                String::new()
            } else {
                format!(" ({interval})")
            };
            writeln!(
                output,
                "  {label:<LABEL_WIDTH$} {value}{interval}; {beside}"
            )?;
        }
    }
    Ok(())
}
