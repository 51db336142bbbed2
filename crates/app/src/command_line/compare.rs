//! `plumbray compare`: a foot at its visits, and what changed between two of them.

use std::{io::Write, path::PathBuf};

use anyhow::{Context as _, bail, ensure};
use plumbray_compare::{Comparison, Pair, Recurrence};
use plumbray_measure::{AxisConvention, Measurement};

use super::CompareArguments;
use crate::{
    comparing::{
        FootOverTime, OpenedFilms, answers, change_words, compared_foot, comparison_pdf,
        comparison_table, value_words,
    },
    printing::write_beside,
    window::CAUTION,
    workbench::RowSet,
};

pub(super) fn compare(arguments: &CompareArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let foot = FootOverTime::read(&arguments.inputs)?;
    let pair = pair(arguments, &foot)?;
    let convention = convention(arguments, &foot)?;
    let limit = limit(arguments)?;
    if let Some(path) = &arguments.save {
        foot.keep_in(path)?;
    }
    let mut films = OpenedFilms::default();
    let (comparison, _) = foot.comparison(pair, convention, &mut films);
    if let Some(path) = &arguments.sheet {
        let bytes = comparison_pdf(&foot, &comparison, limit, &clinic_rows(), &films)?;
        write_beside(path, &bytes, foot.film_paths().iter().map(PathBuf::as_path))?;
    }
    if arguments.json {
        serde_json::to_writer_pretty(&mut *output, &compared_foot(&comparison, limit))?;
        writeln!(output)?;
    } else if arguments.csv {
        output.write_all(&comparison_table(&comparison)?)?;
    } else {
        write_text(&comparison, limit, output)?;
    }
    Ok(())
}

/// What `--convention` takes.
pub(super) fn convention_help() -> String {
    format!(
        "The axis convention for every visit, in place of head_base: one of {}",
        names(&AxisConvention::ALL)
    )
}

/// What `--recurrence` takes.
pub(super) fn recurrence_help() -> String {
    format!(
        "By which limit the deformity counts as being back: one of {}",
        Recurrence::ALL.map(Recurrence::identifier).join(", ")
    )
}

fn names(conventions: &[AxisConvention]) -> String {
    let names: Vec<&str> = conventions.iter().map(|one| one.identifier()).collect();
    names.join(", ")
}

fn pair(arguments: &CompareArguments, foot: &FootOverTime) -> anyhow::Result<Pair> {
    let count = foot.visits.len();
    let usual = foot
        .usual_pair()
        .context("one visit cannot be compared; name two studies or more, or a time line")?;
    let place = |asked: Option<usize>, usual: usize, flag: &str| match asked {
        None => Ok(usual),
        Some(number) if (1..=count).contains(&number) => Ok(number - 1),
        Some(number) => {
            bail!("there is no visit {number}; {flag} takes a number from 1 to {count}")
        }
    };
    let pair = Pair {
        earlier: place(arguments.from, usual.earlier, "--from")?,
        later: place(arguments.to, usual.later, "--to")?,
    };
    ensure!(
        pair.earlier < pair.later,
        "visit {} does not lie before visit {}; choose others by --from and --to",
        pair.earlier + 1,
        pair.later + 1
    );
    Ok(pair)
}

fn convention(arguments: &CompareArguments, foot: &FootOverTime) -> anyhow::Result<AxisConvention> {
    let allowed = foot.conventions();
    let Some(name) = arguments.convention.as_deref() else {
        return Ok(AxisConvention::HeadBase);
    };
    let convention = AxisConvention::from_identifier(name).with_context(|| {
        let all = names(&AxisConvention::ALL);
        format!("“{name}” is no axis convention; one of {all}")
    })?;
    ensure!(
        allowed.contains(&convention),
        "{name} does not fit every visit, and numbers by different axes are not subtracted; possible are {}",
        names(&allowed)
    );
    Ok(convention)
}

fn limit(arguments: &CompareArguments) -> anyhow::Result<Recurrence> {
    let Some(name) = arguments.recurrence.as_deref() else {
        return Ok(Recurrence::default());
    };
    Recurrence::from_identifier(name).with_context(|| {
        let all = Recurrence::ALL.map(Recurrence::identifier).join(", ");
        format!("“{name}” is no limit for recurrence; one of {all}")
    })
}

fn write_text(
    comparison: &Comparison,
    limit: Recurrence,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    writeln!(
        output,
        "{} visits, every number by {}",
        comparison.visits.len(),
        comparison.convention.name()
    )?;
    for (place, visit) in comparison.visits.iter().enumerate() {
        let date = visit
            .date
            .map_or_else(|| "day unknown".to_owned(), |date| date.to_string());
        writeln!(output, "  {} {} ({date})", place + 1, visit.name.long)?;
        for film in &visit.films {
            writeln!(output, "      {}", film.words())?;
        }
    }
    let Pair { earlier, later } = comparison.pair;
    writeln!(
        output,
        "Change from visit {} to visit {}:",
        earlier + 1,
        later + 1
    )?;
    for row in &comparison.rows {
        let values: Vec<String> = row
            .outcomes
            .iter()
            .map(|outcome| format!("{:>10}", value_words(row.measurement, outcome)))
            .collect();
        writeln!(
            output,
            "  {:<52}{}  {}",
            row.measurement.name(),
            values.join(""),
            change_words(row, comparison.pair)
        )?;
    }
    for (heading, lines) in answers(comparison, limit) {
        writeln!(output, "  {heading}")?;
        for line in lines {
            writeln!(output, "    {line}")?;
        }
    }
    for warning in &comparison.warnings {
        writeln!(output, "  Look again: {warning}")?;
    }
    writeln!(output, "  {CAUTION}")?;
    Ok(())
}

/// The rows that a clinic reads of every foot.
fn clinic_rows() -> Vec<Measurement> {
    let all = Measurement::ALL.into_iter();
    all.filter(|row| RowSet::Clinic.usually_has(*row)).collect()
}
