//! The visits of a foot as dots on a line.

use egui::{Align2, FontId, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use plumbray_compare::Pair;

use super::super::{theme, theme::size};
use crate::workbench::{Command, CompareCommand, Comparing};

/// Room for a visit in points.
const ROOM: f32 = 104.0;

/// Draws the visits. A click makes a visit the later one of the two that are compared, with Shift the earlier
/// one.
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
        let asks_for_earlier = ui.input(|input| input.modifiers.shift);
        let hover = format!(
            "{} ({date}). Click: compare this visit with an earlier one. Shift and click: compare a later one with it.",
            visit.name.long
        );
        if response.on_hover_text(hover).clicked()
            && let Some(pair) = chosen(pair, place, asks_for_earlier, visits.len())
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

/// The two visits after a click on one of them; nothing where it cannot be that one.
fn chosen(now: Pair, place: usize, is_earlier: bool, count: usize) -> Option<Pair> {
    let last = count.checked_sub(1)?;
    if is_earlier {
        let earlier = place.min(last.checked_sub(1)?);
        Some(Pair {
            earlier,
            later: now.later.max(earlier + 1),
        })
    } else {
        let later = place.max(1);
        Some(Pair {
            earlier: now.earlier.min(later - 1),
            later,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_click_chooses_the_later_visit_and_never_the_same_one_twice() {
        let pair = |earlier, later| Pair { earlier, later };
        let now = pair(1, 2);
        for (place, is_earlier, expected) in [
            (3, false, pair(1, 3)),
            (1, false, pair(0, 1)),
            (0, false, pair(0, 1)),
            (0, true, pair(0, 2)),
            (2, true, pair(2, 3)),
            (3, true, pair(2, 3)),
        ] {
            let found = chosen(now, place, is_earlier, 4);
            assert_eq!(found, Some(expected), "visit {place}, earlier {is_earlier}");
        }
        assert_eq!(chosen(now, 0, true, 1), None, "one visit");
    }
}
