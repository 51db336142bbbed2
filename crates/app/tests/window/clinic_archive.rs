//! The whole way of a foot among the clinic's systems, in the window: an archive of associations, which is dcmtk's, is
//! asked, a series and then the study is fetched, the films are opened as a foot and measured, and what was measured is
//! sent back and stands beside the films with the next question.
#![cfg(unix)]

use std::{collections::BTreeMap, fs, path::Path};

use egui::Key;
use plumbray::workbench::{AddressForm, ArchiveCommand, Command, ExportCommand, Overlay};
use plumbray_anatomy::{Side, View};
use plumbray_archive::{AddressBook, Queue, StoredObject, WantedFilms, open};
use plumbray_film::open as open_film;
use plumbray_measure::Measurement;
use plumbray_tests::{Server, dcmqrscp, free_port};

use crate::{
    harness::{Desk, Window},
    proposing::proposal_of,
    samples::sample_images,
    web_archive::{ap_film, films},
};

const NAME: &str = "Clinic";

/// The address of an archive as a person would write it.
fn address(server: &Server) -> AddressForm {
    AddressForm {
        name: NAME.to_owned(),
        host: "127.0.0.1".to_owned(),
        port: server.port.to_string(),
        ..AddressForm::default()
    }
}

/// An archive that has the two films of the sample foot in one study.
fn clinic() -> Server {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let address = address(&server).address().expect("an address");
    let archive = open(&address, None).expect("opened");
    for film in films(false) {
        let film = StoredObject::of_bytes(film).expect("a film");
        archive.send(&film).expect("sent");
    }
    server
}

/// The modalities of the study's series in the archive, each with how many objects it has.
fn held(server: &Server) -> BTreeMap<String, usize> {
    let address = address(server).address().expect("an address");
    let archive = open(&address, None).expect("opened");
    let series = archive.find_films(&ap_film().identity().study);
    let mut held = BTreeMap::new();
    for one in series.expect("found") {
        *held.entry(one.modality.unwrap_or_default()).or_default() += one.films.len();
    }
    held
}

fn ask_by_number(window: &mut Window) {
    window.fill_in("Patient’s number", "SAMPLE");
    window.key(Key::Enter);
}

/// Fetches what a button names into a folder, and waits until it is there.
fn fetch(window: &mut Window, button: &str, folder: &Path) {
    window.lay_out(folder.to_owned());
    window.press_button_that_begins(button);
    let folder = folder.to_owned();
    window.wait_until("films come", move |workbench| {
        let page = workbench.archive_page();
        let fetched = page.and_then(|page| page.fetched().first());
        fetched.is_some_and(|fetched| fetched.folder == folder)
    });
}

/// Has both films measured, as the program proposes it and a reader accepts it.
fn measure(window: &mut Window) {
    for (view, film) in [
        (View::Ap, "sample-foot-ap"),
        (View::Lateral, "sample-foot-lateral"),
    ] {
        window.film_shows(view, Ok(vec![proposal_of(film, Side::Left, view)]));
        window.key(Key::Enter);
    }
    let workbench = window.workbench();
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::CalcanealInclinationAngle,
    ] {
        let outcome = workbench.worksheet().outcome(measurement);
        let is_read = outcome.is_some_and(|outcome| outcome.reading().is_some());
        assert!(is_read, "{measurement:?} has a number");
    }
}

#[test]
fn a_foot_is_found_fetched_measured_and_its_report_sent_back_stands_beside_its_films() {
    let server = clinic();
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.press_button("Films of an archive…");
    window.fill_in("Name of the archive", NAME);
    window.fill_in("Host", "127.0.0.1");
    window.fill_in("Port", &server.port.to_string());
    window.press_button("Keep this address");
    ask_by_number(&mut window);
    assert!(window.shows("Sample, Foot"), "the study");

    window.press_button_that_begins("List the series of");
    // dcmqrscp says neither body part nor description of a series.
    assert!(window.shows("Series 1 · DX · 1 film"), "what it is of");
    let folder = desk.film("fetched");
    fetch(&mut window, "Fetch the films of", &folder);
    assert!(window.shows("2 films in"), "both");
    let came = folder.join(format!("{}.dcm", ap_film().identity().instance));
    let sent = open_film(&sample_images().join("sample-foot-ap.dcm")).expect("a film");
    let came = open_film(&came).expect("a film");
    assert!(came.samples() == sent.samples(), "the same pixels");
    window.press_button("Open the ticked films");
    window.wait_until("both films are open", |workbench| {
        View::ALL.iter().all(|view| workbench.film(*view).is_some())
    });

    measure(&mut window);
    window.apply(Command::ConfirmSide(Side::Left));
    window.press_button("Foot");
    window.press_button("Send back to the films’ archive…");
    assert!(window.shows("The films came from Clinic."), "where it goes");
    window.press_button("Send back to Clinic");
    let queue = Queue::open(&desk.queue()).expect("a queue");
    window.wait_until("all is sent, without anybody looking", |_| {
        queue.receipt_count().expect("read") == 4 && queue.listing().expect("read").jobs.is_empty()
    });
    window.wait_until("told that it has arrived", |workbench| {
        let mut notices = workbench.notices().iter();
        notices.any(|notice| notice.text == "Clinic has them: 4 objects.")
    });
    let expected = [("DX", 2), ("DOC", 1), ("PR", 2), ("SR", 1)];
    let expected = expected.map(|(modality, count)| (modality.to_owned(), count));
    assert_eq!(held(&server), BTreeMap::from(expected), "in the archive");

    window.press_button("Foot");
    window.press_button("Films of an archive…");
    ask_by_number(&mut window);
    window.press_button_that_begins("List the series of");
    for shown in ["Series 9901 · SR · 1 object", "Done with: 4 objects"] {
        assert!(window.shows(shown), "{shown}");
    }
    fetch(&mut window, "Fetch the films of", &desk.film("again"));
    assert!(window.shows("2 films and 4 other objects in"), "all of it");
    window.close();

    let ap = folder.join(format!("{}.dcm", ap_film().identity().instance));
    let window = Window::with(&desk, vec![ap]);
    let workbench = window.workbench();
    assert_eq!(workbench.came_from(), Some(NAME), "on another day, too");
}

#[test]
fn one_series_of_a_study_is_fetched_alone() {
    let server = clinic();
    let desk = Desk::new();
    let mut book = AddressBook::default();
    book.put(address(&server).address().expect("an address"))
        .expect("put");
    book.write(&desk.archives()).expect("written");
    let mut window = Window::new(&desk);
    window.apply(Command::Archive(ArchiveCommand::Show));
    ask_by_number(&mut window);
    window.press_button_that_begins("List the series of");
    assert!(window.shows("Hide the series of"), "they can be put away");
    let ap = ap_film().identity().clone();
    let folder = desk.film("one series");
    let films = WantedFilms::of_series(ap.study, ap.series);
    window.apply(Command::Archive(ArchiveCommand::Fetch(
        films,
        folder.clone(),
    )));
    window.wait_until("it has come", |workbench| {
        let page = workbench.archive_page();
        page.is_some_and(|page| !page.fetched().is_empty())
    });
    assert!(window.shows("1 film in"), "the AP film alone");
    let names: Vec<_> = fs::read_dir(&folder)
        .expect("made")
        .map(|entry| entry.expect("one").file_name())
        .collect();
    assert_eq!(names, [format!("{}.dcm", ap.instance).as_str()], "it");
    let lateral = StoredObject::open(&sample_images().join("sample-foot-lateral.dcm"));
    let lateral = lateral.expect("a film").identity().clone();
    let films = WantedFilms::of_series(ap_film().identity().study.clone(), lateral.series);
    let other = desk.film("another series");
    window.apply(Command::Archive(ArchiveCommand::Fetch(films, other)));
    window.wait_until("both have come", |workbench| {
        let page = workbench.archive_page();
        page.is_some_and(|page| page.ticked().len() == 2)
    });
    window.press_button_that_begins("Hide the series of");
    assert!(!window.shows("DX · 1 film"), "put away");
}

#[test]
fn a_foot_whose_films_came_from_no_archive_is_sent_back_to_none() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut window = Window::with(&desk, films);
    let back = Command::Export(ExportCommand::SendBack);
    assert!(!back.is_possible(&window.workbench()), "to whom");
    window.apply(Command::Show(Some(Overlay::Export)));
    assert!(!window.shows("The films came from"), "nobody knows");
}
