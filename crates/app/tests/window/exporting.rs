//! Exporting a foot for an archive: which objects, with whose name, boxes over letters, a folder or an archive's queue.

use std::{
    fs,
    path::{Path, PathBuf},
};

use dicom_core::Tag;
use egui::{Key, Modifiers, Pos2};
use plumbray::{
    canvas::{FilmExtent, Orientation, Placement, ScreenFromFilm},
    workbench::{Command, ExportCommand, Overlay},
};
use plumbray_anatomy::{FilmPoint, Side, View};
use plumbray_archive::{
    Address, AddressBook, AeTitle, DimseAddress, Encryption, JobState, Place, Queue,
};
use plumbray_film::{Film, FilmObject, FilmValue};
use plumbray_measure::Measurement;

use crate::harness::{Desk, Window};

const STUDY: &str = "sample-foot-ap.dcm.study.ron";
const BURNED_IN_ANNOTATION: Tag = Tag(0x0028, 0x0301);

/// A window with the traced sample foot, and its page of exporting.
fn export_page(desk: &Desk) -> Window {
    desk.sample_foot();
    let study = desk.film(STUDY);
    if !study.exists() {
        desk.copy_of_sample(STUDY);
    }
    let mut window = Window::with(desk, vec![study]);
    window.apply(Command::Show(Some(Overlay::Export)));
    window
}

/// Lets the objects be written, and waits until the page is gone and the worker has ended.
fn write(window: &mut Window) {
    window.press_button("Write into a folder…");
    window.wait_until("told what became of it", |workbench| {
        workbench
            .notices()
            .iter()
            .any(|notice| notice.text.contains("xported"))
    });
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).map(|entries| {
        let names = entries.map(|entry| entry.expect("an entry").file_name());
        names
            .map(|name| name.to_string_lossy().into_owned())
            .collect()
    });
    let mut names: Vec<String> = entries.unwrap_or_default();
    names.sort();
    names
}

/// Whether these letters stand anywhere in a file, large or small.
fn has_letters(path: &Path, letters: &str) -> bool {
    let bytes = fs::read(path).expect("a file").to_ascii_lowercase();
    let letters = letters.to_ascii_lowercase();
    bytes
        .windows(letters.len())
        .any(|window| window == letters.as_bytes())
}

/// What a file says of letters in its pixels; nothing where it says nothing.
fn burned_in(path: &Path) -> Option<String> {
    let bytes = fs::read(path).expect("a film");
    let object = FilmObject::read(&bytes).expect("DICOM").expect("an object");
    match &object.element(BURNED_IN_ANNOTATION)?.value {
        FilmValue::Bytes(bytes) => Some(String::from_utf8_lossy(bytes).trim().to_owned()),
        FilmValue::Items(_) => panic!("a text"),
    }
}

/// Where a point of the AP film lies on the page, while the whole film is shown.
fn on_page(window: &Window, point: FilmPoint) -> Pos2 {
    let rect = window.rect_of("Letters on the AP film");
    let workbench = window.workbench();
    let open = workbench.film(View::Ap).expect("an open film");
    let extent = FilmExtent::of_film(&open.film, open.film.proportions());
    ScreenFromFilm::new(extent, rect, Orientation::default(), Placement::Fit).screen(point)
}

fn draw_box(window: &mut Window, from: FilmPoint, to: FilmPoint) {
    let (from, to) = (on_page(window, from), on_page(window, to));
    window.drag(from, to, Modifiers::NONE);
}

#[test]
fn a_foot_is_exported_with_its_patient_into_a_new_folder_and_the_notice_names_it() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    assert!(window.shows("not a medical device"), "the caution");
    // The low list of one action must not make the page low, its buttons out of reach.
    window.apply(Command::Show(Some(Overlay::Actions)));
    window.type_text("export dicom");
    window.key(Key::Enter);
    write(&mut window);
    let folder = desk.film("for an archive");
    let expected = [
        "drawing-ap.dcm",
        "drawing-lateral.dcm",
        "report.dcm",
        "sheet.dcm",
    ];
    assert_eq!(names(&folder), expected, "what is chosen at first");
    assert!(window.shows("for an archive"), "the folder is named");
    assert!(
        has_letters(&folder.join("report.dcm"), "Sample^Foot"),
        "of the film’s patient"
    );
    window.apply(Command::Show(Some(Overlay::Export)));
    window.press_button("Sheet: the printed sheet, on A4");
    window.press_button("Films: the films themselves");
    write(&mut window);
    window.wait_until("written beside the first", |_| {
        names(&desk.film("for an archive 2")).contains(&"film-lateral.dcm".to_owned())
    });
    assert_eq!(names(&folder), expected, "the first export is untouched");
    assert_eq!(names(&desk.film("for an archive 2")).len(), 5, "no sheet");
}

#[test]
fn nothing_in_a_folder_that_was_chosen_is_written_over() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    let folder = desk.film("mine");
    fs::create_dir(&folder).expect("a folder");
    fs::write(folder.join("sheet.dcm"), b"mine").expect("writable");
    window.lay_out(folder.clone());
    write(&mut window);
    assert!(window.shows("Nothing was exported"), "told");
    assert_eq!(names(&folder), ["sheet.dcm"], "no other");
    let mine = fs::read(folder.join("sheet.dcm")).expect("still there");
    assert_eq!(mine, b"mine", "untouched");
}

#[test]
fn without_identity_no_file_names_anybody_and_a_drawn_box_is_in_the_pixels() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    window.press_button("With the patient on the sheet");
    for tick in [
        "Without identity",
        "Picture: each film with its tracing burnt in",
        "Films: the films themselves",
    ] {
        window.press_button(tick);
    }
    draw_box(
        &mut window,
        FilmPoint::new(100.0, 200.0),
        FilmPoint::new(300.0, 260.0),
    );
    assert!(window.shows("Box 1 on the AP film"), "the box is shown");
    window.press_button("I looked at the AP film: no letters that name anybody are left");
    assert!(window.shows("AP, looked at"), "told beside the other film");
    assert!(window.shows("Lateral, not looked at"), "not of this one");
    let to_folder = Command::Export(ExportCommand::AskFolder);
    assert!(
        !to_folder.is_possible(&window.workbench()),
        "nothing leaves yet"
    );
    assert!(window.shows("nothing leaves before"), "and it says so");
    window.press_button("Lateral, not looked at");
    window.press_button("I looked at the lateral film: no letters that name anybody are left");
    write(&mut window);
    let is_without = window.workbench().view().export.without_identity;
    assert!(!is_without, "the next export is asked anew");
    let folder = desk.film("without identity");
    let written = names(&folder);
    assert_eq!(written.len(), 8, "everything: {written:?}");
    for name in &written {
        let path = folder.join(name);
        assert!(!has_letters(&path, "sample"), "{name} names nobody");
        assert!(
            !has_letters(&path, &"sample".replace("", "\0")[1..]),
            "{name}"
        );
    }
    let said = ["film-ap.dcm", "film-lateral.dcm"].map(|name| burned_in(&folder.join(name)));
    let by_who_looked = Some("NO".to_owned());
    assert_eq!(said, [by_who_looked.clone(), by_who_looked], "in both");
    box_is_in_the_pixels(
        &desk.film("sample-foot-ap.dcm"),
        &folder.join("film-ap.dcm"),
    );
}

fn box_is_in_the_pixels(before: &Path, after: &Path) {
    let film = |path: &Path| Film::from_bytes(&fs::read(path).expect("a film")).expect("opens");
    let (before, after) = (film(before), film(after));
    let at = |film: &Film, x: usize, y: usize| film.samples()[y * film.width() + x];
    let filled = at(&after, 200, 230);
    let darkest = *before.samples().iter().min().expect("pixels");
    assert_eq!(filled, darkest, "filled with what the film has darkest");
    for (x, y) in [(103, 203), (297, 203), (103, 257), (297, 257)] {
        assert_eq!(at(&after, x, y), filled, "within the box at {x}, {y}");
    }
    for (x, y) in [(95, 230), (305, 230), (200, 195), (200, 265), (450, 700)] {
        assert_eq!(
            at(&after, x, y),
            at(&before, x, y),
            "beside the box at {x}, {y}"
        );
    }
}

#[test]
fn a_click_takes_a_box_away_and_somebody_has_to_look_again() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    window.press_button("Without identity");
    for left in [100.0, 400.0] {
        draw_box(
            &mut window,
            FilmPoint::new(left, 200.0),
            FilmPoint::new(left + 200.0, 300.0),
        );
    }
    let first = window.workbench().letters_on(View::Ap).boxes[0];
    window.press_button("I looked at the AP film: no letters that name anybody are left");
    assert!(window.workbench().letters_on(View::Ap).looked, "said");
    let place = on_page(&window, FilmPoint::new(500.0, 250.0));
    window.click_at(place);
    let letters = window.workbench().letters_on(View::Ap);
    assert_eq!(letters.boxes, [first], "the other one stays");
    assert!(!letters.looked, "what was covered is seen again");
}

#[test]
fn a_box_is_added_moved_sized_and_taken_away_by_keys_alone() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    window.press_wherever("Without identity");
    window.press_wherever("Add a box");
    // 12 % of 911 by 1056 pixels, in the middle; a step is a hundredth of the longer side, 11 pixels.
    assert!(
        window.shows("Box 1 on the AP film, 109 by 127 pixels at 401, 464"),
        "a screen reader hears where it lies"
    );
    window.press_wherever("I looked at the AP film: no letters that name anybody are left");
    let on = |window: &Window| {
        let letters = window.workbench().letters_on(View::Ap);
        let boxes = letters.boxes.iter();
        let boxes: Vec<_> = boxes
            .map(|one| [one.left, one.top, one.width, one.height])
            .collect();
        (boxes, letters.looked)
    };
    window.key(Key::ArrowLeft);
    window.key(Key::ArrowUp);
    assert_eq!(
        on(&window),
        (vec![[390, 453, 109, 127]], false),
        "moved: look again"
    );
    window.key_with(Modifiers::CTRL, Key::ArrowRight);
    window.key_with(Modifiers::SHIFT, Key::ArrowRight);
    window.key_with(Modifiers::CTRL | Modifiers::SHIFT, Key::ArrowUp);
    assert_eq!(
        on(&window).0,
        [[391, 453, 120, 126]],
        "by a pixel, and sized"
    );
    window.press_wherever("Add a box");
    window.key(Key::ArrowDown);
    assert_eq!(
        on(&window).0[1],
        [401, 475, 109, 127],
        "the new one has the keys"
    );
    window.key(Key::Delete);
    assert_eq!(on(&window).0, [[391, 453, 120, 126]], "the other one stays");
}

#[test]
fn boxes_stay_on_their_film_when_views_are_exchanged() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    window.press_button("Without identity");
    draw_box(
        &mut window,
        FilmPoint::new(100.0, 200.0),
        FilmPoint::new(300.0, 300.0),
    );
    let drawn = window.workbench().letters_on(View::Ap);
    assert_eq!(drawn.boxes.len(), 1, "drawn");
    window.apply(Command::ExchangeViews);
    let workbench = window.workbench();
    assert_eq!(workbench.letters_on(View::Lateral), drawn, "gone along");
    assert!(workbench.letters_on(View::Ap).boxes.is_empty(), "no other");
}

#[test]
fn nothing_about_a_foot_is_exported_before_its_side_is_confirmed() {
    let desk = Desk::new();
    let study = desk.copy_of_sample(STUDY);
    let text = fs::read_to_string(&study).expect("a study");
    assert!(text.contains("confirmed: true"), "as it comes");
    fs::write(&study, text.replace("confirmed: true", "confirmed: false")).expect("writable");
    let mut window = export_page(&desk);
    assert!(window.shows("The side is not confirmed"), "told");
    for refused in [
        ExportCommand::AskFolder,
        ExportCommand::Write(desk.film("out")),
        ExportCommand::Send("clinic".to_owned()),
    ] {
        let command = Command::Export(refused);
        assert!(!command.is_possible(&window.workbench()), "{command:?}");
        window.apply(command);
    }
    assert!(!desk.film("out").exists(), "nothing is written");
    window.press_button("It is a left foot");
    let side = window.workbench().study().side.expect("a side");
    assert_eq!((side.side, side.confirmed), (Side::Left, true), "confirmed");
    assert!(!window.shows("The side is not confirmed"), "no longer told");
    write(&mut window);
    assert!(desk.film("for an archive/report.dcm").exists(), "written");
}

#[test]
fn a_side_against_the_films_file_is_told_at_once_and_stops_the_export_until_somebody_looked() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    assert!(!window.shows("the file says"), "they agree");
    window.apply(Command::ConfirmSide(Side::Right));
    assert!(window.shows("the file says left"), "told beside the side");
    let told = "the AP film’s file says left foot (Image Laterality), the study says right";
    assert!(window.shows(told), "told on the page");
    let refused = Command::Export(ExportCommand::Write(desk.film("out")));
    let is_possible = |window: &Window, command: &Command| command.is_possible(&window.workbench());
    assert!(!is_possible(&window, &refused), "stopped");
    let tick = "I looked at the films: side and views of the study are right";
    window.press_button(tick);
    assert!(is_possible(&window, &refused), "by somebody who looked");
    window.apply(Command::ExchangeViews);
    assert!(
        !is_possible(&window, &refused),
        "of other views nobody spoke"
    );
    window.apply(Command::ExchangeViews);
    window.press_button(tick);
    window.press_button(tick);
    write(&mut window);
    assert!(desk.film("for an archive/report.dcm").exists(), "written");
    window.apply(Command::Show(Some(Overlay::Export)));
    assert!(
        !is_possible(&window, &refused),
        "the next export asks again"
    );
    window.apply(Command::ConfirmSide(Side::Left));
    assert!(is_possible(&window, &refused), "put right");
    assert!(!window.shows("the file says"), "no longer told");
}

#[test]
fn the_exported_report_holds_the_intervals_that_the_worksheet_shows() {
    let desk = Desk::new();
    let study = desk.copy_of_sample(STUDY);
    let text = fs::read_to_string(&study).expect("a study");
    fs::write(&study, text.replace("name: \"\"", "name: \"Ann\"")).expect("writable");
    let kept = "(version: 1, readers: [(reader: \"Ann\", spreads: [(measurement: \"hallux_valgus_angle\", convention: \
                Some(\"mid_diaphyseal_quarters\"), sd: 1.7, films: 12, readings: 24, kept_on: \"2026-11-28\")])])";
    fs::write(desk.own_spreads(), kept).expect("writable");
    let mut window = export_page(&desk);
    let (low, high) = {
        let workbench = window.workbench();
        let mut rows = workbench.worksheet().rows.iter();
        let row = rows.find(|row| row.measurement == Measurement::HalluxValgusAngle);
        let reading = row
            .and_then(|row| row.outcome.reading())
            .expect("the angle");
        assert_eq!(reading.own_sd, Some(1.7), "the worksheet holds it");
        reading.interval
    };
    write(&mut window);
    let report = fs::read(desk.film("for an archive/report.dcm")).expect("a report");
    for end in [low, high] {
        let bytes = end.to_le_bytes();
        let is_there = report.windows(bytes.len()).any(|window| window == bytes);
        assert!(is_there, "{end}, unrounded");
    }
    let words = "the reader's own spread, one standard deviation: 1.7° from 12 films read twice";
    assert!(
        has_letters(&desk.film("for an archive/report.dcm"), words),
        "and says so"
    );
}

/// Makes an archive of this name known.
fn know_archive(desk: &Desk, name: &str) {
    let mut book = AddressBook::default();
    let title = |text: &str| AeTitle::new(text).expect("a title");
    let place = Place::Dimse(DimseAddress {
        host: "127.0.0.1".to_owned(),
        port: 104,
        called: title("ARCHIVE"),
        calling: title("PLUMBRAY"),
        receive_port: None,
        encryption: Encryption::None,
    });
    let name = name.to_owned();
    book.put(Address { name, place }).expect("an address");
    book.write(&desk.archives()).expect("writable");
}

#[test]
fn what_is_sent_waits_in_the_queue_of_the_archive_that_was_chosen() {
    let desk = Desk::new();
    let mut window = export_page(&desk);
    assert!(!window.shows("Send to"), "no archive is known");
    know_archive(&desk, "clinic");
    window.apply(Command::Show(Some(Overlay::Export)));
    window.press_button("Send to clinic");
    window.wait_until("told that it waits, and why", |workbench| {
        let told = |notice: &plumbray::workbench::Notice| {
            notice.text.starts_with("Not yet at clinic, 4 objects: ")
        };
        workbench.notices().iter().any(told)
    });
    let listing = Queue::open(&desk.queue())
        .and_then(|queue| queue.listing())
        .expect("a queue");
    assert_eq!(listing.jobs.len(), 4, "report, sheet and two drawings");
    for job in &listing.jobs {
        assert_eq!(job.archive, "clinic", "for the one that was chosen");
        // Nobody is there, and whoever looks after the queue may be trying at this moment.
        let waits = matches!(
            job.state,
            JobState::Waiting { .. } | JobState::Sending { .. }
        );
        assert!(waits, "it waits: {:?}", job.state);
    }
    let folders: [PathBuf; 2] = [desk.film("for an archive"), desk.film("without identity")];
    assert!(!folders.iter().any(|folder| folder.exists()), "no folder");
}
