//! The plans of a foot side by side.

use egui::{Grid, RichText, Ui};
use plumbray_measure::{Measurement, Unit};
use plumbray_plan::{Length, Plan, PlannedOutcome, Undertaking};
use plumbray_report::number::{in_unit, signed};

use super::{
    super::{number::per_cent, theme, theme::size, widgets},
    words::{open_checks, short_length, signed_length},
};
use crate::{
    planning::words::{cut_form, plan_name},
    workbench::{Command, PlanCommand, Planning, Workbench},
};

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
            widgets::text_action(ui, "Delete this plan", remove, commands);
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

/// The columns, each with what it means where its heading is short.
const COLUMNS: [(&str, &str); 8] = [
    ("", ""),
    ("shift", "How far the head comes to lie lateral."),
    ("HVA", "Hallux valgus angle."),
    ("IMA", "Intermetatarsal angle between M1 and M2."),
    ("M1", "Change of length along the first metatarsal."),
    ("along M2", "Change of length along the second metatarsal."),
    ("contact", "Share of the cut where bone lies on bone."),
    ("checks", ""),
];

fn grid_ui(ui: &mut Ui, workbench: &Workbench, planning: &Planning, commands: &mut Vec<Command>) {
    let on = planning.undertaking().map(figures);
    Grid::new("plans")
        .num_columns(COLUMNS.len())
        .spacing([8.0, 4.0])
        .min_col_width(36.0)
        .show(ui, |ui| {
            for (heading, meaning) in COLUMNS {
                let label = ui.label(widgets::soft(ui, heading));
                if !meaning.is_empty() {
                    label.on_hover_text(meaning);
                }
            }
            ui.end_row();
            for (place, plan) in workbench.study().plans.iter().enumerate() {
                let is_on = place == planning.chosen;
                if name_ui(ui, plan, place, is_on) && !is_on {
                    commands.push(Command::Plan(PlanCommand::Choose(place)));
                }
                match planning.done(place) {
                    Some(Ok(done)) => numbers_ui(ui, done, on.as_ref().filter(|_| !is_on)),
                    Some(Err(problem)) => {
                        ui.label(widgets::soft(ui, "cannot be carried out"))
                            .on_hover_text(problem.to_string());
                    }
                    None => {}
                }
                ui.end_row();
            }
        });
}

/// The name of a plan, with its form below it; whether it was clicked.
fn name_ui(ui: &mut Ui, plan: &Plan, place: usize, is_on: bool) -> bool {
    let name = plan_name(plan, place);
    let short: String = if name.chars().count() > NAME_LETTERS {
        let start: String = name.chars().take(NAME_LETTERS - 1).collect();
        format!("{}…", start.trim_end())
    } else {
        name.clone()
    };
    let text = RichText::new(short).size(size::SECONDARY);
    let text = if is_on {
        text.family(theme::semibold())
    } else {
        text
    };
    ui.vertical(|ui| {
        ui.style_mut().wrap_mode = Some(egui::TextWrapMode::Extend);
        ui.spacing_mut().item_spacing.y = 1.0;
        let button = egui::Button::selectable(is_on, text);
        let response = ui.add(button).on_hover_text(&name);
        response.widget_info(|| {
            egui::WidgetInfo::selected(egui::Role::Button, true, is_on, name.clone())
        });
        let form = RichText::new(cut_form(plan.cut.form)).size(size::SMALLEST);
        ui.horizontal(|ui| {
            ui.add_space(ui.spacing().button_padding.x);
            ui.label(form.color(theme::tokens(ui).soft));
        });
        response.clicked()
    })
    .inner
}

/// A number of the table.
struct Figure {
    words: String,
    /// In the unit in which differences of its column are said, with their decimals; nothing where there is none.
    number: Option<(f64, usize)>,
    /// Whether the surgeon chose it; it is then no result.
    is_chosen: bool,
}

impl Figure {
    const fn found(words: String, number: f64, decimals: usize) -> Self {
        Self {
            words,
            number: Some((number, decimals)),
            is_chosen: false,
        }
    }

    /// What stands where there is no number.
    fn none() -> Self {
        Self {
            words: "—".to_owned(),
            number: None,
            is_chosen: false,
        }
    }
}

/// The numbers of a plan, in the order of the columns.
fn figures(done: &Undertaking) -> [Figure; 6] {
    let angle = |measurement| {
        let planned = done.row(measurement).map(|row| &row.planned);
        let Some((planned, value)) = planned.and_then(|planned| Some((planned, planned.value()?)))
        else {
            return Figure::none();
        };
        Figure {
            is_chosen: matches!(planned, PlannedOutcome::Chosen(_)),
            ..Figure::found(in_unit(Unit::Degrees, value, 1), value, 1)
        }
    };
    let of = |length: Length, words: fn(Length) -> String| {
        let (number, decimals) = length.mm.map_or((length.of_width * 100.0, 0), |mm| (mm, 1));
        Figure::found(words(length), number, decimals)
    };
    let along_second = done
        .length
        .along_second
        .map_or_else(Figure::none, |along| of(along.whole, signed_length));
    let contact = done.contact.share;
    [
        of(done.shift, short_length),
        angle(Measurement::HalluxValgusAngle),
        angle(Measurement::IntermetatarsalAngle12),
        of(done.length.along_first.whole, signed_length),
        along_second,
        Figure::found(per_cent(contact), contact * 100.0, 0),
    ]
}

/// The numbers of a plan; below each of another plan than the one that is on, the difference from that.
fn numbers_ui(ui: &mut Ui, done: &Undertaking, on: Option<&[Figure; 6]>) {
    let tokens = theme::tokens(ui);
    for (column, figure) in figures(done).into_iter().enumerate() {
        ui.vertical(|ui| {
            ui.style_mut().wrap_mode = Some(egui::TextWrapMode::Extend);
            ui.spacing_mut().item_spacing.y = 1.0;
            ui.add_space(4.0);
            let text = RichText::new(figure.words).size(size::SECONDARY);
            let label = ui.label(if on.is_none() && !figure.is_chosen {
                text.family(theme::semibold())
            } else {
                text
            });
            if figure.is_chosen {
                label.on_hover_text("Chosen, not predicted: the toe is brought to it.");
            }
            let from = on.and_then(|on| on[column].number);
            if let Some(((value, decimals), (from, _))) = figure.number.zip(from) {
                let text = RichText::new(signed(value - from, decimals)).size(size::SMALLEST);
                ui.label(text.color(tokens.soft))
                    .on_hover_text("Difference from the plan that is on.");
            }
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
