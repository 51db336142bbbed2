//! The menu at the foot of a film: its windows by name, the graphics of its file, its tracing.

use egui::{
    Pos2, Rect, RichText, Role, ScrollArea, Ui, WidgetInfo, containers::menu::MenuButton, pos2,
    vec2,
};
use plumbray_anatomy::View;
use plumbray_film::{GreyScale, Window};

use super::{
    film_caption::grouped,
    theme::{self, film, size},
    widgets,
};
use crate::workbench::{Command, OpenFilm, Workbench};

/// How wide the button is that opens the menu.
pub(super) const BUTTON: f32 = 22.0;
const BUTTON_HEIGHT: f32 = 18.0;
/// Files with more windows than fit into this height are scrolled.
const MOST_HEIGHT: f32 = 320.0;

/// Draws the button with the menu; `corner` is its lower left corner.
pub(super) fn film_menu_ui(
    ui: &mut Ui,
    corner: Pos2,
    workbench: &Workbench,
    (view, open): (View, &OpenFilm),
    commands: &mut Vec<Command>,
) {
    let place = Rect::from_min_max(
        pos2(corner.x - 4.0, corner.y - BUTTON_HEIGHT + 2.0),
        pos2(corner.x - 4.0 + BUTTON, corner.y + 2.0),
    );
    let builder = egui::UiBuilder::new()
        .max_rect(place)
        .id_salt(("film menu", view));
    let mut child = ui.new_child(builder);
    child.spacing_mut().interact_size.y = BUTTON_HEIGHT;
    child.spacing_mut().button_padding = vec2(4.0, 0.0);
    let dots = RichText::new("…").size(size::BODY).color(film::INK);
    let button = egui::Button::new(dots).frame(false);
    let (response, _) = MenuButton::from_button(button).ui(&mut child, |ui| {
        entries_ui(ui, workbench, (view, open), commands);
    });
    let name = format!("How the {} film is shown", view.name_in_sentence());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    response.on_hover_text(name);
}

fn entries_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    (view, open): (View, &OpenFilm),
    commands: &mut Vec<Command>,
) {
    ui.set_max_width(320.0);
    let edge = egui::Stroke::new(1.0, theme::tokens(ui).faint);
    ui.label(widgets::soft(ui, "Window"));
    ScrollArea::vertical()
        .max_height(MOST_HEIGHT)
        .show(ui, |ui| windows_ui(ui, (view, open), commands));
    if open.view.named_window.is_none() {
        let by_hand = words_of(open.view.look.window);
        // What a drag has set is a state, and nothing that a click could set.
        let mark = ui.selectable_label(true, format!("By hand: {by_hand}"));
        mark.on_hover_text(
            "Drag with the right button: across for the width, up and down for the level.",
        );
    }
    // Pieces of a planned film move; the graphics, which are of the film as it was taken, are not drawn on it.
    if open.graphics.is_some() && workbench.planning().is_none() {
        ui.separator();
        // A menu takes the edge of what stands in it away, and the box would not be seen.
        let mut shown = open.view.shows_graphics;
        let marked = ui.scope(|ui| {
            ui.visuals_mut().widgets.inactive.bg_stroke = edge;
            ui.checkbox(&mut shown, "Graphics of the file")
        });
        if marked.inner.changed() {
            commands.extend([Command::Activate(view), Command::Graphics]);
            ui.close();
        }
    }
    let delete = Command::DeleteTracing(view);
    if workbench.practising().is_none() && workbench.planning().is_none() {
        ui.separator();
        widgets::command_button(ui, workbench, &delete, commands);
    }
}

/// The film's own windows, the one that is followed marked.
fn windows_ui(ui: &mut Ui, (view, open): (View, &OpenFilm), commands: &mut Vec<Command>) {
    let names = window_names(open.film.grey());
    for (index, name) in names.into_iter().enumerate() {
        let is_current = open.view.named_window == Some(index);
        if ui.selectable_label(is_current, name).clicked() {
            commands.push(Command::ShowWindow(view, index));
            ui.close();
        }
    }
}

/// What each window of a film is called: by the explanation of its file, by its width and level where there is none,
/// and the last one, which the program made of the pixels, by that.
pub(super) fn window_names(grey: &GreyScale) -> Vec<String> {
    let last = grey.windows.len().saturating_sub(1);
    let name = |(index, window): (usize, &plumbray_film::NamedWindow)| {
        if index == last {
            "Judged from the pixels".to_owned()
        } else if window.explanation.is_empty() {
            let words = words_of(window.window);
            if window.curve.is_some() {
                format!("Curve of the file, {words}")
            } else {
                format!("Of the file: {words}")
            }
        } else {
            window.explanation.clone()
        }
    };
    grey.windows.iter().enumerate().map(name).collect()
}

fn words_of(window: Window) -> String {
    format!(
        "width {} · level {}",
        grouped(window.width),
        grouped(window.centre)
    )
}
