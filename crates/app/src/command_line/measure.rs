//! `plumbray measure`: the worksheet as text, JSON or CSV, from the same engine as the window.

use std::{fs, io::Write, path::Path};

use anyhow::{Context as _, bail, ensure};
use plumbray_anatomy::{FilmTracing, Proportions, Tracing, View};
use plumbray_cohort::{Cell, Ingredient, Shard};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, SeverityScheme, Spread, TracedFilm,
};
use plumbray_report::number::likelihood;
use plumbray_study::{Study, landmark_table, load};
use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use super::{
    Ending, MeasureArguments, in_words,
    measure_parts::{
        failure_row, named, studies_below, worksheet_columns, worksheet_rows, write_parts,
    },
};
use crate::{
    own_spread::{KeptSpreads, choices_by},
    printing::{Measured, MeasuredResult, MeasuredStudy, measured_foot, measured_study},
};

/// So many studies are measured side by side for one part.
const IN_PIECE: usize = 256;

/// A study or a table that is to be measured.
struct Input {
    file: Ingredient,
    /// Whether it was found in a folder and not named itself: then its failure does not stop the others.
    in_folder: bool,
}

pub(super) fn measure(
    arguments: &MeasureArguments,
    output: &mut dyn Write,
) -> anyhow::Result<Ending> {
    if arguments.lateral.is_some()
        && !matches!(arguments.inputs.as_slice(), [only] if is_table(only))
    {
        bail!("--lateral goes with exactly one AP table; a study names its lateral film itself");
    }
    let inputs = inputs_of(arguments)?;
    // What is wrong with the arguments is told before anything is read.
    chosen(Choices::default(), arguments)?;
    let kept = kept_spreads(arguments.reader_spread.as_deref())?;
    if let Some(folder) = &arguments.parquet_parts {
        return measure_into_parts(arguments, &kept, inputs, folder, output);
    }
    let measured: Vec<anyhow::Result<MeasuredStudy>> = inputs
        .par_iter()
        .map(|input| measured(&input.file.path, arguments, &kept))
        .collect();
    let mut ending = Ending::Complete;
    let mut studies = Vec::new();
    for (input, result) in inputs.iter().zip(measured) {
        match result {
            Ok(study) => studies.push(study),
            Err(problem) if input.in_folder => {
                eprintln!("plumbray: {}", in_words(&problem));
                ending = Ending::WithFailures;
            }
            Err(problem) => return Err(problem),
        }
    }
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
    Ok(ending)
}

/// The files that are named and the studies of the folders that are named, as far as they belong to the shard.
fn inputs_of(arguments: &MeasureArguments) -> anyhow::Result<Vec<Input>> {
    let mut inputs = Vec::new();
    for path in &arguments.inputs {
        if path.is_dir() {
            let found = studies_below(path)?;
            ensure!(
                !found.is_empty(),
                "there is no study in this folder: {}",
                path.display()
            );
            inputs.extend(found.into_iter().map(|file| Input {
                file,
                in_folder: true,
            }));
        } else {
            inputs.push(Input {
                file: named(path),
                in_folder: false,
            });
        }
    }
    if let Some(shard) = arguments.shard {
        inputs.retain(|input| shard.has(&input.file.relative));
    }
    Ok(inputs)
}

/// Measures into Parquet parts; a study that cannot be read is a line that says why.
fn measure_into_parts(
    arguments: &MeasureArguments,
    kept: &KeptSpreads,
    inputs: Vec<Input>,
    folder: &Path,
    output: &mut dyn Write,
) -> anyhow::Result<Ending> {
    let shard = arguments.shard.unwrap_or(Shard::WHOLE);
    let mut settings = format!(
        "measure {:?} {:?} {:?}",
        arguments.convention, arguments.severity, arguments.lateral
    );
    if arguments.reader_spread.is_some() {
        // Other spreads give other parts.
        settings.push_str(&format!(" {kept:?}"));
    }
    let files: Vec<Ingredient> = inputs.into_iter().map(|input| input.file).collect();
    let count = files.len();
    let mut failed = 0;
    let written = write_parts(folder, shard, &settings, files, IN_PIECE, &mut |piece| {
        let measured: Vec<_> = piece
            .par_iter()
            .map(|file| measured(&file.path, arguments, kept))
            .collect();
        let mut rows: Vec<Vec<Cell>> = Vec::new();
        for (file, result) in piece.iter().zip(measured) {
            match result {
                Ok(study) => rows.extend(worksheet_rows(&study)),
                Err(problem) => {
                    let words = in_words(&problem);
                    eprintln!("plumbray: {words}");
                    failed += 1;
                    rows.push(failure_row(&file.path, &words));
                }
            }
        }
        Ok(rows)
    })?;
    writeln!(
        output,
        "shard {shard}: {count} studies in {} parts, {} of them there already, in {}",
        written.kept + written.made,
        written.kept,
        folder.display()
    )?;
    Ok(if failed > 0 {
        Ending::WithFailures
    } else {
        Ending::Complete
    })
}

/// What is kept of readers in a file that is named; nothing without one, so that a script's numbers hang on nothing
/// that it does not name.
pub(super) fn kept_spreads(file: Option<&Path>) -> anyhow::Result<KeptSpreads> {
    Ok(file.map(KeptSpreads::read).transpose()?.unwrap_or_default())
}

fn is_table(input: &Path) -> bool {
    input
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"))
}

fn measured(
    input: &Path,
    arguments: &MeasureArguments,
    kept: &KeptSpreads,
) -> anyhow::Result<MeasuredStudy> {
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
        let reader = kept.of_named("");
        let choices = chosen(choices_by(&Study::default(), reader), arguments)?;
        return Ok(measured_foot(&name, &foot, &choices, None).read_by(reader));
    }
    let study = load(input)?;
    let reader = kept.of_named(&study.reader.name);
    let choices = chosen(choices_by(&study, reader), arguments)?;
    Ok(measured_study(&name, &study, &choices).read_by(reader))
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
                .map(|class| {
                    let share = likelihood(class.probability);
                    format!("{} {share}", class.class).replace('\u{2009}', " ")
                })
                .collect();
            let scheme = study.severity.scheme;
            writeln!(
                output,
                "  Severity: {class} by {scheme}, as the angles were read; reader’s error included: {}",
                shares.join(", ")
            )?;
        }
        None => writeln!(output, "  Severity: needs both angles")?,
    }
    if let Some(own) = &study.own_spread {
        for kept in &own.spreads {
            let name = kept.measurement().map_or("", Measurement::name);
            writeln!(
                output,
                "  Own spread of {}: {name}, {}",
                own.reader,
                kept.words()
            )?;
        }
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
        own_sd,
        ..
    } = &measured.result;
    let (Some(value), Some(sd), Some(interval)) = (*value, *sd, *interval) else {
        return reason.clone().unwrap_or_default();
    };
    let decimals = if measured.unit == "ratio" { 3 } else { 1 };
    let number = match measured.unit {
        "position" | "grade" => format!("{value:.0}"),
        unit => match Spread::of(value, sd.hypot(own_sd.unwrap_or(0.0)), interval) {
            // A limit of what a share can be cuts its interval.
            Spread::Cut(low, high) => {
                format!("{value:.decimals$} ({low:.decimals$} to {high:.decimals$}) {unit}")
            }
            Spread::Beyond => format!("{value:.decimals$} (clear) {unit}"),
            Spread::Even(half) => format!("{value:.decimals$} ± {half:.decimals$} {unit}"),
        },
    };
    let own = own_sd.map(|_known| "own spread");
    let by: Vec<&str> = [*convention, calibration.as_deref(), own]
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
    table.write_record(worksheet_columns().iter().map(|column| &column.name))?;
    for study in studies {
        for row in worksheet_rows(study) {
            table.write_record(row.iter().map(Cell::in_csv))?;
        }
    }
    table.flush()?;
    Ok(())
}
