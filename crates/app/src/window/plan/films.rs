//! A film while an operation is planned: its pixels with the pieces that are moved, the plan over them, and the
//! hand that drags it.

use egui::{Color32, Rect, Role, Sense, Ui, WidgetInfo};
use plumbray_anatomy::{FilmPoint, Landmark, MovedPiece, Proportions, View};
use plumbray_plan::{Plan, Undertaking, sesamoid_outlines};

use super::{
    super::{
        WindowState, film_caption, film_zone,
        landmark_handle::{Handle, HandleEvent, handle_ui},
        pen::{Manner, Pen},
        theme::film,
    },
    marks::Marks,
};
use crate::{
    canvas::{Magnifier, ScreenFromFilm},
    planning::screw_words::screw_name,
    workbench::{Command, OpenFilm, PlanCommand, PlanHandle, Planning, Workbench},
};

/// Draws the film of a view.
pub(super) fn film_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    state: &mut WindowState,
    view: View,
    commands: &mut Vec<Command>,
) {
    let Some((rect, open, map)) = film_zone::shown_in(ui, workbench, view, commands) else {
        return;
    };
    hand(ui, rect, view, open, &map, commands);
    let painter = ui.painter().with_clip_rect(rect);
    let look = &open.view.look;
    let film_painter = state.painter_of(view);
    film_painter.film_ui(&painter, &map, &open.pyramid, look);
    let shown = planning.undertaking().zip(workbench.plan());
    let Some((done, plan)) = shown.filter(|_| !workbench.view().bare) else {
        film_caption::caption_ui(ui, rect, workbench, (view, None), open, &map, commands);
        return;
    };
    let before = workbench.study().tracing.on(view);
    let pieces = done.moved_pieces(view, before);
    if let Some(on_view) = done.before.view(view) {
        let stay = match view {
            View::Ap => sesamoid_outlines(before),
            View::Lateral => Vec::new(),
        };
        let proportions = on_view.proportions;
        film_painter.moved_pieces_ui(
            &painter,
            &map,
            &open.pyramid,
            look,
            proportions,
            &pieces,
            &stay,
        );
        let pen = Pen {
            painter: &painter,
            map: &map,
            manner: Manner::Accepted,
        };
        let marks = Marks {
            pen,
            done,
            plan,
            view,
        };
        marks.draw();
    }
    let dragged = handles_ui(ui, &map, done, plan, view, commands);
    if let Some(around) = dragged {
        let before = done.before.view(view);
        let proportions = before.map_or(map.film().proportions, |film| film.proportions);
        let lies_under = under(&pieces, proportions, around);
        let magnifier = Magnifier::new(&map, lies_under, map.screen(around), film::INK, film::HALO);
        state
            .painter_of(view)
            .magnifier_ui(&painter, &magnifier, &open.pyramid, look);
    }
    let what = (view, Some("planned"));
    film_caption::caption_ui(ui, rect, workbench, what, open, &map, commands);
}

/// The place of the film whose picture lies at a place once the pieces are moved: where it lay before on the piece that
/// lies uppermost there. The magnifier shows the film itself, so that a turn of a piece is not seen in it.
fn under(pieces: &[MovedPiece], proportions: Proportions, at: FilmPoint) -> FilmPoint {
    pieces
        .iter()
        .rev()
        .map(|piece| (piece, piece.place_before(at, proportions)))
        .find(|(piece, former)| piece.contains(*former))
        .map_or(at, |(_, former)| former)
}

/// Wheel: zoom. Any drag but of the right button: move. Right button: window and level.
fn hand(
    ui: &Ui,
    rect: Rect,
    view: View,
    open: &OpenFilm,
    map: &ScreenFromFilm,
    commands: &mut Vec<Command>,
) {
    let id = ui.scope_id().with(("planned film", view));
    let response = ui.interact(rect, id, Sense::click_and_drag());
    let name = format!("{} film", view.name());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    film_zone::look_only(ui, &response, view, open, map, commands);
}

/// Draws what can be grabbed; gives the end that is being dragged, for the magnifier.
fn handles_ui(
    ui: &Ui,
    map: &ScreenFromFilm,
    done: &Undertaking,
    plan: &Plan,
    view: View,
    commands: &mut Vec<Command>,
) -> Option<FilmPoint> {
    let mut around = None;
    // Where handles lie over each other the last one answers: an end of a screw.
    for (grabbed, name, at, colour) in handles(done, plan, view) {
        let handle = Handle {
            id: ui.scope_id().with(("plan", view, grabbed)),
            name: &name,
            at,
            colour,
            selected: false,
        };
        match handle_ui(ui, map, &handle) {
            Some(HandleEvent::Moved { to, finished }) => {
                if !finished && matches!(grabbed, PlanHandle::ScrewEnd(..)) {
                    around = Some(to);
                }
                let drag = PlanCommand::Drag(grabbed, to, finished);
                commands.push(Command::Plan(drag));
            }
            Some(HandleEvent::Deleted) => {
                if let PlanHandle::ScrewEnd(_, place, _) = grabbed {
                    commands.push(Command::Plan(PlanCommand::RemoveScrew(place)));
                }
            }
            Some(HandleEvent::Chosen) | None => {}
        }
    }
    around
}

/// What can be grabbed on a film, with its accessible name, place and colour.
fn handles(
    done: &Undertaking,
    plan: &Plan,
    view: View,
) -> Vec<(PlanHandle, String, FilmPoint, Color32)> {
    let mut handles = Vec::new();
    if view == View::Ap {
        let ap = &done.before.ap;
        let ends = [
            (PlanHandle::Cut, "Cut", done.cut.middle),
            (PlanHandle::CutEnd, "Cut, lateral end", done.cut.ends[1]),
        ];
        for (handle, name, place) in ends {
            handles.push((handle, name.to_owned(), ap.film_point(place), film::PLAN));
        }
        if let Some(head) = done.tracing.ap.point(Landmark::HeadCentre) {
            let name = "Head fragment".to_owned();
            handles.push((PlanHandle::Head, name, head, film::FIRST_RAY));
        }
    }
    for (place, (screw, course)) in plan.screws.iter().zip(&done.screws).enumerate() {
        let Some(ends) = course.on_film[view as usize] else {
            continue;
        };
        for (end, (at, word)) in ends.into_iter().zip(["entry", "tip"]).enumerate() {
            let name = screw_name(screw.kind, place);
            let name = match view {
                View::Ap => format!("{name}, {word}"),
                View::Lateral => format!("{name}, {word}, lateral film"),
            };
            let handle = PlanHandle::ScrewEnd(view, place, end);
            handles.push((handle, name, at, film::PLAN));
        }
    }
    handles
}
