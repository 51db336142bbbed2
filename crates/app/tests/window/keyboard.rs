//! The program without a pointer.

use egui::{Key, Modifiers};
use plumbray::{
    canvas::Placement,
    workbench::{Command, Overlay, Selection, TraceStep},
};
use plumbray_anatomy::{LongBone, Side, View};
use plumbray_measure::Measurement;

use crate::{
    harness::{Desk, Window},
    sample_truth::{aims, true_tracing},
};

/// Moves the film cursor by so many screen points with the arrow keys, in steps of two.
fn move_cursor(window: &mut Window, by: egui::Vec2) {
    for (along, forward, back) in [
        (by.x, Key::ArrowRight, Key::ArrowLeft),
        (by.y, Key::ArrowDown, Key::ArrowUp),
    ] {
        let key = if along < 0.0 { back } else { forward };
        let mut left = along.abs();
        for (modifiers, step) in [(Modifiers::SHIFT, 20.0), (Modifiers::NONE, 2.0)] {
            while left >= step {
                window.key_press_only(modifiers, key);
                left -= step;
            }
        }
    }
    window.settle();
}

#[test]
fn a_bone_is_traced_with_the_film_cursor() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let ends = aims(TraceStep::Shaft(View::Ap, LongBone::M1), &truth);
    window.apply(Command::ThrowProposalAway);
    window.key(Key::Num1);
    let map = window.map(View::Ap);
    let (from, to) = (map.screen(ends[0]), map.screen(ends[1]));
    move_cursor(&mut window, from - map.viewport().center());
    window.key(Key::Enter);
    assert!(
        window.workbench().view().first_click.is_some(),
        "one end is put down"
    );
    move_cursor(&mut window, to - from);
    window.key(Key::Enter);
    let workbench = window.workbench();
    let tracing = &workbench.study().tracing.ap;
    assert!(tracing.cortices.contains_key(&LongBone::M1), "traced");
}

#[test]
fn every_row_is_reached_by_its_name_and_shows_its_definition() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::DistalMetatarsalArticularAngle,
    ] {
        window.press_button_that_begins(&format!("{}: ", measurement.name()));
        assert_eq!(
            window.workbench().view().selection,
            Selection::Measurement(measurement),
            "selected"
        );
        assert!(
            window.shows(measurement.definition()),
            "its definition stands in the window"
        );
    }
}

#[test]
fn the_searchable_list_does_what_it_finds() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.key_with(Modifiers::COMMAND, Key::K);
    assert_eq!(
        window.workbench().view().overlay,
        Some(Overlay::Actions),
        "open"
    );
    window.type_text("exchange dark");
    window.key(Key::Enter);
    assert_eq!(window.workbench().view().overlay, None, "closed again");
    let inverted = window
        .workbench()
        .film(View::Ap)
        .is_some_and(|film| film.view.look.inverted);
    assert!(inverted, "done");
}

#[test]
fn keys_zoom_from_the_whole_film_and_back_to_it() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let whole = window.map(View::Ap).zoom();
    window.key(Key::Plus);
    let nearer = window.map(View::Ap).zoom();
    assert!(
        (nearer / whole - 1.25).abs() < 1e-6,
        "a quarter larger: {}",
        nearer / whole
    );
    window.key(Key::Num0);
    let placement = window
        .workbench()
        .film(View::Ap)
        .map(|film| film.view.placement);
    assert_eq!(placement, Some(Placement::Fit), "whole again");
}
