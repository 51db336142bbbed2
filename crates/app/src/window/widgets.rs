//! Small pieces that several zones share.

use egui::{RichText, Ui};

use super::{shortcuts, theme, theme::size};
use crate::workbench::{Command, Workbench};

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

/// A key cap.
pub(crate) fn key_cap(ui: &mut Ui, key: &str) {
    let tokens = theme::tokens(ui);
    egui::Frame::new()
        .fill(tokens.raised)
        .stroke(egui::Stroke::new(1.0, tokens.line))
        .corner_radius(4)
        .inner_margin(egui::Margin::symmetric(6, 2))
        .show(ui, |ui| {
            ui.label(
                RichText::new(key)
                    .size(size::SMALLEST)
                    .family(theme::semibold())
                    .color(tokens.ink),
            );
        });
}
