//! Archives are asked, films fetched and opened, and what waits to be sent is looked after.

use std::{
    fs,
    path::{Path, PathBuf},
    sync::Arc,
    time::Duration,
};

use egui::Key;
use jiff::Timestamp;
use plumbray::workbench::{AddressForm, ArchiveCommand, Command, Question, Way, WayIn, Workbench};
use plumbray_anatomy::View;
use plumbray_archive::{AddressBook, JobState, Queue, WantedFilms};

use crate::{
    harness::{Desk, Window},
    web_archive::{Behaviour, PATIENT, WebArchive, ap_film, url_of_nobody},
};

const NAME: &str = "Clinic";

/// An archive at this address is known.
fn know(desk: &Desk, url: &str, user: Option<&str>) {
    let form = AddressForm {
        name: NAME.to_owned(),
        way: Way::Web,
        url: url.to_owned(),
        way_in: user.map_or(WayIn::Open, |_user| WayIn::Password),
        user: user.unwrap_or_default().to_owned(),
        ..AddressForm::default()
    };
    let mut book = AddressBook::default();
    book.put(form.address().expect("an address")).expect("put");
    book.write(&address_book(desk)).expect("written");
}

/// A window with the page of an archive that is known and lets everybody in.
fn page_of(desk: &Desk, server: &WebArchive) -> Window {
    know(desk, &server.url(), None);
    let mut window = Window::new(desk);
    window.apply(archive(ArchiveCommand::Show));
    window
}

fn address_book(desk: &Desk) -> PathBuf {
    desk.places().archives.expect("a place for addresses")
}

/// All files that the program keeps, apart from the films that were fetched.
fn kept_files(desk: &Desk) -> Vec<(PathBuf, Vec<u8>)> {
    fn collect(folder: &Path, films: &Path, into: &mut Vec<(PathBuf, Vec<u8>)>) {
        for entry in fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            if path == films {
                continue;
            }
            if path.is_dir() {
                collect(&path, films, into);
            } else {
                let bytes = fs::read(&path).expect("a file");
                into.push((path, bytes));
            }
        }
    }
    let films = desk.film("");
    let films = PathBuf::from(films.to_str().expect("text").trim_end_matches('/'));
    let mut files = Vec::new();
    collect(films.parent().expect("the desk"), &films, &mut files);
    files
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes
        .windows(text.len())
        .any(|part| part == text.as_bytes())
}

fn archive(command: ArchiveCommand) -> Command {
    Command::Archive(command)
}

fn number(patient_id: &str) -> Command {
    let question = Question {
        patient_id: patient_id.to_owned(),
        ..Question::default()
    };
    archive(ArchiveCommand::Find(Box::new(question)))
}

/// An archive that wants a secret.
fn guarded_archive() -> WebArchive {
    WebArchive::new(Behaviour {
        wants_secret: true,
        ..Behaviour::default()
    })
}

#[test]
fn an_archive_is_added_asked_and_its_films_are_fetched_and_opened_and_no_name_is_kept() {
    let server = WebArchive::new(Behaviour::default());
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.press_button("Films of an archive…");
    assert!(window.shows("No archive is known yet"), "how to begin");
    window.fill_in("Name of the archive", NAME);
    window.press_button("DICOMweb");
    window.fill_in("Address", "nonsense");
    window.press_button("Keep this address");
    assert!(window.shows("must begin with https://"), "told");
    assert!(!address_book(&desk).exists(), "nothing is kept");
    window.fill_in("Address", &server.url());
    window.press_button("Keep this address");
    let book = AddressBook::read(&address_book(&desk)).expect("read");
    assert!(book.named(NAME).is_ok(), "where commands find it");
    window.press_button("Is this archive there?");
    assert!(window.shows("It is there"), "answered");

    window.press_button("Ask the archive");
    assert!(window.shows("Say at least a number"), "not everything");
    window.fill_in("Patient’s name", &format!("{PATIENT}*"));
    window.key(Key::Enter);
    for shown in [
        "2026-01-03",
        "Zebrafink, Quilla",
        "PX-4711",
        "Foot standing",
    ] {
        assert!(window.shows(shown), "the study: {shown}");
    }
    let asked = server.asked();
    let question = asked.last().expect("a question");
    assert!(question.contains("00100010=Zebrafink*"), "{question}");

    let folder = desk.film("fetched");
    window.lay_out(folder.clone());
    window.press_button_that_begins("Fetch the films of");
    window.wait_until("films come", |workbench| {
        let page = workbench.archive_page();
        page.is_some_and(|page| !page.fetched().is_empty())
    });
    assert!(window.shows("2 films in"), "both");
    let whose = "Zebrafink, Quilla · PX-4711 · 2026-01-03";
    assert!(window.shows(whose), "of whom they are");
    assert!(
        window.shows("AP, left foot · "),
        "the AP film says what it is"
    );
    assert_eq!(fs::read_dir(&folder).expect("made").count(), 2, "two files");
    window.press_button("Open the ticked films");
    window.wait_until("both films are open", |workbench| {
        View::ALL.iter().all(|view| workbench.film(*view).is_some())
    });
    window.press_button("Foot");
    window.press_button("Films of an archive…");
    assert!(window.shows("Zebrafink, Quilla"), "the page is still there");
    window.press_button("Put it away");
    assert!(window.workbench().archive_page().is_none(), "gone");
    window.close();
    let files = kept_files(&desk);
    assert!(files.len() >= 2, "settings and addresses: {files:?}");
    for (path, bytes) in files {
        for text in [PATIENT, "PX-4711", "Sample^Foot"] {
            assert!(!holds(&bytes, text), "{text} in {}", path.display());
        }
    }
}

#[test]
fn without_dialogs_films_go_into_a_folder_of_ones_own_named_by_the_study() {
    let server = WebArchive::new(Behaviour::default());
    let desk = Desk::new();
    let mut window = page_of(&desk, &server);
    window.apply(number("PX-4711"));
    window.press_button_that_begins("Fetch the films of");
    window.wait_until("films come", |workbench| {
        let page = workbench.archive_page();
        page.is_some_and(|page| !page.fetched().is_empty())
    });
    let study = ap_film().identity().study.to_string();
    let folder = desk.places().fetched.join(study);
    assert_eq!(fs::read_dir(&folder).expect("made").count(), 2, "two films");
    assert!(
        window.shows(&folder.display().to_string()),
        "and it says so"
    );
}

#[test]
fn an_archive_that_wants_a_login_which_its_address_does_not_have_says_where_to_put_it() {
    let server = guarded_archive();
    let desk = Desk::new();
    let mut window = page_of(&desk, &server);
    window.press_button("Is this archive there?");
    assert!(
        window.shows("Change its address…” and say whether"),
        "where"
    );
    let workbench = window.workbench();
    let page = workbench.archive_page().expect("the page");
    assert!(!page.wants_secret(), "a password alone would not do");
}

#[test]
fn an_unfit_question_says_that_the_answers_below_are_older() {
    let server = WebArchive::new(Behaviour::default());
    let desk = Desk::new();
    let mut window = page_of(&desk, &server);
    window.apply(number("PX-4711"));
    window.apply(number(""));
    assert!(
        window.shows("below stands what the question before gave"),
        "told"
    );
}

#[test]
fn of_three_films_two_are_chosen() {
    let server = WebArchive::new(Behaviour {
        has_third_film: true,
        ..Behaviour::default()
    });
    let desk = Desk::new();
    let mut window = page_of(&desk, &server);
    let study = ap_film().identity().study.clone();
    let folder = desk.film("fetched");
    window.apply(archive(ArchiveCommand::Fetch(
        WantedFilms::of_study(study),
        folder,
    )));
    assert!(window.shows("3 films in"), "all");
    let open = archive(ArchiveCommand::OpenTicked);
    assert!(!open.is_possible(&window.workbench()), "none is chosen");
    window.press_button_that_begins("Lateral, ");
    let first = {
        let workbench = window.workbench();
        let page = workbench.archive_page().expect("the page");
        page.fetched()[0].films[0].path.clone()
    };
    window.apply(archive(ArchiveCommand::Tick(first, true)));
    window.press_button("Open the ticked films");
    window.wait_until("both films are open", |workbench| {
        View::ALL.iter().all(|view| workbench.film(*view).is_some())
    });
}

#[test]
fn an_archive_that_has_more_than_is_listed_says_so() {
    let server = WebArchive::new(Behaviour {
        more_studies: 2_000,
        ..Behaviour::default()
    });
    let desk = Desk::new();
    let mut window = page_of(&desk, &server);
    window.apply(number("PX-4711"));
    assert!(window.shows("The archive has more"), "what to do");
}

#[test]
fn what_an_archive_refused_is_told_on_the_first_page() {
    let server = guarded_archive();
    let desk = Desk::new();
    know(&desk, &server.url(), None);
    let queue = Queue::open(&desk.places().queue).expect("a queue");
    queue
        .add(NAME, &ap_film(), Timestamp::now())
        .expect("added");
    let mut window = Window::new(&desk);
    window.wait_until("it is refused", |workbench| {
        let jobs = &workbench.queue_shown().jobs;
        jobs.iter().any(|job| job.state == JobState::Refused)
    });
    window.settle();
    assert!(window.shows("An archive refused a film"), "told");
    window.press_button("Films of an archive…");
    assert!(window.shows(": refused"), "here again");
    assert!(window.shows("does not accept"), "and why");
}

#[test]
fn a_secret_is_asked_for_and_again_when_it_is_refused_and_kept_nowhere() {
    let server = guarded_archive();
    let desk = Desk::new();
    know(&desk, &server.url(), Some("ann"));
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    window.apply(number("PX-4711"));
    assert!(window.shows("wants to know who asks"), "nothing is known");
    assert!(server.asked().is_empty(), "nothing goes out without it");
    window.fill_in_secret("Password of ann", "open");
    window.press_button("Go on");
    assert!(
        window.shows("does not accept the user name or secret"),
        "told"
    );
    window.fill_in_secret("Password of ann", "sesame");
    window.press_button("Go on");
    assert!(window.shows("Zebrafink, Quilla"), "what was asked before");
    window.press_button("Is this archive there?");
    assert!(window.shows("It is there"), "not asked for it again");
    let said = format!("{:?}", window.workbench());
    assert!(
        !said.contains("sesame") && !said.contains(PATIENT),
        "{said}"
    );
    window.apply(archive(ArchiveCommand::Leave));
    window.apply(archive(ArchiveCommand::Show));
    window.press_button("Is this archive there?");
    assert!(window.shows("wants to know who asks"), "given each time");
    window.close();
    for (path, bytes) in kept_files(&desk) {
        assert!(!holds(&bytes, "sesame"), "in {}", path.display());
    }
}

#[test]
fn an_archive_that_is_gone_is_told_in_words() {
    let desk = Desk::new();
    know(&desk, &url_of_nobody(), None);
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    window.apply(number("PX-4711"));
    assert!(window.shows("cannot be reached"), "told");
    let workbench = window.workbench();
    let page = workbench.archive_page().expect("the page");
    assert!(page.waits_for().is_none(), "nothing is waited for");
}

#[test]
fn an_answer_that_is_no_longer_waited_for_is_dropped() {
    let server = WebArchive::new(Behaviour {
        slowness: Duration::from_millis(300),
        ..Behaviour::default()
    });
    let desk = Desk::new();
    know(&desk, &server.url(), None);
    let mut workbench = Workbench::new(desk.places(), Arc::new(|| {}));
    workbench.apply(archive(ArchiveCommand::Show));
    workbench.apply(number("PX-4711"));
    let waits_for = |workbench: &Workbench| {
        let page = workbench.archive_page().expect("the page");
        page.waits_for()
    };
    assert!(waits_for(&workbench).is_some(), "asked");
    assert_eq!(workbench.awaited_work(), None, "nothing else waits for it");
    workbench.apply(archive(ArchiveCommand::Stop));
    assert_eq!(waits_for(&workbench), None, "no longer");
    assert!(workbench.wait_for_workers(Duration::from_secs(60)), "ended");
    let page = workbench.archive_page().expect("the page");
    assert!(page.found().is_none(), "it came too late");
}

#[test]
fn what_waits_in_the_queue_is_sent_beside_the_window_without_a_word() {
    let server = WebArchive::new(Behaviour::default());
    let desk = Desk::new();
    know(&desk, &server.url(), None);
    let queue = Queue::open(&desk.places().queue).expect("a queue");
    queue
        .add(NAME, &ap_film(), Timestamp::now())
        .expect("added");
    let mut window = Window::new(&desk);
    window.wait_until("it is sent and has left", |_| {
        let is_sent = !queue.receipts().expect("read").is_empty();
        is_sent && queue.listing().expect("read").jobs.is_empty()
    });
    assert!(window.workbench().notices().is_empty(), "not a word");
    window.apply(archive(ArchiveCommand::Show));
    window.wait_until_shown("Done with: 1 object");
}

#[test]
fn what_cannot_be_sent_says_why_and_can_be_taken_back() {
    let desk = Desk::new();
    know(&desk, &url_of_nobody(), None);
    let queue = Queue::open(&desk.places().queue).expect("a queue");
    queue
        .add(NAME, &ap_film(), Timestamp::now())
        .expect("added");
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    window.wait_until("it was tried", |workbench| {
        let queue = workbench.queue_shown();
        queue.jobs.iter().any(|job| job.tries > 0) && queue.sending.is_none()
    });
    window.wait_until_shown("waits, tried");
    window.wait_until_shown("cannot be reached");
    // A slow machine may have tried again by itself meanwhile.
    let tried = window.workbench().queue_shown().jobs[0].tries;
    window.press_button("Try now");
    window.wait_until("it was tried again", |workbench| {
        let queue = workbench.queue_shown();
        queue.jobs.iter().any(|job| job.tries > tried) && queue.sending.is_none()
    });
    let waiting = window.workbench().queue_shown();
    let is_waiting = |state| matches!(state, JobState::Waiting { .. });
    assert!(is_waiting(waiting.jobs[0].state), "it goes on waiting");
    window.press_button("Cancel");
    window.wait_until("it is gone", |workbench| {
        workbench.queue_shown().jobs.is_empty()
    });
    assert!(queue.listing().expect("read").jobs.is_empty(), "taken back");
}

#[test]
fn an_address_is_changed_and_taken_out_of_the_list() {
    let server = WebArchive::new(Behaviour::default());
    let desk = Desk::new();
    know(&desk, &url_of_nobody(), None);
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    window.press_button("Is this archive there?");
    assert!(window.shows("cannot be reached"), "at the wrong place");
    window.press_button("Change its address…");
    window.fill_in("Address", &server.url());
    window.press_button("Keep this address");
    window.press_button("Is this archive there?");
    assert!(window.shows("It is there"), "at the right one");
    window.press_button("Change its address…");
    window.press_button("Take it out of the list…");
    assert!(
        window.shows("Take “Clinic” out of the list? Its address will be forgotten."),
        "asked first"
    );
    window.press_button("Leave it in the list");
    let book = AddressBook::read(&address_book(&desk)).expect("read");
    assert!(book.named(NAME).is_ok(), "it stays");
    window.press_button("Take it out of the list…");
    window.press_button("Take it out");
    assert!(window.shows("No archive is known yet"), "none is left");
    let book = AddressBook::read(&address_book(&desk)).expect("read");
    assert!(book.archives().is_empty(), "nor on disk");
}

#[test]
fn a_list_of_archives_that_is_damaged_is_told_and_left_as_it_is() {
    let desk = Desk::new();
    fs::write(address_book(&desk), "(archives: [").expect("written");
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    assert!(window.shows("the list of archives cannot be used"), "told");
    assert!(
        !window.shows("Keep this address"),
        "nothing is written over it"
    );
}

#[test]
fn a_queue_that_is_not_used_is_not_made() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.apply(archive(ArchiveCommand::Show));
    window.apply(archive(ArchiveCommand::Leave));
    window.close();
    assert!(!desk.places().queue.exists(), "no folder");
}
