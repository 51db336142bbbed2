//! The studies that an archive has.

use egui::{Align, Button, Label, Layout, RichText, Role, ScrollArea, Ui, WidgetInfo, vec2};
use plumbray_archive::{FoundStudies, FoundStudy};

use crate::{
    window::{theme, theme::size, widgets},
    workbench::{ArchiveCommand, Command},
};

/// Height of a row in points.
const ROW: f32 = 26.0;
/// Least widths of the columns before the button, in points: day, patient, number, description, modalities, objects.
const COLUMNS: [f32; 6] = [82.0, 150.0, 100.0, 150.0, 78.0, 60.0];
/// How the room that is left is shared between the columns.
const SHARES: [f32; 6] = [0.0, 0.4, 0.15, 0.45, 0.0, 0.0];
/// Width of the button in points.
const BUTTON: f32 = 64.0;

/// Draws a row for each study.
pub(super) fn found_ui(ui: &mut Ui, found: &FoundStudies, commands: &mut Vec<Command>) {
    if !found.is_complete {
        let text = "The archive has more; narrow the question down.";
        let text = RichText::new(text).size(size::SECONDARY);
        ui.label(text.color(theme::tokens(ui).look_again));
    }
    if found.studies.is_empty() {
        ui.label(widgets::soft(ui, "The archive has no such study."));
        return;
    }
    let taken = COLUMNS.iter().sum::<f32>() + BUTTON + 8.0 * ui.spacing().item_spacing.x;
    let left = (ui.available_width() - taken - 12.0).max(0.0);
    let mut widths = COLUMNS;
    for (width, share) in widths.iter_mut().zip(SHARES) {
        *width += left * share;
    }
    ScrollArea::horizontal()
        .id_salt("columns of studies")
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                let names = ["day", "patient", "number", "study", "modality", "objects"];
                for (name, width) in names.into_iter().zip(widths) {
                    cell_ui(ui, width, widgets::soft(ui, name));
                }
            });
            ScrollArea::vertical()
                .id_salt("studies")
                .auto_shrink(false)
                .show_rows(ui, ROW, found.studies.len(), |ui, rows| {
                    for study in &found.studies[rows] {
                        study_ui(ui, study, widths, commands);
                    }
                });
        });
}

fn study_ui(ui: &mut Ui, study: &FoundStudy, widths: [f32; 6], commands: &mut Vec<Command>) {
    let said = |text: &Option<String>| text.clone().unwrap_or_default();
    let day = study.date.map(|day| day.to_string()).unwrap_or_default();
    let objects = study.objects.map(|objects| objects.to_string());
    let cells = [
        day.clone(),
        said(&study.patient_name),
        said(&study.patient_id),
        said(&study.description),
        study.modalities.join(" "),
        objects.unwrap_or_default(),
    ];
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        for (text, width) in cells.iter().zip(widths) {
            cell_ui(ui, width, RichText::new(text).size(size::SECONDARY));
        }
        let button = ui.add(Button::new(RichText::new("Fetch…").size(size::SECONDARY)));
        let name = format!("Fetch the films of {}, {day}", said(&study.patient_name));
        button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        if button.clicked() {
            let fetch = ArchiveCommand::AskWhereToFetch(study.study.clone());
            commands.push(Command::Archive(fetch));
        }
    });
}

fn cell_ui(ui: &mut Ui, width: f32, text: RichText) {
    let layout = Layout::left_to_right(Align::Center);
    ui.allocate_ui_with_layout(vec2(width, ROW), layout, |ui| {
        ui.set_min_width(width);
        ui.add(Label::new(text).truncate());
    });
}
