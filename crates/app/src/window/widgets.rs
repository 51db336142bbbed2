//! Small pieces that several zones share.

use egui::{
    Align, Color32, Frame, Layout, Margin, Painter, Pos2, Response, RichText, Sense, Stroke,
    StrokeKind, Ui, Vec2, Widget, vec2,
};

use super::{shortcuts, theme, theme::size};
use crate::workbench::{Command, Workbench};

/// The frame of a page or of a panel beside it.
pub(crate) fn padded(fill: Color32) -> Frame {
    Frame::new()
        .fill(fill)
        .inner_margin(Margin::symmetric(16, 12))
}

/// What stands in a column of a table, of this size in points.
pub(crate) fn cell(ui: &mut Ui, size: Vec2, content: impl Widget) -> Response {
    let layout = Layout::left_to_right(Align::Center);
    ui.allocate_ui_with_layout(size, layout, |ui| {
        ui.set_min_width(size.x);
        ui.add(content)
    })
    .inner
}

/// A button that says what a command does, with its key; greyed while it is not possible.
pub(crate) fn command_button(
    ui: &mut Ui,
    workbench: &Workbench,
    command: &Command,
    commands: &mut Vec<Command>,
) {
    let mut button = egui::Button::new(command.text());
    if let Some(keys) = shortcuts::keys_text(ui, command) {
        button = button.shortcut_text(keys);
    }
    if ui
        .add_enabled(command.is_possible(workbench), button)
        .clicked()
    {
        commands.push(command.clone());
        ui.close();
    }
}

/// A small button with a text of its own; what it does is told under the pointer, greyed while it is not possible.
pub(crate) fn small_button(
    ui: &mut Ui,
    workbench: &Workbench,
    text: &str,
    command: Command,
    commands: &mut Vec<Command>,
) {
    let button = egui::Button::new(RichText::new(text).size(size::SECONDARY));
    if ui
        .add_enabled(command.is_possible(workbench), button)
        .on_hover_text(command.text())
        .clicked()
    {
        commands.push(command);
    }
}

/// A frameless line of text that does something when it is clicked.
pub(crate) fn text_action(ui: &mut Ui, text: &str, command: Command, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let text = RichText::new(text)
        .size(size::SECONDARY)
        .color(tokens.accent);
    if ui.add(egui::Button::new(text).frame(false)).clicked() {
        commands.push(command);
    }
}

/// Secondary text.
#[must_use]
pub(crate) fn soft(ui: &Ui, text: impl Into<String>) -> RichText {
    RichText::new(text)
        .size(size::SECONDARY)
        .color(theme::tokens(ui).soft)
}

/// A heading.
#[must_use]
pub(crate) fn heading(ui: &Ui, text: impl Into<String>) -> RichText {
    RichText::new(text)
        .size(size::HEADING)
        .family(theme::semibold())
        .color(theme::tokens(ui).ink)
}

/// Whether points were moved to edges, in words.
#[must_use]
pub(crate) const fn snapping_words(snapping: bool) -> &'static str {
    if snapping {
        "with snapping"
    } else {
        "without snapping"
    }
}

/// A key cap.
pub(crate) fn key_cap(ui: &mut Ui, key: &str) {
    let tokens = theme::tokens(ui);
    let font = egui::FontId::new(size::SMALLEST, theme::semibold());
    let galley = ui
        .painter()
        .layout_no_wrap(key.to_owned(), font, tokens.ink);
    let (rect, _) = ui.allocate_exact_size(galley.size() + vec2(12.0, 6.0), Sense::hover());
    let line = Stroke::new(1.0, tokens.line);
    ui.painter()
        .rect(rect, 4.0, tokens.raised, line, StrokeKind::Inside);
    ui.painter()
        .galley(rect.center() - galley.size() / 2.0, galley, tokens.ink);
}

/// A tick: no font of the window has one.
pub(crate) fn tick(painter: &Painter, middle: Pos2, colour: Color32) {
    let tick = [vec2(-4.5, 0.5), vec2(-1.5, 3.5), vec2(4.5, -4.0)];
    let tick = tick.map(|away| middle + away).to_vec();
    painter.line(tick, Stroke::new(2.0, colour));
}
