//! The numbers of a lesson beside the reference's, and what explains the difference of the chosen one.

use egui::{Button, Grid, Label, Rect, RichText, Sense, Ui, vec2};
use plumbray_measure::Unit;
use plumbray_practise::{Judgement, MeasurementLesson};
use plumbray_report::number::{in_unit, signed};

use super::{
    super::{row_text::row_name, theme, theme::size, widgets},
    lesson::{chosen, clicked},
};
use crate::workbench::{Command, HandedIn, Workbench};

/// Parts of the tracing that are named beside a number.
const PARTS: usize = 5;
/// Width of the bar of a part in points.
const BAR: f32 = 72.0;
/// Room for the name of a number in points.
const NAME: f32 = 132.0;
/// Room for the name of a part of the tracing in points.
const PART_NAME: f32 = 204.0;

/// Draws the table: yours, the reference's, how far off, and how that is judged.
pub(super) fn numbers_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    handed_in: &HandedIn,
    commands: &mut Vec<Command>,
) {
    let on = chosen(handed_in, clicked(workbench)).map(|row| row.measurement);
    Grid::new("numbers of the lesson")
        .num_columns(5)
        .spacing([8.0, 4.0])
        .min_col_width(20.0)
        .show(ui, |ui| {
            for heading in ["", "yours", "reference", "off by", ""] {
                ui.label(widgets::soft(ui, heading).size(size::SMALLEST));
            }
            ui.end_row();
            for row in &handed_in.lesson.measurements {
                number_ui(ui, row, on == Some(row.measurement), commands);
                ui.end_row();
            }
        });
    ui.add_space(4.0);
    let missed = if handed_in.lesson.is_missed() {
        "This foot is missed: a number with a limit lies beyond it, or was not traced."
    } else {
        "This foot is not missed: every number with a limit lies within it."
    };
    let text = format!("{missed} A number without a limit is told and does not count.");
    ui.add(Label::new(widgets::soft(ui, text).size(size::SMALLEST)).wrap());
}

fn number_ui(ui: &mut Ui, row: &MeasurementLesson, is_on: bool, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let unit = row.measurement.unit();
    let small = |text: String| RichText::new(text).size(size::SECONDARY);
    let value = |value: f64| in_words(unit, value);
    ui.scope(|ui| {
        ui.set_max_width(NAME);
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 0.0;
            let name = small(row_name(row.measurement).to_owned());
            let name = Button::selectable(is_on, name).wrap();
            let name = ui.add_enabled(row.blame.is_some(), name);
            if name.on_hover_text(row.measurement.name()).clicked() {
                commands.push(Command::Select(row.measurement));
            }
            let limit = limit_of(row.judgement).map_or_else(
                || "no limit".to_owned(),
                |limit| format!("limit {}", value(limit)),
            );
            ui.horizontal(|ui| {
                ui.add_space(ui.spacing().button_padding.x);
                ui.add(Label::new(widgets::soft(ui, limit).size(size::SMALLEST)).wrap());
            });
        });
    });
    match row.attempt {
        Some(attempt) => ui.label(small(value(attempt)).family(theme::semibold())),
        None => ui
            .label(widgets::soft(ui, "none"))
            .on_hover_text(row.why_not.clone().unwrap_or_default()),
    };
    ui.label(small(value(row.reference)).color(tokens.soft));
    let off = row
        .difference()
        .map_or_else(String::new, |difference| off_by(unit, difference));
    ui.label(small(off));
    let (words, colour) = match row.judgement {
        Judgement::Within { .. } => ("good", tokens.good),
        Judgement::Beyond { .. } => ("too far", tokens.bad),
        Judgement::RightGrade => ("right", tokens.good),
        Judgement::WrongGrade => ("wrong", tokens.bad),
        Judgement::Unlimited => ("", tokens.soft),
        Judgement::LimitedButMissing => ("not traced", tokens.bad),
        Judgement::Missing => ("not traced", tokens.soft),
    };
    ui.label(small(words.to_owned()).color(colour));
}

/// The limit by which a number was judged.
const fn limit_of(judgement: Judgement) -> Option<f64> {
    match judgement {
        Judgement::Within { limit } | Judgement::Beyond { limit } => Some(limit),
        _ => None,
    }
}

/// A number with its unit; a class by its name.
fn in_words(unit: Unit, value: f64) -> String {
    let number = in_unit(unit, value, decimals(unit));
    match unit {
        Unit::Grade => format!("grade {number}"),
        _ => number,
    }
}

/// How far off a number is, with its unit: "+2.1°", "+1 grade", "the same".
fn off_by(unit: Unit, difference: f64) -> String {
    let number = signed(difference, decimals(unit));
    // Classes are whole numbers.
    let is_same = difference.abs() < 0.5;
    match unit {
        Unit::Grade | Unit::Position if is_same => "same".to_owned(),
        Unit::Grade => format!("{number} grade"),
        Unit::Position => format!("{number} place"),
        _ => format!("{number}{}", short_unit(unit)),
    }
}

const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Degrees | Unit::Millimetres => 1,
        Unit::Ratio => 2,
        Unit::PerCent | Unit::Position | Unit::Grade => 0,
    }
}

/// What explains the difference of the chosen number.
pub(super) fn blame_ui(ui: &mut Ui, workbench: &Workbench, handed_in: &HandedIn) {
    let Some(row) = chosen(handed_in, clicked(workbench)) else {
        return;
    };
    let Some(blame) = row.blame.as_ref() else {
        return;
    };
    let unit = blame.measurement.unit();
    ui.add_space(10.0);
    ui.label(widgets::heading(ui, "What it was"));
    let amount = |amount: f64| format!("{}{}", signed(amount, decimals(unit)), short_unit(unit));
    ui.add(
        Label::new(widgets::soft(
            ui,
            format!(
                "Shares of the {} in {}",
                amount(blame.error),
                blame.measurement.name()
            ),
        ))
        .wrap(),
    );
    ui.add_space(4.0);
    let most = blame
        .parts
        .iter()
        .map(|part| part.amount.abs())
        .fold(1e-9, f64::max);
    Grid::new("what it was")
        .num_columns(3)
        .spacing([10.0, 5.0])
        .show(ui, |ui| {
            for (place, part) in blame.parts.iter().take(PARTS).enumerate() {
                let text = RichText::new(format!("Your {}", part.part.name())).size(size::SECONDARY);
                let label = ui
                    .scope(|ui| {
                        ui.set_max_width(PART_NAME);
                        ui.add(Label::new(text).wrap())
                    })
                    .inner;
                let things: Vec<String> = part
                    .things
                    .iter()
                    .map(|thing| format!("{}: {}", thing.thing.name(), amount(thing.amount)))
                    .collect();
                label.on_hover_text(things.join("\n"));
                bar_ui(ui, part.amount / most, place == 0);
                ui.label(RichText::new(amount(part.amount)).size(size::SECONDARY));
                ui.end_row();
            }
            let rest = blame.unexplained;
            if rest.abs() >= 0.05 {
                ui.label(widgets::soft(ui, "Not in proportion"))
                    .on_hover_text(
                        "What does not follow the displacements in proportion, and what was placed on one of the \
                         two tracings only.",
                    );
                ui.label("");
                ui.label(widgets::soft(ui, amount(rest)));
                ui.end_row();
            }
        });
}

const fn short_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => "\u{2009}mm",
        Unit::PerCent => "\u{2009}%",
        Unit::Ratio | Unit::Position | Unit::Grade => "",
    }
}

/// A bar as long as a share from −1 to 1; what works against the error is hollow.
fn bar_ui(ui: &mut Ui, share: f64, is_first: bool) {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a share of a bar on the screen"
    )]
    let length = share.abs().min(1.0) as f32 * BAR;
    let tokens = theme::tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(BAR, 14.0), Sense::hover());
    let whole = Rect::from_center_size(rect.center(), vec2(BAR, 8.0));
    let painter = ui.painter();
    painter.rect_filled(whole, 4.0, tokens.line);
    let filled = Rect::from_min_size(whole.min, vec2(length.max(3.0), 8.0));
    let colour = if is_first {
        tokens.look_again
    } else {
        tokens.accent
    };
    painter.rect_filled(filled, 4.0, colour);
}
