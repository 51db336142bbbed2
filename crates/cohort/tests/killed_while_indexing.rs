//! A process that is killed while it indexes leaves an index that the next one goes on with, to the same table.

#[path = "series/made.rs"]
mod made;

use std::{
    fs,
    path::Path,
    process::{Child, Command, Stdio},
    thread,
    time::Duration,
};

use plumbray_cohort::{Index, IndexPlace};

use crate::made::{Wanted, fresh_rows, put, put_many, refreshed, rows};

const CHILD_FOLDER: &str = "PLUMBRAY_TEST_INDEX_IN";
const STUDIES: usize = 1_000;
const KILLS: u64 = 20;

fn place(folder: &Path) -> IndexPlace {
    IndexPlace::CacheFolder(folder.join("cache"))
}

/// Not a test by itself: the process that the test below starts and kills.
#[test]
#[ignore = "run by the test below, in a process of its own"]
fn child_indexes_a_folder() {
    let Some(folder) = std::env::var_os(CHILD_FOLDER) else {
        return;
    };
    let folder = Path::new(&folder);
    drop(refreshed(&place(folder), &folder.join("series")));
}

fn start_child(folder: &Path) -> Child {
    Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "child_indexes_a_folder"])
        .args(["--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD_FOLDER, folder)
        .stdout(Stdio::null())
        .spawn()
        .expect("started")
}

#[test]
fn a_process_killed_while_it_indexes_changes_no_table() {
    let folder = tempfile::tempdir().expect("a folder");
    let series = folder.path().join("series");
    put_many(&series, STUDIES);
    let (mut cut_short, mut begun_again) = (0, true);
    for kill in 0..KILLS {
        if begun_again {
            let _none = fs::remove_dir_all(folder.path().join("cache"));
        }
        let mut child = start_child(folder.path());
        thread::sleep(Duration::from_millis(10 + kill * 37 % 400));
        child.kill().expect("killed");
        child.wait().expect("ended");
        // What the killed process left can be read as it is.
        let mut index = Index::open(&place(folder.path()), "series").expect("opens");
        let found = rows(&mut index).len();
        assert!(found <= STUDIES, "kill {kill}: {found} rows");
        cut_short += u32::from(found > 0 && found < STUDIES);
        begun_again = found == STUDIES || kill % 8 == 0;
    }
    put(&series, "patient-0000/later.study.ron", &Wanted::default());
    fs::remove_file(series.join("patient-0001/2025-01-01.dcm.study.ron")).expect("removed");
    let (mut index, refreshed) = refreshed(&place(folder.path()), &series);
    assert!(refreshed.is_complete, "to the end");
    let (found, wanted) = (rows(&mut index), fresh_rows(&series));
    assert_eq!(found.len(), STUDIES, "one more, one less");
    assert!(found == wanted, "the same table as a fresh index");
    eprintln!("{KILLS} kills: {cut_short} left a part of the index");
    assert!(
        cut_short > 0,
        "no kill came while rows were being written: the test shows nothing"
    );
}
