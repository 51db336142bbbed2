//! The visits of a foot as dots on a line.

use egui::{Align2, FontId, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use plumbray_compare::Pair;

use super::super::{theme, theme::size};
use crate::workbench::{Command, CompareCommand, Comparing};

/// Room for a visit in points.
const ROOM: f32 = 104.0;

/// Draws the visits. A click puts a visit in the place of the nearer of the two that are compared, with Shift in
/// that of the other one.
pub(in super::super) fn time_line_ui(
    ui: &mut Ui,
    comparing: &Comparing,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let visits = &comparing.comparison.visits;
    let pair = comparing.pair();
    #[expect(clippy::cast_precision_loss, reason = "some visits")]
    let count = visits.len() as f32;
    let room = ROOM.min(ui.available_width() / count.max(1.0));
    let (whole, _) = ui.allocate_exact_size(vec2(room * count, 40.0), Sense::hover());
    let line = whole.top() + 14.0;
    let ends = [whole.left() + room * 0.5, whole.right() - room * 0.5];
    ui.painter()
        .hline(ends[0]..=ends[1], line, Stroke::new(2.0, tokens.line));
    for (place, visit) in visits.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "some visits")]
        let at = pos2(ends[0] + room * place as f32, line);
        let is_chosen = place == pair.earlier || place == pair.later;
        let zone = egui::Rect::from_center_size(at + vec2(0.0, 8.0), vec2(room, 38.0));
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
        let font = FontId::proportional(size::SMALLEST);
        let text = ui
            .painter()
            .layout(visit.name.short.clone(), font, ink, room - 4.0);
        let clipped = ui.painter().with_clip_rect(zone);
        let below = at + vec2(-0.5 * text.size().x, 9.0);
        clipped.galley(below, text, ink);
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
    if visits.is_empty() {
        let font = FontId::proportional(size::SMALLEST);
        ui.painter().text(
            whole.center(),
            Align2::CENTER_CENTER,
            "no visits",
            font,
            tokens.soft,
        );
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
