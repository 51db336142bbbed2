//! Plan against result: what was intended beside what was achieved.

use egui::{Grid, RichText, Ui};
use plumbray_anatomy::{FilmPoint, View};
use plumbray_compare::{Estimate, LaidByShaft, PlanResult, PlanRow, PlannedNumber};
use plumbray_measure::{Measurement, Unit};
use plumbray_plan::{Plan, Undertaking};
use plumbray_report::number::signed;

use super::{
    super::{
        number::plain,
        pen::Pen,
        row_text::row_name,
        theme::{self, film, size},
        widgets,
    },
    table::{NAME_ROOM, decimals, short_why, unit_text},
};
use crate::{
    comparing::{HeldPlan, estimate_words, plan_difference_words, plan_notes, plan_row_name},
    workbench::{Command, CompareCommand, Comparing},
};

/// Dash and gap of what was planned, in points.
const DASHES: (f32, f32) = (7.0, 4.0);

/// Draws what was intended beside what was achieved; nothing without a plan.
pub(super) fn plan_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let Some(held) = comparing.held_plan() else {
        return;
    };
    let name = |place: usize| {
        let visit = comparing.comparison.visits.get(place);
        visit.map_or_else(String::new, |visit| visit.name.long.clone())
    };
    ui.horizontal_wrapped(|ui| {
        ui.label(widgets::heading(ui, "Plan against result"));
        chosen_ui(ui, comparing, held, commands);
    });
    let which = format!(
        "Planned {}, held against {}.",
        name(held.visit),
        name(held.against)
    );
    ui.label(widgets::soft(ui, which));
    if held.visit != comparing.pair().earlier {
        let how = format!(
            "Put “{}” in the earlier place on the time line to see it drawn over the later film, under outlines.",
            name(held.visit)
        );
        ui.label(widgets::soft(ui, how));
    }
    ui.add_space(4.0);
    match &held.result {
        Ok(result) => {
            let scrolling = egui::ScrollArea::horizontal().id_salt("plan against result");
            scrolling.show(ui, |ui| grid_ui(ui, result));
            ui.add_space(4.0);
            for note in calibrations(result).into_iter().chain(plan_notes(result)) {
                let text = RichText::new(note).size(size::SMALLEST);
                ui.label(text.color(theme::tokens(ui).soft));
            }
        }
        Err(why) => {
            let text = RichText::new(why.to_string()).size(size::SECONDARY);
            ui.label(text.color(theme::tokens(ui).look_again));
        }
    }
    ui.add_space(12.0);
}

/// Whose millimetres the rows have: "Shift of the head: millimetres calibrated by geometry."
fn calibrations(result: &PlanResult) -> Vec<String> {
    let in_mm = result.rows.iter();
    in_mm
        .filter_map(|row| {
            let name = row.calibration.as_ref()?;
            Some(format!("{}: millimetres {name}.", short_name(row.what)))
        })
        .collect()
}

/// Which plan; a choice where there are several.
fn chosen_ui(ui: &mut Ui, comparing: &Comparing, held: &HeldPlan, commands: &mut Vec<Command>) {
    if comparing.plans.len() < 2 {
        ui.label(RichText::new(&held.name).size(size::SECONDARY));
        return;
    }
    let chosen = comparing
        .plans
        .iter()
        .position(|plan| std::ptr::eq(plan, held));
    for (place, plan) in comparing.plans.iter().enumerate() {
        let is_on = chosen == Some(place);
        let name = RichText::new(&plan.name).size(size::SECONDARY);
        if ui.selectable_label(is_on, name).clicked() && !is_on {
            commands.push(Command::Compare(CompareCommand::HoldPlan(place)));
        }
    }
}

fn grid_ui(ui: &mut Ui, result: &PlanResult) {
    Grid::new("plan against result")
        .num_columns(6)
        .min_col_width(34.0)
        .spacing([9.0, 5.0])
        .show(ui, |ui| {
            for head in ["", "before", "intended", "achieved", "difference", "error"] {
                let head = RichText::new(head).size(size::SMALLEST);
                ui.label(head.color(theme::tokens(ui).soft));
            }
            ui.end_row();
            for row in &result.rows {
                row_ui(ui, row);
            }
        });
}

fn row_ui(ui: &mut Ui, row: &PlanRow) {
    let tokens = theme::tokens(ui);
    let unit = row.what.unit();
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.scope(|ui| {
            ui.set_max_width(NAME_ROOM - 24.0);
            let text = RichText::new(short_name(row.what)).size(size::SECONDARY);
            let name = ui.add(egui::Label::new(text).truncate());
            name.on_hover_text(plan_row_name(row));
        });
        ui.label(widgets::soft(ui, unit_text(unit)));
    });
    for told in [&row.before, &row.intended, &row.achieved] {
        value_ui(ui, unit, told);
    }
    let (ink, difference, verdict) = match &row.difference {
        Ok(change) => {
            let decimals = decimals(unit);
            let number = format!(
                "{} ± {}",
                signed(change.difference, decimals),
                plain(change.smallest_detectable.unwrap_or_default(), decimals)
            );
            let ink = if change.is_real {
                tokens.look_again
            } else {
                tokens.soft
            };
            (
                ink,
                number,
                if change.is_real { "beyond" } else { "within" },
            )
        }
        Err(why) => (tokens.soft, short_why(why).to_owned(), ""),
    };
    let hover = hover_text(row);
    let coloured = |text: &str| RichText::new(text).size(size::SECONDARY).color(ink);
    ui.label(coloured(&difference)).on_hover_text(&hover);
    let label = ui.label(coloured(verdict));
    label.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, &hover));
    label.on_hover_text(&hover);
    ui.end_row();
}

fn value_ui(ui: &mut Ui, unit: Unit, told: &Result<Estimate, String>) {
    let tokens = theme::tokens(ui);
    let (text, ink, hover) = match told {
        Ok(told) => (
            plain(told.value, decimals(unit)),
            tokens.ink,
            estimate_words(unit, Some(told)),
        ),
        Err(why) => ("–".to_owned(), tokens.soft, why.clone()),
    };
    let text = RichText::new(text).size(size::SECONDARY).color(ink);
    ui.label(text).on_hover_text(hover);
}

/// "Hallux valgus angle: achieved less intended −9.8 ± 3.1°, beyond measurement error".
fn hover_text(row: &PlanRow) -> String {
    let difference = plan_difference_words(row);
    match row.verdict() {
        Some(verdict) => format!(
            "{}: achieved less intended {difference}, {verdict}",
            plan_row_name(row)
        ),
        None => format!("{}: {difference}", plan_row_name(row)),
    }
}

/// The name where room is short; the whole one is told under the pointer.
fn short_name(what: PlannedNumber) -> &'static str {
    match what {
        PlannedNumber::HeadShift => "Shift, of the width",
        PlannedNumber::HeadDorsalShift => "Dorsal, of the height",
        PlannedNumber::HeadDorsalShiftMillimetres => "Dorsal shift",
        PlannedNumber::HeadTurn => "Head against shaft",
        PlannedNumber::HeadTilt => "Plantar tilt of the head",
        PlannedNumber::Measured(Measurement::TibialSesamoidShare) => "Tibial sesamoid",
        PlannedNumber::Measured(Measurement::RelativeFirstMetatarsalLengthRatio) => {
            "Length, of the second"
        }
        PlannedNumber::Measured(Measurement::RelativeFirstMetatarsalLength) => {
            "Length to the second"
        }
        PlannedNumber::Measured(measurement) => row_name(measurement),
        PlannedNumber::HeadShiftMillimetres => what.name(),
    }
}

/// Draws the same on a later AP film that was laid by the first metatarsal's own shaft.
pub(super) fn draw_by_shaft(pen: &Pen<'_>, done: &Undertaking, plan: &Plan, laid: &LaidByShaft) {
    let dashed = |line: &[FilmPoint]| pen.dashed(line, film::PLAN, DASHES.0, DASHES.1);
    let mut fragment = laid.outline_on_later(&done.fragment);
    fragment.extend(fragment.first().copied());
    dashed(&fragment);
    for screw in &plan.screws {
        dashed(&[screw.entry, screw.tip].map(|place| laid.on_later(place)));
    }
}

/// Draws the planned fragment and the planned screws, broken and in the colour of plans, on the film on which they
/// were planned or on one that was laid over it.
pub(super) fn draw_plan(pen: &Pen<'_>, done: &Undertaking, view: View) {
    let dashed = |line: &[FilmPoint]| pen.dashed(line, film::PLAN, DASHES.0, DASHES.1);
    if let Some(parts) = done.parts_on(view) {
        dashed(&parts.fragment);
    }
    for course in &done.screws {
        if let Some(ends) = course.on_film[view as usize] {
            dashed(&ends);
        }
    }
}
