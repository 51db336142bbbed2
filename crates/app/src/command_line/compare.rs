//! `plumbray compare`: a foot at its visits, and what changed between two of them.

use std::{
    io::Write,
    path::{Path, PathBuf},
};

use anyhow::{Context as _, bail, ensure};
use plumbray_compare::{Comparison, Pair, Recurrence, Timeline};
use plumbray_measure::{AxisConvention, Measurement};

use super::CompareArguments;
use crate::{
    comparing::{FootOverTime, answers, change_words, compared_foot, comparison_pdf, value_words},
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
        save(path, &foot)?;
    }
    let comparison = foot.comparison(pair, convention);
    if let Some(path) = &arguments.sheet {
        let bytes = comparison_pdf(&foot, &comparison, limit, &clinic_rows())?;
        write_beside(path, &bytes, foot.film_paths().iter().map(PathBuf::as_path))?;
    }
    if arguments.json {
        serde_json::to_writer_pretty(&mut *output, &compared_foot(&comparison, limit))?;
        writeln!(output)?;
    } else if arguments.csv {
        write_csv(&comparison, output)?;
    } else {
        write_text(&comparison, limit, output)?;
    }
    Ok(())
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
    let names = |conventions: &[AxisConvention]| {
        let names: Vec<&str> = conventions.iter().map(|one| one.identifier()).collect();
        names.join(", ")
    };
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

/// Writes the visits, in their order, as a time line.
fn save(path: &Path, foot: &FootOverTime) -> anyhow::Result<()> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let studies: Vec<_> = foot
        .visits
        .iter()
        .map(|visit| (visit.path.clone(), &visit.study))
        .collect();
    Timeline::of_studies(folder, &studies)?.write(path)?;
    Ok(())
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

fn write_csv(comparison: &Comparison, output: &mut dyn Write) -> anyhow::Result<()> {
    let data = compared_foot(comparison, Recurrence::default());
    let mut table = csv::Writer::from_writer(output);
    let mut heads = vec![
        "identifier".to_owned(),
        "unit".to_owned(),
        "convention".to_owned(),
    ];
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
    heads.extend(
        [
            "from",
            "to",
            "change",
            "smallest_detectable_change",
            "is_real",
            "why_no_change",
        ]
        .map(str::to_owned),
    );
    table.write_record(&heads)?;
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
    table.flush()?;
    Ok(())
}
