//! `plumbray compare`: a foot at its visits, and what changed between two of them.

use std::{io::Write, path::Path};

use anyhow::{Context as _, bail, ensure};
use plumbray_compare::{
    ChangeRow, Comparison, Direction, Estimate, HeadShift, Pair, Recurrence, Timeline,
};
use plumbray_measure::{AxisConvention, Measurement, Outcome, Unit};

use super::CompareArguments;
use crate::{
    comparing::{FootOverTime, compared_foot},
    window::CAUTION,
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
            .map(|outcome| format!("{:>8}", value_text(row.measurement, outcome)))
            .collect();
        writeln!(
            output,
            "  {:<52}{}  {}",
            row.measurement.name(),
            values.join(""),
            change_text(row, comparison.pair)
        )?;
    }
    write_surgery(comparison, limit, output)?;
    for warning in &comparison.warnings {
        writeln!(output, "  Look again: {warning}")?;
    }
    writeln!(output, "  Whether the bone has healed is not judged.")?;
    writeln!(output, "  {CAUTION}")?;
    Ok(())
}

const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Ratio => 3,
        Unit::Position | Unit::Grade => 0,
        Unit::Degrees | Unit::Millimetres | Unit::PerCent => 1,
    }
}

fn value_text(measurement: Measurement, outcome: &Outcome) -> String {
    let decimals = decimals(measurement.unit());
    outcome.reading().map_or_else(
        || "–".to_owned(),
        |reading| format!("{:.decimals$}", reading.value),
    )
}

fn change_text(row: &ChangeRow, pair: Pair) -> String {
    let change = match &row.change {
        Ok(change) => change,
        Err(why) => return why.to_string(),
    };
    let unit = row.measurement.unit();
    let decimals = decimals(unit);
    let number = format!("{:+.decimals$}", change.difference);
    let interval = change
        .smallest_detectable
        .map(|half| format!(" ± {half:.decimals$} {}", unit.identifier()))
        .unwrap_or_default();
    let direction = match row.direction(pair) {
        Some(Direction::Toward) => ", toward the usual range",
        Some(Direction::Away) => ", away from the usual range",
        None => "",
    };
    format!("{number}{interval}: {}{direction}", change.verdict())
}

fn with_interval(estimate: &Estimate, decimals: usize, unit: &str) -> String {
    format!(
        "{:.decimals$} ± {:.decimals$}{unit}",
        estimate.value,
        estimate.half_interval()
    )
}

fn write_surgery(
    comparison: &Comparison,
    limit: Recurrence,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    for correction in &comparison.corrections {
        writeln!(
            output,
            "  Corrected by the operation, {}: {}",
            correction.measurement.name(),
            with_interval(&correction.corrected, 1, "°")
        )?;
    }
    for lost in &comparison.lost {
        let share = lost.share.map_or_else(String::new, |share| {
            format!(
                ", {} of the correction",
                with_interval(&share.times(100.0), 0, " %")
            )
        });
        let verdict = if lost.is_real {
            "real"
        } else {
            "within measurement error"
        };
        writeln!(
            output,
            "  Lost since the first standing film after surgery, {}: {}{share}: {verdict}",
            lost.measurement.name(),
            with_interval(&lost.degrees, 1, "°")
        )?;
    }
    match &comparison.head_shift {
        Some(Ok(shift)) => write_shift(shift, output)?,
        Some(Err(why)) => writeln!(output, "  {why}")?,
        None => {}
    }
    let data = compared_foot(comparison, limit);
    if let Some(recurrence) = &data.recurrence {
        let standing = match recurrence.standing {
            "within" => "no",
            "beyond" => "yes",
            _ => "too close to the limit to say",
        };
        writeln!(
            output,
            "  Recurrence ({}; {}): {standing}",
            recurrence.name, recurrence.source
        )?;
    }
    Ok(())
}

fn write_shift(shift: &HeadShift, output: &mut dyn Write) -> anyhow::Result<()> {
    let share = with_interval(&shift.share_of_width.times(100.0), 0, " %");
    let mm = shift
        .millimetres
        .as_ref()
        .map_or_else(String::new, |(mm, name)| {
            format!(", {} ({name})", with_interval(mm, 1, " mm"))
        });
    writeln!(
        output,
        "  Shift of the head toward lateral: {share} of the shaft’s width{mm}"
    )?;
    if let Some(turn) = &shift.turn_degrees {
        writeln!(
            output,
            "  Turn of the head’s joint surface toward lateral: {}",
            with_interval(turn, 1, "°")
        )?;
    }
    if let Some(share) = &shift.lengthening_share {
        let mm = shift
            .lengthening_millimetres
            .as_ref()
            .map_or_else(String::new, |(mm, name)| {
                format!(", {} ({name})", with_interval(mm, 1, " mm"))
            });
        writeln!(
            output,
            "  First metatarsal longer (negative: shorter) against the second: {} of its length{mm}",
            with_interval(&share.times(100.0), 1, " %")
        )?;
    }
    Ok(())
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
        heads.push(format!("{} {}", place + 1, visit.name));
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
