//! What a row says.

use std::path::Path;

use plumbray_anatomy::Side;
use plumbray_cohort::{Content, HEADLINES, StudyRow, cells, columns, facts_of};
use plumbray_compare::{Recurrence, choices_of, foot_of};
use plumbray_measure::{Class, Measurement, worksheet};
use plumbray_study::Stance;

use crate::made::{Wanted, feet, fresh_rows, put, put_text, refreshed};

fn only_row(folder: &Path) -> StudyRow {
    let mut rows = fresh_rows(folder);
    assert_eq!(rows.len(), 1, "one study: {rows:?}");
    rows.remove(0)
}

#[test]
fn a_row_has_the_numbers_of_the_worksheet() {
    let folder = tempfile::tempdir().expect("a folder");
    let wanted = Wanted {
        label: " before surgery ",
        is_calibrated: true,
        ..Wanted::default()
    };
    let study = put(folder.path(), "oak/a.study.ron", &wanted);
    let row = only_row(folder.path());
    let sheet = worksheet(&foot_of(&study), &choices_of(&study));
    assert_eq!(row.path, "oak/a.study.ron", "relative");
    let Content::Read(facts) = row.content else {
        panic!("readable");
    };
    assert_eq!(*facts, facts_of(&study), "not changed by the index");
    for measurement in HEADLINES {
        let reading = sheet
            .outcome(measurement)
            .and_then(|outcome| outcome.reading());
        let value = facts.number(measurement).and_then(|number| number.value());
        assert_eq!(
            value.map(|value| (value.value, value.sd, value.interval)),
            reading.map(|reading| (reading.value, reading.sd, reading.interval)),
            "{measurement:?}"
        );
        assert!(value.is_some(), "{measurement:?} is there");
    }
    assert_eq!(facts.side, Some(Side::Left), "side");
    assert!(facts.side_confirmed, "entered by a person");
    assert_eq!(facts.visit, "before surgery", "label");
    assert_eq!(facts.stance, Stance::Standing, "stance");
    assert_eq!(facts.reader, "AB", "reader");
    assert_eq!(facts.severity, Some(Class::Moderate), "32° and 15°");
}

#[test]
fn there_is_no_millimetre_without_the_name_of_its_calibration() {
    let folder = tempfile::tempdir().expect("a folder");
    put(folder.path(), "a.study.ron", &Wanted::default());
    put(
        folder.path(),
        "b.study.ron",
        &Wanted {
            is_calibrated: true,
            ..Wanted::default()
        },
    );
    let rows = fresh_rows(folder.path());
    let length = |row: &StudyRow| {
        let facts = row.facts().expect("readable");
        facts
            .number(Measurement::RelativeFirstMetatarsalLength)
            .expect("a headline")
            .clone()
    };
    let why = length(&rows[0]);
    assert!(
        why.why_not().is_some_and(|why| why.contains("calibration")),
        "{why:?}"
    );
    let named = length(&rows[1]);
    assert_eq!(
        named.value().and_then(|value| value.calibration.as_deref()),
        Some("at the detector"),
        "{named:?}"
    );
}

#[test]
fn a_study_that_cannot_be_read_is_a_row_that_says_why() {
    let folder = tempfile::tempdir().expect("a folder");
    put(folder.path(), "good.study.ron", &Wanted::default());
    put_text(folder.path(), "cut.study.ron", "(format_version: 1, rev");
    put_text(folder.path(), "newer.study.ron", "(format_version: 99)");
    std::fs::write(folder.path().join("bytes.study.ron"), b"(\n\xff").expect("written");
    std::fs::create_dir(folder.path().join("folder.study.ron")).expect("made");
    let rows = fresh_rows(folder.path());
    let problems: Vec<(&str, &str)> = rows
        .iter()
        .filter_map(|row| Some((row.path.as_str(), row.problem()?)))
        .collect();
    assert_eq!(rows.len(), 4, "a folder is no study: {rows:?}");
    for ((path, problem), (expected, words)) in problems.iter().zip([
        ("bytes.study.ron", "from line 2 on it is not text"),
        ("cut.study.ron", "damaged at line 1"),
        ("newer.study.ron", "a newer Plumbray"),
    ]) {
        assert_eq!(*path, expected, "in order: {problems:?}");
        assert!(problem.contains(words), "{problem}");
        let whole = folder.path().display().to_string();
        assert!(
            !problem.contains(&whole),
            "no place of the series: {problem}"
        );
    }
}

#[test]
fn every_row_has_a_cell_of_its_columns_kind() {
    let folder = tempfile::tempdir().expect("a folder");
    put(folder.path(), "a.study.ron", &Wanted::default());
    put(
        folder.path(),
        "b.study.ron",
        &Wanted {
            date: "2025-04-01",
            operated: true,
            valgus: 12,
            ..Wanted::default()
        },
    );
    put_text(folder.path(), "c.study.ron", "no study");
    let cache = tempfile::tempdir().expect("a folder");
    let place = plumbray_cohort::IndexPlace::CacheFolder(cache.path().to_owned());
    let (mut index, _) = refreshed(&place, folder.path());
    let csv = folder.path().join("table.csv");
    let parquet = folder.path().join("table.parquet");
    let columns = columns();
    let mut tables = [
        plumbray_cohort::TableFile::csv(&csv, &columns).expect("begun"),
        plumbray_cohort::TableFile::parquet(&parquet, &columns, None).expect("begun"),
    ];
    feet(&mut index, &[], &mut |foot, passing| {
        for place in passing {
            let row = cells(foot, *place, Recurrence::default());
            assert_eq!(row.len(), columns.len(), "a cell for each column");
            for table in &mut tables {
                table.add(&row).expect("of its kind");
            }
        }
    });
    for table in tables {
        table.finish().expect("written");
    }
    let text = std::fs::read_to_string(&csv).expect("written");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader.headers().expect("a head").clone();
    let records: Vec<csv::StringRecord> = reader.records().map(|one| one.expect("whole")).collect();
    assert_eq!(records.len(), 3, "rows");
    let cell = |row: usize, name: &str| {
        let place = heads.iter().position(|head| head == name).expect(name);
        records[row].get(place).unwrap_or_default().to_owned()
    };
    assert_eq!(cell(0, "problem"), cell(0, "problem"), "there");
    assert!(
        cell(0, "problem").contains("damaged"),
        "unknown side comes first"
    );
    assert_eq!(cell(2, "foot"), "., left foot", "by side and folder");
    let change: f64 = cell(2, "hallux_valgus_angle_change")
        .parse()
        .expect("a number");
    assert!(change < -15.0, "from 32° to 12°, {change}");
    assert_eq!(cell(2, "hallux_valgus_angle_change_is_real"), "yes", "real");
    assert_eq!(cell(2, "recurrence"), "within", "12° are below 20°");
    assert_eq!(cell(1, "recurrence"), "", "not operated");
}
