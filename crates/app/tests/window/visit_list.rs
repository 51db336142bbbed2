//! The list of visits that are compared: changed, taken back, put in order; and keys that act on both films.

use std::path::PathBuf;

use egui::{Key, Modifiers, Rect, pos2, vec2};
use jiff::ToSpan as _;
use plumbray::workbench::{Command, CompareCommand, TimeLineEdit};
use plumbray_compare::Timeline;
use plumbray_study::{SideChoice, StudyFile};

use crate::{
    harness::{Desk, Window},
    visits::oak_at_three_visits,
};

const BY_DAYS: [&str; 3] = ["before", "12 days", "6 months"];

fn window(desk: &Desk) -> Window {
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    let mut window = Window::with(desk, vec![studies[2].clone()]);
    window.press_button("Compare");
    window.press_button("Visits…");
    window
}

fn order(window: &Window) -> Vec<String> {
    let workbench = window.workbench();
    let comparing = workbench.comparing().expect("comparing");
    let visits = comparing.comparison.visits.iter();
    visits.map(|visit| visit.name.short.clone()).collect()
}

/// Studies of so many visits, each a month after the one before; the foot's side is proposed by nobody but the file.
fn many_visits(desk: &Desk, count: i32) -> Vec<PathBuf> {
    let studies = oak_at_three_visits(&desk.film(""), &desk.folders());
    let (_, found) = StudyFile::open_with(&studies[2], &desk.folders()).expect("a study's file");
    let last = found.expect("the last visit");
    let visit = |number: i32| {
        let mut study = last.clone();
        study.side = study.side.map(|side| SideChoice {
            confirmed: false,
            ..side
        });
        for film in [&mut study.ap, &mut study.lateral].into_iter().flatten() {
            let first: jiff::civil::Date = "2026-02-01".parse().expect("a day");
            film.date = Some(first.saturating_add(number.months()));
        }
        let path = desk.film(&format!("visit-{number}.dcm.study.ron"));
        let (mut file, _) = StudyFile::open_with(&path, &desk.folders()).expect("a new study");
        file.save(&study).expect("writable");
        path
    };
    (1..=count).map(visit).collect()
}

#[test]
fn many_visits_stand_beside_the_question_for_the_side_in_a_small_window() {
    for (count, all_are_seen) in [(3, true), (9, true), (24, false)] {
        let desk = Desk::new();
        let studies = many_visits(&desk, count);
        let mut window = Window::of_size(&desk, vec2(1280.0, 800.0));
        window.apply(Command::Open(vec![studies[0].clone()]));
        window.apply(Command::Compare(CompareCommand::Open(studies)));
        assert!(
            window.shows("Which foot?"),
            "{count}: the side is asked for"
        );
        let question = window.rect_of_text("Which foot?");
        let visits: Vec<Rect> = (1..=count)
            .map(|number| window.rect_of_text(&format!("Visit {number}: ")))
            .collect();
        for pair in visits.windows(2) {
            assert!(
                pair[0].right() <= pair[1].left() + 0.5,
                "{count}: visits do not overlap: {pair:?}"
            );
        }
        let last = visits.last().expect("some visits");
        assert!(
            last.width() >= 40.0,
            "{count}: wide enough to hit: {last:?}"
        );
        assert_eq!(
            last.right() <= question.left(),
            all_are_seen,
            "{count}: {last:?} beside {question:?}"
        );
        if !all_are_seen {
            // What is scrolled away is not pressed through the question.
            let under = pos2(question.center().x, last.center().y);
            let before = window.workbench().comparing().expect("comparing").pair();
            window.click_at(under);
            let after = window.workbench().comparing().expect("comparing").pair();
            assert_eq!(before, after, "no visit lies under the question");
        }
    }
}

/// The studies of the list that is kept on disk, in its order.
fn kept(window: &Window) -> Vec<String> {
    let workbench = window.workbench();
    let comparing = workbench.comparing().expect("comparing");
    let kept = Timeline::read(&comparing.edited.time_line).expect("a kept list");
    let studies = kept.visits.iter();
    studies.map(|visit| visit.study.clone()).collect()
}

fn edit(edit: TimeLineEdit) -> Command {
    Command::Compare(CompareCommand::Edit(edit))
}

fn undo(window: &mut Window) {
    window.key_with(Modifiers::COMMAND, Key::Z);
}

#[test]
fn every_change_of_the_list_is_taken_back_by_the_usual_key() {
    let desk = Desk::new();
    let mut window = window(&desk);
    let traced = window.workbench().study().clone();
    let names = |window: &Window| -> Vec<String> {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let visits = comparing.comparison.visits.iter();
        visits.map(|visit| visit.name.long.clone()).collect()
    };
    let first = names(&window);
    for change in [
        TimeLineEdit::Name(1, "wound check".to_owned()),
        TimeLineEdit::Earlier(1),
        TimeLineEdit::TakeOut(2),
    ] {
        let what = change.text();
        window.apply(edit(change));
        assert_ne!(names(&window), first, "{what} changes the list");
        assert_eq!(
            window.workbench().next_undo(),
            Some(what.as_str()),
            "{what} can be taken back"
        );
        let after = names(&window);
        undo(&mut window);
        assert_eq!(names(&window), first, "{what} is taken back");
        assert!(
            window.shows(&format!("Taken back: {what}.")),
            "{what} is said"
        );
        window.key_with(Modifiers::COMMAND, Key::Y);
        assert_eq!(names(&window), after, "{what} is made again");
        undo(&mut window);
    }
    undo(&mut window);
    assert_eq!(names(&window), first, "nothing more to take back");
    assert_eq!(
        window.workbench().study().tracing,
        traced.tracing,
        "the tracing, which nobody sees here, is left alone"
    );
    assert_eq!(kept(&window).len(), 3, "the list on disk goes along");
}

#[test]
fn a_list_that_is_not_by_days_says_so_and_is_put_in_order() {
    let desk = Desk::new();
    let mut window = window(&desk);
    let word = "They are not in the order of their days.";
    assert!(!window.shows(word), "it is at first");
    assert!(
        !edit(TimeLineEdit::ByDays).is_possible(&window.workbench()),
        "nothing to put in order"
    );
    window.press_button("Move visit 3 up");
    assert_eq!(order(&window), ["before", "6 months", "12 days"], "by hand");
    assert!(window.shows(word), "it says so");
    window.press_button("Put the visits in the order of their days");
    assert_eq!(order(&window), BY_DAYS, "by days");
    assert!(!window.shows(word), "nothing to say");
    let studies = kept(&window);
    assert!(
        studies[1].contains("first-days") && studies[2].contains("half-a-year"),
        "kept so: {studies:?}"
    );
    undo(&mut window);
    assert_eq!(
        order(&window),
        ["before", "6 months", "12 days"],
        "one step to take back"
    );
}

#[test]
fn a_name_that_was_taken_back_stands_in_its_field_no_more() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Name of visit 2");
    window.type_text("wound check");
    window.press_button("Visit 2 after surgery");
    let name = |window: &Window| {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        comparing.edited.visits[1].name.clone()
    };
    assert_eq!(name(&window).as_deref(), Some("wound check"), "named");
    undo(&mut window);
    assert_eq!(name(&window), None, "taken back");
    // Whoever enters the field and leaves it finds nothing in it to keep.
    window.press_button("Name of visit 2");
    window.press_button("Visit 2 after surgery");
    assert_eq!(name(&window), None, "and it stays so");
}

#[test]
fn the_keys_for_window_and_place_act_on_both_films_that_are_compared() {
    let desk = Desk::new();
    let mut window = window(&desk);
    window.press_button("Close");
    let looking = |window: &Window| {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        comparing.looking.clone()
    };
    let at_first = looking(&window);
    window.key(Key::I);
    let inverted = looking(&window);
    for look in &inverted.looks {
        let look = look.as_ref().expect("changed");
        assert!(look.inverted, "dark and bright are exchanged");
    }
    window.key(Key::I);
    // A window of one's own, on the later film alone.
    let own = {
        let look = looking(&window).looks[1].clone().expect("changed");
        let mut own = look.window;
        own.width *= 0.3;
        look.with_window(own)
    };
    let look = CompareCommand::Look(1, Box::new(own.clone()));
    window.apply(Command::Compare(look));
    assert_eq!(looking(&window).looks[1].as_ref(), Some(&own), "narrowed");
    let before_w = window
        .workbench()
        .film(plumbray_anatomy::View::Ap)
        .map(|film| film.view.clone());
    window.key(Key::W);
    let reset = looking(&window).looks[1].clone().expect("reset");
    let file = {
        let workbench = window.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let films = comparing.both_films().expect("both");
        plumbray::canvas::FilmLook::of_film(films[1].film())
    };
    assert_eq!(reset, file, "as the file wants it");
    let after_w = window
        .workbench()
        .film(plumbray_anatomy::View::Ap)
        .map(|film| film.view.clone());
    assert_eq!(before_w, after_w, "the film that is traced is left alone");
    window.key(Key::Num0);
    assert_eq!(looking(&window).placement, at_first.placement, "whole");
    window.key(Key::Num2);
    let workbench = window.workbench();
    let view = workbench.comparing().map(|comparing| comparing.view);
    assert_eq!(
        view,
        Some(plumbray_anatomy::View::Lateral),
        "the lateral films"
    );
}
