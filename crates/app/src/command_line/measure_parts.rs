//! Worksheets of many studies as Parquet parts, by shards: the columns of `plumbray measure --csv`.

use std::path::{Path, PathBuf};

use plumbray_cohort::{
    Cell, Column, ColumnKind, FileStamp, Ingredient, Kind, PartsFolder, PartsWritten, RowsOf,
    Shard, Walk,
};

use crate::printing::{Measured, MeasuredResult, MeasuredStudy};

/// The columns of a table of worksheets, one line for each measurement and convention.
const COLUMNS: [(&str, ColumnKind); 13] = [
    ("study", ColumnKind::Text),
    ("identifier", ColumnKind::Text),
    ("unit", ColumnKind::Text),
    ("convention", ColumnKind::Text),
    ("in_use", ColumnKind::Text),
    ("status", ColumnKind::Text),
    ("value", ColumnKind::Number),
    ("sd", ColumnKind::Number),
    ("interval_low", ColumnKind::Number),
    ("interval_high", ColumnKind::Number),
    ("calibration", ColumnKind::Text),
    ("reason", ColumnKind::Text),
    ("own_sd", ColumnKind::Number),
];

/// The columns of a table of worksheets.
pub(super) fn worksheet_columns() -> Vec<Column> {
    COLUMNS
        .into_iter()
        .map(|(name, kind)| Column::new(name, kind))
        .collect()
}

/// The lines of a study's worksheet: each measurement by the convention in use, then by the others.
pub(super) fn worksheet_rows(study: &MeasuredStudy) -> Vec<Vec<Cell>> {
    let mut rows = Vec::new();
    for measured in &study.measurements {
        rows.push(row(study, measured, true, &measured.result));
        for other in &measured.conventions {
            if other.convention != measured.result.convention {
                rows.push(row(study, measured, false, other));
            }
        }
    }
    rows
}

fn row(
    study: &MeasuredStudy,
    measured: &Measured,
    in_use: bool,
    result: &MeasuredResult,
) -> Vec<Cell> {
    vec![
        Cell::text(study.study.clone()),
        Cell::text(measured.identifier),
        Cell::text(measured.unit),
        Cell::Text(result.convention.map(str::to_owned)),
        Cell::yes(in_use),
        Cell::text(result.status),
        Cell::Number(result.value),
        Cell::Number(result.sd),
        Cell::Number(result.interval.map(|interval| interval.0)),
        Cell::Number(result.interval.map(|interval| interval.1)),
        Cell::Text(result.calibration.clone()),
        Cell::Text(result.reason.clone()),
        Cell::Number(result.own_sd),
    ]
}

/// The line of a file that gave no worksheet, with why.
pub(super) fn failure_row(file: &Path, problem: &str) -> Vec<Cell> {
    COLUMNS
        .into_iter()
        .map(|(name, kind)| match (name, kind) {
            ("study", _) => Cell::text(file.display().to_string()),
            ("status", _) => Cell::text("failed"),
            ("reason", _) => Cell::text(problem),
            (_, ColumnKind::Number) => Cell::Number(None),
            (_, ColumnKind::Integer) => Cell::Integer(None),
            (_, ColumnKind::Text) => Cell::Text(None),
        })
        .collect()
}

/// The studies of a folder and the folders below it.
pub(super) fn studies_below(folder: &Path) -> anyhow::Result<Vec<Ingredient>> {
    let mut studies = Vec::new();
    for file in Walk::through(folder) {
        let file = file?;
        if file.kind == Kind::Study {
            studies.push(Ingredient {
                relative: file.relative,
                stamp: file.stamp,
                path: file.path,
            });
        }
    }
    Ok(studies)
}

/// Writes the parts of a shard into a folder, and says how many pieces there were.
pub(super) fn write_parts(
    folder: &Path,
    shard: Shard,
    settings: &str,
    files: Vec<Ingredient>,
    in_piece: usize,
    rows_of: &mut RowsOf<'_, anyhow::Error>,
) -> anyhow::Result<PartsWritten> {
    let parts = PartsFolder::open(folder, shard)?;
    parts.write(&worksheet_columns(), settings, files, in_piece, rows_of)
}

/// A file that was named itself, as a part is made from it. One that is not there is told when it is read.
pub(super) fn named(path: &Path) -> Ingredient {
    let name = path.file_name().unwrap_or_default();
    Ingredient {
        relative: name.to_string_lossy().into_owned(),
        stamp: FileStamp::of(path).unwrap_or(FileStamp {
            size_bytes: 0,
            modified_nanoseconds: 0,
        }),
        path: PathBuf::from(path),
    }
}
