//! A proposal that waits is offered, whatever was pressed before, and Enter does what the prompt line says.

use egui::Key;
use plumbray::workbench::{Command, Overlay, TraceStep};
use plumbray_anatomy::{LongBone, Side, View};

use crate::{
    harness::{Desk, Window},
    proposing::proposal_of,
};

const ACCEPT: &str = "Accept the proposal";

fn see_the_foot(window: &mut Window) {
    let proposal = proposal_of("sample-foot-ap", Side::Left, View::Ap);
    window.film_shows(View::Ap, Ok(vec![proposal]));
}

/// A window on a film on which nobody has looked yet.
fn window_before(desk: &Desk) -> Window {
    let mut window = Window::with(desk, vec![desk.copy_of_sample("sample-foot-ap.dcm")]);
    window.film_shows(View::Ap, Ok(Vec::new()));
    window
}

fn is_offered(window: &Window) -> bool {
    window.workbench().offer().is_some() && window.shows("landmarks proposed.")
}

#[test]
fn keys_pressed_while_the_film_is_looked_at_do_not_hide_what_is_proposed() {
    let desk = Desk::new();
    for keys in [
        [Key::Escape, Key::Escape],
        [Key::N, Key::P],
        [Key::N, Key::Escape],
    ] {
        let mut window = window_before(&desk);
        for key in keys {
            window.key(key);
        }
        see_the_foot(&mut window);
        assert!(is_offered(&window), "offered after {keys:?}");
        window.key(Key::Enter);
        let workbench = window.workbench();
        assert!(
            workbench.view().first_click.is_none() && !workbench.study().tracing.ap.is_empty(),
            "Enter accepts after {keys:?}"
        );
        drop(workbench);
        window.apply(Command::Undo);
    }
}

#[test]
fn escape_leaves_a_chosen_bone_for_the_proposal() {
    let desk = Desk::new();
    let mut window = window_before(&desk);
    see_the_foot(&mut window);
    let chosen = TraceStep::Shaft(View::Ap, LongBone::M1);
    window.apply(Command::GoTo(chosen));
    assert!(!is_offered(&window), "the chosen bone is asked for");
    assert!(
        !Command::AcceptProposal.is_possible(&window.workbench()),
        "what Enter does not do is not listed"
    );
    window.apply(Command::Show(Some(Overlay::Actions)));
    assert!(!window.shows(ACCEPT), "nor shown");
    window.apply(Command::Show(None));
    assert!(window.shows("to the proposal"), "the way back is named");
    window.key(Key::Escape);
    assert!(is_offered(&window), "offered again");
    window.key(Key::Enter);
    assert!(
        !window.workbench().study().tracing.ap.is_empty(),
        "accepted"
    );
}

#[test]
fn enter_puts_no_point_where_no_cursor_was_seen() {
    let desk = Desk::new();
    let mut window = window_before(&desk);
    window.key(Key::Enter);
    assert!(
        window.workbench().view().first_click.is_none(),
        "the first Enter shows the cursor"
    );
    window.key(Key::Enter);
    assert!(
        window.workbench().view().first_click.is_some(),
        "the next one clicks with it"
    );
}
