//! A full disk and a read-only folder, on real file systems of that kind.
//!
//! The file systems are mounted in a namespace of the child's own, for which neither root nor
//! cleaning up is needed. Where the system forbids that, a limit on the size of files stands in for
//! the full disk, and the read-only folder is skipped with a word.

use std::{
    io::Write,
    path::Path,
    process::{Command, Output},
};

use plumbray_study::{SaveProblem, Study, StudyFile, UserFolders, load, study_path};

const CHILD_FOLDER: &str = "PLUMBRAY_TEST_FILL";

fn labelled(length: usize) -> Study {
    let mut study = Study::default();
    study.visit.label = "a".repeat(length);
    // One text may have 10,000 bytes; a history of them fills any small disk.
    for entry in 0..length / 100 {
        study
            .history
            .record(&"b".repeat(100), &format!("Change {entry}"));
    }
    study
}

/// Not a test by itself: runs where the disk is small or read-only, and says what came of it.
#[test]
#[ignore = "run by the tests below, in a process of its own"]
fn child_saves_where_there_is_no_room() {
    let Some(folder) = std::env::var_os(CHILD_FOLDER) else {
        return;
    };
    let folder = Path::new(&folder);
    let path = study_path(&folder.join("films/ap.png"), None);
    let folders = UserFolders::below(&folder.join("user"));
    let (mut file, before) = StudyFile::open_with(&path, &folders).expect("opens");
    let large = labelled(9_000);
    let problem = file.save(&large).expect_err("no room");
    let kept = match problem.copy() {
        Some(copy) => load(copy).expect("the copy loads") == large,
        None => matches!(problem, SaveProblem::NotKept { .. }),
    };
    assert!(kept, "the copy is whole, or said not to be: {problem:?}");
    let after = path.exists().then(|| load(&path).expect("still loads"));
    assert_eq!(after, before, "the study on disk is as it was");
    let names = std::fs::read_dir(folder.join("films"))
        .expect("listed")
        .count();
    assert_eq!(names, usize::from(before.is_some()), "no litter");
    writeln!(std::io::stdout(), "PROBLEM {problem}").expect("said");
}

/// Runs the child after `preparation`, a line of shell; `$FILMS` is the films' folder.
fn child_after(preparation: &str, folder: &Path) -> Command {
    let mut command = Command::new("unshare");
    command
        .args(["--mount", "--map-root-user", "sh", "-c"])
        .arg(format!("{preparation} && {RUN_CHILD}"))
        .env("CHILD", std::env::current_exe().expect("this test"))
        .env("FILMS", folder.join("films"))
        .env(CHILD_FOLDER, folder);
    command
}

const RUN_CHILD: &str = "exec \"$CHILD\" --exact child_saves_where_there_is_no_room --ignored \
                         --nocapture --test-threads=1";

/// A folder for the films with a small study in it, and one for the user's own files.
fn prepared() -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let films = folder.path().join("films");
    std::fs::create_dir_all(&films).expect("made");
    let path = study_path(&films.join("ap.png"), None);
    let folders = UserFolders::below(&folder.path().join("user"));
    let (mut file, _) = StudyFile::open_with(&path, &folders).expect("opens");
    file.save(&labelled(10)).expect("saved");
    (folder, path)
}

fn mounting_is_possible() -> bool {
    Command::new("unshare")
        .args(["--mount", "--map-root-user", "true"])
        .output()
        .is_ok_and(|output| output.status.success())
}

fn problem_of(output: &Output) -> String {
    let [out, err] = [&output.stdout, &output.stderr].map(|text| String::from_utf8_lossy(text));
    assert!(output.status.success(), "the child failed:\n{out}\n{err}");
    out.lines()
        .find_map(|line| {
            line.split_once("PROBLEM ")
                .map(|(_, problem)| problem.to_owned())
        })
        .unwrap_or_else(|| panic!("the child said nothing:\n{out}\n{err}"))
}

#[test]
fn on_a_full_disk_the_old_study_stays_and_the_work_is_in_a_copy() {
    if !mounting_is_possible() {
        eprintln!("skipped: this system lets nobody mount; the next test stands in");
        return;
    }
    let (folder, path) = prepared();
    // The study is copied onto a disk of 16 kB, which is mounted over the films' folder.
    let preparation = "cp \"$FILMS/ap.png.study.ron\" \"$FILMS/../old\" \
                       && mount -t tmpfs -o size=16k tmpfs \"$FILMS\" \
                       && cp \"$FILMS/../old\" \"$FILMS/ap.png.study.ron\"";
    let output = child_after(preparation, folder.path()).output();
    let problem = problem_of(&output.expect("started"));
    assert!(problem.contains("make room on the disk"), "{problem}");
    assert!(problem.contains("recovery"), "it names the copy: {problem}");
    assert_eq!(load(&path).expect("loads"), labelled(10), "as it was");
}

#[test]
fn in_a_read_only_folder_the_old_study_stays_and_the_work_is_in_a_copy() {
    if !mounting_is_possible() {
        eprintln!("skipped: this system lets nobody mount a read-only folder");
        return;
    }
    let (folder, path) = prepared();
    let preparation = "mount --bind \"$FILMS\" \"$FILMS\" \
                       && mount -o remount,ro,bind \"$FILMS\"";
    let output = child_after(preparation, folder.path()).output();
    let problem = problem_of(&output.expect("started"));
    assert!(
        problem.contains("a folder that you may write to"),
        "{problem}"
    );
    assert_eq!(load(&path).expect("loads"), labelled(10), "as it was");
}

#[cfg(target_os = "linux")]
#[test]
fn where_no_file_may_grow_the_old_study_stays_and_the_window_is_told() {
    let (folder, path) = prepared();
    // The limit is in blocks of 512 bytes or of 1 kB; it holds for the recovery copy too.
    let output = Command::new("sh")
        .arg("-c")
        .arg(format!("trap '' XFSZ; ulimit -f 8 && {RUN_CHILD}"))
        .env("CHILD", std::env::current_exe().expect("this test"))
        .env(CHILD_FOLDER, folder.path())
        .output();
    let problem = problem_of(&output.expect("started"));
    assert!(problem.contains("NOT on disk"), "{problem}");
    assert_eq!(load(&path).expect("loads"), labelled(10), "as it was");
}
