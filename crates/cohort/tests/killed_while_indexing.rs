//! A process that is killed while it indexes leaves an index that the next one goes on with, to the same table.

#[path = "series/made.rs"]
mod made;

use std::{
    fs,
    io::{BufRead as _, BufReader, Write as _, stdout},
    ops::ControlFlow,
    path::Path,
    process::{Command, Stdio},
    thread,
    time::Duration,
};

use plumbray_cohort::{Index, IndexPlace, open_refreshed};

use crate::made::{Wanted, fresh_rows, put, put_many, refreshed, rows};

const CHILD_FOLDER: &str = "PLUMBRAY_TEST_INDEX_IN";
const STUDIES: usize = 600;
const KILLS: u64 = 12;

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
    let mut out = stdout();
    open_refreshed(
        &place(folder),
        "series",
        &folder.join("series"),
        false,
        &mut |progress| {
            writeln!(out, "indexed {}", progress.studies).expect("said");
            ControlFlow::Continue(())
        },
    )
    .expect("an index");
}

/// Starts a child, lets it write so many batches and a moment longer, and kills it.
fn kill_after(folder: &Path, batches: u64, moment: Duration) {
    let mut child = Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "child_indexes_a_folder"])
        .args(["--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD_FOLDER, folder)
        .stdout(Stdio::piped())
        .spawn()
        .expect("started");
    let mut lines = BufReader::new(child.stdout.take().expect("piped"));
    let mut line = String::new();
    let mut written = 0;
    while written < batches && lines.read_line(&mut line).expect("read") > 0 {
        written += u64::from(line.contains("indexed "));
        line.clear();
    }
    thread::sleep(moment);
    child.kill().expect("killed");
    child.wait().expect("ended");
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
        let moment = Duration::from_micros(kill * 1_733 % 20_000);
        kill_after(folder.path(), kill % 3, moment);
        // What the killed process left can be read as it is.
        let mut index = Index::open(&place(folder.path()), "series").expect("opens");
        let found = rows(&mut index).len();
        assert!(found <= STUDIES, "kill {kill}: {found} rows");
        cut_short += u32::from(found > 0 && found < STUDIES);
        begun_again = found == STUDIES || kill % 3 == 2;
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
