//! The boxes over letters on a film of the page of exporting, and the keys that move, size and remove them.

use egui::{
    Color32, EventFilter, Key, Modifiers, Painter, Rect, Response, Role, Sense, Stroke, StrokeKind,
    Ui, WidgetInfo,
};
use plumbray_anatomy::{FilmPoint, View};
use plumbray_report::MaskBox;

use super::theme::film;
use crate::{
    canvas::ScreenFromFilm,
    workbench::{Command, ExportCommand},
};

/// A key moves or sizes a box by this share of the film's longer side, or with Ctrl by one pixel.
const STEP: f64 = 0.01;

/// A box that a key adds is so large, as a share of each side of the film.
const ADDED: f64 = 0.12;

/// What the keys do, in words.
pub(super) const KEYS: &str = "With the keys: Tab to a box, arrows move it, with Shift they size it, with Ctrl pixel by pixel; Delete takes it away.";

/// Columns and rows of a film.
pub(super) type FilmSize = [u32; 2];

/// Draws the boxes of a film and follows keys and clicks on them. `focus` is the number of a box that gets the keys now.
pub(super) fn boxes_ui(
    ui: &Ui,
    (rect, film_id): (Rect, egui::Id),
    map: &ScreenFromFilm,
    (view, size): (View, FilmSize),
    boxes: &[MaskBox],
    focus: &mut Option<usize>,
    commands: &mut Vec<Command>,
) {
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    for (number, masked) in boxes.iter().enumerate() {
        let place = screen_rect(map, *masked).intersect(rect);
        let on_box = ui.interact(place, film_id.with(("box", number)), Sense::click());
        on_box
            .widget_info(|| WidgetInfo::labeled(Role::Button, true, name_of(view, number, masked)));
        if *focus == Some(number) {
            on_box.request_focus();
            *focus = None;
        }
        if place.is_positive() {
            let edge = if on_box.hovered() || on_box.has_focus() {
                film::LOOK_AGAIN
            } else {
                film::ACCENT
            };
            box_ui(&painter, place, edge);
        }
        if let Some(command) = asked_of(ui, &on_box, (view, size), (number, *masked)) {
            commands.push(Command::Export(command));
        }
    }
}

/// A box by its number and place, as a screen reader says it.
fn name_of(view: View, number: usize, masked: &MaskBox) -> String {
    format!(
        "Box {} on the {} film, {} by {} pixels at {}, {}",
        number + 1,
        view.name(),
        masked.width,
        masked.height,
        masked.left,
        masked.top
    )
}

/// What a click or a key asks of a box.
fn asked_of(
    ui: &Ui,
    on_box: &Response,
    (view, size): (View, FilmSize),
    (number, masked): (usize, MaskBox),
) -> Option<ExportCommand> {
    if on_box.clicked() {
        return Some(ExportCommand::RemoveBox(view, number));
    }
    if !on_box.has_focus() {
        return None;
    }
    // Arrows are for the box; Tab and Escape lead away from it as everywhere.
    let arrows = EventFilter {
        horizontal_arrows: true,
        vertical_arrows: true,
        ..EventFilter::default()
    };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(on_box.id, arrows));
    let pressed = ui.input_mut(|input| {
        let removed = [Key::Delete, Key::Backspace]
            .into_iter()
            .any(|key| input.consume_key(Modifiers::NONE, key));
        let mut changed = masked;
        for (key, along) in [
            (Key::ArrowLeft, (-1, 0)),
            (Key::ArrowRight, (1, 0)),
            (Key::ArrowUp, (0, -1)),
            (Key::ArrowDown, (0, 1)),
        ] {
            for (modifiers, is_sized, is_fine) in [
                (Modifiers::CTRL | Modifiers::SHIFT, true, true),
                (Modifiers::CTRL, false, true),
                (Modifiers::SHIFT, true, false),
                (Modifiers::NONE, false, false),
            ] {
                let times = input.count_and_consume_key(modifiers, key);
                for _ in 0..times {
                    let step = if is_fine { 1 } else { step_on(size) };
                    changed = stepped(changed, size, (along.0 * step, along.1 * step), is_sized);
                }
            }
        }
        (removed, changed)
    });
    match pressed {
        (true, _) => Some(ExportCommand::RemoveBox(view, number)),
        (false, changed) if changed != masked => {
            Some(ExportCommand::ChangeBox(view, number, changed))
        }
        _ => None,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a share of a film's longer side is far within the range"
)]
fn step_on([columns, rows]: FilmSize) -> i64 {
    ((f64::from(columns.max(rows)) * STEP).round() as i64).max(1)
}

/// The box after a step in film pixels, on the film and of one pixel at least.
fn stepped(masked: MaskBox, size: FilmSize, by: (i64, i64), is_sized: bool) -> MaskBox {
    let along = |from: u32, length: u32, most: u32, by: i64| {
        let (from, length, most) = (i64::from(from), i64::from(length), i64::from(most));
        let (from, length) = if is_sized {
            (from, (length + by).clamp(1, (most - from).max(1)))
        } else {
            ((from + by).clamp(0, (most - length).max(0)), length)
        };
        [from, length].map(|pixels| u32::try_from(pixels).unwrap_or_default())
    };
    let [left, width] = along(masked.left, masked.width, size[0], by.0);
    let [top, height] = along(masked.top, masked.height, size[1], by.1);
    MaskBox {
        left,
        top,
        width,
        height,
    }
}

/// The box that a key adds: in the middle of the film.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of a film's side is within the range"
)]
pub(super) fn added(size: FilmSize) -> MaskBox {
    let [width, height] = size.map(|side| ((f64::from(side) * ADDED).round() as u32).max(1));
    MaskBox {
        left: (size[0].saturating_sub(width)) / 2,
        top: (size[1].saturating_sub(height)) / 2,
        width,
        height,
    }
}

/// Draws one box, filled.
pub(super) fn box_ui(painter: &Painter, place: Rect, edge: Color32) {
    let line = Stroke::new(1.5, edge);
    painter.rect(place, 0.0, film::SURROUND, line, StrokeKind::Inside);
}

/// Where a box lies on the screen.
pub(super) fn screen_rect(map: &ScreenFromFilm, masked: MaskBox) -> Rect {
    let point = |x: u32, y: u32| map.screen(FilmPoint::new(f64::from(x), f64::from(y)));
    Rect::from_two_pos(
        point(masked.left, masked.top),
        point(
            masked.left.saturating_add(masked.width),
            masked.top.saturating_add(masked.height),
        ),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: FilmSize = [400, 800];

    const fn placed(left: u32, top: u32, width: u32, height: u32) -> MaskBox {
        MaskBox {
            left,
            top,
            width,
            height,
        }
    }

    #[test]
    fn keys_move_and_size_a_box_and_never_off_the_film() {
        let start = placed(10, 20, 30, 40);
        assert_eq!(step_on(SIZE), 8, "a hundredth of the longer side");
        let moved = stepped(start, SIZE, (8, -8), false);
        assert_eq!(moved, placed(18, 12, 30, 40), "moved");
        let sized = stepped(start, SIZE, (8, -8), true);
        assert_eq!(sized, placed(10, 20, 38, 32), "sized at its far corner");
        let at_the_edge = stepped(start, SIZE, (-99, 9999), false);
        assert_eq!(at_the_edge, placed(0, 760, 30, 40), "held on the film");
        let smallest = stepped(start, SIZE, (-99, 9999), true);
        assert_eq!(smallest, placed(10, 20, 1, 780), "one pixel, all the way");
    }

    #[test]
    fn an_added_box_lies_in_the_middle() {
        assert_eq!(added(SIZE), placed(176, 352, 48, 96), "12 % of each side");
    }
}
