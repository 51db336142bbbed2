//! What a plan will do: every number before and planned, and what it leaves open.

use egui::{Frame, Grid, Label, RichText, Stroke, Ui};
use plumbray_measure::{Measurement, Outcome, Unit};
use plumbray_plan::{LengthParts, NumberLimits, Plan, PlannedOutcome, PredictedRow, Undertaking};
use plumbray_report::number::{in_unit, value_and_spread};

use super::{
    super::{
        number::{millimetres, per_cent},
        row_text::{row_name, short_why},
        theme,
        theme::size,
        widgets,
    },
    field::{Field, heading_ui, name_ui, number_ui, set, words_ui},
    words::signed_length,
};
use crate::{
    planning::words::{HEADLINE_ROWS, length, planned, with_loss},
    workbench::{Command, PlanEdit, Planning, Workbench},
};

/// Draws what the plan that is on will do. It stands beside the fields, so that both are seen at once.
pub(super) fn outcome_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    planning: &Planning,
    commands: &mut Vec<Command>,
) {
    let Some((plan, done)) = workbench.plan().zip(planning.undertaking()) else {
        return;
    };
    heading_ui(ui, "What it will do, by head centre – base centre");
    varus_ui(ui, done);
    // Large text in a narrow window: the columns scroll, and nothing is pushed out of the panel.
    egui::ScrollArea::horizontal()
        .id_salt("outcome")
        .show(ui, |ui| angles_ui(ui, plan, done));
    ui.horizontal(|ui| {
        name_ui(ui, "Loss");
        let field = Field {
            label: "",
            name: "Share of the correction that may be lost",
            value: plan.lost_share * 100.0,
            range: 0.0..=NumberLimits::LOST.range[1] * 100.0,
            decimals: 0,
            unit: "\u{2009}%",
        };
        if let Some((value, finished)) = number_ui(ui, &field) {
            commands.push(set(PlanEdit::LostShare(value / 100.0), finished));
        }
        words_ui(ui, "while it heals; common practice, no source");
    });
    ui.add_space(4.0);
    bone_ui(ui, done);
}

/// The measurements before, planned and with a part of the correction lost.
fn angles_ui(ui: &mut Ui, plan: &Plan, done: &Undertaking) {
    Grid::new("outcome")
        .num_columns(4)
        .spacing([8.0, 3.0])
        .min_col_width(40.0)
        .show(ui, |ui| {
            let lost = format!("{} lost", per_cent(plan.lost_share));
            for heading in ["", "before", "planned", lost.as_str()] {
                ui.label(widgets::soft(ui, heading));
            }
            ui.end_row();
            let shown = HEADLINE_ROWS
                .into_iter()
                .chain([Measurement::RelativeFirstMetatarsalLength]);
            for row in shown.filter_map(|measurement| row_of(done, measurement)) {
                row_ui(ui, row);
            }
        });
}

/// A row, or that of the same in other words where it cannot be told in millimetres.
fn row_of(done: &Undertaking, measurement: Measurement) -> Option<&PredictedRow> {
    let row = done.row(measurement)?;
    let instead = Measurement::RelativeFirstMetatarsalLengthRatio;
    if measurement == Measurement::RelativeFirstMetatarsalLength && row.planned.value().is_none() {
        return done.row(instead).or(Some(row));
    }
    Some(row)
}

fn varus_ui(ui: &mut Ui, done: &Undertaking) {
    let valgus = done
        .row(Measurement::HalluxValgusAngle)
        .and_then(|row| row.planned.value())
        .filter(|angle| *angle < 0.0);
    let Some(angle) = valgus else { return };
    let tokens = theme::tokens(ui);
    Frame::new()
        .stroke(Stroke::new(1.5, tokens.bad))
        .corner_radius(4)
        .inner_margin(8)
        .show(ui, |ui| {
            let text = format!(
                "! Planned hallux varus: {}. Shift the head less, or turn the toe less.",
                in_unit(Unit::Degrees, angle, 1)
            );
            let text = RichText::new(text)
                .family(theme::semibold())
                .color(tokens.bad);
            ui.add(Label::new(text).wrap());
        });
}

fn row_ui(ui: &mut Ui, row: &PredictedRow) {
    let tokens = theme::tokens(ui);
    let unit = row.measurement.unit();
    let name = match row.measurement {
        Measurement::TibialSesamoidShare => "Tibial sesamoid past the axis",
        other => row_name(other),
    };
    let name = RichText::new(name).size(size::SECONDARY);
    ui.label(name).on_hover_text(row.measurement.name());
    ui.label(widgets::soft(ui, outcome_text(unit, &row.before)));
    let is_chosen = matches!(row.planned, PlannedOutcome::Chosen(_));
    let (shown, hover) = match &row.planned {
        PlannedOutcome::Chosen(_) => (
            planned(row),
            Some("The plan brings the toe to this angle; it is no prediction.".to_owned()),
        ),
        PlannedOutcome::Measured(outcome) => match outcome.reading() {
            Some(reading) => {
                let (value, spread) = value_and_spread(unit, reading);
                (format!("{value} {spread}").trim().to_owned(), None)
            }
            None => (short_why(outcome), outcome.why_not()),
        },
        PlannedOutcome::NotPredicted(why) => ("not predicted".to_owned(), Some((*why).to_owned())),
    };
    let text = RichText::new(shown).size(size::SECONDARY).color(tokens.ink);
    // What is chosen does not stand out as what is worked out.
    let label = ui.label(if is_chosen {
        text
    } else {
        text.family(theme::semibold())
    });
    if let Some(hover) = hover {
        label.on_hover_text(hover);
    }
    let lost = with_loss(row).unwrap_or_default();
    ui.label(widgets::soft(ui, lost));
    ui.end_row();
}

fn outcome_text(unit: Unit, outcome: &Outcome) -> String {
    outcome.reading().map_or_else(
        || short_why(outcome),
        |reading| in_unit(unit, reading.value, decimals(unit)),
    )
}

const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Degrees | Unit::Millimetres => 1,
        Unit::Ratio => 2,
        Unit::PerCent | Unit::Position | Unit::Grade => 0,
    }
}

/// Contact, step and length with its parts.
fn bone_ui(ui: &mut Ui, done: &Undertaking) {
    Grid::new("bone")
        .num_columns(2)
        .spacing([12.0, 4.0])
        .show(ui, |ui| {
            let mut line = |name: &str, value: String, parts: Option<String>| {
                // Both at the top of the row, so that a name stands beside its value and not beside the parts of it.
                let name = Label::new(RichText::new(name).size(size::SECONDARY)).extend();
                ui.vertical(|ui| ui.add(name));
                ui.vertical(|ui| {
                    let value = RichText::new(value)
                        .size(size::SECONDARY)
                        .family(theme::semibold());
                    ui.label(value);
                    if let Some(parts) = parts {
                        ui.label(widgets::soft(ui, parts).size(size::SMALLEST));
                    }
                });
                ui.end_row();
            };
            let share = format!("{} of the cut", per_cent(done.contact.share));
            let contact = match done.contact.overlap.mm {
                Some(mm) => format!("{share}, {}", millimetres(mm)),
                None => share,
            };
            line("Bone contact left", contact, None);
            line("Medial step", length(done.medial_step), None);
            let first = done.length.along_first;
            line(
                "Length along M1",
                signed_length(first.whole),
                Some(parts_text(&first, false)),
            );
            if let Some(second) = done.length.along_second {
                line(
                    "Length along M2",
                    signed_length(second.whole),
                    Some(parts_text(&second, true)),
                );
            }
        });
}

fn parts_text(parts: &LengthParts, diverges: bool) -> String {
    let text = format!(
        "kerf {}, tilt {}",
        signed_length(parts.by_kerf),
        signed_length(parts.by_tilt)
    );
    if diverges {
        format!("{text}, divergence {}", signed_length(parts.by_divergence))
    } else {
        text
    }
}
