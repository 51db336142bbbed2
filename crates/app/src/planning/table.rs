//! Plans carried out as a table of comma-separated values, documented in `docs/command-line.md`.

use super::data::{LengthFigure, PartsFigure, PlannedFigures, PlannedFoot, ScrewFigure};

/// The names of the columns.
const COLUMNS: [&str; 10] = [
    "plan",
    "part",
    "item",
    "unit",
    "before",
    "value",
    "low",
    "high",
    "with_loss",
    "remark",
];

/// Everything in a row but the plan.
struct Row {
    part: String,
    item: String,
    unit: &'static str,
    before: Option<f64>,
    value: Option<f64>,
    interval: Option<(f64, f64)>,
    with_loss: Option<f64>,
    remark: String,
}

/// A line for each number of each plan; UTF-8.
///
/// # Errors
/// When the table cannot be written, which memory does not refuse.
pub(crate) fn plan_table(foot: &PlannedFoot) -> anyhow::Result<Vec<u8>> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(COLUMNS)?;
    let number = |number: Option<f64>| number.map(|number| number.to_string()).unwrap_or_default();
    for plan in &foot.plans {
        for row in rows(plan) {
            table.write_record([
                plan.name.clone(),
                row.part,
                row.item,
                row.unit.to_owned(),
                number(row.before),
                number(row.value),
                number(row.interval.map(|interval| interval.0)),
                number(row.interval.map(|interval| interval.1)),
                number(row.with_loss),
                row.remark,
            ])?;
        }
    }
    Ok(table.into_inner()?)
}

fn rows(plan: &PlannedFigures) -> Vec<Row> {
    let calibration = plan.ap_calibration.as_deref().unwrap_or_default();
    let length =
        |part: &str, item: &str, figure: LengthFigure| length_row(part, item, figure, calibration);
    let mut rows = vec![
        length("cut", "from_joint", plan.cut_from_joint),
        plain(
            "cut",
            "from_joint_share",
            "ratio",
            plan.cut_from_joint_share,
        ),
        plain("cut", "tilt", "degrees", plan.cut_tilt_degrees),
        length("cut", "kerf", plan.kerf),
        length("head", "shift", plan.shift),
        length("head", "travel", plan.travel),
        length("bone", "contact", plan.contact),
        plain("bone", "contact_share", "ratio", plan.contact_share),
        length("bone", "medial_step", plan.medial_step),
    ];
    rows.extend(plan.shift_held_at.iter().map(|goal| Row {
        remark: goal.clone(),
        ..empty("head", "shift_held_at")
    }));
    let along = [
        ("length_along_first", Some(&plan.length_along_first)),
        ("length_along_second", plan.length_along_second.as_ref()),
    ];
    for (part, parts) in along {
        rows.extend(
            parts.into_iter().flat_map(|parts| {
                named_parts(parts).map(|(item, figure)| length(part, item, figure))
            }),
        );
    }
    rows.extend(plan.measurements.iter().map(|row| Row {
        part: "measurement".to_owned(),
        item: row.identifier.to_owned(),
        unit: row.unit,
        before: row.before,
        value: row.planned,
        interval: row.planned_interval,
        with_loss: row.with_loss,
        remark: if row.is_chosen {
            "chosen".to_owned()
        } else {
            row.reason.clone().unwrap_or_default()
        },
    }));
    for screw in &plan.screws {
        rows.extend(screw_rows(screw, calibration));
    }
    rows.extend(plan.checks.iter().map(|check| {
        let figure = check.figure.as_deref().unwrap_or_default();
        let wanted = check
            .wanted
            .as_ref()
            .map_or_else(String::new, |wanted| format!("(wanted {wanted})"));
        let about = check
            .screw
            .map_or_else(String::new, |letter| format!("{letter}: "));
        Row {
            remark: [check.verdict, figure, &wanted]
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(" "),
            ..empty("check", &format!("{about}{}", check.name))
        }
    }));
    rows
}

fn screw_rows(screw: &ScrewFigure, calibration: &str) -> Vec<Row> {
    let part = format!("{}_{}", screw.kind, screw.letter);
    let length = |item: &str, figure: LengthFigure| length_row(&part, item, figure, calibration);
    let withheld = screw.withheld.clone().unwrap_or_default();
    let mut rows: Vec<Row> = [
        ("true_length", screw.true_mm, withheld),
        ("ap_alone", screw.ap_alone_mm, String::new()),
        ("lateral_alone", screw.lateral_alone_mm, String::new()),
    ]
    .into_iter()
    .filter(|(item, mm, _)| mm.is_some() || *item == "true_length")
    .map(|(item, mm, remark)| Row {
        unit: if mm.is_some() { "millimetres" } else { "" },
        value: mm,
        remark,
        ..empty(&part, item)
    })
    .collect();
    rows.extend([
        length("diameter", screw.diameter),
        length("in_shaft", screw.in_shaft),
        length("in_head", screw.in_head),
        plain(
            &part,
            "angle_to_shaft",
            "degrees",
            screw.angle_to_shaft_degrees,
        ),
        Row {
            remark: screw.cortices.join("; "),
            ..empty(&part, "cortices")
        },
    ]);
    rows
}

const fn named_parts(parts: &PartsFigure) -> [(&'static str, LengthFigure); 4] {
    [
        ("whole", parts.whole),
        ("by_kerf", parts.by_kerf),
        ("by_tilt", parts.by_tilt),
        ("by_divergence", parts.by_divergence),
    ]
}

/// A length with the calibration's name beside its millimetres.
fn length_row(part: &str, item: &str, figure: LengthFigure, calibration: &str) -> Row {
    let is_in_mm = figure.mm.is_some();
    Row {
        unit: if is_in_mm {
            "millimetres"
        } else {
            "share_of_shaft"
        },
        value: Some(figure.mm.unwrap_or(figure.of_shaft_width)),
        remark: if is_in_mm { calibration } else { "" }.to_owned(),
        ..empty(part, item)
    }
}

fn plain(part: &str, item: &str, unit: &'static str, value: f64) -> Row {
    Row {
        unit,
        value: Some(value),
        ..empty(part, item)
    }
}

fn empty(part: &str, item: &str) -> Row {
    Row {
        part: part.to_owned(),
        item: item.to_owned(),
        unit: "",
        before: None,
        value: None,
        interval: None,
        with_loss: None,
        remark: String::new(),
    }
}
