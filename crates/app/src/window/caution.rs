//! The caution: what everybody reads once before anything else, and what stays beside the numbers.

use egui::{CentralPanel, Frame, RichText, Ui, vec2};

use super::{theme, theme::size, widgets};
use crate::workbench::{Command, Workbench};

/// The caution, wherever it is shown.
pub const CAUTION: &str = "Plumbray is a measuring aid, not a medical device. Its numbers depend on \
    the film and on the tracing. Decisions rest with a licensed clinician under local rules.";

/// The caution in one line, beside numbers that are on the screen.
const IN_ONE_LINE: &str = "A measuring aid, no medical device: a licensed clinician decides.";

/// Draws the caution of the first start in place of everything else, until it was read. What was asked for meanwhile
/// is opened behind it.
pub(crate) fn before_you_start_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    CentralPanel::default()
        .frame(Frame::new().fill(tokens.desk))
        .show(ui, |ui| {
            let room = ui.available_size();
            ui.vertical_centered(|ui| {
                ui.set_max_width(560.0_f32.min(room.x - 32.0));
                ui.add_space((room.y * 0.3).max(16.0));
                Frame::new()
                    .fill(tokens.raised)
                    .stroke(egui::Stroke::new(1.0, tokens.look_again))
                    .corner_radius(6)
                    .inner_margin(20)
                    .show(ui, |ui| text_ui(ui, workbench, commands));
            });
        });
}

fn text_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    ui.vertical(|ui| {
        ui.label(widgets::heading(ui, "Before you start"));
        ui.add_space(4.0);
        ui.label(RichText::new(CAUTION).color(tokens.ink));
        ui.add_space(12.0);
        let read = RichText::new("I have read this")
            .family(theme::semibold())
            .color(tokens.on_accent);
        let read = egui::Button::new(read)
            .fill(tokens.accent)
            .min_size(vec2(0.0, 34.0));
        if ui.add(read).clicked() {
            commands.push(Command::CautionRead);
        }
        if workbench.has_foot() || workbench.awaited_work().is_some() {
            ui.add_space(4.0);
            ui.label(widgets::soft(ui, "What you asked for is shown afterwards."));
        }
    });
}

/// Draws the caution in one line, for the foot of a panel of numbers.
pub(crate) fn one_line_ui(ui: &mut Ui) {
    let text = RichText::new(IN_ONE_LINE)
        .size(size::SMALLEST)
        .color(theme::tokens(ui).faint);
    ui.label(text).on_hover_text(CAUTION);
}
