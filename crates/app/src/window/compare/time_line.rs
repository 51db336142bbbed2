//! The visits of a foot as dots on a line.

use egui::{FontId, Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, text::LayoutJob, vec2};
use plumbray_compare::Pair;

use super::super::{theme, theme::size, widgets};
use crate::workbench::{Command, CompareCommand, Comparing};

/// Room for a visit in points, where there is enough.
const ROOM: f32 = 104.0;
/// The least room in which a visit can be told from its neighbours; more of them are scrolled.
const NARROWEST: f32 = 48.0;
/// How high the line with its names is.
const HEIGHT: f32 = 40.0;

/// Draws the visits. A click puts a visit in the place of the nearer of the two that are compared, with Shift in
/// that of the other one. They stand closer where there are many, and can be scrolled where that is not enough.
pub(in super::super) fn time_line_ui(
    ui: &mut Ui,
    comparing: &Comparing,
    commands: &mut Vec<Command>,
) {
    let count = comparing.comparison.visits.len();
    if count == 0 {
        ui.label(widgets::soft(ui, "no visits"));
        return;
    }
    #[expect(clippy::cast_precision_loss, reason = "some visits")]
    let room = (ui.available_width() / count as f32).clamp(NARROWEST, ROOM);
    egui::ScrollArea::horizontal()
        .id_salt("time line")
        .auto_shrink([true, false])
        .show(ui, |ui| visits_ui(ui, comparing, room, commands));
}

fn visits_ui(ui: &mut Ui, comparing: &Comparing, room: f32, commands: &mut Vec<Command>) {
    let visits = &comparing.comparison.visits;
    #[expect(clippy::cast_precision_loss, reason = "some visits")]
    let width = room * visits.len() as f32;
    let (whole, _) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::hover());
    let line = whole.top() + 14.0;
    let ends = [whole.left() + room * 0.5, whole.right() - room * 0.5];
    let stroke = Stroke::new(2.0, theme::tokens(ui).line);
    ui.painter().hline(ends[0]..=ends[1], line, stroke);
    for place in 0..visits.len() {
        #[expect(clippy::cast_precision_loss, reason = "some visits")]
        let at = pos2(ends[0] + room * place as f32, line);
        visit_ui(ui, comparing, place, (at, room), commands);
    }
}

/// One visit: a dot with its name below.
fn visit_ui(
    ui: &Ui,
    comparing: &Comparing,
    place: usize,
    (at, room): (Pos2, f32),
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let visits = &comparing.comparison.visits;
    let pair = comparing.pair();
    let visit = &visits[place];
    let is_chosen = place == pair.earlier || place == pair.later;
    let zone = Rect::from_center_size(at + vec2(0.0, 8.0), vec2(room, 38.0));
    let response = ui.interact(zone, ui.scope_id().with(("visit", place)), Sense::click());
    let name = format!("Visit {}: {}", place + 1, visit.name.long);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    if is_chosen {
        ui.painter().circle_filled(at, 5.0, tokens.accent);
    } else {
        ui.painter().circle_filled(at, 5.0, tokens.panel);
        ui.painter()
            .circle_stroke(at, 5.0, Stroke::new(2.0, tokens.soft));
    }
    let ink = if is_chosen { tokens.ink } else { tokens.soft };
    let mut text = LayoutJob::simple(
        visit.name.short.clone(),
        FontId::proportional(size::SMALLEST),
        ink,
        room - 4.0,
    );
    // A name that is longer than its room ends in dots; the whole one is told under the pointer.
    text.wrap.max_rows = 1;
    text.wrap.break_anywhere = true;
    let text = ui.painter().layout_job(text);
    let below = at + vec2(-0.5 * text.size().x, 9.0);
    ui.painter().galley(below, text, ink);
    let date = visit
        .date
        .map_or_else(|| "day unknown".to_owned(), |date| date.to_string());
    let other_end = ui.input(|input| input.modifiers.shift);
    let hover = format!(
        "{} ({date}). Click: this visit instead of the nearer of the two. With Shift: instead of the other one.",
        visit.name.long
    );
    if response.on_hover_text(hover).clicked()
        && let Some(pair) = chosen(pair, place, other_end, visits.len())
    {
        commands.push(Command::Compare(CompareCommand::Between(pair)));
    }
}

/// The two visits after a click on one of them: it takes the place of the nearer end, with Shift that of the
/// other one. Nothing where that leaves no two visits.
fn chosen(now: Pair, place: usize, other_end: bool, count: usize) -> Option<Pair> {
    let is_earlier = (place < now.later) != other_end;
    let pair = if is_earlier {
        Pair {
            earlier: place,
            ..now
        }
    } else {
        Pair {
            later: place,
            ..now
        }
    };
    (pair.earlier < pair.later && pair.later < count && pair != now).then_some(pair)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_click_moves_the_nearer_end_and_with_shift_the_other_one() {
        let pair = |earlier, later| Pair { earlier, later };
        for (now, place, other_end, expected) in [
            (pair(1, 2), 0, false, Some(pair(0, 2))),
            (pair(1, 2), 3, false, Some(pair(1, 3))),
            (pair(0, 2), 1, false, Some(pair(1, 2))),
            (pair(0, 2), 1, true, Some(pair(0, 1))),
            (pair(0, 2), 3, true, None),
            (pair(1, 2), 1, false, None),
            (pair(1, 2), 1, true, None),
        ] {
            let found = chosen(now, place, other_end, 4);
            assert_eq!(
                found, expected,
                "{now:?}, visit {place}, other end {other_end}"
            );
        }
    }
}
