//! The index in SQLite follows the files, and is made again where it cannot be used.

use std::{
    fs::{self, File, FileTimes},
    path::{Path, PathBuf},
    time::{Duration, SystemTime},
};

use plumbray_cohort::{Index, IndexError, IndexPlace};
use plumbray_study::study_to_text;
use proptest::prelude::*;

use crate::made::{Wanted, fresh_rows, put, put_many, put_text, refreshed, rows, study};

/// Makes files an hour old, so that their times are beyond doubt.
fn age(folder: &Path) {
    for file in plumbray_cohort::Walk::through(folder) {
        set_time(
            &file.expect("readable").path,
            SystemTime::now() - Duration::from_hours(1),
        );
    }
}

fn set_time(path: &Path, time: SystemTime) {
    let file = File::options().write(true).open(path).expect("there");
    file.set_times(FileTimes::new().set_modified(time))
        .expect("set");
}

fn index_file(cache: &Path) -> PathBuf {
    let mut files = fs::read_dir(cache)
        .expect("a cache")
        .map(|entry| entry.expect("there").path());
    files
        .find(|path| path.extension().is_some_and(|ending| ending == "sqlite"))
        .expect("an index")
}

#[test]
fn only_what_changed_is_measured_again_and_what_is_gone_is_forgotten() {
    let (folder, cache) = (
        tempfile::tempdir().expect("one"),
        tempfile::tempdir().expect("two"),
    );
    let place = IndexPlace::CacheFolder(cache.path().to_owned());
    put_many(folder.path(), 30);
    age(folder.path());
    let measured = |expected: u64, why: &str| {
        let (mut index, refreshed) = refreshed(&place, folder.path());
        assert_eq!(refreshed.measured, expected, "{why}");
        assert!(refreshed.is_complete, "{why}");
        assert_eq!(
            rows(&mut index),
            fresh_rows(folder.path()),
            "{why}: as a fresh index"
        );
    };
    measured(30, "all are new");
    measured(0, "none changed");

    let changed = folder.path().join("patient-0003/2025-01-01.dcm.study.ron");
    put(
        folder.path(),
        "patient-0003/2025-01-01.dcm.study.ron",
        &Wanted::default(),
    );
    measured(1, "one changed");
    fs::remove_file(&changed).expect("removed");
    put(folder.path(), "new/a.study.ron", &Wanted::default());
    measured(1, "one is gone and one is new");
    fs::remove_dir_all(folder.path().join("patient-0004")).expect("removed");
    measured(0, "a folder is gone");

    // Written again with the same bytes: the new time alone is no change.
    let same = folder.path().join("patient-0005/2025-01-01.dcm.study.ron");
    fs::write(&same, fs::read(&same).expect("there")).expect("written");
    measured(0, "the same bytes");
}

#[test]
fn a_change_within_the_coarseness_of_a_clock_is_noticed() {
    let (folder, cache) = (
        tempfile::tempdir().expect("one"),
        tempfile::tempdir().expect("two"),
    );
    let place = IndexPlace::CacheFolder(cache.path().to_owned());
    let path = folder.path().join("a.study.ron");
    let text = |label: &str| {
        let wanted = Wanted {
            label,
            ..Wanted::default()
        };
        study_to_text(&study(&wanted)).expect("storable")
    };
    put_text(folder.path(), "a.study.ron", &text("one"));
    let written = fs::metadata(&path)
        .and_then(|found| found.modified())
        .expect("a time");
    let (mut index, _) = refreshed(&place, folder.path());
    assert_eq!(
        rows(&mut index)[0].facts().expect("readable").visit,
        "one",
        "first"
    );
    drop(index);
    // As long, and by the clock of the file system at the same time.
    put_text(folder.path(), "a.study.ron", &text("two"));
    set_time(&path, written);
    let (mut index, refreshed) = refreshed(&place, folder.path());
    assert_eq!(
        refreshed.measured, 1,
        "read again, since its time is doubtful"
    );
    assert_eq!(
        rows(&mut index)[0].facts().expect("readable").visit,
        "two",
        "second"
    );
}

/// What is done to the bytes of an index.
type Damage = fn(&mut Vec<u8>);

#[test]
fn a_damaged_index_is_made_anew_wherever_it_is_damaged() {
    let (folder, cache) = (
        tempfile::tempdir().expect("one"),
        tempfile::tempdir().expect("two"),
    );
    let place = IndexPlace::CacheFolder(cache.path().to_owned());
    put_many(folder.path(), 40);
    age(folder.path());
    let wanted = fresh_rows(folder.path());
    drop(refreshed(&place, folder.path()));
    let file = index_file(cache.path());
    let whole = fs::read(&file).expect("an index");
    let damages: [(&str, Damage); 7] = [
        ("empty", Vec::clear),
        ("no header", |bytes| bytes[..16].fill(b'x')),
        ("another program's", |bytes| bytes[68..72].fill(7)),
        ("another version", |bytes| bytes[60..64].fill(9)),
        ("cut short", |bytes| bytes.truncate(bytes.len() / 2)),
        ("zeroes in the middle", |bytes| {
            let middle = bytes.len() / 2 / 4096 * 4096;
            bytes[middle..middle + 4096].fill(0);
        }),
        ("first page torn", |bytes| bytes[100..4096].fill(0xAA)),
    ];
    for (name, damage) in damages {
        let mut bytes = whole.clone();
        damage(&mut bytes);
        for part in ["-wal", "-shm"] {
            let mut path = file.clone().into_os_string();
            path.push(part);
            let _none = fs::remove_file(path);
        }
        fs::write(&file, bytes).expect("written");
        let (mut index, refreshed) = refreshed(&place, folder.path());
        assert_eq!(refreshed.measured, 40, "{name}: all measured again");
        assert_eq!(rows(&mut index), wanted, "{name}: the same table");
    }
}

#[test]
fn a_file_that_is_no_index_is_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("thesis.txt");
    fs::write(&file, b"years of work").expect("written");
    let problem = Index::open(&IndexPlace::File(file.clone()), "series").expect_err("refused");
    assert!(
        matches!(problem, IndexError::NotAnIndex { .. }),
        "{problem}"
    );
    assert_eq!(
        fs::read(&file).expect("there"),
        b"years of work",
        "as it was"
    );
}

#[test]
fn an_index_of_another_folder_is_not_taken_for_this_one() {
    let (one, other) = (
        tempfile::tempdir().expect("one"),
        tempfile::tempdir().expect("two"),
    );
    put(one.path(), "a.study.ron", &Wanted::default());
    put(other.path(), "b.study.ron", &Wanted::default());
    let file = tempfile::tempdir().expect("three");
    let place = IndexPlace::File(file.path().join("feet.index"));
    let open = |folder: &Path, series: &str| {
        let (mut index, _) =
            plumbray_cohort::open_refreshed(&place, series, folder, false, &mut |_| {
                std::ops::ControlFlow::Continue(())
            })
            .expect("an index");
        rows(&mut index)
            .into_iter()
            .map(|row| row.path)
            .collect::<Vec<_>>()
    };
    assert_eq!(open(one.path(), "one"), ["a.study.ron"], "the first");
    assert_eq!(
        open(other.path(), "other"),
        ["b.study.ron"],
        "the second alone"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8))]

    #[test]
    fn the_order_in_which_files_come_does_not_matter(order in Just((0..12_usize).collect::<Vec<_>>()).prop_shuffle(), cut in 0..12_usize) {
        let (folder, cache) = (tempfile::tempdir().expect("one"), tempfile::tempdir().expect("two"));
        let place = IndexPlace::CacheFolder(cache.path().to_owned());
        for (turn, number) in order.into_iter().enumerate() {
            let wanted = Wanted { valgus: 24 + i32::try_from(number % 3).expect("small"), ..Wanted::default() };
            put(folder.path(), &format!("{}/{number}.study.ron", number % 4), &wanted);
            if turn == cut {
                drop(refreshed(&place, folder.path()));
            }
        }
        let (mut index, _) = refreshed(&place, folder.path());
        let paths: Vec<String> = rows(&mut index).into_iter().map(|row| row.path).collect();
        let mut sorted = paths.clone();
        sorted.sort();
        prop_assert_eq!(paths.len(), 12, "all of them");
        prop_assert_eq!(rows(&mut index), fresh_rows(folder.path()), "as a fresh index");
        sorted.dedup();
        prop_assert_eq!(sorted.len(), 12, "each once");
    }
}
