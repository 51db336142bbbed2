//! The same as a CSV table and as JSON.

use plumbray_agreement::OneValue;
use serde::Serialize;

use super::{Agreement, MeasurementAgreement, PRESUMED, statistic::Statistic};

/// One line for each statistic, then one for each count and each thing that was left out.
pub(crate) fn table(agreement: &Agreement) -> anyhow::Result<Vec<u8>> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record([
        "measurement",
        "statistic",
        "readers",
        "value",
        "low",
        "high",
        "count",
        "remark",
    ])?;
    for measured in &agreement.measurements {
        let identifier = measured.measurement.identifier();
        for statistic in &measured.statistics {
            table.write_record(record(identifier, statistic))?;
        }
        for (name, count) in counts(measured) {
            let count = count.to_string();
            table.write_record([identifier, name, "", "", "", "", &count, ""])?;
        }
        let readings = &measured.readings;
        let unit = measured.measurement.unit().identifier();
        let conventions = readings
            .conventions
            .iter()
            .copied()
            .map(|one| ("convention", one));
        let calibrations = readings
            .calibrations
            .iter()
            .map(|one| ("calibration", one.as_str()));
        let left_out = readings
            .left_out
            .iter()
            .map(|one| ("left_out", one.as_str()));
        let notes = readings.notes.iter().map(|one| ("note", one.as_str()));
        for (name, remark) in std::iter::once(("unit", unit))
            .chain(conventions)
            .chain(calibrations)
            .chain(left_out)
            .chain(notes)
        {
            table.write_record([identifier, name, "", "", "", "", "", remark])?;
        }
    }
    Ok(table.into_inner()?)
}

fn record(identifier: &str, statistic: &Statistic) -> [String; 8] {
    let number = |number: Option<f64>| number.map(|number| number.to_string()).unwrap_or_default();
    [
        identifier.to_owned(),
        statistic.statistic.to_owned(),
        statistic.readers.join("; "),
        number(statistic.value),
        number(statistic.low),
        number(statistic.high),
        statistic.count.to_string(),
        statistic.remark.clone(),
    ]
}

fn counts(measured: &MeasurementAgreement) -> [(&'static str, usize); 4] {
    let readings = &measured.readings;
    [
        ("readers", readings.readers().len()),
        ("films", readings.film_count()),
        ("readings", readings.readings.len()),
        ("most_repeats", readings.most_repeats()),
    ]
}

#[derive(Serialize)]
struct Document<'a> {
    studies: Vec<String>,
    readers: &'a [String],
    one_value: &'static str,
    measurements: Vec<Entry<'a>>,
    presumed: &'static str,
    caution: &'a str,
}

#[derive(Serialize)]
struct Entry<'a> {
    identifier: &'static str,
    name: &'static str,
    unit: &'static str,
    conventions: Vec<&'static str>,
    calibrations: Vec<&'a str>,
    readers: usize,
    films: usize,
    readings: usize,
    most_repeats: usize,
    statistics: &'a [Statistic],
    left_out: &'a [String],
    notes: &'a [String],
}

/// Everything, numbers not rounded.
pub(crate) fn json(agreement: &Agreement, caution: &str) -> anyhow::Result<Vec<u8>> {
    let gathered = &agreement.gathered;
    let document = Document {
        studies: gathered
            .studies
            .iter()
            .map(|study| study.path.display().to_string())
            .collect(),
        readers: &gathered.readers,
        one_value: match agreement.one_value {
            OneValue::First => "first",
            OneValue::Mean => "mean",
        },
        measurements: agreement.measurements.iter().map(entry).collect(),
        presumed: PRESUMED,
        caution,
    };
    let mut bytes = serde_json::to_vec_pretty(&document)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn entry(measured: &MeasurementAgreement) -> Entry<'_> {
    let readings = &measured.readings;
    Entry {
        identifier: measured.measurement.identifier(),
        name: measured.measurement.name(),
        unit: measured.measurement.unit().identifier(),
        conventions: readings.conventions.iter().copied().collect(),
        calibrations: readings.calibrations.iter().map(String::as_str).collect(),
        readers: readings.readers().len(),
        films: readings.film_count(),
        readings: readings.readings.len(),
        most_repeats: readings.most_repeats(),
        statistics: &measured.statistics,
        left_out: &readings.left_out,
        notes: &readings.notes,
    }
}
