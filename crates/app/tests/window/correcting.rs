//! Points that are dragged, nudged, walked and taken away.

use egui::{Key, Modifiers, vec2};
use plumbray::workbench::{Command, Selection};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone, Origin, Side, View};

use crate::{
    harness::{Desk, Window},
    sample_truth::{RoughHand, aims, trace, true_tracing},
    samples::truth_of,
};
use plumbray::workbench::TraceStep;

const TIP: Landmark = Landmark::Tip(LongBone::M1);

/// A window in which the first metatarsal is traced and points are being corrected.
fn correcting(desk: &Desk) -> Window {
    let mut window = Window::with(desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 1);
    trace(
        &mut window,
        TraceStep::Shaft(View::Ap, LongBone::M1),
        &truth,
        &mut hand,
    );
    window.key(Key::Escape);
    assert!(
        window.workbench().view().adjusting,
        "Escape begins to correct"
    );
    window
}

fn place(window: &Window, landmark: Landmark) -> Option<FilmPoint> {
    window.workbench().study().tracing.ap.point(landmark)
}

#[test]
fn a_dragged_point_follows_the_hand_and_is_one_step_to_undo() {
    let desk = Desk::new();
    let mut window = correcting(&desk);
    let before = place(&window, TIP).expect("traced");
    let map = window.map(View::Ap);
    let grabbed = map.screen(before) + vec2(3.0, -2.0);
    window.drag(grabbed, grabbed + vec2(40.0, 25.0), Modifiers::NONE);
    let after = place(&window, TIP).expect("still there");
    let wanted = map.film_point(map.screen(before) + vec2(40.0, 25.0));
    let apart = after.distance_px(wanted);
    assert!(apart < 0.1, "{apart} pixels from where the hand let go");
    let origin = window.workbench().study().tracing.ap.points[&TIP].origin;
    assert_eq!(origin, Origin::Hand, "a person placed it");
    window.key_with(Modifiers::COMMAND, Key::Z);
    let undone = place(&window, TIP).expect("still there");
    assert!(undone.distance_px(before) < 1e-9, "one step back");
}

#[test]
fn arrow_keys_nudge_the_selected_point_by_tenths_of_a_pixel() {
    let desk = Desk::new();
    let mut window = correcting(&desk);
    let before = place(&window, TIP).expect("traced");
    window.apply(Command::SelectPoint(View::Ap, TIP));
    window.keys(Key::ArrowRight, 3);
    window.keys(Key::ArrowUp, 2);
    let after = place(&window, TIP).expect("still there");
    let moved = (after.x_px - before.x_px, after.y_px - before.y_px);
    assert!(
        (moved.0 - 0.3).abs() < 1e-3 && (moved.1 + 0.2).abs() < 1e-3,
        "moved by {moved:?}"
    );
    window.key_with(Modifiers::SHIFT, Key::ArrowLeft);
    let further = place(&window, TIP).expect("still there");
    assert!(
        (further.x_px - after.x_px + 1.0).abs() < 1e-3,
        "a whole pixel with Shift"
    );
}

#[test]
fn tab_walks_the_points_in_order_and_shift_tab_walks_back() {
    let desk = Desk::new();
    let mut window = correcting(&desk);
    let points: Vec<Landmark> = {
        let workbench = window.workbench();
        workbench
            .study()
            .tracing
            .ap
            .points
            .keys()
            .copied()
            .collect()
    };
    window.apply(Command::ThrowProposalAway);
    let mut walked = Vec::new();
    for _ in &points {
        window.key(Key::Tab);
        if let Selection::Point(View::Ap, landmark) = window.workbench().view().selection {
            walked.push(landmark);
        }
    }
    assert_eq!(walked, points, "each point once, in anatomical order");
    window.key_with(Modifiers::SHIFT, Key::Tab);
    let last_but_one = points[points.len() - 2];
    assert_eq!(
        window.workbench().view().selection,
        Selection::Point(View::Ap, last_but_one),
        "one back"
    );
}

#[test]
fn delete_takes_the_selected_point_away_and_undo_brings_it_back() {
    let desk = Desk::new();
    let mut window = correcting(&desk);
    let before = place(&window, TIP).expect("traced");
    window.apply(Command::SelectPoint(View::Ap, TIP));
    window.key(Key::Delete);
    assert_eq!(place(&window, TIP), None, "taken away");
    window.key_with(Modifiers::COMMAND, Key::Z);
    assert_eq!(place(&window, TIP), Some(before), "back in its place");
}

#[test]
fn escape_goes_on_tracing_and_a_sweep_then_traces_the_next_bone() {
    let desk = Desk::new();
    let mut window = correcting(&desk);
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let ends = aims(TraceStep::Shaft(View::Ap, LongBone::M2), &truth);
    window.sweep(View::Ap, ends[0], ends[1]);
    let has_second = |window: &Window| {
        let workbench = window.workbench();
        workbench
            .study()
            .tracing
            .ap
            .cortices
            .contains_key(&LongBone::M2)
    };
    assert!(
        !has_second(&window),
        "nothing is traced while points are corrected"
    );
    window.key(Key::Escape);
    window.sweep(View::Ap, ends[0], ends[1]);
    assert!(has_second(&window), "traced");
}
