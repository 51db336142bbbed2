//! Parts of a table by shards: nothing lost, nothing twice.

use std::{collections::BTreeMap, fs, path::Path};

use parquet::{file::reader::SerializedFileReader, record::Field};
use plumbray_cohort::{
    Cell, Column, ColumnKind, FileStamp, Ingredient, PartsError, PartsFolder, PartsWritten, Shard,
};
use proptest::prelude::*;

fn ingredients(count: u64) -> Vec<Ingredient> {
    (0..count)
        .map(|number| Ingredient {
            relative: format!("{number}.study.ron"),
            stamp: FileStamp {
                size_bytes: number,
                modified_nanoseconds: 0,
            },
            path: format!("/series/{number}.study.ron").into(),
        })
        .collect()
}

fn columns() -> Vec<Column> {
    vec![
        Column::new("study", ColumnKind::Text),
        Column::new("size", ColumnKind::Integer),
        Column::new("half", ColumnKind::Number),
    ]
}

/// Writes a shard; stops with an error before the piece of this number.
fn write(
    folder: &Path,
    shard: Shard,
    files: Vec<Ingredient>,
    stop_before: usize,
) -> Result<PartsWritten, PartsError> {
    let mut pieces = 0;
    PartsFolder::open(folder, shard)?.write(&columns(), "settings", files, 3, &mut |piece| {
        if pieces == stop_before {
            let folder = folder.to_owned();
            return Err(PartsError::OtherShards { part: folder });
        }
        pieces += 1;
        Ok(piece.iter().map(row).collect())
    })
}

fn row(file: &Ingredient) -> Vec<Cell> {
    let size = i64::try_from(file.stamp.size_bytes).expect("small");
    vec![
        Cell::text(file.relative.clone()),
        Cell::Integer(Some(size)),
        Cell::Number((size % 2 == 0).then_some(0.5)),
    ]
}

/// How often each study stands in the parts of a folder.
fn counts(folder: &Path) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("there").path();
        if path.extension().is_none_or(|ending| ending != "parquet") {
            continue;
        }
        let reader = SerializedFileReader::try_from(path.as_path()).expect("whole");
        for row in reader {
            let row = row.expect("a row");
            let study = row.get_column_iter().next().map(|(_, field)| field.clone());
            let Some(Field::Str(study)) = study else {
                panic!("text, not {study:?}");
            };
            *counts.entry(study).or_default() += 1;
        }
    }
    counts
}

fn each_once(folder: &Path, count: u64) {
    let counts = counts(folder);
    assert_eq!(counts.len() as u64, count, "none is lost: {counts:?}");
    assert!(
        counts.values().all(|count| *count == 1),
        "none twice: {counts:?}"
    );
}

const WHOLE_RUN: usize = usize::MAX;

#[test]
fn a_run_that_was_stopped_goes_on_where_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let stopped = write(folder.path(), Shard::WHOLE, ingredients(10), 2);
    assert!(stopped.is_err(), "stopped");
    assert_eq!(
        counts(folder.path()).len(),
        6,
        "two pieces of three are there"
    );
    let written = write(folder.path(), Shard::WHOLE, ingredients(10), WHOLE_RUN).expect("written");
    assert_eq!(written, PartsWritten { kept: 2, made: 2 }, "goes on");
    each_once(folder.path(), 10);
    let again = write(folder.path(), Shard::WHOLE, ingredients(10), WHOLE_RUN).expect("written");
    assert_eq!(
        again,
        PartsWritten { kept: 4, made: 0 },
        "nothing left to do"
    );
}

#[test]
fn parts_follow_a_series_that_grew_shrank_or_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    for count in [10, 25, 4, 11] {
        write(folder.path(), Shard::WHOLE, ingredients(count), WHOLE_RUN).expect("written");
        each_once(folder.path(), count);
    }
    let mut changed = ingredients(11);
    changed[5].stamp.modified_nanoseconds = 9;
    let written = write(folder.path(), Shard::WHOLE, changed, WHOLE_RUN).expect("written");
    assert_eq!(written.made, 1, "only the piece with the changed study");
}

#[test]
fn a_part_that_is_cut_short_is_made_again() {
    let folder = tempfile::tempdir().expect("a folder");
    write(folder.path(), Shard::WHOLE, ingredients(9), WHOLE_RUN).expect("written");
    let part = folder.path().join("part-000001-of-000001-000001.parquet");
    let bytes = fs::read(&part).expect("a part");
    fs::write(&part, &bytes[..bytes.len() - 9]).expect("cut");
    fs::write(
        folder
            .path()
            .join(".writing-part-000001-of-000001-000002.parquet-x"),
        b"",
    )
    .expect("left by a killed run");
    let written = write(folder.path(), Shard::WHOLE, ingredients(9), WHOLE_RUN).expect("written");
    assert_eq!(written, PartsWritten { kept: 2, made: 1 }, "that one alone");
    each_once(folder.path(), 9);
    let left: Vec<_> = fs::read_dir(folder.path())
        .expect("a folder")
        .filter(|entry| {
            let name = entry.as_ref().expect("there").file_name();
            name.to_string_lossy().starts_with(".writing")
        })
        .collect();
    assert!(left.is_empty(), "nothing half written is left: {left:?}");
}

#[test]
fn parts_of_another_number_of_shards_are_not_mixed_in() {
    let folder = tempfile::tempdir().expect("a folder");
    let of = |number, of| Shard::new(number, of).expect("a shard");
    write(folder.path(), of(1, 4), ingredients(20), WHOLE_RUN).expect("written");
    let problem = write(folder.path(), of(1, 5), ingredients(20), WHOLE_RUN).expect_err("refused");
    assert!(
        matches!(problem, PartsError::OtherShards { .. }),
        "{problem}"
    );
}

#[test]
fn one_shard_is_written_by_one_process_at_a_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let held = PartsFolder::open(folder.path(), Shard::WHOLE).expect("the first");
    let problem = PartsFolder::open(folder.path(), Shard::WHOLE).expect_err("the second");
    assert!(matches!(problem, PartsError::Busy { .. }), "{problem}");
    drop(held);
    PartsFolder::open(folder.path(), Shard::WHOLE).expect("free again");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn shards_put_together_are_the_whole(count in 0_u64..40, of in 1_u32..6, stopped in 0_usize..4) {
        let folder = tempfile::tempdir().expect("a folder");
        for number in 1..=of {
            let shard = Shard::new(number, of).expect("a shard");
            let _stopped = write(folder.path(), shard, ingredients(count), stopped);
        }
        for number in 1..=of {
            let shard = Shard::new(number, of).expect("a shard");
            write(folder.path(), shard, ingredients(count), WHOLE_RUN).expect("written");
        }
        each_once(folder.path(), count);
    }
}
