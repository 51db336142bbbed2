//! The plans of a foot side by side.

use egui::{Grid, RichText, Ui};
use plumbray_measure::{Measurement, Unit};
use plumbray_plan::Undertaking;
use plumbray_report::number::in_unit;

use super::{
    super::{number::per_cent, theme, theme::size, widgets},
    words::{open_checks, plan_name, short_length, signed_length},
};
use crate::workbench::{Command, PlanCommand, Planning, Workbench};

/// The longest name that fits into the table, in letters.
const NAME_LETTERS: usize = 18;

/// Draws the table of the plans of this foot.
pub(super) fn alternatives_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    commands: &mut Vec<Command>,
) {
    let plans = &workbench.study().plans;
    let heading = match plans.len() {
        0 => "No plan of this foot yet".to_owned(),
        1 => "One plan of this foot".to_owned(),
        many => format!("{many} plans of this foot"),
    };
    ui.horizontal_wrapped(|ui| {
        ui.label(widgets::heading(ui, heading));
        let another = Command::Plan(PlanCommand::Another);
        if another.is_possible(workbench) {
            widgets::text_action(ui, "Another plan", another, commands);
        }
        if !plans.is_empty() {
            let remove = Command::Plan(PlanCommand::Remove(planning.chosen));
            widgets::text_action(ui, "Take this one away", remove, commands);
            let sheet = Command::Plan(PlanCommand::AskSheet);
            if sheet.is_possible(workbench) {
                widgets::text_action(ui, "Theatre sheet…", sheet, commands);
            }
        }
    });
    if plans.is_empty() {
        return;
    }
    ui.add_space(4.0);
    egui::ScrollArea::horizontal()
        .id_salt("table of plans")
        .show(ui, |ui| grid_ui(ui, workbench, planning, commands));
}

fn grid_ui(ui: &mut Ui, workbench: &Workbench, planning: &Planning, commands: &mut Vec<Command>) {
    Grid::new("plans")
        .num_columns(7)
        .spacing([8.0, 4.0])
        .min_col_width(36.0)
        .show(ui, |ui| {
            for heading in ["", "shift", "HVA", "IMA", "length", "contact", "checks"] {
                let label = ui.label(widgets::soft(ui, heading));
                if heading == "length" {
                    label.on_hover_text("Along the second metatarsal.");
                }
            }
            ui.end_row();
            for (place, plan) in workbench.study().plans.iter().enumerate() {
                let done = planning.done(place);
                let ok = done.and_then(Result::ok);
                let name = plan_name(plan, ok);
                let is_on = place == planning.chosen;
                let short: String = name.chars().take(NAME_LETTERS).collect();
                let short = format!("{}. {short}", place + 1);
                let text = if is_on {
                    RichText::new(short).family(theme::semibold())
                } else {
                    RichText::new(short)
                };
                let button = egui::Button::selectable(is_on, text.size(size::SECONDARY));
                let response = ui.add(button).on_hover_text(&name);
                response.widget_info(|| {
                    let name = format!("Plan {}: {name}", place + 1);
                    egui::WidgetInfo::selected(egui::Role::Button, true, is_on, name)
                });
                if response.clicked() && !is_on {
                    commands.push(Command::Plan(PlanCommand::Choose(place)));
                }
                match (ok, done.and_then(Result::err)) {
                    (Some(done), _) => numbers_ui(ui, done, is_on),
                    (None, Some(problem)) => {
                        ui.label(widgets::soft(ui, "cannot be carried out"))
                            .on_hover_text(problem.to_string());
                    }
                    (None, None) => {}
                }
                ui.end_row();
            }
        });
}

fn numbers_ui(ui: &mut Ui, done: &Undertaking, is_on: bool) {
    let tokens = theme::tokens(ui);
    let angle = |measurement| {
        done.row(measurement)
            .and_then(|row| row.planned.value())
            .map_or_else(|| "—".to_owned(), |value| in_unit(Unit::Degrees, value, 1))
    };
    let length = done.length.along_second.unwrap_or(done.length.along_first);
    let texts = [
        short_length(done.shift),
        angle(Measurement::HalluxValgusAngle),
        angle(Measurement::IntermetatarsalAngle12),
        signed_length(length.whole),
        per_cent(done.contact.share),
    ];
    for text in texts {
        let text = RichText::new(text).size(size::SECONDARY);
        ui.label(if is_on {
            text.family(theme::semibold())
        } else {
            text.color(tokens.soft)
        });
    }
    let (short, open) = open_checks(done);
    let colour = if open.is_empty() {
        tokens.soft
    } else {
        tokens.look_again
    };
    let label = ui.label(RichText::new(short).size(size::SECONDARY).color(colour));
    if !open.is_empty() {
        label.on_hover_text(open);
    }
}
