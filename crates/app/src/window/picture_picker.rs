//! Which of the pictures of a film is shown, below the film where its file holds several.

use egui::{Align, Layout, Rect, RichText, Role, Slider, Ui, UiBuilder, WidgetInfo};
use plumbray_anatomy::View;

use super::{theme, theme::size};
use crate::workbench::{Command, Workbench};

/// How high the strip below the film is.
const HEIGHT: f32 = 32.0;
/// So many pictures get a slider beside the steps.
const MANY: u32 = 4;
/// A slider shorter than this is of no use.
const LEAST_SLIDER: f32 = 60.0;
const EDGE: f32 = 12.0;

/// Draws the strip with which another picture is chosen, where the film has several; gives what is left for the film.
pub(super) fn picture_picker_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    commands: &mut Vec<Command>,
) -> Rect {
    let whole = ui.available_rect_before_wrap();
    let Some((frame, asked)) = workbench
        .several_pictures(view)
        .zip(workbench.asked_picture(view))
    else {
        return whole;
    };
    let edge = whole.bottom() - HEIGHT;
    let strip = whole.with_min_y(edge);
    let tokens = theme::tokens(ui);
    ui.painter().rect_filled(strip, 0.0, tokens.panel);
    let room = strip.shrink2(egui::vec2(EDGE, 0.0));
    let builder = UiBuilder::new()
        .max_rect(room)
        .id_salt(("pictures", view))
        .layout(Layout::left_to_right(Align::Center));
    let mut ui = ui.new_child(builder);
    let ui = &mut ui;
    let film = view.name_in_sentence();
    let before = asked.checked_sub(1);
    step_ui(
        ui,
        workbench,
        "‹",
        &format!("Picture before, {film} film"),
        before,
        view,
        commands,
    );
    let after = asked.checked_add(1);
    step_ui(
        ui,
        workbench,
        "›",
        &format!("Next picture, {film} film"),
        after,
        view,
        commands,
    );
    let words = format!("picture {asked} of {}", frame.count);
    ui.label(
        RichText::new(words)
            .size(size::SECONDARY)
            .color(tokens.soft),
    );
    let room = ui.available_width();
    if frame.count >= MANY && room >= LEAST_SLIDER {
        ui.spacing_mut().slider_width = room;
        ui.visuals_mut().widgets.inactive.bg_fill = tokens.line;
        let mut number = asked;
        let slider = Slider::new(&mut number, 1..=frame.count).show_value(false);
        let response = ui.add(slider);
        let name = format!("Picture of the {film} film");
        response.widget_info(|| WidgetInfo::slider(true, f64::from(asked), &name));
        if response.changed() && number != asked {
            commands.push(Command::ShowPicture(view, number));
        }
    }
    whole.with_max_y(edge)
}

/// A button that goes to the picture of this number, greyed where there is none.
fn step_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    sign: &str,
    name: &str,
    number: Option<u32>,
    view: View,
    commands: &mut Vec<Command>,
) {
    let command = Command::ShowPicture(view, number.unwrap_or(0));
    let is_possible = command.is_possible(workbench);
    let button = egui::Button::new(RichText::new(sign).size(size::HEADING));
    let response = ui.add_enabled(is_possible, button);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, is_possible, name));
    if response.on_hover_text(name).clicked() {
        commands.push(command);
    }
}
