//! The screws and wires of a plan: how long, through which cortices, what they meet and leave open.

use egui::{Label, RichText, Ui};
use plumbray_anatomy::View;
use plumbray_plan::{
    ExtentLimits, LengthSteps, NumberLimits, Plan, Screw, ScrewCourse, ScrewKind, Undertaking,
};

use super::{
    super::{
        number::{degrees, millimetres, plain},
        theme,
        theme::size,
        widgets,
    },
    checks::checks_ui,
    field::{ExtentField, Field, extent_ui, heading_ui, name_ui, number_ui, set},
};
use crate::{
    planning::{
        screw_words::{cortices, letter, screw_name},
        words::length,
    },
    workbench::{CalibrationMethod, Command, PlanCommand, PlanEdit, Workbench},
};

/// Draws the screws of a plan.
pub(super) fn screws_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    plan: &Plan,
    done: &Undertaking,
    commands: &mut Vec<Command>,
) {
    heading_ui(ui, "Screws and wires");
    ui.horizontal_wrapped(|ui| {
        let entries = [
            ("Best screw pair", PlanCommand::SuggestScrews),
            ("Add a screw", PlanCommand::AddScrew(ScrewKind::Screw)),
            ("Add a wire", PlanCommand::AddScrew(ScrewKind::Wire)),
        ];
        for (text, command) in entries {
            widgets::small_button(ui, workbench, text, Command::Plan(command), commands);
        }
    });
    if plan.screws_suggested && !plan.screws.is_empty() {
        let text = "This pair follows the plan until you drag one of its ends.";
        ui.add(Label::new(widgets::soft(ui, text).size(size::SMALLEST)).wrap());
    }
    calibrate_ui(ui, workbench, done, commands);
    lengths_ui(ui, plan.lengths, commands);
    for (place, (screw, course)) in plan.screws.iter().zip(&done.screws).enumerate() {
        screw_ui(ui, plan, done, (place, screw), course, commands);
        let own = done
            .checks
            .iter()
            .filter(|check| check.screw == Some(place));
        checks_ui(ui, done, own);
    }
    if plan.screws.is_empty() {
        ui.label(widgets::soft(
            ui,
            "None yet. Each end of a screw can be dragged on both films.",
        ));
    }
}

/// The way to true lengths, where they are withheld for want of a calibration at the patient.
fn calibrate_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    done: &Undertaking,
    commands: &mut Vec<Command>,
) {
    let is_withheld = |course: &ScrewCourse| course.length.withheld.is_some();
    if !done.screws.iter().any(is_withheld) {
        return;
    }
    let lacks = View::ALL.into_iter().find(|view| {
        let film = done.before.view(*view);
        film.is_some_and(|film| film.patient_mm(film.length).is_none())
    });
    let Some(view) = lacks else { return };
    ui.add_space(6.0);
    let what = format!(
        "True lengths need the {} film calibrated at the patient:",
        view.name_in_sentence()
    );
    ui.add(Label::new(widgets::soft(ui, what).size(size::SMALLEST)).wrap());
    ui.horizontal_wrapped(|ui| {
        for method in [
            CalibrationMethod::RoundObject,
            CalibrationMethod::KnownDistance,
        ] {
            let command = Command::StartCalibration(view, method);
            let text = command.text();
            widgets::small_button(ui, workbench, &text, command, commands);
        }
    });
}

fn lengths_ui(ui: &mut Ui, lengths: LengthSteps, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        name_ui(ui, "At hand");
        let [shortest, longest] = NumberLimits::SCREW_LENGTH.range;
        let mut changed = lengths;
        let mut finished = None;
        let fields = [
            (
                "from",
                "Shortest screw at hand",
                &mut changed.shortest_mm,
                [shortest, lengths.longest_mm],
            ),
            (
                "every",
                "Step of the lengths at hand",
                &mut changed.step_mm,
                NumberLimits::LENGTH_STEP.range,
            ),
            (
                "to",
                "Longest screw at hand",
                &mut changed.longest_mm,
                [lengths.shortest_mm, longest],
            ),
        ];
        for (word, name, value, [low, high]) in fields {
            ui.label(widgets::soft(ui, word));
            let field = Field {
                label: "",
                name,
                value: *value,
                range: low..=high,
                decimals: usize::from(word == "every"),
                unit: "",
            };
            if let Some((number, ends)) = number_ui(ui, &field) {
                *value = number;
                finished = Some(ends);
            }
        }
        ui.label(widgets::soft(ui, "mm"));
        if let Some(finished) = finished {
            commands.push(set(PlanEdit::Lengths(changed), finished));
        }
    });
}

fn screw_ui(
    ui: &mut Ui,
    plan: &Plan,
    done: &Undertaking,
    (place, screw): (usize, &Screw),
    course: &ScrewCourse,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    ui.add_space(8.0);
    let name = screw_name(screw.kind, place);
    let at_hand = course
        .length
        .true_mm
        .map(|mm| plan.lengths.at_most(mm + 1e-6));
    let heading = match at_hand {
        Some(Some(at_hand)) => format!("{name}, {}\u{2009}mm at hand", plain(at_hand, 0)),
        Some(None) => format!("{name}, no length at hand"),
        None => format!("{name}, length withheld"),
    };
    ui.horizontal(|ui| {
        let heading = RichText::new(heading)
            .size(size::SECONDARY)
            .family(theme::semibold())
            .color(tokens.ink);
        ui.label(heading);
        let away = format!("Take {} away", letter(place));
        let command = Command::Plan(PlanCommand::RemoveScrew(place));
        widgets::text_action(ui, &away, command, commands);
    });
    let diameter_name = format!("Diameter of {}", letter(place));
    let diameter = ExtentField {
        label: "Diameter",
        name: &diameter_name,
        extent: screw.diameter,
        limits: ExtentLimits::DIAMETER,
    };
    if let Some((diameter, finished)) = extent_ui(ui, &diameter, "") {
        commands.push(set(PlanEdit::Diameter(place, diameter), finished));
    }
    let mut line = |name: &str, text: String| {
        ui.horizontal(|ui| {
            name_ui(ui, name);
            ui.add(Label::new(RichText::new(text).size(size::SECONDARY)).wrap());
        });
    };
    line("Length", length_words(course));
    line("Cortices", cortices_words(course));
    line(
        "To the shaft",
        format!(
            "{} {}",
            degrees(course.angle_to_shaft_degrees),
            if done.before.lateral.is_some() {
                "in space"
            } else {
                "on the AP film"
            }
        ),
    );
    if let Some(angle) = course.angle_to_first_degrees {
        line("To A", degrees(angle));
    }
    line(
        "In bone",
        format!(
            "{} in the head, {} in the shaft",
            length(course.in_fragment),
            length(course.in_shaft)
        ),
    );
}

/// The true length against that of each view alone, or why it is withheld.
fn length_words(course: &ScrewCourse) -> String {
    let found = &course.length;
    let alone: Vec<String> = [
        ("the AP film alone", found.ap_mm),
        ("the lateral alone", found.lateral_mm),
    ]
    .into_iter()
    .filter_map(|(view, mm)| Some(format!("{view} {}", millimetres(mm?))))
    .collect();
    let alone = if alone.is_empty() {
        String::new()
    } else {
        format!("; {}", alone.join(", "))
    };
    match (found.true_mm, &found.withheld) {
        (Some(mm), _) => format!("{} true{alone}", millimetres(mm)),
        (None, Some(why)) => format!("no true length: {why}{alone}"),
        (None, None) => format!("no true length{alone}"),
    }
}

/// How many cortices, and which in order.
fn cortices_words(course: &ScrewCourse) -> String {
    match course.crossings.len() {
        0 => cortices(course),
        count => format!("{count}: {}", cortices(course)),
    }
}
