//! A film zone: the film, what is traced on it, its caption, and the hand that acts on it.

use egui::{
    Key, Modifiers, PointerButton, Pos2, Rect, Response, Role, Sense, Ui, WidgetInfo, vec2,
};
use plumbray_anatomy::{Calibration, FilmPoint, View};

use super::{
    WindowState, film_caption::caption_ui, film_hand, film_marks,
    picture_picker::picture_picker_ui, practise, theme::film,
};
use crate::{
    canvas::{Magnifier, Placement, ScreenFromFilm},
    workbench::{Command, FilmView, Gesture, OpenFilm, Practising, Snapping, Workbench},
};

/// A step of the film cursor by an arrow key, in screen points.
const CURSOR_STEP: f32 = 2.0;

/// The room that is left for the film of a view, the film in it and how it lies there; without a film, what to do about it is
/// drawn.
pub(super) fn shown_in<'a>(
    ui: &mut Ui,
    workbench: &'a Workbench,
    view: View,
    commands: &mut Vec<Command>,
) -> Option<(Rect, &'a OpenFilm, ScreenFromFilm)> {
    let rect = ui.available_rect_before_wrap();
    ui.painter().rect_filled(rect, 0.0, film::SURROUND);
    let Some(open) = workbench.film(view) else {
        no_film_ui(ui, rect, workbench, view, commands);
        return None;
    };
    let map = map_of(workbench, view, open, rect);
    let is_fitted = !matches!(open.view.placement, Placement::At { .. });
    if is_fitted && open.drawn != Some(map.placement()) {
        commands.push(Command::NoteDrawn(view, map.placement()));
    }
    Some((rect, open, map))
}

/// Draws a film zone.
pub(crate) fn film_zone_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    view: View,
    commands: &mut Vec<Command>,
) {
    let rest = picture_picker_ui(ui, workbench, view, commands);
    let ui = &mut ui.new_child(egui::UiBuilder::new().max_rect(rest));
    let Some((rect, open, map)) = shown_in(ui, workbench, view, commands) else {
        return;
    };
    let response = ui.interact(
        rect,
        ui.scope_id().with(("film", view)),
        Sense::click_and_drag(),
    );
    let name = format!("{} film", view.name());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let painter = ui.painter().with_clip_rect(rect);
    state
        .painter_of(view)
        .film_ui(&painter, &map, &open.pyramid, &open.view.look);
    if let Some(graphics) = open.graphics.as_ref()
        && open.view.shows_graphics
        && !workbench.view().bare
    {
        let drawing = state.graphics_of(view);
        drawing.graphics_ui(&painter, &map, graphics, film::FILE_GRAPHICS, film::HALO);
    }
    let takes_keys = workbench.view().active == Some(view)
        && workbench.view().overlay.is_none()
        && ui.memory(|memory| memory.focused().is_none());
    if let Some(handed_in) = workbench.practising().and_then(Practising::handed_in) {
        look_only(ui, &response, view, open, &map, commands);
        if !workbench.view().bare {
            let between_captions = painter.with_clip_rect(map.viewport());
            practise::lesson_marks_ui(&between_captions, &map, workbench, handed_in, view);
            let what = (view, Some("handed in"));
            caption_ui(ui, rect, workbench, what, open, &map, commands);
        }
        return;
    }
    let has_keys = takes_keys || response.has_focus();
    let mut hand = Hand {
        ui,
        view,
        takes_keys,
        answers_offer: workbench.offer().is_some(),
        open,
        map: &map,
        response: &response,
        commands,
    };
    hand.look();
    let stroke = hand.trace(state);
    if !workbench.view().bare {
        let moved = film_marks::marks_ui(
            ui,
            workbench,
            view,
            &map,
            stroke.map(|stroke| [stroke.0, stroke.1]),
            commands,
        );
        if let Some((_, at)) = state.cursor.filter(|(on, _)| *on == view && has_keys) {
            cursor_ui(&painter, map.screen(at));
        }
        let around = moved.or_else(|| stroke.map(|stroke| stroke.1));
        if let Some(around) = around {
            let pointer = map.screen(around);
            let magnifier = Magnifier::new(&map, around, pointer, film::INK, film::HALO);
            let look = &open.view.look;
            state
                .painter_of(view)
                .magnifier_ui(&painter, &magnifier, &open.pyramid, look);
        }
        let what = workbench
            .offered_tracing(view)
            .is_some()
            .then_some("proposal");
        caption_ui(ui, rect, workbench, (view, what), open, &map, commands);
    }
    active_edge_ui(ui, rect, workbench, view);
}

/// A cross where Enter clicks, pale on a dark seam, so that it is seen on bone and on air.
fn cursor_ui(painter: &egui::Painter, at: Pos2) {
    for (width, colour) in [(3.0, film::HALO), (1.0, film::INK)] {
        for along in [vec2(7.0, 0.0), vec2(0.0, 7.0)] {
            painter.line_segment([at - along, at + along], egui::Stroke::new(width, colour));
        }
    }
}

/// The hand on a film of which nothing can be changed: any drag but of the right button moves it.
pub(super) fn look_only(
    ui: &Ui,
    response: &Response,
    view: View,
    open: &OpenFilm,
    map: &ScreenFromFilm,
    commands: &mut Vec<Command>,
) {
    let pans =
        response.dragged_by(PointerButton::Primary) || response.dragged_by(PointerButton::Middle);
    if let Some(shown) = looked(ui, response, map, open, pans) {
        commands.push(Command::Look(view, Box::new(shown)));
    }
}

/// Where the film lies in the zone.
pub(super) fn map_of(
    workbench: &Workbench,
    view: View,
    open: &OpenFilm,
    rect: Rect,
) -> ScreenFromFilm {
    let calibration = workbench.calibration(view);
    let proportions = calibration.map_or_else(|| open.film.proportions(), Calibration::proportions);
    let shown = &open.view;
    film_hand::map_in(
        rect,
        &open.film,
        proportions,
        shown.orientation,
        shown.placement,
    )
}

pub(super) fn no_film_ui(
    ui: &mut Ui,
    rect: Rect,
    workbench: &Workbench,
    view: View,
    commands: &mut Vec<Command>,
) {
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect.shrink(16.0)));
    child.vertical_centered(|ui| {
        ui.add_space(rect.height() * 0.35);
        let word = view.name_in_sentence();
        let waiting = workbench.awaited_work().is_some();
        let text = if waiting {
            "Opening…".to_owned()
        } else {
            format!("Drop the {word} film here, or add it.")
        };
        ui.label(egui::RichText::new(text).color(film::SOFT));
        if !waiting && ui.button("Add a film…").clicked() {
            commands.push(Command::AskForAnotherFilm);
        }
    });
}

/// What the pointer and the keyboard do on one film in this frame.
struct Hand<'a> {
    ui: &'a Ui,
    view: View,
    /// Whether keys that nothing else takes are this film's.
    takes_keys: bool,
    /// Whether Enter answers what the prompt line offers and does not click with the film cursor.
    answers_offer: bool,
    open: &'a OpenFilm,
    map: &'a ScreenFromFilm,
    response: &'a Response,
    commands: &'a mut Vec<Command>,
}

impl Hand<'_> {
    /// Wheel: zoom. Middle button or Ctrl with the left one: pan. Right button: window and level.
    fn look(&mut self) {
        let control = self.ui.input(|input| input.modifiers.command);
        let pans = self.response.dragged_by(PointerButton::Middle)
            || (control && self.response.dragged_by(PointerButton::Primary));
        if let Some(shown) = looked(self.ui, self.response, self.map, self.open, pans) {
            self.commands
                .push(Command::Look(self.view, Box::new(shown)));
        }
    }

    /// Left button: a click or a stroke. Arrow keys move the film cursor, Enter clicks with it.
    /// Gives the stroke that is being drawn, for drawing it.
    fn trace(&mut self, state: &mut WindowState) -> Option<(FilmPoint, FilmPoint)> {
        let (snapping, control) = self.ui.input(|input| {
            let snapping = if input.modifiers.shift {
                Snapping::Off
            } else {
                Snapping::On
            };
            (snapping, input.modifiers.command)
        });
        self.keyboard(state, snapping);
        if control {
            state.stroke_from = None;
            return None;
        }
        let pointer = self.response.interact_pointer_pos();
        if self.response.drag_started_by(PointerButton::Primary) {
            let origin = self.ui.input(|input| input.pointer.press_origin());
            state.stroke_from = origin
                .or(pointer)
                .map(|at| (self.view, self.map.film_point(at)));
        }
        if self.response.clicked_by(PointerButton::Primary)
            && let Some(at) = pointer
        {
            self.response.request_focus();
            let gesture = Gesture::Click(self.map.film_point(at));
            self.commands
                .push(Command::Gesture(self.view, gesture, snapping));
        }
        let from = state.stroke_from.filter(|(view, _)| *view == self.view)?.1;
        if self.response.drag_stopped_by(PointerButton::Primary) {
            state.stroke_from = None;
            let to = self.map.film_point(pointer?);
            let gesture = Gesture::Sweep { from, to };
            self.commands
                .push(Command::Gesture(self.view, gesture, snapping));
            return None;
        }
        Some((from, self.map.film_point(pointer?)))
    }

    fn keyboard(&mut self, state: &mut WindowState, snapping: Snapping) {
        if !self.response.has_focus() && !self.takes_keys {
            return;
        }
        self.ui.memory_mut(|memory| {
            let filter = egui::EventFilter {
                horizontal_arrows: true,
                vertical_arrows: true,
                ..Default::default()
            };
            memory.set_focus_lock_filter(self.response.id, filter);
        });
        let (step, enter) = self.ui.input_mut(|input| {
            let pressed = |input: &egui::InputState, key| {
                u16::try_from(input.num_presses(key)).map_or(0.0, f32::from)
            };
            let step = vec2(
                pressed(input, Key::ArrowRight) - pressed(input, Key::ArrowLeft),
                pressed(input, Key::ArrowDown) - pressed(input, Key::ArrowUp),
            );
            let fast = if input.modifiers.shift { 10.0 } else { 1.0 };
            (
                step * fast * CURSOR_STEP,
                input.consume_key(Modifiers::NONE, Key::Enter),
            )
        });
        let middle = self.map.film_point(self.map.viewport().center());
        let shown = state.cursor.filter(|(view, _)| *view == self.view);
        let cursor = shown.map_or(middle, |at| at.1);
        if step != egui::Vec2::ZERO || enter {
            self.response.request_focus();
        }
        if step != egui::Vec2::ZERO {
            let moved: Pos2 = self.map.screen(cursor) + step;
            state.cursor = Some((self.view, self.map.film_point(moved)));
        }
        if enter && self.answers_offer {
            self.commands.push(Command::AcceptProposal);
        } else if enter && shown.is_none() && step == egui::Vec2::ZERO {
            // Nobody points at a place that nobody sees: the first Enter shows where the next one would click.
            state.cursor = Some((self.view, cursor));
        } else if enter {
            let gesture = Gesture::Click(cursor);
            self.commands
                .push(Command::Gesture(self.view, gesture, snapping));
        }
    }
}

/// How a film is seen after wheel, right button and, where it `pans`, a drag; nothing where that changed nothing.
pub(super) fn looked(
    ui: &Ui,
    response: &Response,
    map: &ScreenFromFilm,
    open: &OpenFilm,
    pans: bool,
) -> Option<FilmView> {
    let mut shown = open.view.clone();
    if let Some(placement) = film_hand::zoomed(ui, response, map) {
        shown.placement = placement;
    }
    if pans && let Some(placement) = film_hand::panned(response, map) {
        shown.placement = placement;
    }
    if let Some(look) = film_hand::windowed(response, map.viewport(), &shown.look) {
        shown.look = look;
        shown.named_window = None;
    }
    (shown != open.view).then_some(shown)
}

/// A thin edge shows on which of two films the keyboard acts.
fn active_edge_ui(ui: &Ui, rect: Rect, workbench: &Workbench, view: View) {
    let two = View::ALL.iter().all(|view| workbench.film(*view).is_some());
    if two && workbench.view().active == Some(view) {
        let edge = Rect::from_min_size(rect.min, vec2(rect.width(), 2.0));
        ui.painter().rect_filled(edge, 0.0, film::ACCENT);
    }
}
