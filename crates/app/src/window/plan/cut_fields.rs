//! The fields of the cut.

use egui::{ComboBox, Grid, RichText, Role, Ui, WidgetInfo};
use plumbray_plan::{CutDirection, CutForm, ExtentLimits, NumberLimits, Plan, Undertaking};

use super::{
    super::{number::per_cent, theme, theme::size, widgets},
    field::{
        ExtentField, Field, extent_ui, field_ui, heading_ui, name_ui, number_ui, range_of, set,
    },
    words::{signed_degrees, signed_length, usual_band},
};
use crate::planning::words::{between_limbs, length};
use crate::workbench::{Command, PlanCommand, PlanEdit, Planning, Workbench};

/// By how much the limbs of a chevron depart from one straight line at first, in degrees: as through the skin (common
/// practice, no source).
const FIRST_CHEVRON_DEGREES: f64 = 30.0;

/// Draws the fields of the cut.
pub(super) fn cut_fields_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    plan: &Plan,
    commands: &mut Vec<Command>,
) {
    let done = planning.undertaking();
    heading_ui(ui, "The cut");
    let level = ExtentField {
        label: "From the joint",
        name: "Distance of the cut from the joint",
        extent: plan.cut.level,
        limits: ExtentLimits::LEVEL,
    };
    let words = level_words(plan, done);
    if let Some((level, finished)) = extent_ui(ui, &level, &words) {
        commands.push(set(PlanEdit::Level(level), finished));
    }
    direction_ui(ui, workbench, planning, plan, commands);
    form_ui(ui, plan, commands);
    let kerf = ExtentField {
        label: "Kerf",
        name: "Kerf of the cut",
        extent: plan.cut.kerf,
        limits: ExtentLimits::KERF,
    };
    let words = done.map_or_else(String::new, |done| {
        format!(
            "{} of length along M1",
            signed_length(done.length.along_first.by_kerf)
        )
    });
    if let Some((kerf, finished)) = extent_ui(ui, &kerf, &words) {
        commands.push(set(PlanEdit::Kerf(kerf), finished));
    }
}

fn level_words(plan: &Plan, done: Option<&Undertaking>) -> String {
    let usual = usual_band(plan.cut.level);
    let Some(done) = done else { return usual };
    let share = format!("{} of M1", per_cent(done.cut.from_joint_share));
    match (plan.cut.level, done.cut.from_joint.mm) {
        (plumbray_plan::Extent::Millimetres(_), _) => format!("{usual}; {share}"),
        (_, Some(_)) => format!("{usual}; {}", length(done.cut.from_joint)),
        (_, None) => usual,
    }
}

fn direction_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    plan: &Plan,
    commands: &mut Vec<Command>,
) {
    let done = planning.undertaking();
    let tilt = match plan.cut.direction {
        CutDirection::TiltDegrees(tilt) => tilt,
        CutDirection::Toward(_) => done.map_or(0.0, |done| done.cut.tilt.to_degrees()),
    };
    let field = Field {
        label: "Tilt",
        name: "Tilt of the cut",
        value: tilt,
        range: range_of(&NumberLimits::TILT),
        decimals: 1,
        unit: "°",
    };
    let way = match plan.cut.direction {
        CutDirection::Toward(aim) => format!("to {}", aim.name()),
        CutDirection::TiltDegrees(tilt) if tilt.abs() < 0.05 => "square to the shaft".to_owned(),
        CutDirection::TiltDegrees(tilt) if tilt > 0.0 => "lateral end more distal".to_owned(),
        CutDirection::TiltDegrees(_) => "lateral end more proximal".to_owned(),
    };
    let words = done.map_or_else(
        || way.clone(),
        |done| {
            if done.cut.tilt.abs() < 1e-3 {
                return way.clone();
            }
            let parts = done.length.along_second.unwrap_or(done.length.along_first);
            format!("{way}; {} of length", signed_length(parts.by_tilt))
        },
    );
    if let Some((tilt, finished)) = field_ui(ui, &field, &words) {
        let direction = CutDirection::TiltDegrees(tilt);
        commands.push(set(PlanEdit::Direction(direction), finished));
    }
    ui.horizontal(|ui| {
        name_ui(ui, "");
        let keep = Command::Plan(PlanCommand::KeepLength);
        widgets::small_button(ui, workbench, "Keep the length", keep, commands);
        if planning.aims().is_empty() {
            return;
        }
        let menu = ui.menu_button(RichText::new("Aim at…").size(size::SECONDARY), |ui| {
            aims_ui(ui, planning, plan, commands);
        });
        menu.response.widget_info(|| {
            WidgetInfo::labeled(Role::Button, true, "Aim the cut at a lesser metatarsal")
        });
    });
}

/// What each aim does to the length, all at once; a click takes it.
fn aims_ui(ui: &mut Ui, planning: &Planning, plan: &Plan, commands: &mut Vec<Command>) {
    let with = if plan.head.goal.is_some() {
        "What becomes of the length with the shift at its goal"
    } else {
        "What becomes of the length with the shift as it is"
    };
    ui.label(widgets::soft(ui, with));
    Grid::new("aims")
        .num_columns(4)
        .spacing([14.0, 4.0])
        .show(ui, |ui| {
            for heading in ["Aim", "tilt", "along M2", "along M1"] {
                ui.label(widgets::soft(ui, heading));
            }
            ui.end_row();
            for effect in planning.aims() {
                let direction = CutDirection::Toward(effect.aim);
                let is_on = plan.cut.direction == direction;
                let words = effect.aim.name();
                let name = words.trim_start_matches("the ").to_owned();
                if ui.selectable_label(is_on, name).clicked() {
                    commands.push(set(PlanEdit::Direction(direction), true));
                    ui.close();
                }
                ui.label(signed_degrees(effect.tilt_degrees));
                let second = effect.length.along_second;
                ui.label(
                    second
                        .map_or_else(|| "needs M2".to_owned(), |parts| signed_length(parts.whole)),
                );
                ui.label(signed_length(effect.length.along_first.whole));
                ui.end_row();
            }
        });
    let square = CutDirection::TiltDegrees(0.0);
    let is_on = plan.cut.direction == square;
    if ui.selectable_label(is_on, "square to the shaft").clicked() {
        commands.push(set(PlanEdit::Direction(square), true));
        ui.close();
    }
}

fn form_ui(ui: &mut Ui, plan: &Plan, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        name_ui(ui, "Form");
        let name = |form: CutForm| match form {
            CutForm::Straight => "straight",
            CutForm::Chevron { .. } => "chevron",
        };
        let chevron = match plan.cut.form {
            form @ CutForm::Chevron { .. } => form,
            CutForm::Straight => CutForm::Chevron {
                opens_degrees: FIRST_CHEVRON_DEGREES,
            },
        };
        let combo = ComboBox::from_id_salt("form of the cut")
            .width(76.0)
            .selected_text(RichText::new(name(plan.cut.form)).size(size::SECONDARY))
            .show_ui(ui, |ui| {
                for form in [CutForm::Straight, chevron] {
                    let is_on = plan.cut.form == form;
                    if ui.selectable_label(is_on, name(form)).clicked() && !is_on {
                        commands.push(set(PlanEdit::Form(form), true));
                    }
                }
            });
        combo.response.widget_info(|| WidgetInfo {
            current_text_value: Some(name(plan.cut.form).to_owned()),
            ..WidgetInfo::labeled(Role::ComboBox, true, "Form of the cut")
        });
        if let CutForm::Chevron { opens_degrees } = plan.cut.form {
            let [least, most] = NumberLimits::CHEVRON.range;
            let field = Field {
                label: "",
                name: "Angle between the limbs of the chevron",
                value: between_limbs(opens_degrees),
                range: between_limbs(most)..=between_limbs(least),
                decimals: 0,
                unit: "°",
            };
            if let Some((between, finished)) = number_ui(ui, &field) {
                let form = CutForm::Chevron {
                    opens_degrees: between_limbs(between),
                };
                commands.push(set(PlanEdit::Form(form), finished));
            }
            ui.label(widgets::soft(ui, "between its limbs"));
        } else {
            let tint = theme::tokens(ui).soft;
            ui.label(
                RichText::new("as seen from the side")
                    .size(size::SECONDARY)
                    .color(tint),
            );
        }
    });
}
