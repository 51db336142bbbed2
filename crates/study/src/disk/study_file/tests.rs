use plumbray_anatomy::{FilmPoint, Landmark, Origin, PlacedPoint};

use super::*;
use crate::{
    disk::{RecoveredCopy, load, recovered_copies},
    location::study_path,
};

/// A folder of films with the user's own folders elsewhere.
struct Place {
    films: tempfile::TempDir,
    user: tempfile::TempDir,
}

impl Place {
    fn new() -> Self {
        Self {
            films: tempfile::tempdir().expect("a folder"),
            user: tempfile::tempdir().expect("a folder"),
        }
    }

    fn path(&self) -> PathBuf {
        study_path(&self.films.path().join("ap.png"), None)
    }

    fn folders(&self) -> UserFolders {
        UserFolders::below(self.user.path())
    }

    fn open(&self) -> Result<(StudyFile, Option<Study>), StudyError> {
        StudyFile::open_with(&self.path(), &self.folders())
    }

    fn open_new(&self) -> StudyFile {
        let (file, study) = self.open().expect("opens");
        assert_eq!(study, None, "nothing there yet");
        file
    }

    fn copies(&self) -> Vec<RecoveredCopy> {
        recovered_copies(&self.folders())
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.films.path())
            .expect("listed")
            .map(|entry| {
                let name = entry.expect("an entry").file_name();
                name.to_string_lossy().into_owned()
            })
            .collect();
        names.sort();
        names
    }
}

fn labelled(label: &str) -> Study {
    let mut study = Study::default();
    label.clone_into(&mut study.visit.label);
    study
}

#[test]
fn a_saved_study_is_found_again_and_leaves_nothing_beside_it() {
    let place = Place::new();
    let mut file = place.open_new();
    for label in ["one", "two", "three"] {
        let saved = file.save(&labelled(label)).expect("saved");
        assert_eq!(saved, Saved::Written, "{label}");
    }
    drop(file);
    let (_file, found) = place.open().expect("opens");
    assert_eq!(found, Some(labelled("three")), "the last");
    assert_eq!(place.names(), ["ap.png.study.ron"], "no litter");
}

#[test]
fn a_study_that_is_on_disk_already_is_not_written_again() {
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("one")).expect("saved");
    let bytes = fs::read(place.path()).expect("read");
    let saved = file.save(&labelled("one")).expect("saved");
    assert_eq!(saved, Saved::Unchanged, "the same");
    assert_eq!(fs::read(place.path()).expect("read"), bytes, "bytes");
    fs::remove_file(place.path()).expect("removed");
    let saved = file.save(&labelled("one")).expect("saved");
    assert_eq!(saved, Saved::Written, "removed in between");
}

#[test]
fn a_second_window_is_refused_until_the_first_lets_go_and_may_look_meanwhile() {
    let place = Place::new();
    let mut first = place.open_new();
    first.save(&labelled("one")).expect("saved");
    let refused = place.open().expect_err("held");
    assert!(
        matches!(refused, StudyError::OpenElsewhere { .. }),
        "{refused:?}"
    );
    let message = refused.to_string();
    let process = format!("process {}", std::process::id());
    assert!(message.contains(&process), "{message}");
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("one"),
        "looked at"
    );
    drop(first);
    assert!(place.open().is_ok(), "free");
}

#[cfg(unix)]
#[test]
fn a_second_window_that_comes_by_a_link_is_noticed_and_the_link_is_kept() {
    let place = Place::new();
    let mut first = place.open_new();
    first.save(&labelled("one")).expect("saved");
    let link = place.films.path().join("link.study.ron");
    std::os::unix::fs::symlink(place.path(), &link).expect("linked");
    assert!(
        StudyFile::open_with(&link, &place.folders()).is_err(),
        "held"
    );
    drop(first);
    let (mut file, _) = StudyFile::open_with(&link, &place.folders()).expect("free");
    file.save(&labelled("two")).expect("saved");
    let is_link = fs::symlink_metadata(&link).expect("there").is_symlink();
    assert!(is_link, "still a link");
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("two"),
        "written through"
    );
}

#[test]
fn a_study_changed_by_another_program_is_not_overwritten() {
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("ours")).expect("saved");
    let theirs = crate::study_to_text(&labelled("theirs")).expect("storable");
    fs::write(place.path(), &theirs).expect("written");

    for label in ["ours again", "ours still"] {
        let problem = file.save(&labelled(label)).expect_err("changed");
        assert!(
            matches!(problem, SaveProblem::ChangedElsewhere { .. }),
            "{problem:?}"
        );
        let copy = problem.copy().expect("a copy").to_owned();
        assert!(
            problem.to_string().contains(&copy.display().to_string()),
            "the message names the copy: {problem}"
        );
        assert_eq!(load(&copy).expect("loads"), labelled(label), "the copy");
    }
    assert_eq!(
        fs::read_to_string(place.path()).expect("read"),
        theirs,
        "theirs is kept"
    );
    let copies = place.copies();
    assert_eq!(copies.len(), 1, "one copy, brought up to date: {copies:?}");
    let full = fs::canonicalize(place.path()).expect("there");
    assert_eq!(copies[0].original, full, "where it belongs");
}

#[test]
fn a_study_that_appeared_meanwhile_is_not_overwritten() {
    let place = Place::new();
    let mut file = place.open_new();
    fs::write(place.path(), "somebody else's").expect("written");
    let problem = file.save(&labelled("ours")).expect_err("appeared");
    assert!(
        matches!(problem, SaveProblem::ChangedElsewhere { .. }),
        "{problem:?}"
    );
    let text = fs::read_to_string(place.path()).expect("read");
    assert_eq!(text, "somebody else's", "kept");
}

#[test]
fn a_damaged_or_newer_study_is_not_opened_and_not_touched() {
    for text in [
        "",
        "(format_version: 1, side: ",
        "(format_version: 999, anything: [1])",
        "no study at all",
    ] {
        let place = Place::new();
        fs::write(place.path(), text).expect("written");
        let error = place.open().expect_err("refused");
        assert!(
            matches!(error, StudyError::Content { .. }),
            "{text}: {error:?}"
        );
        let kept = fs::read_to_string(place.path()).expect("read");
        assert_eq!(kept, text, "untouched");
        assert!(load(&place.path()).is_err(), "{text}");
    }
}

#[test]
fn what_is_no_file_is_refused() {
    let place = Place::new();
    fs::create_dir(place.path()).expect("made");
    let error = place.open().expect_err("a folder");
    assert!(matches!(error, StudyError::Unreadable { .. }), "{error:?}");
    let error = load(&place.films.path().join("none.study.ron")).expect_err("nothing");
    assert!(matches!(error, StudyError::Missing { .. }), "{error:?}");
}

#[test]
fn work_in_a_vanished_folder_goes_to_a_copy_and_home_again_once_the_folder_is_back() {
    let place = Place::new();
    let films = place.films.path().join("stick");
    fs::create_dir(&films).expect("made");
    let path = study_path(&films.join("ap.png"), None);
    let (mut file, _) = StudyFile::open_with(&path, &place.folders()).expect("opens");
    file.save(&labelled("one")).expect("saved");

    fs::rename(&films, place.films.path().join("pulled out")).expect("renamed");
    let problem = file.save(&labelled("two")).expect_err("gone");
    let message = problem.to_string();
    assert!(
        matches!(problem, SaveProblem::KeptElsewhere { .. }),
        "{problem:?}"
    );
    assert!(message.contains("put the folder back"), "{message}");
    let copies = place.copies();
    assert_eq!(copies.len(), 1, "a copy");
    assert_eq!(load(&copies[0].copy).expect("loads"), labelled("two"), "it");

    fs::rename(place.films.path().join("pulled out"), &films).expect("renamed");
    let saved = file.save(&labelled("three")).expect("saved");
    assert_eq!(saved, Saved::Written, "home again");
    assert_eq!(place.copies(), [], "no copy is left");
}

#[test]
fn a_folder_that_nothing_can_be_written_to_sends_the_work_to_a_copy() {
    // Not even root can make a file here.
    let path = Path::new("/proc/ap.png.study.ron");
    if !Path::new("/proc/self").exists() {
        eprintln!("skipped: this system has no /proc");
        return;
    }
    let place = Place::new();
    let (mut file, _) = StudyFile::open_with(path, &place.folders()).expect("opens");
    assert!(file.is_guarded(), "guarded although it is read-only");
    let problem = file.save(&labelled("one")).expect_err("refused");
    let copy = problem.copy().expect("a copy").to_owned();
    assert_eq!(load(&copy).expect("loads"), labelled("one"), "the copy");
    drop(file);
    let copies = place.copies();
    assert_eq!(copies.len(), 1, "offered at the next start");
    assert_eq!(copies[0].original, path, "where it belongs");
    assert!(copies[0].written_at.is_some(), "when");
    let problem = copies[0].put_back(&place.folders()).expect_err("still so");
    assert!(
        matches!(problem, crate::PutBackProblem::Saving(_)),
        "{problem:?}"
    );
    assert_eq!(place.copies().len(), 1, "the same copy is kept");
    copies[0].clone().discard().expect("discarded");
    assert_eq!(place.copies(), [], "gone");
}

/// A place with a study “one”, and “two” in a copy since the folder had vanished for a while.
fn place_with_a_copy() -> (Place, RecoveredCopy) {
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("one")).expect("saved");
    let films = place.films.path();
    let away = place.user.path().join("away");
    fs::rename(films, &away).expect("renamed");
    file.save(&labelled("two")).expect_err("gone");
    fs::rename(&away, films).expect("renamed");
    drop(file);
    let copy = place.copies().remove(0);
    (place, copy)
}

#[test]
fn a_copy_is_put_back_over_the_study_that_it_goes_on_from() {
    let (place, copy) = place_with_a_copy();
    copy.put_back(&place.folders()).expect("put back");
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("two"),
        "the work"
    );
    assert_eq!(place.copies(), [], "no copy is left");
}

#[test]
fn a_copy_is_not_put_back_over_a_study_that_is_open_or_went_on() {
    let (place, copy) = place_with_a_copy();
    let (mut file, _) = place.open().expect("opens");
    assert!(copy.put_back(&place.folders()).is_err(), "open in a window");
    file.save(&labelled("three")).expect("saved");
    drop(file);
    let problem = copy.put_back(&place.folders()).expect_err("went on");
    assert!(problem.to_string().contains("was changed"), "{problem}");
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("three"),
        "as it was"
    );
    assert_eq!(
        load(&copy.copy).expect("loads"),
        labelled("two"),
        "the copy too"
    );
}

#[test]
fn a_copy_whose_work_is_in_its_place_already_just_goes() {
    let (place, copy) = place_with_a_copy();
    let text = crate::study_to_text(&labelled("two")).expect("storable");
    fs::write(place.path(), text).expect("written by hand");
    copy.put_back(&place.folders()).expect("nothing to do");
    assert_eq!(place.copies(), [], "no copy is left");
}

#[test]
fn a_write_protected_study_is_not_replaced() {
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("one")).expect("saved");
    let mut permissions = fs::metadata(place.path()).expect("there").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(place.path(), permissions).expect("protected");
    let problem = file.save(&labelled("two")).expect_err("protected");
    assert!(problem.copy().is_some(), "{problem:?}");
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("one"),
        "as it was"
    );
}

#[cfg(unix)]
#[test]
fn a_study_keeps_the_permissions_that_it_has() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("one")).expect("saved");
    fs::set_permissions(place.path(), fs::Permissions::from_mode(0o640)).expect("set");
    file.save(&labelled("two")).expect("saved");
    let mode = fs::metadata(place.path())
        .expect("there")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o640, "mode");
}

#[test]
fn work_that_can_be_kept_nowhere_says_so() {
    let folders = UserFolders {
        locks: None,
        recovery: vec!["/proc/no such folder".into()],
    };
    let (mut file, _) =
        StudyFile::open_with(Path::new("/proc/ap.png.study.ron"), &folders).expect("opens");
    assert!(!file.is_guarded(), "no folder for locks");
    let problem = file.save(&labelled("one")).expect_err("nowhere");
    assert!(
        matches!(problem, SaveProblem::NotKept { .. }),
        "{problem:?}"
    );
    assert!(problem.to_string().contains("NOT on disk"), "{problem}");
}

#[test]
fn a_study_with_an_impossible_number_is_not_written() {
    let place = Place::new();
    let mut file = place.open_new();
    file.save(&labelled("one")).expect("saved");
    let mut study = labelled("two");
    study.tracing.ap.points.insert(
        Landmark::HeadCentre,
        PlacedPoint {
            at: FilmPoint::new(0.0, f64::INFINITY),
            sd_px: 0.0,
            origin: Origin::Hand,
        },
    );
    let problem = file.save(&study).expect_err("impossible");
    assert!(
        matches!(problem, SaveProblem::NotStorable { .. }),
        "{problem:?}"
    );
    assert_eq!(
        load(&place.path()).expect("loads"),
        labelled("one"),
        "as it was"
    );
}

#[test]
fn a_study_takes_the_name_of_its_ap_film_once_there_is_one() {
    let place = Place::new();
    let lateral = study_path(&place.films.path().join("lateral.png"), None);
    let (mut file, _) = StudyFile::open_with(&lateral, &place.folders()).expect("opens");
    file.save(&labelled("one")).expect("saved");
    file.move_to(&place.path()).expect("moved");
    assert_eq!(file.path(), place.path(), "path");
    file.save(&labelled("two")).expect("saved");
    assert_eq!(place.names(), ["ap.png.study.ron"], "names");
    assert!(place.open().is_err(), "the new name is held");
    assert!(
        StudyFile::open_with(&lateral, &place.folders()).is_ok(),
        "the old one is free"
    );
}

#[test]
fn a_study_does_not_take_a_name_that_another_has() {
    let place = Place::new();
    let lateral = study_path(&place.films.path().join("lateral.png"), None);
    let (mut file, _) = StudyFile::open_with(&lateral, &place.folders()).expect("opens");
    file.save(&labelled("ours")).expect("saved");
    fs::write(place.path(), "another").expect("written");
    let problem = file.move_to(&place.path()).expect_err("taken");
    assert!(
        matches!(problem, SaveProblem::NameTaken { .. }),
        "{problem:?}"
    );
    fs::remove_file(place.path()).expect("removed");
    let other = place.open_new();
    assert!(file.move_to(&place.path()).is_err(), "open elsewhere");
    drop(other);
    assert_eq!(file.path(), lateral, "the old name");
    file.save(&labelled("ours still")).expect("saved");
    assert_eq!(
        load(&lateral).expect("loads"),
        labelled("ours still"),
        "study"
    );
}

#[test]
fn a_name_with_a_quote_a_line_break_or_no_latin_letters_is_no_obstacle() {
    let place = Place::new();
    for name in [
        "a \"b\".png",
        "a\nb.png",
        "снимок.png",
        "足.png",
        "a'b\\c.png",
    ] {
        let path = study_path(&place.films.path().join(name), None);
        let (mut file, _) = StudyFile::open_with(&path, &place.folders()).expect(name);
        file.save(&labelled(name)).expect(name);
        drop(file);
        assert_eq!(load(&path).expect(name), labelled(name), "{name}");
    }
}
