//! What somebody meets who has never used the program: the caution first, then a window that says what it holds.

use egui::{Key, Modifiers};
use plumbray::{
    window::CAUTION,
    workbench::{Command, DiscCommand, Overlay},
};
use plumbray_anatomy::View;

use crate::harness::{Desk, Window};

const READ: &str = "I have read this";
/// What stands beside the numbers at all times.
const IN_ONE_LINE: &str = "no medical device";

#[test]
fn on_a_first_start_nothing_is_shown_before_the_caution_is_read() {
    let desk = Desk::never_used();
    let mut window = Window::new(&desk);
    assert!(window.shows(CAUTION), "the caution");
    assert!(!window.shows("Open films…"), "and nothing else");
    window.key_with(Modifiers::COMMAND, Key::K);
    window.key(Key::Escape);
    assert_eq!(
        window.workbench().view().overlay,
        None,
        "no page opens over it"
    );
    window.press_button(READ);
    assert!(window.shows("Open films…"), "the invitation");
    window.close();
    let again = Window::new(&desk);
    assert!(!again.shows(READ), "it is asked for once");
}

#[test]
fn films_given_at_the_start_wait_behind_the_caution() {
    let desk = Desk::never_used();
    let mut window = Window::with(&desk, desk.sample_foot());
    assert!(
        window.workbench().film(View::Ap).is_some(),
        "the film is open"
    );
    assert!(
        window.shows(CAUTION) && !window.shows("Hallux valgus"),
        "no row before the caution is read"
    );
    window.press_button(READ);
    assert!(window.shows("Hallux valgus"), "the worksheet");
}

#[test]
fn a_traced_foot_and_a_folder_wait_behind_the_caution() {
    let desk = Desk::never_used();
    let mut window = Window::new(&desk);
    window.apply(Command::OpenTracedSampleFoot);
    assert!(
        window.shows(CAUTION) && !window.shows("Hallux valgus"),
        "no number yet"
    );
    let desk = Desk::never_used();
    let films = desk.sample_foot();
    let mut window = Window::new(&desk);
    let folder = films[0].parent().expect("a folder").to_owned();
    window.apply(Command::Disc(DiscCommand::Open(folder)));
    assert!(
        window.shows(CAUTION) && !window.shows("Sample, Foot"),
        "no film is listed yet"
    );
}

#[test]
fn a_short_caution_stays_beside_the_numbers() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.apply(Command::OpenTracedSampleFoot);
    assert!(window.shows(IN_ONE_LINE), "with numbers");
    window.apply(Command::Select(
        plumbray_measure::Measurement::HalluxValgusAngle,
    ));
    assert!(
        window.shows(IN_ONE_LINE),
        "and while one of them is looked at"
    );
}

#[test]
fn the_menu_of_the_foot_names_what_a_newcomer_looks_for() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.press_button("Foot");
    for entry in [
        Command::Disc(DiscCommand::Ask),
        Command::Show(Some(Overlay::Sheet)),
        Command::Show(Some(Overlay::Export)),
        Command::Quit,
    ] {
        assert!(window.shows(&entry.text()), "{}", entry.text());
    }
    window.press_button_that_begins(&Command::Show(Some(Overlay::Export)).text());
    assert_eq!(
        window.workbench().view().overlay,
        Some(Overlay::Export),
        "the page that exports"
    );
}

#[test]
fn recent_feet_are_told_apart_and_written_down_when_they_are_opened() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::SetVisitLabel("before".to_owned()));
    // The window is dropped as it is, as when the computer is switched off.
    drop(window);
    let mut window = Window::new(&desk);
    window.settle();
    assert!(
        window.shows("left foot · 2026-01-05 · before · in films"),
        "side, day, visit and folder"
    );
    let settings = std::fs::read_to_string(desk.film("../settings.ron")).expect("the settings");
    assert!(
        !settings.contains("before"),
        "the settings hold the path alone: {settings}"
    );
}
