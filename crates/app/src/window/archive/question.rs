//! What is asked of the archive.

use egui::{RichText, Ui};

use super::{ArchiveState, field_ui};
use crate::{
    window::{theme, theme::size},
    workbench::{ArchiveCommand, Command, Workbench},
};

/// Draws the fields of the question; Enter in one of them asks, as the button does.
pub(super) fn question_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut ArchiveState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let question = &mut state.question;
    let mut asks = false;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 12.0;
        for (name, hint, width, text) in [
            ("Patient’s number", "", 130.0, &mut question.patient_id),
            (
                "Patient’s name",
                "Family, Given; * for any letters",
                204.0,
                &mut question.patient_name,
            ),
            (
                "Accession number",
                "",
                130.0,
                &mut question.accession_number,
            ),
            ("From day", "2026-01-31", 100.0, &mut question.from),
            ("To day", "2026-01-31", 100.0, &mut question.to),
            ("Modality", "DX, CR", 64.0, &mut question.modality),
        ] {
            asks |= field_ui(ui, name, hint, width, text);
        }
    });
    ui.add_space(6.0);
    let find = ArchiveCommand::Find(Box::new(question.clone()));
    let find = Command::Archive(find);
    let text = RichText::new("Ask the archive")
        .size(size::BODY)
        .color(tokens.on_accent);
    let button = egui::Button::new(text).fill(tokens.accent);
    let is_possible = find.is_possible(workbench);
    if ui.add_enabled(is_possible, button).clicked() || asks {
        commands.push(find);
    }
    ui.add_space(6.0);
}
