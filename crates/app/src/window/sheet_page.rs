//! The page on which a reader says how the printed sheet is made.

use egui::{Grid, RichText, Ui};
use plumbray_report::Paper;

use super::{rows_page::row_sets_ui, theme, widgets};
use crate::workbench::{Command, SheetSettings, Workbench};

/// Draws the page: paper, rows, whom the sheet names, and what is made beside it.
pub(super) fn sheet_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    ui.label(widgets::heading(ui, "A sheet to print"));
    ui.add_space(6.0);
    let sheet = workbench.settings().sheet;
    Grid::new("sheet")
        .num_columns(2)
        .spacing([16.0, 10.0])
        .show(ui, |ui| {
            ui.label("Paper");
            ui.horizontal(|ui| paper_ui(ui, sheet, commands));
            ui.end_row();
            ui.label("Rows");
            ui.horizontal(|ui| row_sets_ui(ui, workbench, commands));
            ui.end_row();
            ui.label("Patient");
            patient_ui(ui, workbench, commands);
            ui.end_row();
            besides_ui(ui, sheet, commands);
        });
    ui.add_space(8.0);
    ui.label(widgets::soft(
        ui,
        "Both films with their tracing, the chosen rows with intervals, definitions and usual ranges, the \
         caution, room for a name and signature. Prints in black and white.",
    ));
    let is_confirmed = workbench.study().side.is_some_and(|side| side.confirmed);
    if !is_confirmed {
        let text = "The side is not confirmed, and the sheet will say so in large letters.";
        ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
    }
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        widgets::command_button(ui, workbench, &Command::AskSheet, commands);
        if ui.button("Close").clicked() {
            commands.push(Command::Show(None));
        }
    });
}

fn paper_ui(ui: &mut Ui, sheet: SheetSettings, commands: &mut Vec<Command>) {
    for (paper, name) in [(Paper::A4, "A4"), (Paper::Letter, "Letter")] {
        let is_on = sheet.paper == paper;
        if ui.selectable_label(is_on, name).clicked() && !is_on {
            commands.push(Command::SetSheet(SheetSettings { paper, ..sheet }));
        }
    }
}

fn patient_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let mut is_named = workbench.view().sheet_names_patient;
    let what = "Name, number and day of birth from the films’ files";
    if ui.checkbox(&mut is_named, what).changed() {
        commands.push(Command::NamePatientOnSheet(is_named));
    }
}

/// A row of the grid for each thing.
fn besides_ui(ui: &mut Ui, sheet: SheetSettings, commands: &mut Vec<Command>) {
    let mut besides = sheet.besides;
    let boxes = [
        (
            &mut besides.pictures,
            "Each film with its tracing (PNG), without the patient’s name",
        ),
        (&mut besides.table, "The rows as a table (CSV)"),
        (&mut besides.data, "The rows by every convention (JSON)"),
    ];
    let mut is_changed = false;
    for (index, (is_wanted, what)) in boxes.into_iter().enumerate() {
        ui.label(if index == 0 { "Beside it" } else { "" });
        is_changed |= ui.checkbox(is_wanted, what).changed();
        ui.end_row();
    }
    if is_changed {
        commands.push(Command::SetSheet(SheetSettings { besides, ..sheet }));
    }
}
