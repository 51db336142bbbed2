//! A process that is killed while it saves loses nothing that it was told is saved.

use std::{
    io::{BufRead, BufReader, Read, Write},
    path::{Path, PathBuf},
    process::{Child, Command, Stdio},
    time::Duration,
};

use plumbray_anatomy::{Cortices, FilmPoint, LongBone, Origin};
use plumbray_study::{Saved, Study, StudyFile, UserFolders, load, study_path};
use proptest::{
    strategy::{Strategy, ValueTree},
    test_runner::TestRunner,
};

const CHILD_FOLDER: &str = "PLUMBRAY_TEST_SAVE_IN";
const KILLS: u32 = 120;

/// The study number `number`, as large as a traced foot.
fn numbered(number: u64) -> Study {
    let mut study = Study::default();
    study.visit.label = format!("number {number}");
    let cortex: Vec<FilmPoint> = (0_u32..60)
        .map(|step| FilmPoint::new(f64::from(step) / 3.0, f64::from(step) * 1.7))
        .collect();
    for bone in LongBone::METATARSALS {
        let cortices = Cortices {
            one: cortex.clone(),
            two: cortex.clone(),
            sd_px: 1.0,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        };
        study.tracing.ap.cortices.insert(bone, cortices);
    }
    study
}

fn number_of(study: &Study) -> u64 {
    let number = study.visit.label.strip_prefix("number ");
    number
        .and_then(|number| number.parse().ok())
        .expect("a study of this test")
}

fn place(folder: &Path) -> (PathBuf, UserFolders) {
    let films = folder.join("films");
    std::fs::create_dir_all(&films).expect("made");
    (
        study_path(&films.join("ap.png"), None),
        UserFolders::below(&folder.join("user")),
    )
}

/// Not a test by itself: the process that the test below starts and kills. It saves one study after
/// another and says so after each.
#[test]
#[ignore = "run by the test below, in a process of its own"]
fn child_saves_one_study_after_another() {
    let Some(folder) = std::env::var_os(CHILD_FOLDER) else {
        return;
    };
    let (path, folders) = place(Path::new(&folder));
    let (mut file, found) = StudyFile::open_with(&path, &folders).expect("opens");
    let mut number = found.as_ref().map_or(0, number_of);
    let mut out = std::io::stdout();
    writeln!(out, "opened {number}").expect("said");
    loop {
        number += 1;
        let saved = file.save(&numbered(number)).expect("saved");
        assert_eq!(saved, Saved::Written, "number {number}");
        writeln!(out, "saved {number}").expect("said");
    }
}

fn start_child(folder: &Path) -> Child {
    Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "child_saves_one_study_after_another"])
        .args(["--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD_FOLDER, folder)
        .stdout(Stdio::piped())
        .spawn()
        .expect("started")
}

/// Lets a child save `saves` times and a moment longer, kills it, and returns the number that it
/// said was saved last, or found when it opened.
fn kill_after(folder: &Path, saves: usize, moment: Duration) -> u64 {
    let mut child = start_child(folder);
    let mut lines = BufReader::new(child.stdout.take().expect("piped"));
    let mut said = String::new();
    let mut line = String::new();
    let said_so_far = |said: &str| said.matches("saved ").count();
    while said_so_far(&said) < saves || !said.contains("opened ") {
        line.clear();
        let length = lines.read_line(&mut line).expect("read");
        assert_ne!(length, 0, "the child ended by itself:\n{said}");
        said.push_str(&line);
    }
    std::thread::sleep(moment);
    child.kill().expect("killed");
    child.wait().expect("ended");
    lines.read_to_string(&mut said).expect("read");
    said.lines()
        .rev()
        .filter_map(|line| line.rsplit_once("saved ").or(line.rsplit_once("opened ")))
        .find_map(|(_, number)| number.parse().ok())
        .expect("a number")
}

#[test]
fn a_process_killed_at_any_moment_loses_nothing_that_was_saved() {
    let folder = tempfile::tempdir().expect("a folder");
    let (path, folders) = place(folder.path());
    let mut random = TestRunner::deterministic();
    let moments = (0_usize..4, 0_u64..6_000);
    let mut ahead = 0;
    let mut leftovers = 0;
    for kill in 0..KILLS {
        let (saves, microseconds) = moments.new_tree(&mut random).expect("random").current();
        let acknowledged = kill_after(folder.path(), saves, Duration::from_micros(microseconds));

        let films = path.parent().expect("a folder");
        leftovers += std::fs::read_dir(films)
            .expect("listed")
            .filter(|entry| entry.as_ref().is_ok_and(|entry| entry.path() != path))
            .count();
        if acknowledged == 0 && !path.exists() {
            continue;
        }
        let on_disk = load(&path).expect("loads before anything is settled");
        let (file, found) = StudyFile::open_with(&path, &folders).expect("opens");
        drop(file);
        let found = found.expect("a study");
        for study in [&on_disk, &found] {
            let number = number_of(study);
            assert!(
                number == acknowledged || number == acknowledged + 1,
                "kill {kill}: number {number} after {acknowledged} was said to be saved"
            );
            assert!(
                *study == numbered(number),
                "kill {kill}: study {number} is whole"
            );
        }
        ahead += u32::from(number_of(&found) > acknowledged);
        let left = std::fs::read_dir(films).expect("listed").count();
        assert_eq!(left, 1, "kill {kill}: nothing is left beside the study");
    }
    eprintln!("{KILLS} kills: {leftovers} left a file behind, {ahead} were a save ahead");
    assert!(
        leftovers > 0,
        "no kill came while a file was being written: the test shows nothing"
    );
}
