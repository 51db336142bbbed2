//! The page on which a reader chooses the rows of the worksheet.

use egui::{ScrollArea, Ui};
use plumbray_measure::{Measurement, Question};

use super::widgets;
use crate::workbench::{Command, RowSet, Workbench};

/// Draws a button for each set of rows, the one that is on marked.
pub(super) fn row_sets_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    for set in RowSet::ALL {
        let is_on = workbench.settings().rows.set == set;
        if ui.selectable_label(is_on, set.name()).clicked() && !is_on {
            commands.push(Command::ChooseRows(set));
        }
    }
}

/// Draws the page: both sets, and a box for each measurement of the one that is on.
pub(super) fn rows_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let rows = &workbench.settings().rows;
    ui.label(widgets::heading(ui, "Rows of the worksheet"));
    ui.horizontal(|ui| {
        row_sets_ui(ui, workbench, commands);
        ui.add_space(8.0);
        widgets::command_button(ui, workbench, &Command::RowsAsUsual, commands);
    });
    ui.label(widgets::soft(
        ui,
        "Kept for every foot. Some rows appear only once they can have a number.",
    ));
    ui.add_space(6.0);
    let room = ui.ctx().content_rect().height() * 0.6;
    ScrollArea::vertical()
        .max_height(room)
        .auto_shrink([false, true])
        .show(ui, |ui| {
            for question in Question::ALL {
                ui.add_space(6.0);
                ui.label(widgets::soft(ui, question.heading()));
                let of_question = Measurement::ALL
                    .into_iter()
                    .filter(|measurement| measurement.question() == question);
                for measurement in of_question {
                    let mut is_in = rows.has(measurement);
                    let name = measurement.name();
                    if ui.checkbox(&mut is_in, name).changed() {
                        commands.push(Command::ShowRow(measurement, is_in));
                    }
                }
            }
        });
    ui.add_space(8.0);
    if ui.button("Close").clicked() {
        commands.push(Command::Show(None));
    }
}
