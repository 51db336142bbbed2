//! A comparison as a table of comma-separated values, documented in `docs/command-line.md`.

use plumbray_compare::{Comparison, Recurrence};

use super::data::{ComparedFoot, compared_foot};

/// A line for each measurement with its number at every visit and the change; UTF-8.
///
/// # Errors
/// When the table cannot be written, which memory does not refuse.
pub(crate) fn comparison_table(comparison: &Comparison) -> anyhow::Result<Vec<u8>> {
    let data = compared_foot(comparison, Recurrence::default(), None);
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(heads(&data))?;
    let number = |number: Option<f64>| number.map(|number| number.to_string()).unwrap_or_default();
    for row in &data.measurements {
        let mut record = vec![
            row.identifier.to_owned(),
            row.unit.to_owned(),
            data.convention.to_owned(),
        ];
        for (value, sd) in row.values.iter().zip(&row.sds) {
            record.extend([number(*value), number(*sd)]);
        }
        record.extend([
            data.from.to_string(),
            data.to.to_string(),
            number(row.change),
            number(row.smallest_detectable_change),
            row.is_real
                .map(|is_real| is_real.to_string())
                .unwrap_or_default(),
            row.why_no_change.clone().unwrap_or_default(),
        ]);
        table.write_record(&record)?;
    }
    Ok(table.into_inner()?)
}

/// The heads of the columns. Each visit's names its films' calibrations, since millimetres mean nothing without.
fn heads(data: &ComparedFoot) -> Vec<String> {
    let mut heads = ["identifier", "unit", "convention"]
        .map(str::to_owned)
        .to_vec();
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
    let change = [
        "from",
        "to",
        "change",
        "smallest_detectable_change",
        "is_real",
        "why_no_change",
    ];
    heads.extend(change.map(str::to_owned));
    heads
}
