//! A comparison as a sheet to print.

use plumbray_anatomy::View;
use plumbray_compare::{Comparison, Recurrence, VisitColumn, foot_of};
use plumbray_measure::{Choices, Measurement, worksheet};
use plumbray_report::{
    ComparisonContent, ComparisonRow, FoundFilm, Paper, PlanResultRow, PlanResultTable, SheetFilm,
    SheetSide, comparison_sheet,
};

use super::{
    FootOverTime, HeldPlan, OpenedFilms, VisitOnDisk, courses, plan_lines, plan_notes,
    words::{answers, calibration_lines, difference_words, value_words},
};
use crate::{window::CAUTION, workbench::PROGRAM};

/// The sheet of a comparison with the chosen rows. Of the films those are shown that were opened for it.
///
/// # Errors
/// When the PDF cannot be made.
pub(crate) fn comparison_pdf(
    foot: &FootOverTime,
    comparison: &Comparison,
    plan: Option<&HeldPlan>,
    limit: Recurrence,
    measurements: &[Measurement],
    films: &OpenedFilms,
) -> anyhow::Result<Vec<u8>> {
    let pair = comparison.pair;
    let compared = [pair.earlier, pair.later];
    let visit = |place: usize| foot.visits.get(place);
    let side = visit(pair.later).map_or(SheetSide::Unknown, |visit| SheetSide::of(&visit.study));
    let named = |place: usize| {
        comparison
            .visits
            .get(place)
            .map_or_else(String::new, words_of)
    };
    let pictures = |view: View| {
        let shown = compared.into_iter();
        shown
            .filter_map(|place| film(visit(place)?, view, comparison, films))
            .collect()
    };
    let has_lateral =
        |place: usize| visit(place).is_some_and(|visit| visit.study.film(View::Lateral).is_some());
    let has_both_laterals = compared.into_iter().all(has_lateral);
    let content = ComparisonContent {
        paper: Paper::A4,
        side,
        visits: format!(
            "{} compared with {} · every number by {}",
            named(pair.later),
            named(pair.earlier),
            comparison.convention.name()
        ),
        films: pictures(View::Ap),
        lateral_films: if has_both_laterals {
            pictures(View::Lateral)
        } else {
            Vec::new()
        },
        columns: comparison
            .visits
            .iter()
            .map(|visit| visit.name.short.clone())
            .collect(),
        rows: comparison
            .rows
            .iter()
            .filter(|row| measurements.contains(&row.measurement))
            .map(|row| ComparisonRow {
                name: row.measurement.name().to_owned(),
                values: row
                    .outcomes
                    .iter()
                    .map(|outcome| value_words(row.measurement, outcome))
                    .collect(),
                change: difference_words(row),
                verdict: row
                    .change
                    .as_ref()
                    .map_or_else(|_none| String::new(), |change| change.verdict().to_owned()),
            })
            .collect(),
        plan: plan.and_then(|plan| plan_table(comparison, plan)),
        courses: courses(comparison),
        answers: answers(comparison, limit),
        warnings: comparison
            .warnings
            .iter()
            .map(|warning| format!("Look again: {warning}"))
            .collect(),
        notes: calibration_lines(comparison),
        caution: CAUTION.to_owned(),
        program: PROGRAM.to_owned(),
        origin: origin(foot),
    };
    Ok(comparison_sheet(&content)?)
}

/// What was planned beside what was achieved; nothing where the plan is not held against the result.
fn plan_table(comparison: &Comparison, plan: &HeldPlan) -> Option<PlanResultTable> {
    let name = |place: usize| {
        let visit = comparison.visits.get(place);
        visit.map_or_else(String::new, |visit| visit.name.long.clone())
    };
    let result = plan.result.as_ref().ok()?;
    Some(PlanResultTable {
        heading: format!(
            "Plan against result: “{}” ({}), at the visit “{}”",
            plan.name,
            name(plan.visit),
            name(plan.against)
        ),
        rows: plan_lines(result)
            .into_iter()
            .map(|line| PlanResultRow {
                name: line.name,
                values: [line.before, line.intended, line.achieved],
                difference: line.difference,
                verdict: line.verdict.to_owned(),
            })
            .collect(),
        notes: plan_notes(result),
    })
}

fn words_of(visit: &VisitColumn) -> String {
    let day = visit
        .date
        .map_or_else(|| "day unknown".to_owned(), plumbray_report::number::day);
    format!("“{}” ({day})", visit.name.long)
}

fn film(
    visit: &VisitOnDisk,
    view: View,
    comparison: &Comparison,
    films: &OpenedFilms,
) -> Option<SheetFilm> {
    let choices = Choices {
        convention: Some(comparison.convention),
        ..Choices::default()
    };
    let compared = visit.visit();
    let mut study = visit.study.clone();
    // A film from theatre bears no weight, whatever its study says.
    study.visit.stance = compared.stance();
    let sheet = worksheet(&foot_of(&study), &choices);
    let record = visit.study.film(view)?;
    let found = match films.get(visit, view) {
        Some(film) => FoundFilm::of(film, record),
        None => FoundFilm::Absent("its file is not where the study expects it"),
    };
    let mut film = SheetFilm::of_visit(&study, &sheet, view, found)?;
    film.caption = format!("“{}”: {}", compared.name().long, film.caption);
    Some(film)
}

/// The program and the studies' files.
fn origin(foot: &FootOverTime) -> String {
    let files: Vec<String> = foot
        .visits
        .iter()
        .filter_map(|visit| Some(visit.path.file_name()?.to_string_lossy().into_owned()))
        .collect();
    format!("{PROGRAM} · {}", files.join(", "))
}
