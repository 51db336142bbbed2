//! The page of the visit: days that are none, and whom the films' files name.

use std::fs;

use egui::{Key, Modifiers};
use plumbray::workbench::{Command, Overlay};
use plumbray_anatomy::View;

use crate::harness::{Desk, Window};

const ASK: &str = "Show whom the films’ files name";
const NAMED: &str = "Sample, Foot";

fn page(desk: &Desk) -> Window {
    let mut window = Window::with(desk, desk.sample_foot());
    window.key_with(Modifiers::COMMAND, Key::I);
    window
}

/// Beside which fields of a day it is said that none stands there.
fn said_at(window: &Window) -> Vec<&'static str> {
    let said = window.rects_of_text("Not a day.");
    [
        "Day of the AP film",
        "Day of the lateral film",
        "Day of the operation",
    ]
    .into_iter()
    .filter(|field| {
        let middle = window.rect_of_field(field).center().y;
        said.iter().any(|said| said.y_range().contains(middle))
    })
    .collect()
}

#[test]
fn each_wrong_day_is_told_beside_its_field() {
    let desk = Desk::new();
    let mut window = page(&desk);
    window.fill_in("Day of the AP film", "5.1.26");
    window.fill_in("Day of the lateral film", "yesterday");
    window.key(Key::Tab);
    assert_eq!(
        said_at(&window),
        ["Day of the AP film", "Day of the lateral film"],
        "beside both"
    );
    assert!(
        window.workbench().notices().is_empty(),
        "and not behind the page: {:?}",
        window.workbench().notices()
    );
    window.fill_in("Day of the AP film", "2026-01-06");
    window.keys(Key::Tab, 2);
    assert_eq!(
        said_at(&window),
        ["Day of the lateral film"],
        "one is mended"
    );
    let day = window
        .workbench()
        .study()
        .film(View::Ap)
        .and_then(|film| film.date);
    assert_eq!(
        day.map(|day| day.to_string()).as_deref(),
        Some("2026-01-06"),
        "taken over"
    );
    window.apply(Command::Show(None));
    assert!(
        window.shows("“yesterday” is not a day."),
        "what was left wrong is told when the page has gone"
    );
}

#[test]
fn the_patient_is_shown_on_demand_and_kept_nowhere() {
    let desk = Desk::new();
    let mut window = page(&desk);
    assert!(!window.shows(NAMED), "not before somebody asks");
    window.press_button(ASK);
    assert!(
        window.shows(NAMED) && window.shows("number SAMPLE"),
        "as the file says"
    );
    assert!(
        !window.shows("differ in"),
        "both films name the same patient"
    );
    let debugged = format!("{:?}", window.workbench());
    assert!(!debugged.contains(NAMED), "no log can hold the name");
    window.apply(Command::Show(None));
    window.apply(Command::Show(Some(Overlay::Visit)));
    assert!(!window.shows(NAMED), "it goes with the page");
    window.press_button(ASK);
    window.apply(Command::SetVisitLabel("before".to_owned()));
    let study = window.workbench().study_path().expect("a study").to_owned();
    window.close();
    for kept in [study, desk.film("../settings.ron")] {
        let text = fs::read_to_string(&kept).expect("a text");
        assert!(
            !text.contains("Sample, Foot") && !text.contains("Sample^"),
            "{text}"
        );
    }
}

#[test]
fn films_of_different_patients_are_told_apart() {
    let desk = Desk::new();
    let films = desk.sample_foot();
    let mut bytes = fs::read(&films[1]).expect("a film");
    let at = bytes
        .windows(11)
        .position(|part| part == b"Sample^Foot")
        .expect("a name");
    bytes[at..at + 11].copy_from_slice(b"Someone^Els");
    fs::write(&films[1], bytes).expect("writable");
    let mut window = Window::with(&desk, films);
    window.key_with(Modifiers::COMMAND, Key::I);
    window.press_button(ASK);
    for text in [
        "AP: Sample, Foot",
        "Lateral: Someone, Els",
        "differ in the name.",
    ] {
        assert!(window.shows(text), "{text}");
    }
}
