//! A disc is listed, sifted, and two films of it are copied and opened.

use std::{
    fs,
    path::{Path, PathBuf},
};

use plumbray::workbench::{Command, DiscCommand, DiscRow, OpenDisc};
use plumbray_anatomy::View;

use crate::{
    disc_of_films::burn,
    harness::{Desk, Window},
};

const ALDER_AP: &str = "AP, left foot: DICOM/ST01/IM0001";
const ALDER_LATERAL: &str = "Lateral, left foot: DICOM/ST01/IM0002";
const ALDER_LATER_AP: &str = "AP, right foot: DICOM/ST02/IM0001";

fn disc(desk: &Desk) -> PathBuf {
    let folder = desk.film("disc");
    fs::create_dir_all(&folder).expect("a folder");
    burn(&folder);
    folder
}

fn command(command: DiscCommand) -> Command {
    Command::Disc(command)
}

fn films_listed(window: &Window) -> usize {
    let workbench = window.workbench();
    let rows = workbench.disc().expect("a disc").rows();
    let films = rows.iter().filter(|row| matches!(row, DiscRow::Film(_)));
    films.count()
}

fn files_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder").flatten();
    let mut names: Vec<String> = entries
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn two_films_of_a_disc_are_found_copied_and_opened_and_the_study_lies_beside_the_copies() {
    let desk = Desk::new();
    let folder = disc(&desk);
    let before = files_in(&folder);
    let mut window = Window::new(&desk);
    // As the directory that is dropped on the window.
    window.apply(Command::Open(vec![folder.join("DICOMDIR")]));
    assert_eq!(films_listed(&window), 5, "all films");
    for text in [
        "Alder, Anna",
        "A-17",
        "2026-07-20 · Feet after surgery",
        "Series 1 · DX · Simulated film · FOOT",
        "5 films of 2 patients",
    ] {
        assert!(window.shows(text), "{text}");
    }
    window.fill_in("Which films are listed", "alder 2026-01");
    assert_eq!(films_listed(&window), 2, "Alder's first visit");
    assert!(!window.shows("Birch"), "nobody else");
    window.press_button(ALDER_AP);
    window.press_button(ALDER_LATERAL);
    let copies = desk.film("copies");
    window.lay_out(copies.clone());
    window.press_button("Copy into a folder and open…");
    window.wait_until("the films are open", |workbench| {
        View::ALL.iter().all(|view| workbench.film(*view).is_some())
    });
    let names = files_in(&copies);
    assert_eq!(names.len(), 2, "two copies: {names:?}");
    assert!(names[0].starts_with("AP-"), "{names:?}");
    assert!(names[1].starts_with("lateral-"), "{names:?}");
    let study = copies.join(format!("{}.study.ron", names[0]));
    assert_eq!(
        window.workbench().study_path(),
        Some(study.as_path()),
        "the study goes by the copy"
    );
    window.apply(Command::SetVisitLabel("before".to_owned()));
    window.close();
    assert!(study.is_file(), "saved beside the copies");
    let text = fs::read_to_string(&study).expect("the study");
    let settings = fs::read_to_string(desk.film("../settings.ron")).expect("the settings");
    for kept in [text, settings] {
        assert!(!kept.contains("Alder"), "nobody is named: {kept}");
        assert!(!kept.contains("A-17"), "nobody is numbered: {kept}");
    }
    assert_eq!(files_in(&folder), before, "the disc is as it was");
}

#[test]
fn films_of_two_patients_are_not_ticked_together_nor_a_third_one() {
    let desk = Desk::new();
    let folder = disc(&desk);
    let mut window = Window::new(&desk);
    // A folder with a directory in it is a disc.
    window.apply(Command::Open(vec![folder]));
    window.press_button(ALDER_AP);
    let birch = |row: &DiscRow| matches!(row, DiscRow::Film(3));
    assert!(
        window
            .workbench()
            .disc()
            .expect("a disc")
            .rows()
            .iter()
            .any(birch),
        "the fourth film"
    );
    window.apply(command(DiscCommand::Tick(3, true)));
    assert!(window.shows("of another patient"), "refused with words");
    let ticked = |window: &Window| window.workbench().disc().expect("a disc").ticked().to_vec();
    assert_eq!(ticked(&window).len(), 1, "not ticked");
    window.press_button(ALDER_LATER_AP);
    assert!(
        window.shows("two days"),
        "what is odd about the two is said"
    );
    assert!(window.shows("Both say that they are AP films"), "and this");
    assert!(
        window.shows("these films are not of one foot"),
        "and the side"
    );
    assert!(window.shows("Check what is said"), "where one looks");
    window.press_wherever(ALDER_LATERAL);
    assert!(window.shows("Two films are ticked already"), "a third");
    assert_eq!(ticked(&window).len(), 2, "not ticked");
    window.press_button("Untick");
    assert!(ticked(&window).is_empty(), "none");
    assert!(!window.shows("two days"), "nothing is odd about none");
}

#[test]
fn films_are_opened_where_they_lie_and_the_list_is_there_when_the_foot_is_put_away() {
    let desk = Desk::new();
    let folder = disc(&desk);
    let mut window = Window::new(&desk);
    window.lay_out(folder.clone());
    window.press_button("Films of a disc or folder…");
    window.wait_until("the disc is listed", |workbench| {
        workbench
            .disc()
            .is_some_and(|disc| disc.listing().is_some())
    });
    window.settle();
    window.press_button(ALDER_AP);
    window.press_button("Open this film");
    let film = folder
        .join("DICOM/ST01/IM0001")
        .canonicalize()
        .expect("there");
    let open = |window: &Window| {
        let workbench = window.workbench();
        workbench.film(View::Ap).map(|open| open.path.clone())
    };
    assert_eq!(open(&window), Some(film), "in its place");
    window.apply(Command::CloseFoot);
    assert!(
        window.shows("5 films of 2 patients"),
        "the list is still there"
    );
    window.press_button("Put it away");
    assert!(window.shows("Measure a foot"), "the beginning");
}

#[test]
fn a_folder_without_studies_is_listed_by_its_films_and_the_page_of_series_leads_there_too() {
    let desk = Desk::new();
    let folder = disc(&desk);
    fs::remove_file(folder.join("DICOMDIR")).expect("removed");
    let damaged = folder.join("DICOM/ST01/IM0003");
    let whole = fs::read(folder.join("DICOM/ST01/IM0001")).expect("a film");
    fs::write(damaged, &whole[..whole.len() / 4]).expect("written");
    let mut window = Window::new(&desk);
    window.apply(Command::Open(vec![folder]));
    window.wait_until("its films are listed", |workbench| {
        workbench.disc().is_some()
    });
    assert_eq!(films_listed(&window), 6, "films by their content");
    assert!(
        window.shows("1 file of another kind"),
        "the text is counted"
    );
    assert!(window.shows("cannot be opened"), "the damaged one says so");
    window.press_button("Studies in this folder");
    assert!(window.shows("No study lies below"), "as was asked");
    window.press_button("Look for films in this folder");
    assert_eq!(films_listed(&window), 6, "and back");
}

#[test]
fn a_thousand_files_are_listed_while_the_window_goes_on_and_listing_stops_when_told() {
    let desk = Desk::new();
    let folder = desk.film("many");
    fs::create_dir_all(&folder).expect("a folder");
    let film = desk.copy_of_sample("maple-lateral.png");
    for number in 0..1_000 {
        fs::hard_link(&film, folder.join(format!("IM{number:04}"))).expect("a film");
    }
    let mut window = Window::new(&desk);
    let open = || command(DiscCommand::Open(folder.clone()));
    window.apply_and_go_on(open());
    let work = window.workbench().disc().and_then(OpenDisc::work_under_way);
    let work = work.expect("the window goes on while a worker lists");
    assert!(work.starts_with("Listing: "), "how far it is: {work}");
    window.apply_and_go_on(command(DiscCommand::Stop));
    window.settle();
    assert!(window.shows("The listing was stopped"), "said");
    assert!(
        window
            .workbench()
            .disc()
            .expect("a disc")
            .listing()
            .is_none(),
        "nothing half is shown"
    );
    window.press_button("List again");
    assert_eq!(films_listed(&window), 1_000, "all of them");
    let seen = window.workbench().disc().expect("a disc").in_view().len();
    assert!((3..30).contains(&seen), "only these are drawn: {seen}");
    // What is listed for a disc that was left comes to nothing.
    window.apply_and_go_on(open());
    window.apply_and_go_on(command(DiscCommand::Leave));
    window.settle();
    assert!(window.workbench().disc().is_none(), "left");
}

#[test]
fn without_dialogs_it_is_said_how_to_go_on_and_a_written_folder_takes_the_copies() {
    let desk = Desk::new();
    let folder = disc(&desk);
    let mut window = Window::new(&desk);
    window.press_button("Films of a disc or folder…");
    window.wait_until("it is said", |workbench| !workbench.notices().is_empty());
    assert!(window.shows("plumbray FOLDER"), "how to name a disc");
    window.apply(command(DiscCommand::Open(folder)));
    window.press_button(ALDER_LATERAL);
    window.press_button("Copy into a folder and open…");
    window.wait_until("it is said", |workbench| !workbench.notices().is_empty());
    assert!(window.shows("Write at the right"), "where to write");
    let copies = desk.film("copies");
    window.fill_in("Folder for copies", &copies.display().to_string());
    window.press_button("Copy into this folder and open");
    assert!(
        window.workbench().film(View::Lateral).is_some(),
        "the copy is open"
    );
    assert_eq!(files_in(&copies).len(), 1, "one copy");
}

/// Where the superuser runs the tests a folder can be written whatever its permissions say; the page says what holds.
#[cfg(unix)]
#[test]
fn where_nothing_can_be_written_the_page_says_so_and_what_is_traced_there_is_kept() {
    use std::os::unix::fs::PermissionsExt as _;
    let desk = Desk::new();
    let folder = disc(&desk);
    let films = folder.join("DICOM/ST01");
    let allow = |mode| fs::set_permissions(&films, fs::Permissions::from_mode(mode)).expect("set");
    allow(0o555);
    let can_be_written = tempfile::tempfile_in(&films).is_ok();
    let mut window = Window::new(&desk);
    window.apply(command(DiscCommand::Open(folder.clone())));
    let says = window.shows("Nothing can be written where these films lie");
    assert_eq!(says, !can_be_written, "the page says what holds");
    window.press_button(ALDER_AP);
    window.press_button("Open this film");
    let warned = |window: &Window| {
        let workbench = window.workbench();
        let mut notices = workbench.notices().iter();
        notices.any(|notice| notice.text.contains("is not lost"))
    };
    assert_eq!(warned(&window), !can_be_written, "said once more");
    window.apply(Command::SetVisitLabel("before".to_owned()));
    window.close();
    let beside = films.join("IM0001.study.ron").is_file();
    let kept = plumbray_study::recovered_copies(&desk.folders()).len();
    assert_eq!(
        (beside, kept),
        if can_be_written {
            (true, 0)
        } else {
            (false, 1)
        },
        "the tracing is beside the film or kept elsewhere"
    );
    allow(0o755);
}

#[test]
fn what_is_no_disc_says_so() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.apply(command(DiscCommand::Open(desk.film("absent"))));
    assert!(window.shows("check that the disc is in"), "what to do");
    let empty = desk.film("empty");
    fs::create_dir_all(&empty).expect("a folder");
    window.apply(command(DiscCommand::Open(empty)));
    assert!(window.shows("No film lies in this folder"), "nothing there");
}

#[test]
fn a_folder_for_copies_that_does_not_say_where_it_lies_is_not_made() {
    let desk = Desk::new();
    let folder = disc(&desk);
    let mut window = Window::new(&desk);
    window.apply(command(DiscCommand::Open(folder)));
    window.press_button(ALDER_AP);
    window.apply(command(DiscCommand::WhereToCopy("feet".to_owned())));
    window.press_button("Copy into this folder and open");
    assert!(window.shows("does not say where the folder lies"), "said");
    assert!(!window.workbench().has_foot(), "nothing is opened");
    assert!(!Path::new("feet").exists(), "nothing is made");
}
