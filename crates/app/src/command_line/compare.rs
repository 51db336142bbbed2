//! `plumbray compare`: a foot at its visits, and what changed between two of them.

use std::{io::Write, path::PathBuf};

use anyhow::{Context as _, bail, ensure};
use plumbray_compare::{Comparison, Pair, Recurrence, same_film_words};
use plumbray_measure::{AxisConvention, Measurement};

use super::CompareArguments;
use crate::{
    comparing::{
        FootOverTime, HeldPlan, OpenedFilms, answers, change_words, compared_foot, comparison_pdf,
        comparison_table, plan_lines, plan_notes, value_words,
    },
    printing::write_beside,
    window::CAUTION,
    workbench::RowSet,
};

pub(super) fn compare(arguments: &CompareArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let foot = FootOverTime::read(&arguments.inputs)?;
    let pair = pair(arguments, &foot)?;
    let convention = convention(arguments, &foot)?;
    let limit = recurrence_limit(arguments.recurrence.as_deref())?;
    if let Some(path) = &arguments.save {
        foot.keep_in(path)?;
    }
    let mut films = OpenedFilms::default();
    let (comparison, laid) = foot.comparison(pair, convention, &mut films);
    let plans = foot.held_plans(pair, &laid, &mut films);
    let plan = plan(arguments, &plans)?;
    if let Some(path) = &arguments.sheet {
        foot.open_both(pair, &mut films);
        let bytes = comparison_pdf(&foot, &comparison, plan, limit, &clinic_rows(), &films)?;
        write_beside(path, &bytes, foot.film_paths().iter().map(PathBuf::as_path))?;
    }
    if arguments.json {
        serde_json::to_writer_pretty(&mut *output, &compared_foot(&comparison, limit, plan))?;
        writeln!(output)?;
    } else if arguments.csv {
        output.write_all(&comparison_table(&comparison, plan)?)?;
    } else {
        write_text(&comparison, plan, limit, output)?;
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

/// The plan that is held against the result: the one that was asked for, else the first; nothing without plans.
fn plan<'p>(
    arguments: &CompareArguments,
    plans: &'p [HeldPlan],
) -> anyhow::Result<Option<&'p HeldPlan>> {
    let Some(asked) = arguments.plan.as_deref() else {
        return Ok(plans.first());
    };
    ensure!(
        !plans.is_empty(),
        "no plan can be held against the later visit: no visit before it holds one, or it lies before surgery itself"
    );
    let named = plans.iter().find(|plan| plan.name == asked);
    let numbered = || {
        let number: usize = asked.parse().ok()?;
        plans.get(number.checked_sub(1)?)
    };
    let found = named.or_else(numbered).with_context(|| {
        let names: Vec<&str> = plans.iter().map(|plan| plan.name.as_str()).collect();
        format!(
            "there is no plan “{asked}”; --plan takes a number from 1 to {}, or one of {}",
            plans.len(),
            names.join(", ")
        )
    })?;
    Ok(Some(found))
}

/// The limit that `--recurrence` names, or the usual one.
pub(super) fn recurrence_limit(name: Option<&str>) -> anyhow::Result<Recurrence> {
    let Some(name) = name else {
        return Ok(Recurrence::default());
    };
    Recurrence::from_identifier(name).with_context(|| {
        let all = Recurrence::ALL.map(Recurrence::identifier).join(", ");
        format!("“{name}” is no limit for recurrence; one of {all}")
    })
}

fn write_text(
    comparison: &Comparison,
    plan: Option<&HeldPlan>,
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
    let above = same_film_words(&comparison.same_films);
    if let Some(words) = &above {
        writeln!(output, "  {words}")?;
    }
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
    if let Some(plan) = plan {
        write_plan(comparison, plan, output)?;
    }
    for (heading, lines) in answers(comparison, limit) {
        writeln!(output, "  {heading}")?;
        for line in lines {
            writeln!(output, "    {line}")?;
        }
    }
    let warnings = comparison.warnings.iter();
    for warning in warnings.filter(|warning| Some(*warning) != above.as_ref()) {
        writeln!(output, "  Look again: {warning}")?;
    }
    writeln!(output, "  {CAUTION}")?;
    Ok(())
}

/// What was planned beside what was achieved.
fn write_plan(
    comparison: &Comparison,
    plan: &HeldPlan,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let name = |place: usize| comparison.visits[place].name.long.as_str();
    writeln!(
        output,
        "  Plan against result: “{}” ({}), at the visit “{}”",
        plan.name,
        name(plan.visit),
        name(plan.against)
    )?;
    let result = match &plan.result {
        Ok(result) => result,
        Err(why) => {
            writeln!(output, "    {why}")?;
            return Ok(());
        }
    };
    writeln!(
        output,
        "    {:<62}{:>16}{:>16}{:>16}  achieved − intended",
        "", "before", "intended", "achieved"
    )?;
    for line in plan_lines(result) {
        let verdict = if line.verdict.is_empty() {
            String::new()
        } else {
            format!(": {}", line.verdict)
        };
        writeln!(
            output,
            "    {:<62}{:>16}{:>16}{:>16}  {}{verdict}",
            line.name, line.before, line.intended, line.achieved, line.difference
        )?;
    }
    for note in plan_notes(result) {
        writeln!(output, "    {note}")?;
    }
    Ok(())
}

/// The rows that a clinic reads of every foot.
fn clinic_rows() -> Vec<Measurement> {
    let all = Measurement::ALL.into_iter();
    all.filter(|row| RowSet::Clinic.usually_has(*row)).collect()
}
