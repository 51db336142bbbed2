//! Three visits of one foot, opened, compared and looked at in every way.

use plumbray::workbench::{Command, CompareCommand, CompareView};
use plumbray_compare::Pair;

use crate::{
    harness::{Desk, Window},
    visits::oak_at_three_visits,
};

fn window(desk: &Desk) -> Window {
    let folder = desk.film("");
    let studies = oak_at_three_visits(&folder, &desk.folders());
    Window::with(desk, vec![studies[2].clone()])
}

#[test]
fn a_foot_is_compared_with_its_other_visits_by_one_click() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("three visits in the folder");
        assert_eq!(comparing.foot.visits.len(), 3, "visits");
        let pair = Pair {
            earlier: 1,
            later: 2,
        };
        assert_eq!(comparing.pair(), pair, "since surgery");
        assert!(comparing.laid.is_some(), "laid over each other");
    }
    for text in [
        "What changed?",
        "How far was the head moved, before to 6 months?",
        "Does the correction hold?",
    ] {
        assert!(window.shows(text), "{text}");
    }
    assert!(
        window.shows("Hallux valgus angle over the visits"),
        "the plot by its name"
    );
    window.press_button("Measure");
    assert!(
        window.workbench().comparing().is_none(),
        "back to measuring"
    );
}

#[test]
fn a_click_on_the_time_line_chooses_the_visits_and_each_way_shows_them() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    window.press_button("Visit 1: before surgery");
    let pair = window.workbench().comparing().expect("comparing").pair();
    assert_eq!(
        (pair.earlier, pair.later),
        (0, 2),
        "before and half a year after surgery"
    );
    for shown in CompareView::ALL {
        window.press_button(shown.name());
        let is_shown = window.workbench().comparing().expect("comparing").shown;
        assert_eq!(is_shown, shown, "{}", shown.name());
        let film = if shown == CompareView::SideBySide {
            "Later AP film"
        } else {
            "Both AP films"
        };
        assert!(window.shows(film), "{} draws {film}", shown.name());
    }
}

#[test]
fn the_visits_that_were_found_are_kept_as_a_time_line() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.apply(Command::Compare(CompareCommand::Begin));
    let kept = desk.film("oak-half-a-year-ap.dcm.visits.ron");
    assert!(kept.is_file(), "kept");
    let mut other = Window::new(&Desk::new());
    other.apply(Command::Compare(CompareCommand::Open(vec![kept])));
    let count = other
        .workbench()
        .comparing()
        .map(|now| now.foot.visits.len());
    assert_eq!(count, Some(3), "opened from the file");
}

#[test]
fn one_visit_by_itself_says_what_to_do() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.apply(Command::Compare(CompareCommand::Begin));
    assert!(
        window.workbench().comparing().is_none(),
        "nothing to compare"
    );
    let said = window
        .workbench()
        .notices()
        .last()
        .map(|notice| notice.text.clone());
    assert!(said.is_some_and(|said| said.contains("visit")), "says so");
}

#[test]
fn a_comparison_is_printed_beside_its_studies() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Compare");
    let sheet = desk.film("oak.compared.pdf");
    window.lay_out(sheet.clone());
    window.press_button("Print this comparison…");
    window.wait_until("a sheet", |_| sheet.is_file());
    let bytes = std::fs::read(&sheet).expect("a file");
    assert!(bytes.starts_with(b"%PDF"), "a PDF");
}
