//! What wheel and drag do to the way in which a film is seen, the same wherever films are shown.

use egui::{PointerButton, Rect, Response, Ui, vec2};
use plumbray_anatomy::Proportions;
use plumbray_film::{Film, Window};

use crate::canvas::{FilmExtent, FilmLook, Orientation, Placement, ScreenFromFilm};

/// How much one point of the wheel zooms.
const ZOOM_PER_POINT: f64 = 0.004;
/// How far a whole drag across the zone changes the window, as a share of its width.
const WINDOW_PER_DRAG: f32 = 2.0;
/// Room for the captions beside, above and below a film.
const CAPTIONS: egui::Vec2 = vec2(8.0, 28.0);

/// Where a film lies in its zone, between its captions.
pub(super) fn map_in(
    zone: Rect,
    film: &Film,
    proportions: Proportions,
    orientation: Orientation,
    placement: Placement,
) -> ScreenFromFilm {
    let inner = zone.shrink2(CAPTIONS);
    let viewport = if inner.is_positive() { inner } else { zone };
    let extent = FilmExtent::of_film(film, proportions);
    ScreenFromFilm::new(extent, viewport, orientation, placement)
}

/// The placement after the wheel or a pinch over the film, also where a handle lies under the pointer; nothing
/// where neither moved.
pub(super) fn zoomed(ui: &Ui, response: &Response, map: &ScreenFromFilm) -> Option<Placement> {
    let pointer = ui
        .input(|input| input.pointer.hover_pos())
        .filter(|_| ui.rect_contains_pointer(response.rect))?;
    let (wheel, pinch) = ui.input(|input| {
        (
            f64::from(input.smooth_scroll_delta.y),
            f64::from(input.zoom_delta()),
        )
    });
    let factor = (wheel * ZOOM_PER_POINT).exp() * pinch;
    ((factor - 1.0).abs() > 1e-6).then(|| map.placement_zoomed(factor, pointer))
}

/// The placement after a drag that holds the film where it was grabbed.
pub(super) fn panned(response: &Response, map: &ScreenFromFilm) -> Option<Placement> {
    let pointer = response.interact_pointer_pos()?;
    let grabbed = map.film_point(pointer - response.drag_delta());
    Some(map.placement_with(grabbed, pointer))
}

/// The look after a drag with the right button: right and left change the width of the window, up and down its
/// level. Nothing where there is none.
pub(super) fn windowed(response: &Response, viewport: Rect, look: &FilmLook) -> Option<FilmLook> {
    if !response.dragged_by(PointerButton::Secondary) {
        return None;
    }
    let window = look.window;
    let drag = response.drag_delta() / viewport.size();
    let width = (window.width * (1.0 + WINDOW_PER_DRAG * drag.x)).max(1.0);
    let centre = window.centre + window.width * drag.y;
    Some(look.with_window(Window { centre, width }))
}
