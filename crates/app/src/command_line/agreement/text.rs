//! The table to read.

use std::io::Write;

use plumbray_agreement::OneValue;
use plumbray_measure::Unit;

use super::{Agreement, MeasurementAgreement, statistic::Statistic};

/// How wide the names of statistics are.
const LABEL_WIDTH: usize = 44;

pub(super) fn write_text(
    agreement: &Agreement<'_>,
    closing: [&str; 2],
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let gathered = agreement.gathered;
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
        match agreement.one_value {
            OneValue::First => "each reader’s first reading of a film",
            OneValue::Mean => "the mean of each reader’s readings of a film",
        }
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
    let by: Vec<&str> = readings
        .conventions
        .iter()
        .copied()
        .chain(readings.calibrations.iter().map(String::as_str))
        .collect();
    let by = if by.is_empty() {
        String::new()
    } else {
        format!(" ({})", by.join(", "))
    };
    let unit = measured.measurement.unit().identifier();
    writeln!(output, "{}, {unit}{by}", measured.measurement.name())?;
    writeln!(
        output,
        "  {} of {}, {}; up to {} of one film by one reader",
        counted(readings.readers().len(), "reader", "readers"),
        counted(readings.film_count(), "film", "films"),
        counted(readings.readings.len(), "reading", "readings"),
        readings.most_repeats()
    )?;
    let mut rest = &measured.statistics[..];
    while let Some(first) = rest.first() {
        // What is not defined for one reason is told once.
        let alike = rest.iter().take_while(|next| is_alike(first, next)).count();
        let (now, later) = rest.split_at(alike.max(1));
        write_statistics(now, measured.measurement.unit(), output)?;
        rest = later;
    }
    let silent: Vec<&str> = (0..readers.len())
        .filter(|place| !readings.readers().contains(place))
        .map(|place| readers[place].as_str())
        .collect();
    if !silent.is_empty() {
        writeln!(output, "  Without any reading: {}", silent.join(", "))?;
    }
    for left_out in &readings.left_out {
        writeln!(output, "  Left out: {left_out}")?;
    }
    for note in &readings.notes {
        writeln!(output, "  {note}")?;
    }
    Ok(())
}

/// Whether both are not defined for one reason.
fn is_alike(first: &Statistic, next: &Statistic) -> bool {
    first.value.is_none() && next.value.is_none() && first.remark == next.remark
}

/// Each once, in their order.
fn once<T: PartialEq>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut kept = Vec::new();
    for one in all {
        if !kept.contains(&one) {
            kept.push(one);
        }
    }
    kept
}

fn joined(readers: &[String]) -> String {
    match readers {
        [] => "nobody".to_owned(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn write_statistics(
    statistics: &[Statistic],
    unit: Unit,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let Some(first) = statistics.first() else {
        return Ok(());
    };
    let Some(value) = first.value else {
        let labels = once(statistics.iter().map(|one| one.label));
        let who = once(statistics.iter().map(|one| joined(&one.readers)));
        writeln!(
            output,
            "  Not defined for {} ({}): {}",
            who.join("; "),
            labels.join("; "),
            first.remark
        )?;
        return Ok(());
    };
    let decimals = decimals(first.statistic, unit);
    let interval = match (first.low, first.high) {
        (Some(low), Some(high)) => format!(" (95 % {low:.decimals$} to {high:.decimals$})"),
        _ => String::new(),
    };
    let remark = if first.remark.is_empty() {
        String::new()
    } else {
        format!("; {}", first.remark)
    };
    writeln!(
        output,
        "  {:<LABEL_WIDTH$} {value:.decimals$}{interval}; {}, {}{remark}",
        first.label,
        counted(first.count, "film", "films"),
        joined(&first.readers)
    )?;
    Ok(())
}

/// Coefficients and ratios need more digits than angles.
fn decimals(statistic: &str, unit: Unit) -> usize {
    let is_coefficient = statistic.starts_with("icc") || statistic.contains("kappa");
    if is_coefficient || unit == Unit::Ratio {
        3
    } else if statistic.ends_with("per_cent") {
        0
    } else {
        2
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
