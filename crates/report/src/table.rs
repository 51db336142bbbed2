//! The worksheet as CSV: one line for each measurement, numbers not rounded.

use plumbray_measure::{AxisConvention, Measurement, Row, Worksheet};

use crate::error::SheetError;

/// The names of the columns; `docs/sheet.md` explains them.
const COLUMNS: [&str; 14] = [
    "identifier",
    "name",
    "unit",
    "value",
    "low",
    "high",
    "sd",
    "convention",
    "calibration",
    "status",
    "reason",
    "classes",
    "caution",
    "own_sd",
];

/// The chosen rows of a worksheet as CSV, in the order of the worksheet; the caution stands on every line.
///
/// # Errors
/// When there is no caution, or the table cannot be written.
pub fn table(
    worksheet: &Worksheet,
    measurements: &[Measurement],
    caution: &str,
) -> Result<String, SheetError> {
    if caution.trim().is_empty() {
        return Err(SheetError::NoCaution);
    }
    let mut bytes = Vec::new();
    let mut writer = csv::Writer::from_writer(&mut bytes);
    writer.write_record(COLUMNS)?;
    for row in &worksheet.rows {
        if measurements.contains(&row.measurement) {
            writer.write_record(record(row, caution))?;
        }
    }
    writer.flush().map_err(csv::Error::from)?;
    drop(writer);
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn record(row: &Row, caution: &str) -> [String; 14] {
    let reading = row.outcome.reading();
    let number = |number: Option<f64>| number.map(|value| value.to_string()).unwrap_or_default();
    let classes: Vec<String> = reading
        .map(|reading| reading.classes.as_slice())
        .unwrap_or_default()
        .iter()
        .map(|(class, probability)| format!("{class}: {probability:.6}"))
        .collect();
    let convention = reading.and_then(|reading| reading.convention);
    [
        row.measurement.identifier().to_owned(),
        row.measurement.name().to_owned(),
        row.measurement.unit().identifier().to_owned(),
        number(reading.map(|reading| reading.value)),
        number(reading.map(|reading| reading.interval.0)),
        number(reading.map(|reading| reading.interval.1)),
        number(reading.map(|reading| reading.sd)),
        convention.map_or("", AxisConvention::identifier).to_owned(),
        reading
            .and_then(|reading| reading.calibration_name.clone())
            .unwrap_or_default(),
        row.outcome.status().to_owned(),
        row.outcome.why_not().unwrap_or_default(),
        classes.join("; "),
        caution.trim().to_owned(),
        number(reading.and_then(|reading| reading.own_sd)),
    ]
}

#[cfg(test)]
mod tests {
    use plumbray_measure::{Choices, Foot, worksheet};

    use super::*;

    #[test]
    fn every_chosen_row_has_a_line_with_all_columns_in_the_order_of_the_worksheet() {
        let sheet = worksheet(&Foot::default(), &Choices::default());
        let chosen = [
            Measurement::CalcanealInclinationAngle,
            Measurement::HalluxValgusAngle,
        ];
        let text = table(&sheet, &chosen, "A caution, with a comma.").expect("a table");
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let headers = reader.headers().expect("headers").clone();
        assert_eq!(headers.iter().collect::<Vec<_>>(), COLUMNS, "columns");
        let rows: Vec<csv::StringRecord> =
            reader.records().map(|row| row.expect("a row")).collect();
        let column = |name: &str| headers.iter().position(|header| header == name);
        let of = |name: &str| -> Vec<&str> {
            let index = column(name).expect("a column");
            rows.iter().map(|row| &row[index]).collect()
        };
        assert_eq!(
            of("identifier"),
            ["hallux_valgus_angle", "calcaneal_inclination_angle"],
            "order"
        );
        assert_eq!(of("status"), ["needs", "needs"], "no films");
        assert_eq!(of("value"), ["", ""], "no number is no number");
        assert_eq!(of("caution"), ["A caution, with a comma."; 2], "caution");
    }

    #[test]
    fn no_table_without_a_caution() {
        let sheet = worksheet(&Foot::default(), &Choices::default());
        let refused = table(&sheet, &Measurement::ALL, " ");
        assert!(matches!(refused, Err(SheetError::NoCaution)), "{refused:?}");
    }
}
