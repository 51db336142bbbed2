//! The fields of the head, of the toe, and what finds a shift.

use egui::{ComboBox, RichText, Role, Ui, WidgetInfo};
use plumbray_anatomy::Angle;
use plumbray_plan::{
    Extent, ExtentLimits, Finding, Goal, Length, NumberLimits, Plan, ToeRule, Undertaking, Verdict,
    wedge_angle, wedge_base,
};

use super::{
    super::{
        number::{millimetres, per_cent},
        theme,
        theme::size,
        widgets,
    },
    field::{
        ExtentField, Field, extent_ui, field_ui, heading_ui, name_ui, number_ui, range_of, set,
    },
    words::short_length,
};
use crate::planning::words::length;
use crate::workbench::{Command, PlanCommand, PlanEdit, Planning, Workbench};

/// The hallux valgus angle to which a toe is brought at first, in degrees (ours).
const FIRST_VALGUS_DEGREES: f64 = 12.0;

/// Draws the fields of the head.
pub(super) fn head_fields_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    plan: &Plan,
    commands: &mut Vec<Command>,
) {
    let done = planning.undertaking();
    heading_ui(ui, "The head");
    let shift = ExtentField {
        label: "Shift",
        name: "Lateral shift of the head",
        extent: plan.head.shift,
        limits: ExtentLimits::SHIFT,
    };
    let words = done.map_or_else(String::new, |done| shift_words(plan, done));
    if let Some((shift, finished)) = extent_ui(ui, &shift, &words) {
        commands.push(set(PlanEdit::Shift(shift), finished));
    }
    goal_ui(ui, plan, done, commands);
    solving_ui(ui, workbench, planning, commands);
    let degrees = |label, name, value, limits: &NumberLimits| Field {
        label,
        name,
        value,
        range: range_of(limits),
        decimals: 1,
        unit: "°",
    };
    let head = &plan.head;
    let turn = degrees(
        "Turn",
        "Turn of the head",
        head.medial_turn_degrees,
        &NumberLimits::TURN,
    );
    if let Some((value, finished)) = field_ui(ui, &turn, "toward medial") {
        commands.push(set(PlanEdit::MedialTurn(value), finished));
    }
    let supination = degrees(
        "Supination",
        "Supination of the head",
        head.supination_degrees,
        &NumberLimits::SUPINATION,
    );
    if let Some((value, finished)) = field_ui(ui, &supination, "not seen in the angles") {
        commands.push(set(PlanEdit::Supination(value), finished));
    }
    let dorsal = ExtentField {
        label: "Dorsal shift",
        name: "Dorsal shift of the head",
        extent: head.dorsal_shift,
        limits: ExtentLimits::DORSAL_SHIFT,
    };
    if let Some((value, finished)) = extent_ui(ui, &dorsal, on_lateral(done)) {
        commands.push(set(PlanEdit::DorsalShift(value), finished));
    }
    let tilt = degrees(
        "Plantar tilt",
        "Plantar tilt of the head",
        head.plantar_tilt_degrees,
        &NumberLimits::PLANTAR_TILT,
    );
    if let Some((value, finished)) = field_ui(ui, &tilt, on_lateral(done)) {
        commands.push(set(PlanEdit::PlantarTilt(value), finished));
    }
    trimming_ui(ui, plan, done, commands);
}

/// The goal at which the shift is held, whether it is reached, and a way to let go of it.
fn goal_ui(ui: &mut Ui, plan: &Plan, done: Option<&Undertaking>, commands: &mut Vec<Command>) {
    let Some(goal) = plan.head.goal else { return };
    let is_missed = done.is_some_and(|done| {
        let mut checks = done.checks.iter();
        checks.any(|check| check.finding == Finding::GoalReached && check.verdict == Verdict::Open)
    });
    let tokens = theme::tokens(ui);
    let (text, colour) = if is_missed {
        (
            format!("! Held: {}, not reached", goal.name()),
            tokens.look_again,
        )
    } else {
        (format!("Held: {}", goal.name()), tokens.ink)
    };
    ui.horizontal(|ui| {
        name_ui(ui, "");
        ui.label(RichText::new(text).size(size::SECONDARY).color(colour));
        let command = Command::Plan(PlanCommand::LetGo);
        widgets::text_action(ui, "Let go", command, commands);
    });
}

fn shift_words(plan: &Plan, done: &Undertaking) -> String {
    let whole = done.shift.mm.zip(done.before.ap.mm_per_pixel_width);
    match (plan.head.shift, whole) {
        (Extent::Millimetres(_), Some((_, size))) => format!(
            "{} of {}",
            per_cent(done.shift.of_width),
            millimetres(done.cut.width * size)
        ),
        (_, Some((mm, size))) => {
            format!(
                "{} of {}",
                millimetres(mm),
                millimetres(done.cut.width * size)
            )
        }
        _ => "of the shaft’s width at the cut".to_owned(),
    }
}

fn on_lateral(done: Option<&Undertaking>) -> &'static str {
    match done {
        Some(done) if done.before.lateral.is_some() => "read on the lateral film",
        _ => "seen on a traced lateral film only",
    }
}

/// Buttons that find the shift for what is wanted.
fn solving_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    commands: &mut Vec<Command>,
) {
    let solve = |ui: &mut Ui, text: &str, goal: Goal, commands: &mut Vec<Command>| {
        let command = Command::Plan(PlanCommand::Solve(goal));
        widgets::small_button(ui, workbench, text, command, commands);
    };
    ui.horizontal(|ui| {
        name_ui(ui, "Shift until");
        solve(
            ui,
            "IMA is",
            Goal::IntermetatarsalAngle(planning.goal_degrees),
            commands,
        );
        let goal = Field {
            label: "",
            name: "Intermetatarsal angle to aim for",
            value: planning.goal_degrees,
            range: -5.0..=20.0,
            decimals: 1,
            unit: "°",
        };
        if let Some((degrees, _)) = number_ui(ui, &goal) {
            commands.push(Command::Plan(PlanCommand::AimFor(degrees)));
        }
    });
    ui.horizontal(|ui| {
        name_ui(ui, "");
        solve(
            ui,
            "sesamoids under the head",
            Goal::SesamoidsUnderHead,
            commands,
        );
        solve(ui, "edge to edge", Goal::MostThisBoneAllows, commands);
    });
}

fn trimming_ui(ui: &mut Ui, plan: &Plan, done: Option<&Undertaking>, commands: &mut Vec<Command>) {
    let text = done.map_or_else(
        || "Take the medial step off".to_owned(),
        |done| format!("Take the medial step off ({})", length(done.medial_step)),
    );
    let mut trimmed = plan.step_trimmed;
    let response = ui.checkbox(&mut trimmed, RichText::new(text).size(size::SECONDARY));
    response.widget_info(|| {
        WidgetInfo::selected(Role::CheckBox, true, trimmed, "Take the medial step off")
    });
    if response.changed() {
        commands.push(set(PlanEdit::StepTrimmed(trimmed), true));
    }
}

/// Draws the fields of the toe.
pub(super) fn toe_fields_ui(
    ui: &mut Ui,
    planning: &Planning,
    plan: &Plan,
    commands: &mut Vec<Command>,
) {
    heading_ui(ui, "The toe");
    let angle = match plan.toe.rule {
        ToeRule::Realigned {
            hallux_valgus_degrees,
        } => hallux_valgus_degrees,
        _ => FIRST_VALGUS_DEGREES,
    };
    let rules = [
        ToeRule::FollowsHead,
        ToeRule::KeepsDirection,
        ToeRule::Realigned {
            hallux_valgus_degrees: angle,
        },
    ];
    ui.horizontal(|ui| {
        name_ui(ui, "Goes");
        let combo = ComboBox::from_id_salt("rule of the toe")
            .width(200.0)
            .selected_text(RichText::new(rule_name(plan.toe.rule)).size(size::SECONDARY))
            .show_ui(ui, |ui| {
                for rule in rules {
                    let is_on = plan.toe.rule == rule;
                    if ui.selectable_label(is_on, rule_name(rule)).clicked() && !is_on {
                        commands.push(set(PlanEdit::ToeRule(rule), true));
                    }
                }
            });
        combo.response.widget_info(|| WidgetInfo {
            current_text_value: Some(rule_name(plan.toe.rule).to_owned()),
            ..WidgetInfo::labeled(Role::ComboBox, true, "How the toe goes with the head")
        });
        if let ToeRule::Realigned { .. } = plan.toe.rule {
            let field = Field {
                label: "",
                name: "Hallux valgus angle to which the toe is brought",
                value: angle,
                range: range_of(&NumberLimits::HALLUX_VALGUS),
                decimals: 0,
                unit: "°",
            };
            if let Some((hallux_valgus_degrees, finished)) = number_ui(ui, &field) {
                let rule = ToeRule::Realigned {
                    hallux_valgus_degrees,
                };
                commands.push(set(PlanEdit::ToeRule(rule), finished));
            }
        }
    });
    let wedge = Field {
        label: "Wedge",
        name: "Wedge of the proximal phalanx",
        value: plan.toe.wedge_degrees,
        range: range_of(&NumberLimits::WEDGE),
        decimals: 1,
        unit: "°",
    };
    let words = wedge_words(plan, planning.undertaking());
    if let Some((value, finished)) = field_ui(ui, &wedge, &words) {
        commands.push(set(PlanEdit::Wedge(value), finished));
    }
    wedge_base_ui(ui, plan, planning.undertaking(), commands);
}

/// The same wedge by the width of its base, where the phalanx was swept and the film is calibrated.
fn wedge_base_ui(
    ui: &mut Ui,
    plan: &Plan,
    done: Option<&Undertaking>,
    commands: &mut Vec<Command>,
) {
    let Some(width) = done.and_then(|done| done.phalanx_width?.mm) else {
        return;
    };
    let base = wedge_base(Angle::from_degrees(plan.toe.wedge_degrees), width);
    let [_, most] = NumberLimits::WEDGE.range;
    let most = wedge_base(Angle::from_degrees(most), width);
    let field = Field {
        label: "Its base",
        name: "Base of the wedge",
        value: base,
        range: -most..=most,
        decimals: 1,
        unit: "\u{2009}mm",
    };
    let words = format!("of {} of phalanx", millimetres(width));
    if let Some((base, finished)) = field_ui(ui, &field, &words) {
        let angle = NumberLimits::WEDGE.nearest(wedge_angle(base, width).degrees());
        commands.push(set(PlanEdit::Wedge(angle), finished));
    }
}

fn wedge_words(plan: &Plan, done: Option<&Undertaking>) -> String {
    let width = done.and_then(|done| done.phalanx_width);
    match width {
        _ if plan.toe.wedge_degrees.abs() < 0.05 => "from the proximal phalanx: none".to_owned(),
        Some(width) => {
            let angle = Angle::from_degrees(plan.toe.wedge_degrees.abs());
            let base = Length {
                pixel_widths: wedge_base(angle, width.pixel_widths),
                of_width: wedge_base(angle, width.of_width),
                mm: width.mm.map(|mm| wedge_base(angle, mm)),
            };
            format!("a base of {} on the phalanx", short_length(base))
        }
        None => "from the proximal phalanx, which is not swept".to_owned(),
    }
}

const fn rule_name(rule: ToeRule) -> &'static str {
    match rule {
        ToeRule::FollowsHead => "shifts and turns with the head",
        ToeRule::KeepsDirection => "shifts, keeps its direction",
        ToeRule::Realigned { .. } => "is brought to an HVA of",
    }
}

/// Draws the units in which lengths are said.
pub(super) fn units_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    plan: &Plan,
    commands: &mut Vec<Command>,
) {
    use crate::workbench::Units;
    let is_mm = matches!(plan.cut.level, Extent::Millimetres(_));
    let both = [
        (Units::Millimetres, "mm", is_mm),
        (Units::PerCent, "per cent", !is_mm),
    ];
    for (units, text, is_on) in both {
        let command = Command::Plan(PlanCommand::Units(units));
        let button = egui::Button::selectable(is_on, widgets::soft(ui, text));
        let response = ui.add_enabled(command.is_possible(workbench), button);
        response.widget_info(|| {
            WidgetInfo::selected(Role::Button, true, is_on, format!("Lengths in {text}"))
        });
        if response
            .on_hover_text(command.text())
            .on_disabled_hover_text("The AP film is not calibrated.")
            .clicked()
        {
            commands.push(command);
        }
    }
}
