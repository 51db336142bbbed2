//! A placed point on a film that can be chosen, dragged, nudged and taken away.

use egui::{Color32, EventFilter, Id, Key, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2};
use plumbray_anatomy::{FilmPoint, Landmark, View};

use super::theme::film;
use crate::canvas::ScreenFromFilm;

/// The area that answers to the pointer, in points.
const HIT_AREA: f32 = 24.0;
/// A nudge by an arrow key, in film pixels; with Shift ten times as far.
const NUDGE_PX: f64 = 0.1;

/// What happened to a handle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum HandleEvent {
    /// It was moved; `finished` when the hand let go or a key moved it.
    Moved {
        /// Where to.
        to: FilmPoint,
        /// Whether the gesture ended.
        finished: bool,
    },
    /// It is to be taken away.
    Deleted,
    /// It was clicked or reached by the keyboard.
    Chosen,
}

/// Something on a film that can be grabbed.
pub(crate) struct Handle<'a> {
    /// Tells it from all others.
    pub(crate) id: Id,
    /// Its accessible name.
    pub(crate) name: &'a str,
    /// Where it is.
    pub(crate) at: FilmPoint,
    /// Its colour while nobody is near it.
    pub(crate) colour: Color32,
    /// Whether it is selected.
    pub(crate) selected: bool,
}

/// Draws the handle of a landmark and tells what a person did with it.
pub(crate) fn landmark_handle_ui(
    ui: &Ui,
    map: &ScreenFromFilm,
    view: View,
    landmark: Landmark,
    at: FilmPoint,
    colour: Color32,
    selected: bool,
) -> Option<HandleEvent> {
    let name = format!("{}, {} film", landmark.name(), view.name());
    let handle = Handle {
        id: ui.scope_id().with(("landmark", view, landmark)),
        name: &name,
        at,
        colour,
        selected,
    };
    handle_ui(ui, map, &handle)
}

/// Draws a handle over a film and tells what a person did with it.
///
/// While it is dragged the point follows the pointer less the offset at which it was grabbed, so
/// that rounding never adds up.
pub(crate) fn handle_ui(ui: &Ui, map: &ScreenFromFilm, handle: &Handle<'_>) -> Option<HandleEvent> {
    let Handle {
        id,
        name,
        at,
        colour,
        selected,
    } = *handle;
    let place = map.screen(at);
    let area = Rect::from_center_size(place, Vec2::splat(HIT_AREA));
    if !area.intersects(map.viewport()) {
        return None;
    }
    let response = ui.interact(area, id, Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    ui.ctx().accesskit_node_builder(id, |node| {
        node.set_value(format!("{:.1}, {:.1}", at.x_px, at.y_px));
    });
    let lively = selected || response.hovered() || response.dragged() || response.has_focus();
    let ink = if lively { film::INK } else { colour };
    let painter = ui.painter();
    painter.circle_filled(place, 6.0, film::HALO);
    painter.circle_stroke(place, 4.5, Stroke::new(if lively { 2.0 } else { 1.5 }, ink));
    if selected {
        for arm in [vec2(11.0, 0.0), vec2(0.0, 11.0)] {
            painter.line_segment([place - arm, place - arm * 0.6], Stroke::new(1.5, ink));
            painter.line_segment([place + arm, place + arm * 0.6], Stroke::new(1.5, ink));
        }
    }
    let grab = id.with("grab");
    if response.drag_started() {
        let pressed = ui
            .input(|input| input.pointer.press_origin())
            .unwrap_or(place);
        ui.data_mut(|data| data.insert_temp(grab, place - pressed));
    }
    let offset = ui
        .data(|data| data.get_temp::<Vec2>(grab))
        .unwrap_or_default();
    if let Some(pointer) = response.interact_pointer_pos()
        && (response.dragged() || response.drag_stopped())
    {
        let to = map.film_point(pointer + offset);
        return Some(HandleEvent::Moved {
            to,
            finished: response.drag_stopped(),
        });
    }
    if response.clicked() {
        response.request_focus();
        return Some(HandleEvent::Chosen);
    }
    if selected || response.has_focus() {
        keys(ui, id, at, map)
    } else {
        None
    }
}

fn keys(ui: &Ui, id: Id, at: FilmPoint, map: &ScreenFromFilm) -> Option<HandleEvent> {
    ui.memory_mut(|memory| {
        memory.request_focus(id);
        let filter = EventFilter {
            horizontal_arrows: true,
            vertical_arrows: true,
            ..Default::default()
        };
        memory.set_focus_lock_filter(id, filter);
    });
    let (across, down, deletes) = ui.input(|input| {
        let nudge = if input.modifiers.shift {
            10.0 * NUDGE_PX
        } else {
            NUDGE_PX
        };
        let presses = |key| f64::from(u32::try_from(input.num_presses(key)).unwrap_or(0));
        (
            (presses(Key::ArrowRight) - presses(Key::ArrowLeft)) * nudge,
            (presses(Key::ArrowDown) - presses(Key::ArrowUp)) * nudge,
            input.key_pressed(Key::Delete) || input.key_pressed(Key::Backspace),
        )
    });
    if deletes {
        return Some(HandleEvent::Deleted);
    }
    if across == 0.0 && down == 0.0 {
        return None;
    }
    // The arrows point along the screen, whatever the film's turn.
    #[expect(clippy::cast_possible_truncation, reason = "a nudge is a few pixels")]
    let direction = map.film_step(vec2(across as f32, down as f32));
    let zoom = map.zoom();
    let to = FilmPoint::new(
        at.x_px + direction.across_px * zoom,
        at.y_px + direction.down_px * zoom,
    );
    Some(HandleEvent::Moved { to, finished: true })
}
