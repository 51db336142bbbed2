//! `plumbray agreement`: how far readers of the same films agree, with each other and with themselves.

mod data;
mod grades;
mod numbers;
mod readings;
mod statistic;
mod studies;
mod text;

use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, ensure};
use clap::{Args, ValueEnum};
use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement, Unit};
use plumbray_study::is_same_file;

use self::{
    readings::{MeasuredReadings, measured_readings},
    statistic::Statistic,
    studies::Gathered,
};
use crate::window::CAUTION;

#[derive(Debug, Args)]
pub(super) struct AgreementArguments {
    /// Studies (`….study.ron`) by several readers or tracings, or folders in which to search for them.
    #[arg(required = true)]
    inputs: Vec<PathBuf>,
    /// These measurements, by identifier, in place of the hallux valgus angle, the intermetatarsal angle, the distal
    /// metatarsal articular angle and the tibial sesamoid grade.
    #[arg(long, value_name = "IDENTIFIERS", value_delimiter = ',')]
    measurements: Vec<String>,
    /// Which of a reader's readings of one film counts between readers.
    #[arg(long, value_enum, default_value = "first")]
    one_value: OneValueName,
    /// The axis convention for every tracing, in place of each study's own.
    #[arg(long, value_name = "IDENTIFIER")]
    convention: Option<String>,
    /// Also write one line for each statistic, as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Also write everything as JSON.
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum OneValueName {
    First,
    Mean,
}

/// What is judged unless something else is asked for.
const USUAL: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::TibialSesamoidGrade,
];

/// What stands under every table, since the statistics presume it and no study can tell.
const PRESUMED: &str = "Each film counts as a foot of its own: two films of one foot make agreement look surer than it is.";

/// How one measurement fares among the readers.
struct MeasurementAgreement {
    measurement: Measurement,
    readings: MeasuredReadings,
    statistics: Vec<Statistic>,
}

/// Everything that is told.
struct Agreement<'a> {
    gathered: &'a Gathered,
    one_value: OneValue,
    measurements: Vec<MeasurementAgreement>,
}

pub(super) fn agreement(
    arguments: &AgreementArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let measurements = chosen(&arguments.measurements)?;
    let convention = convention(arguments.convention.as_deref())?;
    let gathered = Gathered::read(&arguments.inputs)?;
    let one_value = match arguments.one_value {
        OneValueName::First => OneValue::First,
        OneValueName::Mean => OneValue::Mean,
    };
    let judged = |measurement: Measurement| {
        let mut readings = measured_readings(&gathered, measurement, convention);
        let statistics = match categories(measurement) {
            Some(categories) => grades::statistics(&mut readings, &categories, &gathered.readers),
            None => numbers::statistics(&mut readings, one_value, &gathered.readers),
        };
        MeasurementAgreement {
            measurement,
            readings,
            statistics,
        }
    };
    let agreement = Agreement {
        gathered: &gathered,
        one_value,
        measurements: measurements.into_iter().map(judged).collect(),
    };
    if let Some(path) = &arguments.csv {
        write_file(path, &data::table(&agreement)?, &gathered)?;
    }
    if let Some(path) = &arguments.json {
        write_file(path, &data::json(&agreement, CAUTION)?, &gathered)?;
    }
    text::write_text(&agreement, [PRESUMED, CAUTION], output)
}

/// The values that a position or a grade can have, in their order; nothing for a number.
fn categories(measurement: Measurement) -> Option<Vec<f64>> {
    match measurement.unit() {
        Unit::Grade => Some((0..=3).map(f64::from).collect()),
        Unit::Position => Some((1..=7).map(f64::from).collect()),
        Unit::Degrees | Unit::Millimetres | Unit::Ratio | Unit::PerCent => None,
    }
}

fn chosen(identifiers: &[String]) -> anyhow::Result<Vec<Measurement>> {
    if identifiers.is_empty() {
        return Ok(USUAL.to_vec());
    }
    let named = |name: &String| {
        Measurement::from_identifier(name.trim()).with_context(|| {
            let all = Measurement::ALL.map(Measurement::identifier).join(", ");
            format!("“{name}” is no measurement; some of {all}")
        })
    };
    identifiers.iter().map(named).collect()
}

fn convention(identifier: Option<&str>) -> anyhow::Result<Option<AxisConvention>> {
    let named = |name: &str| {
        AxisConvention::from_identifier(name).with_context(|| {
            let all = AxisConvention::ALL.map(AxisConvention::identifier);
            format!("“{name}” is no axis convention; one of {}", all.join(", "))
        })
    };
    identifier.map(named).transpose()
}

/// Writes a file; never over one of the studies or their films.
fn write_file(path: &Path, bytes: &[u8], gathered: &Gathered) -> anyhow::Result<()> {
    let mut read: Vec<PathBuf> = gathered.film_paths();
    read.extend(gathered.studies.iter().map(|study| study.path.clone()));
    ensure!(
        !read.iter().any(|there| is_same_file(there, path)),
        "it would take the place of a study or its film; choose another name: {}",
        path.display()
    );
    fs::write(path, bytes).with_context(|| {
        format!(
            "it cannot be written there; choose another folder: {}",
            path.display()
        )
    })
}
