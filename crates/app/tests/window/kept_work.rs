//! Work that could not be written beside its films goes on when these, or copies of them, are opened.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray::workbench::Command;
use plumbray_anatomy::View;
use plumbray_study::{load, recovered_copies, study_path};

use crate::{
    harness::{Desk, Window},
    samples::sample_images,
};

/// Copies of the films of a sample foot in a folder, under these names.
fn films_in(folder: &Path, foot: &str, names: [&str; 2]) -> Vec<PathBuf> {
    fs::create_dir_all(folder).expect("a folder");
    let copied = View::ALL.into_iter().zip(names).map(|(view, name)| {
        let film = folder.join(name);
        let sample = format!("{foot}-{}.dcm", view.identifier());
        fs::copy(sample_images().join(sample), &film).expect("a sample film");
        film
    });
    copied.collect()
}

/// A desk at which a label was given to a foot while nothing could be written beside its films; and the films' folder,
/// which is there again.
fn desk_with_kept_work() -> (Desk, PathBuf) {
    let desk = Desk::new();
    let disc = desk.film("disc");
    let films = films_in(&disc, "sample-foot", ["IM0001", "IM0002"]);
    let mut window = Window::new(&desk);
    window.apply(Command::Open(films));
    let away = desk.film("away");
    fs::rename(&disc, &away).expect("renamed");
    window.apply(Command::SetVisitLabel("before".to_owned()));
    window.wait_until("it is kept elsewhere", |workbench| {
        let words = workbench.where_saved();
        words.is_some_and(|words| words.starts_with("Kept in "))
    });
    window.close();
    fs::rename(&away, &disc).expect("renamed");
    assert_eq!(recovered_copies(&desk.folders()).len(), 1, "kept");
    (desk, disc)
}

fn label(window: &Window) -> String {
    window.workbench().study().visit.label.clone()
}

#[test]
fn it_goes_on_when_one_of_its_films_is_opened_again_and_both_films_are_there() {
    let (desk, disc) = desk_with_kept_work();
    let mut window = Window::new(&desk);
    assert!(!window.workbench().kept_work().is_empty(), "offered");
    window.apply(Command::Open(vec![disc.join("IM0001")]));
    assert_eq!(label(&window), "before", "the work");
    for view in View::ALL {
        assert!(window.workbench().film(view).is_some(), "{}", view.name());
    }
    assert!(window.workbench().kept_work().is_empty(), "offered no more");
    window.apply(Command::SetVisitLabel("before surgery".to_owned()));
    window.close();
    let study = load(&study_path(&disc.join("IM0001"), None)).expect("beside the film");
    assert_eq!(study.visit.label, "before surgery", "written in its place");
    assert_eq!(recovered_copies(&desk.folders()), [], "no copy is left");
}

#[test]
fn it_goes_on_from_the_list_of_recent_feet() {
    let (desk, disc) = desk_with_kept_work();
    let mut window = Window::new(&desk);
    let study = study_path(&disc.join("IM0001"), None);
    window.apply(Command::Open(vec![study]));
    assert_eq!(label(&window), "before", "the work");
    assert!(window.workbench().film(View::Ap).is_some(), "its film");
}

#[test]
fn it_goes_on_beside_copies_of_its_films_and_is_whole_there() {
    let (desk, disc) = desk_with_kept_work();
    fs::remove_dir_all(&disc).expect("the disc is taken out");
    let copies = films_in(&desk.film("copies"), "sample-foot", ["AP.dcm", "side.dcm"]);
    let mut window = Window::new(&desk);
    window.apply(Command::Open(copies.clone()));
    assert_eq!(label(&window), "before", "the work");
    window.apply(Command::SetVisitLabel("before surgery".to_owned()));
    window.close();
    assert_eq!(recovered_copies(&desk.folders()), [], "no copy is left");
    let mut again = Window::new(&desk);
    again.apply(Command::Open(vec![study_path(&copies[0], None)]));
    assert_eq!(label(&again), "before surgery", "beside the copies");
    for (view, copy) in View::ALL.into_iter().zip(&copies) {
        let workbench = again.workbench();
        let film = workbench.film(view).expect("a film");
        assert_eq!(&film.path, copy, "{}", view.name());
    }
}

#[test]
fn another_film_in_the_same_place_gets_nothing_of_it() {
    let (desk, disc) = desk_with_kept_work();
    fs::remove_dir_all(&disc).expect("the disc is taken out");
    let others = films_in(&disc, "alder", ["IM0001", "IM0002"]);
    let mut window = Window::new(&desk);
    window.apply(Command::Open(others));
    assert_eq!(label(&window), "", "another foot");
    assert_eq!(window.workbench().kept_work().len(), 1, "still offered");
}
