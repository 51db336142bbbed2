//! What a reader judges by eye, among the rows that are measured.

use egui::{Align, Layout, Ui};
use plumbray_anatomy::View;
use plumbray_measure::Question;
use plumbray_study::LateralHeadEdge;

use super::widgets;
use crate::workbench::{Command, RowSet, Workbench};

/// Draws the shapes of the lateral edge of the first metatarsal's head to choose from, under the question of
/// the sesamoids: in the full set of rows, or where it is judged.
pub(super) fn judgement_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    question: Question,
    commands: &mut Vec<Command>,
) {
    let judged = workbench.study().judged.lateral_head_edge;
    let is_shown = workbench.settings().rows.set == RowSet::Full || judged.is_some();
    if question != Question::Sesamoids || !is_shown || workbench.film(View::Ap).is_none() {
        return;
    }
    ui.horizontal(|ui| {
        ui.add_space(16.0);
        ui.label("Lateral edge of M1’s head")
            .on_hover_text(LateralHeadEdge::WORTH);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(12.0);
            shapes_ui(ui, judged, commands);
        });
    });
}

fn shapes_ui(ui: &mut Ui, judged: Option<LateralHeadEdge>, commands: &mut Vec<Command>) {
    let shown = judged.map_or_else(
        || "judge by eye…".to_owned(),
        |shape| format!("{}, a weak sign", shape.identifier()),
    );
    let menu = ui.menu_button(widgets::soft(ui, shown), |ui| {
        for shape in LateralHeadEdge::ALL.map(Some).into_iter().chain([None]) {
            let name = shape.map_or("not judged", LateralHeadEdge::identifier);
            if ui.selectable_label(judged == shape, name).clicked() {
                commands.push(Command::JudgeHeadEdge(shape));
                ui.close();
            }
        }
    });
    menu.response.on_hover_text(LateralHeadEdge::WORTH);
}
