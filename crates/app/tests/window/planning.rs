//! An operation is planned on the sample foot: typed, dragged, solved, undone and kept.

use egui::{Key, Modifiers, vec2};
use plumbray::{
    canvas::Placement,
    workbench::{Command, PlanCommand, PlanEdit},
};
use plumbray_anatomy::{View, testing::assert_close};
use plumbray_measure::Measurement;
use plumbray_plan::{Extent, Goal};

use crate::harness::{Desk, Window};

/// A window with the traced sample foot, being planned.
pub(crate) fn planning(desk: &Desk) -> Window {
    let mut window = Window::new(desk);
    window.apply(Command::OpenTracedSampleFoot);
    window.press_button("Plan");
    window
}

pub(crate) fn planned(window: &Window, measurement: Measurement) -> f64 {
    let workbench = window.workbench();
    let planning = workbench.planning().expect("planning");
    let done = planning.undertaking().expect("carried out");
    let row = done.row(measurement).expect("a row");
    row.planned.value().expect("predicted")
}

pub(crate) fn intermetatarsal(window: &Window) -> f64 {
    planned(window, Measurement::IntermetatarsalAngle12)
}

pub(crate) fn shift(window: &Window) -> f64 {
    let workbench = window.workbench();
    workbench.plan().expect("a plan").head.shift.number()
}

pub(crate) fn set(edit: PlanEdit) -> Command {
    Command::Plan(PlanCommand::Set(edit, true))
}

pub(crate) fn type_into(window: &mut Window, name: &str, text: &str) {
    window.press_button(name);
    window.type_text(text);
    window.key(Key::Enter);
}

#[test]
fn a_shift_that_is_typed_lowers_the_planned_angle_and_undo_takes_it_back() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let first = intermetatarsal(&window);
    type_into(&mut window, "Lateral shift of the head", "30");
    assert_close(shift(&window), 0.3, 1e-9, "30 % of the width");
    let little = intermetatarsal(&window);
    assert!(little > first + 1.0, "{little} after less, {first} before");
    type_into(&mut window, "Lateral shift of the head", "90");
    let much = intermetatarsal(&window);
    assert!(much < first, "{much} after more, {first} before");
    assert_eq!(
        window.workbench().next_undo(),
        Some("Plan: shift of the head"),
        "the name of the change"
    );
    window.apply(Command::Undo);
    assert_close(intermetatarsal(&window), little, 1e-9, "taken back");
    window.apply(Command::Redo);
    assert_close(intermetatarsal(&window), much, 1e-9, "made again");
}

#[test]
fn a_button_finds_the_shift_for_an_angle_for_the_sesamoids_or_for_the_most() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.press_button("IMA is");
    assert_close(intermetatarsal(&window), 6.0, 0.01, "the angle aimed for");
    type_into(&mut window, "Intermetatarsal angle to aim for", "8");
    window.press_button("IMA is");
    assert_close(intermetatarsal(&window), 8.0, 0.01, "another angle");
    let to_angle = shift(&window);
    window.press_button("edge to edge");
    assert!(shift(&window) > to_angle, "edge against edge is farther");
    {
        let workbench = window.workbench();
        let done = workbench.planning().expect("planning").undertaking();
        let contact = done.expect("carried out").contact.share;
        assert_close(contact, 0.0, 1e-6, "no contact left");
    }
    let impossible = Goal::IntermetatarsalAngle(-40.0);
    window.apply(Command::Plan(PlanCommand::Solve(impossible)));
    assert!(
        window.shows("this bone does not allow so much"),
        "said where one looks"
    );
}

#[test]
fn the_head_is_dragged_on_the_film_and_one_step_of_undo_takes_it_back() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let before = shift(&window);
    let head = window.place_of("Head fragment");
    // Lateral of a left foot is at the left of a film seen from the dorsum.
    window.drag(head, head + vec2(-12.0, 0.0), Modifiers::NONE);
    let after = shift(&window);
    assert!(after > before + 0.02, "{after} after, {before} before");
    window.apply(Command::Undo);
    assert_close(shift(&window), before, 1e-9, "by one step");
}

#[test]
fn the_cut_is_dragged_to_another_level_and_tilted_by_its_lateral_end() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let level = |window: &Window| {
        let workbench = window.workbench();
        workbench.plan().expect("a plan").cut.level
    };
    assert_eq!(level(&window), Extent::Millimetres(23.0), "at first");
    let cut = window.place_of("Cut");
    window.drag(cut, cut + vec2(0.0, 14.0), Modifiers::NONE);
    assert!(
        level(&window).number() > 24.0,
        "farther from the joint: {:?}",
        level(&window)
    );
    let end = window.place_of("Cut, lateral end");
    window.drag(end, end + vec2(0.0, -12.0), Modifiers::NONE);
    let tilt = {
        let workbench = window.workbench();
        let planning = workbench.planning().expect("planning");
        planning.undertaking().expect("carried out").cut.tilt
    };
    assert!(tilt.to_degrees() > 3.0, "more distal: {tilt}");
}

#[test]
fn two_screws_are_found_and_an_end_of_one_is_dragged() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.key(Key::F);
    let screws = |window: &Window| {
        let workbench = window.workbench();
        workbench.plan().expect("a plan").screws.clone()
    };
    let found = screws(&window);
    assert_eq!(found.len(), 2, "a pair");
    assert!(
        window.shows("Screw A, entry, lateral film"),
        "on both films"
    );
    let tip = window.place_of("Screw B, tip");
    window.drag(tip, tip + vec2(3.0, -9.0), Modifiers::NONE);
    let moved = screws(&window);
    assert_eq!(moved[0], found[0], "the other one stays");
    assert!(
        moved[1].tip.along > found[1].tip.along,
        "its tip lies more distal"
    );
    assert_eq!(moved[1].entry, found[1].entry, "its entry stays");
    window.apply(Command::Plan(PlanCommand::RemoveScrew(0)));
    assert_eq!(screws(&window).len(), 1, "one is left");
}

#[test]
fn plans_stand_side_by_side_and_come_back_with_the_study() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.key(Key::N);
    window.apply(set(PlanEdit::Shift(Extent::Share(0.5))));
    window.apply(Command::Plan(PlanCommand::Rename("Less".to_owned(), true)));
    assert!(window.shows("2 plans of this foot"), "the heading");
    assert!(
        window.shows("\u{2212}25"),
        "how much less contact the other one leaves, in per cent"
    );
    window.press_button("Plan 1");
    assert_close(shift(&window), 0.75, 1e-9, "the first one is on");
    let path = window
        .workbench()
        .study_path()
        .map(std::path::Path::to_owned)
        .expect("saved");
    window.close();
    let study = plumbray_study::load(&path).expect("readable");
    let names: Vec<&str> = study.plans.iter().map(|plan| plan.name.as_str()).collect();
    assert_eq!(names, ["", "Less"], "both are kept");
}

#[test]
fn planning_shows_the_first_ray_and_leaving_it_the_whole_film_unless_another_part_was_chosen() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    window.apply(Command::OpenTracedSampleFoot);
    let placements = |window: &Window| {
        View::ALL.map(|view| {
            let workbench = window.workbench();
            workbench.film(view).expect("a film").view.placement
        })
    };
    let fitted = window.map(View::Ap).zoom();
    window.press_button("Plan");
    let shown = placements(&window);
    assert!(
        shown
            .iter()
            .all(|placement| matches!(placement, Placement::Part(_))),
        "{shown:?}"
    );
    let nearer = window.map(View::Ap).zoom();
    assert!(nearer > 1.2 * fitted, "{nearer} after {fitted}");
    window.apply(Command::Plan(PlanCommand::Leave));
    assert_eq!(placements(&window), [Placement::Fit; 2], "whole again");
    window.key(Key::Plus);
    let chosen = placements(&window);
    window.press_button("Plan");
    let kept = placements(&window);
    assert_eq!(kept[0], chosen[0], "who has chosen a part keeps it");
    window.key(Key::Z);
    assert!(
        matches!(placements(&window)[0], Placement::Part(_)),
        "asked for"
    );
}

#[test]
fn a_planned_hallux_varus_is_a_clear_warning() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    assert!(!window.shows("Planned hallux varus"), "not at first");
    window.apply(set(PlanEdit::MedialTurn(30.0)));
    assert!(
        planned(&window, Measurement::HalluxValgusAngle) < 0.0,
        "the toe points medially"
    );
    assert!(window.shows("! Planned hallux varus"), "said in words");
}

#[test]
fn what_keeps_a_foot_from_being_planned_is_said_with_the_way_there() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.press_button("Plan");
    assert!(window.shows("trace it in Measure"), "what is missing");
    assert!(window.workbench().plan().is_none(), "nothing is planned");
    window.press_button("Go back to measuring");
    assert!(window.workbench().planning().is_none(), "back");
    let desk = Desk::new();
    let mut window = planning(&desk);
    window.apply(Command::SetOperated(true));
    assert!(window.shows("after an operation"), "an operated foot");
    window.apply(Command::SetOperated(false));
    window.apply(Command::RemoveCalibration(plumbray_anatomy::View::Ap));
    assert!(
        window.shows("not calibrated; calibrate it"),
        "a length in mm"
    );
    window.press_button("Plan in per cent of the bone");
    let workbench = window.workbench();
    let planning = workbench.planning().expect("planning");
    assert!(planning.undertaking().is_some(), "carried out in per cent");
}

#[test]
fn the_plan_goes_to_theatre_as_a_sheet() {
    let desk = Desk::new();
    let mut window = planning(&desk);
    let path = desk.film("for theatre.pdf");
    window.lay_out(path.clone());
    window.key_with(Modifiers::COMMAND, Key::P);
    window.wait_until("the sheet is made", |_| path.is_file());
    let bytes = std::fs::read(&path).expect("a file");
    assert!(bytes.starts_with(b"%PDF"), "a PDF");
}

#[test]
fn small_and_large_windows_and_large_text_show_the_whole_page() {
    for (width, height, text) in [(1280.0, 800.0, 0), (960.0, 600.0, 0), (1280.0, 800.0, 100)] {
        let desk = Desk::new();
        let mut window = Window::of_size(&desk, vec2(width, height));
        window.apply(Command::OpenTracedSampleFoot);
        window.apply(Command::ChangeTextSize(text));
        window.apply(Command::Plan(PlanCommand::Begin));
        for shown in [
            "One plan of this foot",
            "What it will do",
            "Tilt of the cut",
            "Wedge of the proximal phalanx",
            "LEFT foot, confirmed",
            "a licensed surgeon decides",
        ] {
            assert!(
                window.shows(shown),
                "{shown} in {width} by {height}, text {text} % larger"
            );
        }
    }
}
