//! Work that was kept elsewhere goes on where its film lies, and only there.

use std::fs;

use plumbray_study::{
    FilmRecord, Saved, Study, StudyError, StudyFile, UserFolders, load, study_path,
};

struct Place {
    root: tempfile::TempDir,
}

impl Place {
    fn folders(&self) -> UserFolders {
        UserFolders::below(&self.root.path().join("user"))
    }

    /// A film in a folder, which is made.
    fn film(&self, folder: &str, content: &str) -> FilmRecord {
        let folder = self.root.path().join(folder);
        fs::create_dir_all(&folder).expect("made");
        let film = folder.join("ap.png");
        fs::write(&film, content).expect("written");
        FilmRecord::of_file(&film, &folder, 10, 10).expect("a film")
    }

    /// The place of the study of a folder's film.
    fn open(&self, folder: &str) -> StudyFile {
        let film = self.root.path().join(folder).join("ap.png");
        let path = study_path(&film, None);
        StudyFile::open_with(&path, &self.folders())
            .expect("opens")
            .0
    }

    fn vanish(&self, folder: &str) {
        fs::remove_dir_all(self.root.path().join(folder)).expect("removed");
    }
}

fn study_on(film: &FilmRecord) -> Study {
    let mut study = Study::default();
    study.visit.label = "before".to_owned();
    study.ap = Some(film.clone());
    study
}

/// A place whose folder “disc” vanished before the work on its film was written.
fn place_with_kept_work() -> Place {
    let place = Place {
        root: tempfile::tempdir().expect("a folder"),
    };
    let film = place.film("disc", "a foot");
    let mut file = place.open("disc");
    place.vanish("disc");
    file.save(&study_on(&film)).expect_err("its folder is gone");
    assert!(file.kept_at().is_some(), "kept elsewhere");
    place
}

#[test]
fn it_goes_on_beside_a_copy_of_the_film_and_is_kept_twice_by_nobody() {
    let place = place_with_kept_work();
    let copy = place.film("copies", "a foot");
    let mut file = place.open("copies");
    let kept = file.kept_work_on(&copy).expect("the same picture");
    let study = file
        .go_on_from(&kept)
        .expect("readable")
        .expect("nothing else is here");
    assert_eq!(study.visit.label, "before", "the work");
    assert_eq!(file.save(&study).expect("saved"), Saved::Written, "here");
    assert_eq!(file.kept_at(), None, "in its place");
    assert_eq!(load(file.path()).expect("loads"), study, "whole");
    assert!(!kept.copy.exists(), "no copy is left");
}

#[test]
fn another_film_gets_nothing_of_it_even_in_the_same_place() {
    let place = place_with_kept_work();
    let other = place.film("disc", "another foot");
    let file = place.open("disc");
    assert_eq!(file.kept_work_on(&other), None, "another film");
    assert!(file.kept_work().is_some(), "but it belongs here");
}

#[test]
fn while_a_window_has_it_nobody_else_goes_on_from_it() {
    let place = place_with_kept_work();
    let other_window = place.open("disc");
    let copy = place.film("copies", "a foot");
    let mut file = place.open("copies");
    let kept = file.kept_work_on(&copy).expect("the same picture");
    let refused = file.go_on_from(&kept).expect_err("it is being worked on");
    assert!(
        matches!(refused, StudyError::OpenElsewhere { .. }),
        "{refused:?}"
    );
    assert_eq!(file.kept_at(), None, "not taken over");
    drop(other_window);
    let study = file.go_on_from(&kept).expect("nobody has it");
    assert!(study.is_some(), "it goes on");
}

#[test]
fn where_a_study_is_it_does_not_take_its_place() {
    let place = place_with_kept_work();
    let film = place.film("disc", "a foot");
    let mut own = Study::default();
    own.visit.label = "since then".to_owned();
    place.open("disc").save(&own).expect("saved");
    let mut file = place.open("disc");
    let kept = file.kept_work_on(&film).expect("the same picture");
    assert_eq!(
        file.go_on_from(&kept).expect("readable"),
        None,
        "not over it"
    );
    let copy = place.film("copies", "a foot");
    let elsewhere = place.open("copies").kept_work_on(&copy);
    assert_eq!(
        elsewhere, None,
        "its own place has a study, so it belongs there"
    );
}
