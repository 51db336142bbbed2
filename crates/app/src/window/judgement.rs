//! What a reader judges by eye, beside the rows that are measured.

use egui::Ui;
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
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(16.0);
            for shape in LateralHeadEdge::ALL.into_iter().rev() {
                let is_on = judged == Some(shape);
                let choice = ui.selectable_label(is_on, shape.identifier());
                if choice.on_hover_text(LateralHeadEdge::WORTH).clicked() {
                    let wanted = (!is_on).then_some(shape);
                    commands.push(Command::JudgeHeadEdge(wanted));
                }
            }
        });
    });
    if judged.is_some() {
        ui.horizontal(|ui| {
            ui.add_space(16.0);
            ui.label(widgets::soft(ui, "By eye; a weak sign of pronation."))
                .on_hover_text(LateralHeadEdge::WORTH);
        });
    }
}
