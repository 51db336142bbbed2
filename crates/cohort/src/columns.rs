//! The table of a series: its columns, and the cells of a row.

use jiff::Timestamp;
use plumbray_compare::{Occasion, Recurrence, Standing};
use plumbray_measure::{Measurement, Unit};
use plumbray_study::Stance;

use crate::{
    feet::{FootVisit, SeriesFoot, change_between},
    row::{FileStamp, HEADLINES, Number, StudyFacts},
    table::{Cell, Column, ColumnKind},
};

/// Columns before the numbers.
const FIRST: [(&str, ColumnKind); 17] = [
    ("path", ColumnKind::Text),
    ("foot", ColumnKind::Text),
    ("visit_number", ColumnKind::Integer),
    ("visits_of_foot", ColumnKind::Integer),
    ("visit", ColumnKind::Text),
    ("occasion", ColumnKind::Text),
    ("side", ColumnKind::Text),
    ("side_confirmed", ColumnKind::Text),
    ("ap_date", ColumnKind::Text),
    ("lateral_date", ColumnKind::Text),
    ("operated", ColumnKind::Text),
    ("standing", ColumnKind::Text),
    ("reader", ColumnKind::Text),
    ("looked_at", ColumnKind::Text),
    ("severity_scheme", ColumnKind::Text),
    ("severity", ColumnKind::Text),
    ("recurrence", ColumnKind::Text),
];

/// Columns after the numbers.
const LAST: [(&str, ColumnKind); 4] = [
    ("problem", ColumnKind::Text),
    ("hash", ColumnKind::Text),
    ("size_bytes", ColumnKind::Integer),
    ("modified", ColumnKind::Text),
];

/// The columns of the table, documented in `docs/cohort.md`.
#[must_use]
pub fn columns() -> Vec<Column> {
    let plain = |(name, kind): (&'static str, ColumnKind)| Column::new(name, kind);
    FIRST
        .into_iter()
        .map(plain)
        .chain(HEADLINES.into_iter().flat_map(number_columns))
        .chain(LAST.into_iter().map(plain))
        .collect()
}

fn number_columns(measurement: Measurement) -> Vec<Column> {
    let name = measurement.identifier();
    let column = |ending: &str, kind| Column::new(format!("{name}{ending}"), kind);
    let mut columns = vec![
        column("", ColumnKind::Number),
        column("_low", ColumnKind::Number),
        column("_high", ColumnKind::Number),
        column("_convention", ColumnKind::Text),
    ];
    if measurement.unit() == Unit::Millimetres {
        columns.push(column("_calibration", ColumnKind::Text));
    }
    columns.push(column("_why_not", ColumnKind::Text));
    columns.push(column("_change", ColumnKind::Number));
    columns.push(column("_change_is_real", ColumnKind::Text));
    columns
}

/// The cells of a foot's visit, in the order of [`columns`]. Changes are those since the first visit of the foot that
/// can be read; recurrence is told of standing visits after surgery.
#[must_use]
pub fn cells(foot: &SeriesFoot, place: usize, limit: Recurrence) -> Vec<Cell> {
    let Some(visit) = foot.visits.get(place) else {
        return Vec::new();
    };
    let facts = visit.row.facts();
    let count = |number: usize| Cell::Integer(i64::try_from(number).ok());
    let mut cells = vec![
        Cell::text(visit.row.path.clone()),
        Cell::text(foot.name.clone()),
        count(place + 1),
        count(foot.visits.len()),
        Cell::words(&visit.name),
        Cell::Text(facts.map(|_| occasion_name(visit.occasion).to_owned())),
    ];
    cells.extend(cells_of_facts(visit, facts, limit));
    let first = foot.first_and_last().map(|(first, _)| first);
    for (number, measurement) in HEADLINES.into_iter().enumerate() {
        let found = facts.and_then(|facts| facts.numbers.get(number));
        cells.extend(number_cells(measurement, found));
        cells.extend(change_cells(first, visit, measurement));
    }
    cells.extend([
        Cell::Text(visit.row.problem().map(str::to_owned)),
        Cell::Text(visit.row.hash.clone()),
        Cell::Integer(i64::try_from(visit.row.stamp.size_bytes).ok()),
        Cell::Text(time_of(visit.row.stamp)),
    ]);
    cells
}

const fn occasion_name(occasion: Occasion) -> &'static str {
    crate::index::occasion_word(occasion)
}

fn cells_of_facts(visit: &FootVisit, facts: Option<&StudyFacts>, limit: Recurrence) -> Vec<Cell> {
    let Some(facts) = facts else {
        return vec![Cell::Text(None); 11];
    };
    let recurrence = visit
        .is_result()
        .then(|| facts.standing(limit))
        .flatten()
        .map(|standing| Standing::identifier(standing).to_owned());
    vec![
        Cell::Text(facts.side.map(|side| side.identifier().to_owned())),
        Cell::yes(facts.side_confirmed),
        Cell::Text(facts.ap_date.map(|date| date.to_string())),
        Cell::Text(facts.lateral_date.map(|date| date.to_string())),
        Cell::yes(facts.operated),
        Cell::text(match facts.stance {
            Stance::Unknown => "unknown",
            Stance::Standing => "yes",
            Stance::NotStanding => "no",
        }),
        Cell::words(&facts.reader),
        Cell::yes(facts.draft.is_none()),
        Cell::text(facts.severity_scheme.clone()),
        Cell::Text(facts.severity.map(|class| class.identifier().to_owned())),
        Cell::Text(recurrence),
    ]
}

fn number_cells(measurement: Measurement, number: Option<&Number>) -> Vec<Cell> {
    let value = number.and_then(Number::value);
    let mut cells = vec![
        Cell::Number(value.map(|value| value.value)),
        Cell::Number(value.map(|value| value.interval.0)),
        Cell::Number(value.map(|value| value.interval.1)),
        Cell::Text(value.and_then(|value| value.convention.clone())),
    ];
    if measurement.unit() == Unit::Millimetres {
        cells.push(Cell::Text(
            value.and_then(|value| value.calibration.clone()),
        ));
    }
    let why_not = number.and_then(Number::why_not);
    cells.push(Cell::Text(why_not.map(str::to_owned)));
    cells
}

fn change_cells(
    first: Option<&FootVisit>,
    visit: &FootVisit,
    measurement: Measurement,
) -> [Cell; 2] {
    let change = first
        .filter(|first| first.row.path != visit.row.path)
        .and_then(|first| change_between(first, visit, measurement).ok());
    [
        Cell::Number(change.map(|change| change.difference)),
        Cell::Text(change.map(|change| if change.is_real { "yes" } else { "no" }.to_owned())),
    ]
}

/// The time of a file's last change in UTC.
fn time_of(stamp: FileStamp) -> Option<String> {
    let time = Timestamp::from_nanosecond(i128::from(stamp.modified_nanoseconds)).ok()?;
    Some(time.to_string())
}
