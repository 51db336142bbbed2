//! A whole foot traced by rough sweeps and clicks on the film zones, against what is true of the film.

use plumbray::workbench::{Command, Progress, TraceStep};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Origin, Side, View};
use plumbray_measure::Measurement;

use crate::{
    harness::{Desk, Window},
    sample_truth::{RoughHand, aims, read_value, trace, trace_all, true_tracing, true_value},
    samples::truth_of,
};

fn error(window: &Window, truth: &FilmTracing, measurement: Measurement) -> f64 {
    (read_value(window, measurement) - true_value(truth, measurement)).abs()
}

#[test]
fn a_foot_traced_by_hands_that_miss_by_three_millimetres_reads_as_the_true_tracing_does() {
    let ap = true_tracing("sample-foot-ap", Side::Left);
    let lateral = true_tracing("sample-foot-lateral", Side::Left);
    for number in 0..4 {
        let desk = Desk::new();
        let mut window = Window::with(&desk, desk.sample_foot());
        let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), number);
        trace_all(&mut window, View::Ap, &ap, &mut hand);
        trace_all(&mut window, View::Lateral, &lateral, &mut hand);
        assert_eq!(window.workbench().next_step(), None, "everything is traced");
        assert_eq!(
            window.gestures(),
            16,
            "one gesture for each bone, surface and line"
        );
        let limits = [
            (Measurement::HalluxValgusAngle, 1.5),
            (Measurement::IntermetatarsalAngle12, 1.5),
            (Measurement::DistalMetatarsalArticularAngle, 3.0),
            (Measurement::HalluxInterphalangealAngle, 2.0),
        ];
        for (measurement, limit) in limits {
            let error = error(&window, &ap, measurement);
            assert!(
                error < limit,
                "hand {number}, {measurement:?}: off by {error:.2}°"
            );
        }
        // The lateral film's first metatarsal is hidden by the others: it stays as the hand drew it.
        let inclination = error(
            &window,
            &lateral,
            Measurement::FirstMetatarsalInclinationAngle,
        );
        assert!(
            inclination < 5.5,
            "hand {number}: first metatarsal inclination off by {inclination:.2}°"
        );
        let calcaneal = error(&window, &lateral, Measurement::CalcanealInclinationAngle);
        assert!(
            calcaneal < 3.0,
            "hand {number}: calcaneal inclination off by {calcaneal:.2}°"
        );
    }
}

#[test]
fn rough_hands_read_the_joint_surfaces_of_both_feet() {
    for side in [Side::Left, Side::Right] {
        let truth = true_tracing("both-feet-ap", side);
        let desk = Desk::new();
        let film = desk.copy_of_sample("both-feet-ap.dcm");
        let mut window = Window::with(&desk, vec![film]);
        window.apply(Command::ReadOneFootOfTwo(side));
        let mut hand = RoughHand::on(&truth_of("both-feet-ap"), 7);
        trace_all(&mut window, View::Ap, &truth, &mut hand);
        let limits = [
            (Measurement::HalluxValgusAngle, 1.5),
            (Measurement::IntermetatarsalAngle12, 2.0),
            (Measurement::DistalMetatarsalArticularAngle, 3.0),
        ];
        for (measurement, limit) in limits {
            let error = error(&window, &truth, measurement);
            assert!(
                error < limit,
                "{side:?}, {measurement:?}: off by {error:.2}°"
            );
        }
    }
}

#[test]
fn a_stroke_along_the_middle_half_of_a_bone_finds_the_whole_bone() {
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 3);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let ends = aims(TraceStep::Shaft(View::Ap, bone), &truth);
        let [from, to] = [0.25, 0.75].map(|share| hand.near(ends[0].toward(ends[1], share)));
        window.sweep(View::Ap, from, to);
        let traced = window
            .workbench()
            .study()
            .tracing
            .ap
            .cortices
            .contains_key(&bone);
        assert!(traced, "the cortices of {bone:?} were found");
    }
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ] {
        let error = error(&window, &truth, measurement);
        assert!(error < 1.5, "{measurement:?}: off by {error:.2}°");
    }
}

#[test]
fn the_second_metatarsal_swept_as_the_first_is_told() {
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let told = |window: &Window| {
        let workbench = window.workbench();
        let mut notices = workbench.notices().iter();
        notices.any(|notice| notice.text.contains("another bone"))
    };
    let sweep = |window: &mut Window, bone: LongBone| {
        let ends = aims(TraceStep::Shaft(View::Ap, bone), &truth);
        window.sweep(View::Ap, ends[0], ends[1]);
    };
    sweep(&mut window, LongBone::M2);
    assert!(told(&window), "asked for the first, given the second");
    window.apply(Command::Undo);
    assert!(!told(&window), "taken back with the stroke");
    sweep(&mut window, LongBone::M1);
    sweep(&mut window, LongBone::M2);
    assert!(!told(&window), "each in its turn is no mistake");
}

#[test]
fn two_clicks_trace_as_a_sweep_does() {
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let step = TraceStep::Shaft(View::Ap, LongBone::M1);
    let ends = aims(step, &truth);
    let desk = Desk::new();
    let mut swept = Window::with(&desk, vec![desk.copy_of_sample("sample-foot-ap.dcm")]);
    swept.sweep(View::Ap, ends[0], ends[1]);
    let other_desk = Desk::new();
    let films = vec![other_desk.copy_of_sample("sample-foot-ap.dcm")];
    let mut clicked = Window::with(&other_desk, films);
    clicked.click(View::Ap, ends[0]);
    assert!(
        clicked.shows("Now click its other end."),
        "what the prompt asks for"
    );
    clicked.click(View::Ap, ends[1]);
    let tip = |window: &Window| {
        let workbench = window.workbench();
        workbench
            .study()
            .tracing
            .ap
            .point(Landmark::Tip(LongBone::M1))
    };
    let apart = tip(&swept)
        .zip(tip(&clicked))
        .map(|(one, other)| one.distance_px(other))
        .expect("both traced");
    assert!(apart < 1.0, "tips {apart} pixels apart");
}

#[test]
fn a_bone_swept_from_head_to_base_reads_the_same() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    for bone in [LongBone::M1, LongBone::M2, LongBone::ProximalPhalanx] {
        let ends = aims(TraceStep::Shaft(View::Ap, bone), &truth);
        let (from, to) = if bone == LongBone::M1 {
            (ends[0], ends[1])
        } else {
            (ends[1], ends[0])
        };
        window.sweep(View::Ap, from, to);
    }
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ] {
        let error = error(&window, &truth, measurement);
        assert!(error < 1.5, "{measurement:?} off by {error:.2}°");
    }
}

#[test]
fn with_shift_a_stroke_stays_where_it_was_drawn() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let ends = aims(TraceStep::Shaft(View::Ap, LongBone::M1), &truth);
    let beside = |at: FilmPoint| FilmPoint::new(at.x_px + 11.0, at.y_px);
    let (from, to) = (beside(ends[0]), beside(ends[1]));
    window.sweep_with(View::Ap, from, to, egui::Modifiers::SHIFT);
    let workbench = window.workbench();
    let tracing = &workbench.study().tracing.ap;
    let placed = tracing.points[&Landmark::ShaftStart(LongBone::M1)];
    assert_eq!(placed.origin, Origin::Hand, "put down by hand");
    let apart = placed.at.distance_px(from);
    assert!(apart < 0.1, "{apart} pixels from the hand");
    assert!(tracing.cortices.is_empty(), "nothing was found on the film");
}

#[test]
fn everything_is_undone_to_the_empty_film_and_done_again() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 9);
    let untouched = window.workbench().study().tracing.clone();
    let steps = TraceStep::of_view(View::Ap, false);
    for step in steps.iter().take(6) {
        trace(&mut window, *step, &truth, &mut hand);
    }
    let traced = window.workbench().study().tracing.clone();
    let mut undone = 0;
    while window.workbench().next_undo().is_some() {
        window.key_with(egui::Modifiers::COMMAND, egui::Key::Z);
        undone += 1;
    }
    assert_eq!(undone, 6, "one step back for each gesture");
    assert_eq!(
        window.workbench().study().tracing,
        untouched,
        "all taken back"
    );
    while window.workbench().next_redo().is_some() {
        window.key_with(
            egui::Modifiers::COMMAND | egui::Modifiers::SHIFT,
            egui::Key::Z,
        );
    }
    assert_eq!(window.workbench().study().tracing, traced, "all made again");
}

#[test]
fn a_click_on_the_foot_map_traces_a_bone_again() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let step = TraceStep::Shaft(View::Ap, LongBone::M1);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 0);
    trace(&mut window, step, &truth, &mut hand);
    assert_ne!(
        window.workbench().progress(step),
        Progress::Missing,
        "traced"
    );
    assert_ne!(
        window.workbench().step(View::Ap),
        Some(step),
        "the next bone is asked for"
    );
    window.apply(Command::GoTo(step));
    assert_eq!(
        window.workbench().step(View::Ap),
        Some(step),
        "asked for again"
    );
    trace(&mut window, step, &truth, &mut hand);
    assert_ne!(window.workbench().step(View::Ap), Some(step), "done again");
}
