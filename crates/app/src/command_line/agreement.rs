//! `plumbray agreement`: how far readers of the same films agree, with each other and with themselves.

use std::{
    fs,
    io::Write,
    path::{Path, PathBuf},
    sync::Arc,
};

use anyhow::{Context as _, Error, ensure};
use clap::{Args, ValueEnum};
use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement};
use plumbray_report::Paper;
use plumbray_study::is_same_file;

use super::agreement_text::write_text;
use crate::{
    agreeing::{Agreement, Asked, Gathered, PRESUMED, USUAL, agreement_pdf, json, table},
    own_spread::KeptSpreads,
    window::CAUTION,
};

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
    /// Also make a sheet to print, as PDF, with the plots of differences.
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
    /// Keep what the repeats of this reader say as the reader's own spread: worksheets then hold it.
    #[arg(long, value_name = "READER")]
    keep_spread: Option<String>,
    /// Where it is kept, in place of this user's settings.
    #[arg(long, value_name = "FILE", requires = "keep_spread")]
    spread_file: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum OneValueName {
    First,
    Mean,
}

pub(super) fn agreement(
    arguments: &AgreementArguments,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let asked = Asked {
        measurements: chosen(&arguments.measurements)?,
        convention: convention(arguments.convention.as_deref())?,
        one_value: match arguments.one_value {
            OneValueName::First => OneValue::First,
            OneValueName::Mean => OneValue::Mean,
        },
    };
    let gathered = Arc::new(Gathered::read(&arguments.inputs)?);
    let agreement = Agreement::of(&gathered, &asked);
    if let Some(path) = &arguments.csv {
        write_file(path, &table(&agreement)?, &agreement)?;
    }
    if let Some(path) = &arguments.json {
        write_file(path, &json(&agreement, CAUTION)?, &agreement)?;
    }
    if let Some(path) = &arguments.pdf {
        write_file(path, &agreement_pdf(&agreement, Paper::A4)?, &agreement)?;
    }
    let kept = match &arguments.keep_spread {
        Some(reader) => keep_spread(&agreement, reader, arguments.spread_file.as_deref())?,
        None => Vec::new(),
    };
    write_text(&agreement, [PRESUMED, CAUTION], output)?;
    for line in kept {
        writeln!(output, "{line}")?;
    }
    Ok(())
}

/// Keeps what a reader's repeats say, and tells what was kept, what was not, and where.
///
/// # Errors
/// When nothing can be kept; then nothing is changed.
fn keep_spread(
    agreement: &Agreement,
    reader: &str,
    file: Option<&Path>,
) -> anyhow::Result<Vec<String>> {
    let day = jiff::Zoned::now().date();
    let keepable = agreement.keepable(reader, day).map_err(Error::msg)?;
    ensure!(
        !keepable.spreads.is_empty(),
        "nothing of {} can be kept: {}",
        reader.trim(),
        keepable.refused.join("; ")
    );
    let usual = KeptSpreads::usual_path();
    let path = file.map(Path::to_owned).or(usual);
    let path =
        path.context("this system has no place for settings; name a file with --spread-file")?;
    not_over_what_was_read(&path, agreement)?;
    let mut kept = KeptSpreads::read_if_there(&path)?;
    kept.keep(reader, keepable.spreads.clone());
    kept.write(&path)?;
    let spreads = keepable.spreads.iter().map(|spread| {
        let name = spread.measurement().map_or("", Measurement::name);
        format!("  {name}: {}", spread.words())
    });
    let refused = keepable.refused.iter();
    let refused = refused.map(|why| format!("  Not kept: {why}"));
    let head = format!("Kept as {}’s own spread: {}", reader.trim(), path.display());
    Ok(std::iter::once(head)
        .chain(spreads)
        .chain(refused)
        .collect())
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
fn write_file(path: &Path, bytes: &[u8], agreement: &Agreement) -> anyhow::Result<()> {
    not_over_what_was_read(path, agreement)?;
    fs::write(path, bytes).with_context(|| {
        format!(
            "it cannot be written there; choose another folder: {}",
            path.display()
        )
    })
}

fn not_over_what_was_read(path: &Path, agreement: &Agreement) -> anyhow::Result<()> {
    ensure!(
        !agreement
            .files_read()
            .iter()
            .any(|there| is_same_file(there, path)),
        "it would take the place of a study or its film; choose another name: {}",
        path.display()
    );
    Ok(())
}
