//! The films on the page of exporting, with boxes that are drawn over letters.

use egui::{
    PointerButton, Rect, Response, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2,
};
use plumbray_anatomy::{FilmPoint, View};
use plumbray_report::MaskBox;

use super::{
    film_hand,
    letter_boxes::{FilmSize, KEYS, added, box_ui, boxes_ui},
    theme::{self, film},
    widgets,
};
use crate::{
    canvas::{FilmExtent, FilmLook, FilmPainter, Orientation, Placement, ScreenFromFilm},
    workbench::{Command, ExportCommand, FilmLetters, OpenFilm, Workbench},
};

/// Room for the lines below a film in points.
const BELOW: f32 = 88.0;
/// A film is never lower than this, in points.
const LOWEST_FILM: f32 = 120.0;
/// Smaller boxes, in screen points, are slips of the hand.
const LEAST_BOX: f32 = 3.0;

/// What the films of the page keep between frames.
#[derive(Debug)]
pub(super) struct LettersState {
    painters: [FilmPainter; 2],
    /// The film that is shown.
    view: View,
    placements: [Placement; 2],
    /// The look that the hand gave each film; nothing as in its zone.
    looks: [Option<FilmLook>; 2],
    /// Where on the film the box begins that is being drawn.
    from: Option<FilmPoint>,
    /// The number of a box that gets the keys in the next frame: one that was just added.
    focus: Option<usize>,
}

impl Default for LettersState {
    fn default() -> Self {
        Self {
            painters: View::ALL.map(|_| FilmPainter::new(film::SURROUND)),
            view: View::Ap,
            placements: [Placement::Fit; 2],
            looks: [None, None],
            from: None,
            focus: None,
        }
    }
}

impl LettersState {
    /// Shows both films anew when the page is opened again.
    pub(super) fn forget(&mut self) {
        self.view = View::Ap;
        self.placements = [Placement::Fit; 2];
        self.looks = [None, None];
        self.from = None;
        self.focus = None;
    }

    /// What draws the films.
    pub(super) fn painters(&self) -> impl Iterator<Item = &FilmPainter> {
        self.painters.iter()
    }
}

/// Draws one film large, with its boxes, and below it what somebody says who looked at it.
pub(super) fn letters_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut LettersState,
    commands: &mut Vec<Command>,
) {
    let has_film = |view: &View| workbench.film(*view).is_some();
    if !has_film(&state.view) {
        state.view = View::ALL.into_iter().find(has_film).unwrap_or(View::Ap);
    }
    ui.horizontal(|ui| {
        for view in View::ALL.into_iter().filter(has_film) {
            let looked = if workbench.letters_on(view).looked {
                "looked at"
            } else {
                "not looked at"
            };
            let name = format!("{}, {looked}", view.name());
            if ui.selectable_label(state.view == view, name).clicked() {
                state.view = view;
                state.from = None;
            }
        }
    });
    let view = state.view;
    let Some(open) = workbench.film(view) else {
        return;
    };
    let letters = workbench.letters_on(view);
    let height = (ui.available_height() - BELOW).max(LOWEST_FILM);
    let size = vec2(ui.available_width(), height);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    film_ui(
        ui,
        (rect, &response),
        (view, open),
        &letters,
        state,
        commands,
    );
    ScrollArea::vertical()
        .id_salt("what is said of letters")
        .auto_shrink([false, true])
        .show(ui, |ui| {
            said_ui(ui, (view, open), &letters, state, commands);
        });
}

/// What the file will say of letters, and the tick by which somebody says that none is left.
fn said_ui(
    ui: &mut Ui,
    (view, open): (View, &OpenFilm),
    letters: &FilmLetters,
    state: &mut LettersState,
    commands: &mut Vec<Command>,
) {
    let mut looked = letters.looked;
    let film = format!("{} film", view.name_in_sentence());
    ui.horizontal_wrapped(|ui| {
        let tick = format!("I looked at the {film}: no letters that name anybody are left");
        if ui.checkbox(&mut looked, tick).changed() {
            commands.push(Command::Export(ExportCommand::Looked(view, looked)));
        }
        if ui.button("Add a box").clicked() {
            state.focus = Some(letters.boxes.len());
            let masked = added(size_of(open));
            commands.push(Command::Export(ExportCommand::AddBox(view, masked)));
        }
    });
    let pictures = open.film.frame().count;
    if pictures > 1 {
        let text = format!(
            "Boxes cover all {pictures} pictures of the file, and all of them are written: look at each of them."
        );
        ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
    }
    let said = if letters.looked {
        "Its file will say that no letters are burnt in (Burned In Annotation NO)."
    } else {
        "Without the tick its file says of letters only what it said before (Burned In Annotation)."
    };
    ui.label(widgets::soft(ui, said));
    let boxes = match letters.boxes.len() {
        0 => "No box yet.".to_owned(),
        1 => "1 box; click on it to take it away.".to_owned(),
        count => format!("{count} boxes; click on one to take it away."),
    };
    let hand = "Drag draws a box, the wheel zooms, the middle button moves, the right one changes the window.";
    ui.label(widgets::soft(ui, format!("{boxes} {hand} {KEYS}")));
}

fn size_of(open: &OpenFilm) -> FilmSize {
    [open.film.width(), open.film.height()].map(|side| u32::try_from(side).unwrap_or(u32::MAX))
}

/// Draws the film and its boxes, and follows the hand.
fn film_ui(
    ui: &Ui,
    (rect, response): (Rect, &Response),
    (view, open): (View, &OpenFilm),
    letters: &FilmLetters,
    state: &mut LettersState,
    commands: &mut Vec<Command>,
) {
    response.widget_info(|| {
        WidgetInfo::labeled(
            Role::Image,
            true,
            format!("Letters on the {} film", view.name()),
        )
    });
    let index = view as usize;
    let map = ScreenFromFilm::new(
        FilmExtent::of_film(&open.film, open.film.proportions()),
        rect,
        Orientation::default(),
        state.placements[index],
    );
    let look = state.looks[index]
        .clone()
        .unwrap_or_else(|| open.view.look.clone());
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    painter.rect_filled(rect, 0.0, film::SURROUND);
    state.painters[index].film_ui(&painter, &map, &open.pyramid, &look);
    boxes_ui(
        ui,
        (rect, response.id),
        &map,
        (view, size_of(open)),
        &letters.boxes,
        &mut state.focus,
        commands,
    );
    if let Some(place) = drawn(response, &map, state) {
        box_ui(&painter, place, film::INK);
        if response.drag_stopped_by(PointerButton::Primary)
            && let Some(masked) = box_on_film(&map, place)
        {
            commands.push(Command::Export(ExportCommand::AddBox(view, masked)));
        }
    }
    if response.drag_stopped() {
        state.from = None;
    }
    if let Some(placement) = film_hand::zoomed(ui, response, &map) {
        state.placements[index] = placement;
    } else if response.dragged_by(PointerButton::Middle)
        && let Some(placement) = film_hand::panned(response, &map)
    {
        state.placements[index] = placement;
    }
    if let Some(look) = film_hand::windowed(response, rect, &look) {
        state.looks[index] = Some(look);
    }
}

/// The box on the screen between where the left button was pressed and where it is; nothing while none is drawn.
fn drawn(response: &Response, map: &ScreenFromFilm, state: &mut LettersState) -> Option<Rect> {
    if response.drag_started_by(PointerButton::Primary) {
        let pressed = response.ctx.input(|input| input.pointer.press_origin());
        state.from = pressed.map(|at| map.film_point(at));
    }
    let from = state.from?;
    let to = response.interact_pointer_pos()?;
    Some(Rect::from_two_pos(map.screen(from), to))
}

/// The pixels of the film that a box on the screen touches; nothing of one that is too small or lies beside the film.
fn box_on_film(map: &ScreenFromFilm, place: Rect) -> Option<MaskBox> {
    if place.width() < LEAST_BOX || place.height() < LEAST_BOX {
        return None;
    }
    let extent = map.film();
    let first = extent.nearest(map.film_point(place.min));
    let last = extent.nearest(map.film_point(place.max));
    let span = |from: f64, to: f64| -> Option<(u32, u32)> {
        let (from, to) = (whole(from.floor())?, whole(to.ceil())?);
        (to > from).then(|| (from, to - from))
    };
    let (left, width) = span(first.x_px, last.x_px)?;
    let (top, height) = span(first.y_px, last.y_px)?;
    Some(MaskBox {
        left,
        top,
        width,
        height,
    })
}

/// A whole number of pixels; nothing where it is none that a film can have.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the number is whole and within the range of the type"
)]
fn whole(number: f64) -> Option<u32> {
    (0.0..=f64::from(u32::MAX))
        .contains(&number)
        .then_some(number as u32)
}

#[cfg(test)]
mod tests {
    use egui::pos2;
    use plumbray_anatomy::Proportions;

    use super::*;
    use crate::window::letter_boxes::screen_rect;

    fn map() -> ScreenFromFilm {
        let extent = FilmExtent {
            width_px: 400.0,
            height_px: 800.0,
            proportions: Proportions::SQUARE,
        };
        let viewport = Rect::from_min_size(pos2(10.0, 20.0), vec2(200.0, 400.0));
        ScreenFromFilm::new(extent, viewport, Orientation::default(), Placement::Fit)
    }

    #[test]
    fn a_box_covers_every_pixel_that_it_touches_and_none_beside_the_film() {
        let place = Rect::from_two_pos(pos2(20.2, 30.2), pos2(30.0, 40.0));
        let masked = box_on_film(&map(), place).expect("on the film");
        let expected = MaskBox {
            left: 20,
            top: 20,
            width: 20,
            height: 20,
        };
        assert_eq!(masked, expected, "rounded outward");
        let over_the_edge = Rect::from_two_pos(pos2(-50.0, 410.0), pos2(30.0, 500.0));
        let masked = box_on_film(&map(), over_the_edge).expect("partly on the film");
        assert_eq!(
            (masked.left, masked.top, masked.width, masked.height),
            (0, 780, 40, 20),
            "cut at the film’s edge"
        );
    }

    #[test]
    fn a_slip_of_the_hand_and_a_box_beside_the_film_are_none() {
        let slip = Rect::from_two_pos(pos2(20.0, 30.0), pos2(21.0, 31.0));
        assert_eq!(box_on_film(&map(), slip), None, "too small");
        let beside = Rect::from_two_pos(pos2(-90.0, 30.0), pos2(5.0, 90.0));
        assert_eq!(box_on_film(&map(), beside), None, "beside the film");
    }

    #[test]
    fn a_box_lies_on_the_screen_where_it_was_drawn() {
        let place = Rect::from_two_pos(pos2(20.0, 30.0), pos2(40.0, 60.0));
        let masked = box_on_film(&map(), place).expect("on the film");
        assert_eq!(screen_rect(&map(), masked), place, "there and back");
    }
}
