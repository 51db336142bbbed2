//! `plumbray measure`: the worksheet as text, JSON or CSV, from the same engine as the window.

use std::{fs, io::Write, path::Path};

use anyhow::{Context as _, bail};
use plumbray_anatomy::{FilmTracing, Proportions, Tracing, View};
use plumbray_measure::{AxisConvention, Choices, Foot, SeverityScheme, Spread, TracedFilm};
use plumbray_study::{landmark_table, load};

use super::MeasureArguments;
use crate::{
    printing::{Measured, MeasuredResult, MeasuredStudy, measured_foot, measured_study},
    workbench::choices_of,
};

pub(super) fn measure(arguments: &MeasureArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    if arguments.lateral.is_some()
        && !matches!(arguments.inputs.as_slice(), [only] if is_table(only))
    {
        bail!("--lateral goes with exactly one AP table; a study names its lateral film itself");
    }
    let studies: Vec<MeasuredStudy> = arguments
        .inputs
        .iter()
        .map(|input| measured(input, arguments))
        .collect::<anyhow::Result<_>>()?;
    if arguments.json {
        serde_json::to_writer_pretty(&mut *output, &studies)?;
        writeln!(output)?;
    } else if arguments.csv {
        write_csv(&studies, output)?;
    } else {
        for study in &studies {
            write_text(study, output)?;
        }
    }
    Ok(())
}

fn is_table(input: &Path) -> bool {
    input
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"))
}

fn measured(input: &Path, arguments: &MeasureArguments) -> anyhow::Result<MeasuredStudy> {
    let name = input.display().to_string();
    if is_table(input) {
        let tracing = Tracing {
            ap: table(input, View::Ap)?,
            lateral: match &arguments.lateral {
                Some(path) => table(path, View::Lateral)?,
                None => FilmTracing::default(),
            },
        };
        let film = |view: View| TracedFilm {
            tracing: tracing.on(view),
            proportions: Proportions::SQUARE,
            calibration: None,
        };
        let lateral = arguments.lateral.as_ref().map(|_| film(View::Lateral));
        let foot = Foot {
            ap: Some(film(View::Ap)),
            lateral,
            operated: false,
        };
        let choices = chosen(Choices::default(), arguments)?;
        return Ok(measured_foot(&name, &foot, &choices, None));
    }
    let study = load(input)?;
    let choices = chosen(choices_of(&study), arguments)?;
    Ok(measured_study(&name, &study, &choices))
}

fn table(path: &Path, view: View) -> anyhow::Result<FilmTracing> {
    let text = fs::read_to_string(path)
        .with_context(|| format!("the table cannot be read: {}", path.display()))?;
    landmark_table::import(&text, view).with_context(|| format!("in the table {}", path.display()))
}

fn chosen(choices: Choices, arguments: &MeasureArguments) -> anyhow::Result<Choices> {
    let convention = match arguments.convention.as_deref() {
        None => choices.convention,
        Some(name) => Some(AxisConvention::from_identifier(name).with_context(|| {
            format!(
                "“{name}” is no axis convention; one of {}",
                names(&AxisConvention::ALL.map(AxisConvention::identifier))
            )
        })?),
    };
    let severity = match arguments.severity.as_deref() {
        None => choices.severity,
        Some(name) => SeverityScheme::from_identifier(name).with_context(|| {
            format!(
                "“{name}” is no set of limits; one of {}",
                names(&SeverityScheme::ALL.map(SeverityScheme::identifier))
            )
        })?,
    };
    Ok(Choices {
        convention,
        severity,
        ..choices
    })
}

fn names(identifiers: &[&str]) -> String {
    identifiers.join(", ")
}

pub(super) fn write_text(study: &MeasuredStudy, output: &mut dyn Write) -> anyhow::Result<()> {
    let side = study.side.map_or_else(
        || "side unknown".to_owned(),
        |side| {
            format!(
                "{side} foot{}",
                if study.side_confirmed {
                    ""
                } else {
                    ", not confirmed"
                }
            )
        },
    );
    writeln!(output, "{} ({side})", study.study)?;
    for measured in &study.measurements {
        writeln!(output, "  {:<44} {}", measured.name, text_of(measured))?;
    }
    match study.severity.class {
        Some(class) => {
            let shares: Vec<String> = study
                .severity
                .probabilities
                .iter()
                .map(|class| format!("{} {:.0} %", class.class, class.probability * 100.0))
                .collect();
            let scheme = study.severity.scheme;
            writeln!(
                output,
                "  Severity: {class} by {scheme}; reader’s error included: {}",
                shares.join(", ")
            )?;
        }
        None => writeln!(output, "  Severity: needs both angles")?,
    }
    for warning in &study.warnings {
        writeln!(output, "  Look again: {warning}")?;
    }
    writeln!(output, "  {}", study.caution)?;
    Ok(())
}

pub(super) fn text_of(measured: &Measured) -> String {
    let MeasuredResult {
        value,
        sd,
        interval,
        convention,
        calibration,
        reason,
        ..
    } = &measured.result;
    let (Some(value), Some(sd), Some(interval)) = (*value, *sd, *interval) else {
        return reason.clone().unwrap_or_default();
    };
    let decimals = if measured.unit == "ratio" { 3 } else { 1 };
    let number = match measured.unit {
        "position" | "grade" => format!("{value:.0}"),
        unit => match Spread::of(value, sd, interval) {
            // A limit of what a share can be cuts its interval.
            Spread::Cut(low, high) => {
                format!("{value:.decimals$} ({low:.decimals$} to {high:.decimals$}) {unit}")
            }
            Spread::Beyond => format!("{value:.decimals$} (clear) {unit}"),
            Spread::Even(half) => format!("{value:.decimals$} ± {half:.decimals$} {unit}"),
        },
    };
    let by: Vec<&str> = [*convention, calibration.as_deref()]
        .into_iter()
        .flatten()
        .collect();
    if by.is_empty() {
        number
    } else {
        format!("{number} ({})", by.join(", "))
    }
}

fn write_csv(studies: &[MeasuredStudy], output: &mut dyn Write) -> anyhow::Result<()> {
    let mut table = csv::Writer::from_writer(output);
    table.write_record([
        "study",
        "identifier",
        "unit",
        "convention",
        "in_use",
        "status",
        "value",
        "sd",
        "interval_low",
        "interval_high",
        "calibration",
        "reason",
    ])?;
    for study in studies {
        for measured in &study.measurements {
            let others = measured
                .conventions
                .iter()
                .filter(|other| other.convention != measured.result.convention);
            for (in_use, result) in [(true, &measured.result)]
                .into_iter()
                .chain(others.map(|other| (false, other)))
            {
                table.write_record(record(study, measured, in_use, result))?;
            }
        }
    }
    table.flush()?;
    Ok(())
}

fn record(
    study: &MeasuredStudy,
    measured: &Measured,
    in_use: bool,
    result: &MeasuredResult,
) -> Vec<String> {
    let number = |number: Option<f64>| number.map(|number| number.to_string()).unwrap_or_default();
    vec![
        study.study.clone(),
        measured.identifier.to_owned(),
        measured.unit.to_owned(),
        result.convention.unwrap_or_default().to_owned(),
        if in_use { "yes" } else { "no" }.to_owned(),
        result.status.to_owned(),
        number(result.value),
        number(result.sd),
        number(result.interval.map(|interval| interval.0)),
        number(result.interval.map(|interval| interval.1)),
        result.calibration.clone().unwrap_or_default(),
        result.reason.clone().unwrap_or_default(),
    ]
}
