//! Planning an operation: the films with what is moved, the plan's fields, and what it will do.

mod alternatives;
mod checks;
mod cut_fields;
mod field;
mod films;
mod head_fields;
mod marks;
mod outcome;
mod panel;
mod screws;
mod words;

use egui::{CentralPanel, Frame, Panel, Rect, ScrollArea, Ui, pos2, vec2};
use plumbray_anatomy::View;
use plumbray_plan::Verdict;

use super::{
    NARROW, WindowState,
    prompt_line::{Asking, asking_ui},
    theme, zone_ui,
};
use crate::workbench::{Command, Planning, Workbench};

/// Width of the panel with the plan's fields in points.
const PANEL: f32 = 412.0;
/// Its width where there is room.
const WIDE_PANEL: f32 = 460.0;
/// A window of this width has room, in points.
const SPACIOUS: f32 = 1500.0;
/// The table of plans needs this width in points; a narrow window gives the AP film less.
const TABLE: f32 = 480.0;
/// Room for the keys that matter now.
const KEYS_ROOM: f32 = 700.0;
/// A narrower line leaves them out, in points.
const LEAST_WIDTH_FOR_KEYS: f32 = 1000.0;
/// The keys that matter, the last one first.
const KEYS: [(&str, &str); 6] = [
    ("Ctrl K", "all actions"),
    ("Ctrl P", "theatre sheet"),
    ("Space", "film as it is"),
    ("N", "another plan"),
    ("F", "best screw pair"),
    ("Z", "first ray"),
];

/// Draws films, alternatives and the plan.
pub(super) fn plan_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let has_lateral = workbench.film(View::Lateral).is_some();
    let folded = ui.available_width() < NARROW;
    let width = if ui.available_width() < SPACIOUS {
        PANEL.min(ui.available_width() * 0.5)
    } else {
        WIDE_PANEL
    };
    Panel::right("plan")
        .exact_size(width)
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            panel::panel_ui(ui, workbench, planning, folded, commands);
        });
    CentralPanel::no_frame()
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            let whole = ui.available_rect_before_wrap();
            let room = if folded { 0.0 } else { TABLE };
            let middle = whole.left() + (whole.width() * 0.5).min((whole.width() - room).max(0.0));
            let left = Rect::from_min_max(whole.min, pos2(middle - 1.0, whole.bottom()));
            let right = Rect::from_min_max(pos2(middle + 1.0, whole.top()), whole.max);
            // Without a lateral film its zone is no larger than the words that say so.
            let share = match (folded, has_lateral) {
                (true, _) => 1.0,
                (false, true) => 0.44,
                (false, false) => 0.3,
            };
            let floor = right.top() + right.height() * share;
            let upper = Rect::from_min_max(right.min, pos2(right.right(), floor));
            for (view, rect) in [(View::Ap, left), (View::Lateral, upper)] {
                zone_ui(ui, rect, |ui| {
                    films::film_ui(ui, workbench, planning, state, view, commands);
                });
            }
            if !folded {
                let lower = Rect::from_min_max(pos2(right.left(), floor), right.max);
                zone_ui(ui, lower.shrink2(vec2(16.0, 12.0)), |ui| {
                    ScrollArea::vertical()
                        .id_salt("alternatives")
                        .auto_shrink(false)
                        .show(ui, |ui| {
                            alternatives::alternatives_ui(ui, workbench, planning, commands);
                            outcome::outcome_ui(ui, workbench, planning, commands);
                        });
                });
            }
        });
}

/// Draws the prompt line while an operation is planned.
pub(super) fn prompt_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    commands: &mut Vec<Command>,
) {
    let asking = Asking {
        prompt: prompt(workbench, planning),
        help: help(planning),
        keys: &KEYS,
        keys_room: KEYS_ROOM,
        least_width: LEAST_WIDTH_FOR_KEYS,
        explains_map: false,
    };
    asking_ui(ui, workbench, asking, commands);
}

fn prompt(workbench: &Workbench, planning: &Planning) -> String {
    if let Some(work) = workbench.awaited_work() {
        format!("{work}…")
    } else if planning.undertaking().is_some() {
        "Drag the head, or type the shift you want.".to_owned()
    } else {
        "This foot cannot be planned as it is.".to_owned()
    }
}

/// The first thing that the plan leaves open, or what can be dragged.
fn help(planning: &Planning) -> String {
    let Some(done) = planning.undertaking() else {
        return "At the right stands what is missing, and how to get there.".to_owned();
    };
    done.checks
        .iter()
        .find(|check| check.verdict == Verdict::Open)
        .map_or_else(
            || {
                "The cut, its lateral end and each end of a screw can be dragged, too. Space shows the \
                 film as it is."
                    .to_owned()
            },
            |check| format!("Not met: {}.", words::check_in_words(check, done)),
        )
}
