//! A resident traces feet of the practice set, sees the lesson, closes the window and comes back.

use egui::{Key, Modifiers};
use plumbray::{
    canvas::Placement,
    workbench::{
        Command, Gesture, Overlay, PracticeCommand, PracticeStage, Selection, Snapping, TraceStep,
    },
};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Tracing, View};
use plumbray_measure::Measurement;
use plumbray_practise::{PlacedThing, PracticeSet};

use crate::{
    harness::{Desk, Window},
    samples::sample_images,
};

fn practise(command: PracticeCommand) -> Command {
    Command::Practise(command)
}

fn practising(desk: &Desk) -> Window {
    let mut window = Window::new(desk);
    window.press_button("Practise");
    window
}

/// The same under a name, under which feet can be taken.
fn practising_as_ada(desk: &Desk) -> Window {
    let mut window = practising(desk);
    window.apply(practise(PracticeCommand::As("Ada".to_owned())));
    window
}

/// The foot that is being traced.
fn foot(window: &Window) -> String {
    let workbench = window.workbench();
    let practising = workbench.practising().expect("practising");
    let attempt = practising.attempt().expect("a foot is being traced");
    attempt.foot().to_owned()
}

/// What is true of a foot of the set that comes with the program.
fn truth(foot: &str) -> Tracing {
    let folder = sample_images().join("practice");
    let set = PracticeSet::open(&folder).expect("the set");
    let foot = set.foot(foot).expect("the foot");
    foot.reference(&folder).expect("its reference").tracing
}

/// Traces the first ray and M2 by hand; what lies at the end of M2 lies this much too far to the right.
fn trace(window: &mut Window, truth: &FilmTracing, off_px: f64) {
    let at = |landmark| truth.point(landmark).expect("in the truth");
    let mut sweep = |from: FilmPoint, to: FilmPoint| {
        let gesture = Gesture::Sweep { from, to };
        window.apply(Command::Gesture(View::Ap, gesture, Snapping::On));
    };
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let tip = at(Landmark::Tip(bone));
        let off = if bone == LongBone::M2 { off_px } else { 0.0 };
        sweep(
            at(Landmark::BaseCentre(bone)),
            FilmPoint::new(tip.x_px + off, tip.y_px),
        );
    }
    let head = at(Landmark::HeadCentre);
    window.apply(Command::Gesture(
        View::Ap,
        Gesture::Click(head),
        Snapping::On,
    ));
}

fn attempts(window: &Window) -> usize {
    let workbench = window.workbench();
    let practising = workbench.practising().expect("practising");
    practising.resident().progress().attempts.len()
}

#[test]
fn a_resident_does_three_feet_sees_the_lessons_closes_and_comes_back() {
    let desk = Desk::new();
    let mut window = practising(&desk);
    assert!(window.shows("Ten simulated feet"), "the set of the program");
    let take = practise(PracticeCommand::TakeNext);
    assert!(!take.is_possible(&window.workbench()), "nobody's feet");
    assert!(window.shows("Give a name or initials first"), "what to do");
    window.apply(practise(PracticeCommand::As("Ada".to_owned())));
    for number in 0..3 {
        window.key(Key::Enter);
        let name = foot(&window);
        trace(&mut window, &truth(&name).ap, 12.0);
        window.key_with(Modifiers::COMMAND, Key::Enter);
        assert_eq!(attempts(&window), number + 1, "kept");
        assert!(window.shows("What it was"), "the lesson");
        assert!(window.shows("Your second metatarsal"), "what is to blame");
        assert!(window.shows("not traced"), "what was left out");
        assert!(
            window.shows("A number without a limit is told and does not count"),
            "what counts"
        );
    }
    window.close();

    let mut window = practising(&desk);
    assert!(
        window.shows("Your 3 feet so far"),
        "who practises is remembered"
    );
    assert!(
        window.shows("Chart of misses without snapping") && !window.shows("with snapping, summed"),
        "a curve for each manner, and none where there is no attempt"
    );
    assert!(
        window.shows("In degrees: its share of what its bone turned the judged angles by"),
        "what costs most says its unit"
    );
    window.apply(practise(PracticeCommand::As("Bert".to_owned())));
    assert_eq!(attempts(&window), 0, "nobody else's");
    window.apply(practise(PracticeCommand::As("Ada".to_owned())));
    assert_eq!(attempts(&window), 3, "again");
    window.apply(practise(PracticeCommand::DeleteProgress));
    assert_eq!(attempts(&window), 0, "theirs to delete");
    window.close();
    let window = practising(&desk);
    assert_eq!(attempts(&window), 0, "for good");
}

#[test]
fn no_number_is_shown_until_the_foot_is_handed_in() {
    let desk = Desk::new();
    let mut window = practising_as_ada(&desk);
    window.key(Key::Enter);
    let name = foot(&window);
    trace(&mut window, &truth(&name).ap, 0.0);
    let angle = |window: &Window| {
        let workbench = window.workbench();
        let outcome = workbench
            .worksheet()
            .outcome(Measurement::HalluxValgusAngle);
        let reading = outcome
            .and_then(|outcome| outcome.reading())
            .expect("an angle");
        format!("{:.1}°", reading.value)
    };
    let angle = angle(&window);
    assert!(!window.shows("Hallux valgus"), "no row");
    assert!(!window.shows(&angle), "no angle on the film: {angle}");
    for command in [
        Command::Select(Measurement::HalluxValgusAngle),
        Command::Show(Some(Overlay::Sheet)),
        Command::Show(Some(Overlay::Export)),
        Command::ProposeTracing,
        Command::CopyTable,
        Command::ConfirmSide(plumbray_anatomy::Side::Left),
    ] {
        assert!(
            !command.is_possible(&window.workbench()),
            "{} would help",
            command.text()
        );
    }
    window.key_with(Modifiers::COMMAND, Key::Enter);
    assert!(window.shows("Hallux valgus"), "now");
    assert!(window.shows(&angle), "{angle} as it was traced");
    window.apply(Command::Select(Measurement::IntermetatarsalAngle12));
    assert_eq!(
        window.workbench().view().selection,
        Selection::Measurement(Measurement::IntermetatarsalAngle12),
        "another number is explained"
    );
    window.key(Key::X);
    assert!(window.shows("Show the reference"), "it is hidden");
}

#[test]
fn what_has_a_limit_is_said_before_handing_in_without_a_number_of_the_foot() {
    let desk = Desk::new();
    let mut window = practising_as_ada(&desk);
    window.key(Key::Enter);
    assert!(
        window.shows("the hallux valgus angle is off by more than 5°"),
        "what counts as a miss"
    );
    assert!(window.shows("not traced"), "what the map’s colours mean");
    let workbench = window.workbench();
    let practising = workbench.practising().expect("practising");
    let limited = practising.limited_numbers(&foot(&window));
    let steps: Vec<_> = limited
        .iter()
        .map(|own| (own.measurement, own.largest, own.steps.clone()))
        .collect();
    let shaft = |bone| TraceStep::Shaft(View::Ap, bone);
    for (measurement, largest, bone) in [
        (
            Measurement::HalluxValgusAngle,
            5.0,
            LongBone::ProximalPhalanx,
        ),
        (Measurement::IntermetatarsalAngle12, 3.0, LongBone::M2),
    ] {
        let of = steps.iter().find(|own| own.0 == measurement);
        let (_, own, from) = of.expect("it has a limit");
        assert!((own - largest).abs() < 1e-9, "its limit: {own}");
        for bone in [LongBone::M1, bone] {
            assert!(from.contains(&shaft(bone)), "{bone:?} in {from:?}");
        }
        assert!(!from.contains(&shaft(LongBone::M5)), "and no other");
    }
}

#[test]
fn a_click_on_a_place_of_the_lesson_brings_either_film_to_it() {
    let desk = Desk::new();
    let mut window = practising_as_ada(&desk);
    window.key(Key::Enter);
    let truth = truth(&foot(&window));
    trace(&mut window, &truth.ap, 12.0);
    let at = |landmark| {
        let own = truth.lateral.point(landmark).expect("in the truth");
        FilmPoint::new(own.x_px + 25.0, own.y_px + 25.0)
    };
    let [from, to] = [Landmark::TalusPosterior, Landmark::TalusAnterior].map(at);
    window.apply(Command::GoTo(TraceStep::Talus));
    window.apply(Command::Gesture(
        View::Lateral,
        Gesture::Sweep { from, to },
        Snapping::On,
    ));
    window.press_button("Hand in");
    window.apply(practise(PracticeCommand::ShowReference(false)));
    for (view, landmark) in [
        (View::Ap, Landmark::ShaftEnd(LongBone::M2)),
        (View::Lateral, Landmark::TalusPosterior),
    ] {
        window.press_wherever(&landmark.name());
        let workbench = window.workbench();
        let handed_in = workbench.practising().and_then(|own| own.handed_in());
        let handed_in = handed_in.expect("a lesson");
        assert_eq!(
            handed_in.looked_at,
            Some(PlacedThing::Landmark(view, landmark)),
            "the place"
        );
        assert!(handed_in.shows_reference, "the reference is shown again");
        let Placement::Part([low, high]) = workbench.film(view).expect("a film").view.placement
        else {
            panic!("the film stayed where it was")
        };
        let within = |at: FilmPoint| {
            (low.x_px..=high.x_px).contains(&at.x_px) && (low.y_px..=high.y_px).contains(&at.y_px)
        };
        let own = workbench.study().tracing.on(view).point(landmark);
        assert!(within(own.expect("traced")), "the attempt is in view");
        if let Some(reference) = handed_in.reference.on(view).point(landmark) {
            assert!(within(reference), "the reference is in view");
        }
    }
    window.press_wherever("Whole films");
    let workbench = window.workbench();
    for view in View::ALL {
        let placement = workbench.film(view).expect("a film").view.placement;
        assert_eq!(placement, Placement::Fit, "whole again");
    }
}

#[test]
fn another_set_without_a_file_dialog_says_how_sets_are_opened_and_a_dropped_one_opens() {
    let desk = Desk::new();
    let mut window = practising(&desk);
    window.apply(practise(PracticeCommand::NoDialogs));
    assert!(
        window.shows("Drop the folder of the practice set"),
        "its own words"
    );
    let shipped = sample_images().join("practice");
    window.apply(Command::Open(vec![shipped.clone()]));
    assert!(window.shows("Ten simulated feet"), "a dropped set opens");
    window.apply(practise(PracticeCommand::Leave));
    window.apply(Command::Open(vec![shipped]));
    assert!(
        window.workbench().practising().is_some(),
        "and so does one named at the start"
    );
}

#[test]
fn without_snapping_a_point_stays_where_the_hand_put_it() {
    let desk = Desk::new();
    let mut window = practising_as_ada(&desk);
    for allowed in [false, true] {
        window.apply(practise(PracticeCommand::AllowSnapping(allowed)));
        window.key(Key::Enter);
        let truth = truth(&foot(&window)).ap;
        let base = truth
            .point(Landmark::BaseCentre(LongBone::M1))
            .expect("in the truth");
        let tip = truth
            .point(Landmark::Tip(LongBone::M1))
            .expect("in the truth");
        let gesture = Gesture::Sweep {
            from: base,
            to: tip,
        };
        window.apply(Command::Gesture(View::Ap, gesture, Snapping::On));
        let is_found = {
            let workbench = window.workbench();
            let cortices = &workbench.study().tracing.ap.cortices;
            cortices.contains_key(&LongBone::M1)
        };
        assert_eq!(is_found, allowed, "cortices are found only with snapping");
        window.apply(practise(PracticeCommand::HandIn));
    }
}

#[test]
fn a_foot_that_is_put_by_or_cut_off_by_a_crash_is_gone_on_with() {
    let desk = Desk::new();
    let mut window = practising_as_ada(&desk);
    window.key(Key::Enter);
    let name = foot(&window);
    trace(&mut window, &truth(&name).ap, 0.0);
    let traced = window.workbench().study().tracing.clone();
    window.press_button("Put this foot by");
    assert!(
        window.shows(&format!("Begun and not handed in: {name}")),
        "it is said"
    );
    let second = "foot-03".to_owned();
    window.apply(practise(PracticeCommand::Take(second.clone())));
    window.press_button("Put this foot by");
    assert!(window.shows(&format!("{name}, {second}")), "both are kept");
    window.apply(practise(PracticeCommand::Take(name.clone())));
    assert_eq!(
        window.workbench().study().tracing,
        traced,
        "what was begun is gone on with, not begun anew"
    );
    // The window is dropped as it is.
    drop(window);

    let mut window = practising(&desk);
    window.apply(practise(PracticeCommand::Resume));
    assert_eq!(foot(&window), name, "the same foot");
    assert_eq!(window.workbench().study().tracing, traced, "after a crash");
    window.apply(practise(PracticeCommand::HandIn));
    let workbench = window.workbench();
    let practising = workbench.practising().expect("practising");
    assert!(
        matches!(practising.stage(), PracticeStage::Lesson(_)),
        "handed in"
    );
    assert_eq!(practising.begun(), [second], "only the other one");
    assert!(
        workbench.settings().recent.is_empty(),
        "an attempt is no foot of the clinic"
    );
}

#[test]
fn what_cannot_be_opened_is_said_and_leaves_everything_as_it_was() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    let nothing = desk.film("no set");
    std::fs::create_dir_all(&nothing).expect("a folder");
    window.apply(practise(PracticeCommand::OpenSet(nothing)));
    assert!(
        window.workbench().practising().is_none(),
        "nothing to practise"
    );
    assert!(!window.workbench().notices().is_empty(), "why");
}

#[test]
fn small_and_large_windows_show_the_whole_page() {
    for size in [egui::vec2(960.0, 600.0), egui::vec2(1920.0, 1080.0)] {
        let desk = Desk::new();
        let mut window = Window::of_size(&desk, size);
        window.press_button("Practise");
        let inside = |window: &Window, name: &str| {
            let rect = window.rect_of(name);
            let whole = egui::Rect::from_min_size(egui::Pos2::ZERO, size);
            assert!(whole.contains_rect(rect), "{name} at {rect:?} in {size:?}");
        };
        inside(&window, "Another set…");
        window.press_button("Make a set…");
        inside(&window, "Write the set");
        inside(&window, "Leave");
        window.press_button("Leave");
        window.apply(practise(PracticeCommand::As("Ada".to_owned())));
        window.key(Key::Enter);
        inside(&window, "Hand in");
        let name = foot(&window);
        trace(&mut window, &truth(&name).ap, 0.0);
        window.press_button("Hand in");
        inside(&window, "All feet");
    }
}
