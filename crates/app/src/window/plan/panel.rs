//! The panel of a plan: its fields, what it will do, its screws, and what it takes for granted.

use egui::{
    CentralPanel, Frame, Label, Margin, Panel, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo,
};
use plumbray_anatomy::View;
use plumbray_plan::{PlanError, assumptions};
use plumbray_report::OtherFact;

use super::{
    super::{theme, theme::size, widgets},
    alternatives::alternatives_ui,
    checks::checks_ui,
    cut_fields::cut_fields_ui,
    field::{heading_ui, name_ui},
    head_fields::{head_fields_ui, toe_fields_ui, units_ui},
    outcome::outcome_ui,
    screws::screws_ui,
};
use crate::{
    planning::words::plan_name,
    workbench::{CalibrationMethod, Command, PlanCommand, Planning, Units, Workbench},
};

/// The longest name that a plan can be given here, in letters.
const LONGEST_NAME: usize = 80;

/// What stands under every plan.
const DECIDES: &str =
    "A measuring aid, not a medical device: a licensed surgeon decides under local rules.";

/// Draws the panel; where the window is narrow, with the table of plans.
pub(super) fn panel_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    folded: bool,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    Panel::bottom("plan caution")
        .frame(
            Frame::new()
                .fill(tokens.raised)
                .inner_margin(Margin::symmetric(16, 8)),
        )
        .resizable(false)
        .show(ui, |ui| {
            side_ui(ui, workbench);
            ui.add(Label::new(widgets::soft(ui, DECIDES).size(size::SMALLEST)).wrap());
        });
    CentralPanel::no_frame()
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("plan")
                .auto_shrink(false)
                .show(ui, |ui| {
                    Frame::new()
                        .inner_margin(Margin::symmetric(16, 6))
                        .show(ui, |ui| {
                            if folded {
                                alternatives_ui(ui, workbench, planning, commands);
                                outcome_ui(ui, workbench, planning, commands);
                            }
                            contents_ui(ui, workbench, planning, commands);
                        });
                });
        });
}

/// Which foot it is, and whether somebody confirmed it: an operation on the wrong side is the worst of all plans.
fn side_ui(ui: &mut Ui, workbench: &Workbench) {
    let tokens = theme::tokens(ui);
    let mut against = workbench.contradictions().into_iter();
    let is_contradicted = against.any(|one| matches!(one.said, OtherFact::Side(_)));
    let (text, colour) = match workbench.study().side {
        Some(choice) if choice.confirmed && is_contradicted => (
            format!(
                "! {} foot, confirmed, but a film’s file says the other: look again",
                choice.side.identifier().to_uppercase()
            ),
            tokens.bad,
        ),
        Some(choice) if choice.confirmed => (
            format!(
                "{} foot, confirmed",
                choice.side.identifier().to_uppercase()
            ),
            tokens.ink,
        ),
        Some(choice) => (
            format!(
                "! {} foot, not confirmed: say which foot it is at the upper right",
                choice.side.identifier().to_uppercase()
            ),
            tokens.look_again,
        ),
        None => (
            "! Side unknown: say which foot it is at the upper right".to_owned(),
            tokens.look_again,
        ),
    };
    let text = RichText::new(text)
        .size(size::SECONDARY)
        .family(theme::semibold())
        .color(colour);
    ui.add(Label::new(text).wrap());
}

fn contents_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    commands: &mut Vec<Command>,
) {
    let Some(plan) = workbench.plan() else {
        no_plan_ui(ui, workbench, commands);
        return;
    };
    if let Some(Err(problem)) = planning.done(planning.chosen) {
        problem_ui(ui, problem, workbench, commands);
    }
    ui.horizontal(|ui| {
        name_ui(ui, "Name");
        let mut name = plan.name.clone();
        let field = TextEdit::singleline(&mut name)
            .hint_text(plan_name(plan, planning.chosen))
            .char_limit(LONGEST_NAME)
            .desired_width(f32::INFINITY);
        let response = ui.add(field);
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Name of the plan"));
        if response.changed() || response.lost_focus() {
            let finished = response.lost_focus();
            commands.push(Command::Plan(PlanCommand::Rename(name, finished)));
        }
    });
    ui.horizontal(|ui| {
        name_ui(ui, "Lengths in");
        units_ui(ui, workbench, plan, commands);
        let name = workbench.calibration(View::Ap).map_or_else(
            || "the AP film is not calibrated".to_owned(),
            |calibration| calibration.basis.name(),
        );
        ui.add(Label::new(widgets::soft(ui, name).size(size::SMALLEST)).truncate());
    });
    cut_fields_ui(ui, workbench, planning, plan, commands);
    head_fields_ui(ui, workbench, planning, plan, commands);
    toe_fields_ui(ui, planning, plan, commands);
    if let Some(done) = planning.undertaking() {
        heading_ui(ui, "Checks");
        if done.before.ap.mm_per_pixel_width.is_none() {
            let note =
                "Without a calibration lengths are in per cent of the shaft’s width at the cut.";
            ui.add(Label::new(widgets::soft(ui, note).size(size::SMALLEST)).wrap());
        }
        checks_ui(
            ui,
            done,
            done.checks.iter().filter(|check| check.screw.is_none()),
        );
        screws_ui(ui, workbench, plan, done, commands);
    }
    heading_ui(ui, "What it takes for granted");
    for assumption in assumptions(plan) {
        let text = RichText::new(&assumption.text).size(size::SECONDARY);
        ui.add(Label::new(text).wrap());
        let source = widgets::soft(ui, assumption.source).size(size::SMALLEST);
        ui.add(Label::new(source).wrap());
        ui.add_space(4.0);
    }
}

fn no_plan_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    if let Some(problem) = workbench.why_no_plan() {
        problem_ui(ui, &problem, workbench, commands);
        return;
    }
    ui.add_space(8.0);
    ui.label("There is no plan of this foot.");
    let another = Command::Plan(PlanCommand::Another);
    if ui.button("Begin a plan").clicked() {
        commands.push(another);
    }
}

/// Why a plan cannot be carried out, and what leads on.
fn problem_ui(
    ui: &mut Ui,
    problem: &PlanError,
    workbench: &Workbench,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let text = RichText::new(format!(
        "! {}.",
        plumbray_anatomy::capitalised(&problem.to_string())
    ))
    .color(tokens.look_again);
    ui.add_space(4.0);
    ui.add(Label::new(text).wrap());
    let ways: Vec<Command> = match problem {
        PlanError::NeedsCalibration { .. } => vec![
            Command::StartCalibration(View::Ap, CalibrationMethod::RoundObject),
            Command::StartCalibration(View::Ap, CalibrationMethod::KnownDistance),
            Command::Plan(PlanCommand::Units(Units::PerCent)),
        ],
        PlanError::Operated => vec![
            Command::SetOperated(false),
            Command::Plan(PlanCommand::Leave),
        ],
        PlanError::Tracing { .. } => vec![Command::Plan(PlanCommand::Leave)],
        PlanError::OutOfRange { .. }
        | PlanError::NoAim { .. }
        | PlanError::CutOffBone
        | PlanError::TooManyScrews { .. } => Vec::new(),
    };
    ui.horizontal_wrapped(|ui| {
        for way in ways {
            if way.is_possible(workbench) && ui.button(way.text()).clicked() {
                commands.push(way);
            }
        }
    });
    ui.add_space(8.0);
}
