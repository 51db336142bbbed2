//! Every theme, text size and window size draws, and everything that acts has a name.

use egui::{Key, Modifiers, vec2};
use plumbray::workbench::{Command, Overlay, ThemeChoice};
use plumbray_anatomy::{LongBone, Side, View};
use plumbray_measure::Measurement;

use crate::{
    harness::{Desk, Window},
    proposing::proposal_of,
    sample_truth::{RoughHand, trace, true_tracing},
    samples::truth_of,
};
use plumbray::workbench::TraceStep;

/// Shows every page and every kind of selection; `settle` checks that everything that acts has a
/// name whenever it draws.
fn show_everything(window: &mut Window) {
    for overlay in [
        Overlay::Actions,
        Overlay::About,
        Overlay::Visit,
        Overlay::Export,
    ] {
        window.apply(Command::Show(Some(overlay)));
        window.apply(Command::Show(None));
    }
    window.apply(Command::Select(Measurement::HalluxValgusAngle));
    window.apply(Command::SelectNothing);
    window.apply(Command::SetAdjusting(true));
    window.key(Key::Tab);
    window.apply(Command::SelectNothing);
    window.apply(Command::SetAdjusting(false));
    let method = plumbray::workbench::CalibrationMethod::KnownDistance;
    window.apply(Command::StartCalibration(View::Ap, method));
    window.apply(Command::CancelCalibration);
}

#[test]
fn every_theme_and_text_size_draws_and_names_what_acts() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    let truth = true_tracing("sample-foot-ap", Side::Left);
    let mut hand = RoughHand::on(&truth_of("sample-foot-ap"), 0);
    for bone in [LongBone::M1, LongBone::M2] {
        trace(
            &mut window,
            TraceStep::Shaft(View::Ap, bone),
            &truth,
            &mut hand,
        );
    }
    for theme in [ThemeChoice::Light, ThemeChoice::Dark, ThemeChoice::System] {
        window.apply(Command::SetTheme(theme));
        for change in [-50, 70, 70] {
            window.apply(Command::ChangeTextSize(change));
            show_everything(&mut window);
        }
        assert_eq!(
            window.workbench().settings().text_size_per_cent,
            200,
            "as large as it goes"
        );
    }
}

#[test]
fn small_and_large_windows_draw() {
    let desk = Desk::new();
    for size in [vec2(960.0, 600.0), vec2(640.0, 400.0), vec2(2560.0, 1440.0)] {
        let mut window = Window::of_size(&desk, size);
        window.apply(Command::Open(desk.sample_foot()));
        show_everything(&mut window);
        let proposal = proposal_of("sample-foot-ap", Side::Left, View::Ap);
        window.film_shows(View::Ap, Ok(vec![proposal]));
        show_everything(&mut window);
        assert!(window.shows("Accept"), "the choices fit at {size:?}");
        window.close();
    }
}

#[test]
fn the_text_size_stays_between_80_and_200_per_cent_and_is_remembered() {
    let desk = Desk::new();
    let mut window = Window::new(&desk);
    for _ in 0..4 {
        window.key_with(Modifiers::COMMAND, Key::Minus);
    }
    assert_eq!(
        window.workbench().settings().text_size_per_cent,
        80,
        "as small as it goes"
    );
    window.close();
    let again = Window::new(&desk);
    assert_eq!(
        again.workbench().settings().text_size_per_cent,
        80,
        "remembered"
    );
}

#[test]
fn a_held_space_bar_shows_the_bare_film() {
    let desk = Desk::new();
    let mut window = Window::with(&desk, desk.sample_foot());
    window.hold(Key::Space, true);
    assert!(window.workbench().view().bare, "bare");
    window.hold(Key::Space, false);
    assert!(!window.workbench().view().bare, "with its marks again");
}
