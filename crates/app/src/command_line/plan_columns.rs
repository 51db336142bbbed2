//! Plans of a foot as text: a column for each.

use std::{io::Write, path::Path};

use plumbray_plan::{Assumption, assumptions};
use plumbray_study::Study;

use crate::{
    planning::{Carried, Line, lines, words},
    window::CAUTION,
};

/// The widest that a plan's column becomes, in letters.
const COLUMN: usize = 44;

/// The widest that the names before the columns become, in letters.
const NAMES: usize = 52;

/// Everything that is told of the plans of a study.
pub(super) fn write_text(
    path: &Path,
    study: &Study,
    plans: &[Carried],
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    writeln!(output, "{} ({})", path.display(), side_words(study))?;
    let columns: Vec<Vec<Line>> = plans.iter().map(lines).collect();
    let names: Vec<&str> = plans.iter().map(|plan| plan.name.as_str()).collect();
    if let [only] = columns.as_slice() {
        writeln!(output, "{}", names.join(""))?;
        write_one(only, output)?;
    } else {
        write_beside_each_other(&names, &columns, output)?;
    }
    writeln!(output, "Taken for granted")?;
    for (assumption, of) in taken_for_granted(plans) {
        writeln!(
            output,
            "  {}{} ({}).",
            of,
            assumption.text.trim_end_matches('.'),
            assumption.source
        )?;
    }
    if let Some(first) = plans.first() {
        for line in words::calibration_lines(&first.undertaking) {
            writeln!(output, "  {line}")?;
        }
    }
    writeln!(output, "  {CAUTION}")?;
    Ok(())
}

fn side_words(study: &Study) -> String {
    study.side.map_or_else(
        || "side unknown: say which foot it is before use".to_owned(),
        |choice| {
            let side = choice.side.identifier();
            if choice.confirmed {
                format!("{side} foot, confirmed")
            } else {
                format!("{side} foot, not confirmed: confirm before use")
            }
        },
    )
}

/// The lines of one plan, each with its name.
fn write_one(lines: &[Line], output: &mut dyn Write) -> anyhow::Result<()> {
    let width = lines
        .iter()
        .map(|line| line.name.chars().count())
        .max()
        .unwrap_or_default();
    let mut heading = "";
    for line in lines {
        if line.heading != heading {
            heading = line.heading;
            writeln!(output, "{heading}")?;
        }
        writeln!(output, "  {:<width$}  {}", line.name, line.text)?;
    }
    Ok(())
}

/// The lines of several plans, a column each; what a plan does not have is left empty.
fn write_beside_each_other(
    names: &[&str],
    columns: &[Vec<Line>],
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    let names: Vec<String> = names.iter().map(|name| (*name).to_owned()).collect();
    write_row("", &names, output)?;
    let mut heading = "";
    for (of, name) in all_names(columns) {
        if of != heading {
            heading = of;
            writeln!(output, "{heading}")?;
        }
        let cells: Vec<String> = columns
            .iter()
            .map(|lines| {
                let mut found = lines.iter();
                found
                    .find(|line| line.heading == of && line.name == name)
                    .map_or_else(|| "–".to_owned(), |line| line.text.clone())
            })
            .collect();
        write_row(&name, &cells, output)?;
    }
    Ok(())
}

/// The headings with the names below them, of all plans together: those of the first, and below the same heading
/// what only the others have.
fn all_names(columns: &[Vec<Line>]) -> Vec<(&'static str, String)> {
    let mut all: Vec<(&'static str, String)> = Vec::new();
    for line in columns.iter().flatten() {
        if all
            .iter()
            .any(|(of, name)| *of == line.heading && *name == line.name)
        {
            continue;
        }
        let last = all.iter().rposition(|(of, _)| *of == line.heading);
        let place = last.map_or(all.len(), |last| last + 1);
        all.insert(place, (line.heading, line.name.clone()));
    }
    all
}

/// A row of cells, each wrapped in its column.
fn write_row(name: &str, cells: &[String], output: &mut dyn Write) -> anyhow::Result<()> {
    let names = wrapped(name, NAMES);
    let cells: Vec<Vec<String>> = cells.iter().map(|cell| wrapped(cell, COLUMN)).collect();
    let height = cells
        .iter()
        .map(Vec::len)
        .max()
        .unwrap_or_default()
        .max(names.len());
    let piece = |lines: &[String], at: usize| lines.get(at).cloned().unwrap_or_default();
    for at in 0..height {
        let mut row = format!("  {:<NAMES$}", piece(&names, at));
        for cell in &cells {
            row.push_str(&format!("  {:<COLUMN$}", piece(cell, at)));
        }
        writeln!(output, "{}", row.trim_end())?;
    }
    Ok(())
}

/// A text in lines of so many letters at most; a longer word has a line of its own.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let Some(line) = lines.last_mut() else {
            continue;
        };
        if line.is_empty() {
            line.push_str(word);
        } else if line.chars().count() + 1 + word.chars().count() <= width {
            line.push(' ');
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

/// What is taken for granted, each once, with the plans that it is about where it is not about all.
fn taken_for_granted(plans: &[Carried]) -> Vec<(Assumption, String)> {
    let of_each: Vec<Vec<Assumption>> = plans
        .iter()
        .map(|carried| assumptions(&carried.plan))
        .collect();
    let mut all: Vec<Assumption> = Vec::new();
    for assumption in of_each.iter().flatten() {
        if !all.contains(assumption) {
            all.push(assumption.clone());
        }
    }
    all.into_iter()
        .map(|assumption| {
            let of: Vec<&str> = plans
                .iter()
                .zip(&of_each)
                .filter(|(_, granted)| granted.contains(&assumption))
                .map(|(carried, _)| carried.name.as_str())
                .collect();
            let words = if of.len() == plans.len() {
                String::new()
            } else {
                format!("{}: ", of.join(", "))
            };
            (assumption, words)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(name: &str) -> Line {
        Line {
            heading: "Checks",
            name: name.to_owned(),
            text: "met".to_owned(),
        }
    }

    #[test]
    fn what_only_one_plan_has_stands_below_the_same_heading() {
        let other = Line {
            heading: "Bone",
            ..line("step")
        };
        let columns = [vec![line("a"), other], vec![line("b"), line("a")]];
        let expected = [("Checks", "a"), ("Checks", "b"), ("Bone", "step")];
        let found = all_names(&columns);
        let found: Vec<(&str, &str)> = found
            .iter()
            .map(|(of, name)| (*of, name.as_str()))
            .collect();
        assert_eq!(found, expected, "names under their headings");
    }

    #[test]
    fn a_cell_is_wrapped_between_words_and_no_word_is_lost() {
        let text = "medial base, lateral shaft, lateral head";
        let lines = wrapped(text, 14);
        assert!(
            lines.iter().all(|line| line.chars().count() <= 14),
            "{lines:?}"
        );
        assert_eq!(lines.join(" "), text, "every word");
        assert_eq!(wrapped("", 14), [""], "an empty cell is a line");
    }
}
