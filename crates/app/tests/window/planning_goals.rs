//! What a plan is held at, and what follows when it changes: the shift its goal, suggested screws the shift.

use egui::{Key, Modifiers, vec2};
use plumbray::workbench::{Command, PlanCommand, PlanEdit};
use plumbray_anatomy::testing::assert_close;
use plumbray_measure::Measurement;
use plumbray_plan::{Extent, Goal, ToeRule};

use crate::{
    harness::{Desk, Window},
    planning::{intermetatarsal, planned, planning, set, shift, type_into},
};

#[test]
fn a_goal_is_held_through_changes_until_a_shift_is_stated_or_it_is_let_go() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.press_button("IMA is");
    assert!(window.shows("Held: IMA 6.0°"), "said beside the shift");
    let at_first = shift(&window);
    window.apply(set(PlanEdit::Level(Extent::Millimetres(30.0))));
    assert_close(intermetatarsal(&window), 6.0, 0.01, "another level");
    assert!(
        (shift(&window) - at_first).abs() > 0.001,
        "by another shift than {at_first}"
    );
    window.apply(Command::Undo);
    assert_close(shift(&window), at_first, 1e-9, "both are taken back");
    let cut = window.place_of("Cut");
    window.drag(cut, cut + vec2(0.0, 14.0), Modifiers::NONE);
    assert_close(intermetatarsal(&window), 6.0, 0.01, "a cut that is dragged");
    type_into(&mut window, "Lateral shift of the head", "50");
    assert!(!window.shows("Held:"), "a stated shift is held at nothing");
    window.press_button("IMA is");
    window.press_button("Let go");
    assert!(!window.shows("Held:"), "let go");
    let free = shift(&window);
    window.apply(set(PlanEdit::Kerf(Extent::Millimetres(4.0))));
    assert_close(shift(&window), free, 1e-9, "a free shift stays");
    window.press_button("IMA is");
    let head = window.place_of("Head fragment");
    window.drag(head, head + vec2(-12.0, 0.0), Modifiers::NONE);
    assert!(!window.shows("Held:"), "nor one that is dragged");
}

#[test]
fn a_held_goal_that_cannot_be_reached_any_more_is_told_and_the_shift_stays() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.press_button("edge to edge");
    let farthest = intermetatarsal(&window).ceil() + 0.5;
    let near = Goal::IntermetatarsalAngle(farthest);
    window.apply(Command::Plan(PlanCommand::Solve(near)));
    let before = shift(&window);
    window.apply(set(PlanEdit::MedialTurn(-30.0)));
    window.apply(set(PlanEdit::DorsalShift(Extent::Millimetres(10.0))));
    // Where the shaft is narrower, the same share of it shifts less.
    window.apply(set(PlanEdit::Level(Extent::Millimetres(32.0))));
    assert!(
        window.shows("is held and cannot be reached"),
        "said where one looks"
    );
    assert!(window.shows("not reached"), "and beside the shift");
    assert!(
        window.shows("The goal that is held is reached: open"),
        "and among the checks"
    );
    assert_close(shift(&window), before, 1e-9, "the shift stays");
}

#[test]
fn a_button_tilts_the_cut_so_that_the_length_is_kept() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let along_second = |window: &Window| {
        let workbench = window.workbench();
        let done = workbench.planning().expect("planning").undertaking();
        let parts = done.expect("carried out").length.along_second;
        parts.expect("M2 is traced").whole.mm.expect("calibrated")
    };
    assert!(along_second(&window).abs() > 0.1, "not at first");
    window.press_button("IMA is");
    window.press_button("Keep the length");
    assert_close(along_second(&window), 0.0, 0.01, "the length is kept");
    assert_close(intermetatarsal(&window), 6.0, 0.01, "and so is the goal");
    assert_eq!(
        window.workbench().next_undo(),
        Some("Tilt the cut to keep the length along M2"),
        "one step"
    );
    window.apply(set(PlanEdit::Shift(Extent::Millimetres(1.0))));
    window.apply(Command::Plan(PlanCommand::KeepLength));
    assert!(
        window.shows("no tilt makes up for the kerf"),
        "what keeps it from being kept"
    );
}

#[test]
fn a_toe_that_is_brought_to_an_angle_is_shown_as_chosen_and_one_in_valgus_as_open() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.apply(set(PlanEdit::Shift(Extent::Share(0.2))));
    assert!(
        planned(&window, Measurement::HalluxValgusAngle) > 15.0,
        "the toe stays in valgus"
    );
    assert!(
        window.shows("Hallux valgus within the usual range: open: wanted at most 15.0°, is"),
        "what is wanted and what is"
    );
    assert!(window.shows("may help"), "and what may help");
    assert!(!window.shows(", chosen"), "all is worked out");
    window.apply(set(PlanEdit::ToeRule(ToeRule::Realigned {
        hallux_valgus_degrees: 12.0,
    })));
    assert!(window.shows("12.0°, chosen"), "no prediction any more");
    assert!(
        window.shows("Hallux valgus within the usual range: met"),
        "the choice is within the limit"
    );
}

#[test]
fn suggested_screws_follow_the_shift_and_placed_ones_stay() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let screws = |window: &Window| {
        let workbench = window.workbench();
        let plan = workbench.plan().expect("a plan");
        (plan.screws.clone(), plan.screws_suggested)
    };
    window.key(Key::F);
    let (first, suggested) = screws(&window);
    assert!(suggested, "a suggested pair");
    let before = shift(&window);
    window.apply(set(PlanEdit::Shift(Extent::Share(0.5))));
    let (followed, suggested) = screws(&window);
    assert_ne!(followed, first, "the screws follow");
    assert!(suggested, "still a suggested pair");
    assert_eq!(followed.len(), 2, "a pair");
    window.apply(Command::Undo);
    assert_close(shift(&window), before, 1e-9, "the shift is taken back");
    assert_eq!(screws(&window), (first, true), "and the screws with it");
    window.apply(Command::Redo);
    assert_eq!(screws(&window), (followed, true), "both are made again");
    let tip = window.place_of("Screw B, tip");
    window.drag(tip, tip + vec2(3.0, -9.0), Modifiers::NONE);
    let (placed, suggested) = screws(&window);
    assert!(!suggested, "a hand placed one");
    window.apply(set(PlanEdit::Shift(Extent::Share(0.7))));
    assert_eq!(screws(&window).0, placed, "and they stay");
}
