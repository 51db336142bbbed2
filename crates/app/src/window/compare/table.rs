//! What changed: every number at every visit, and the change between the two that are compared.

use egui::{Grid, RichText, Ui};
use plumbray_compare::{Change, ChangeRow, Direction, NoChange, same_film_words};
use plumbray_measure::{Measurement, Outcome, Unit};
use plumbray_report::number::{in_unit, signed, value_and_spread};

use super::super::{number::plain, row_text::row_name, theme, theme::size, widgets};
use crate::{
    comparing::calibration_lines,
    workbench::{Command, CompareCommand, Comparing, ComparisonFile, Workbench},
};

/// Room for the name of a measurement with its unit.
pub(super) const NAME_ROOM: f32 = 154.0;
/// Room for the longest unit.
const UNIT_ROOM: f32 = 24.0;

/// Draws the table.
pub(super) fn table_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    comparing: &Comparing,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.label(widgets::heading(ui, "What changed?"));
        for (file, text) in [
            (ComparisonFile::Sheet, "Print this comparison…"),
            (ComparisonFile::Table, "Write CSV…"),
        ] {
            let command = Command::Compare(CompareCommand::AskWhere(file));
            widgets::text_action(ui, text, command, commands);
        }
        ui.add_space(8.0);
        super::super::rows_page::row_sets_ui(ui, workbench, commands);
    });
    ui.add_space(4.0);
    if let Some(words) = same_film_words(&comparing.comparison.same_films) {
        let text = RichText::new(words).size(size::SECONDARY);
        let text = text.color(theme::tokens(ui).look_again);
        ui.add(egui::Label::new(text).wrap());
        ui.add_space(4.0);
    }
    let rows: Vec<&ChangeRow> = comparing
        .comparison
        .rows
        .iter()
        .filter(|row| workbench.settings().rows.has(row.measurement))
        .collect();
    let scrolling = egui::ScrollArea::horizontal().id_salt("every visit");
    scrolling.show(ui, |ui| grid_ui(ui, comparing, &rows));
    ui.add_space(6.0);
    conventions_ui(ui, comparing, commands);
    let note = "A real change is more than the spread of both tracings and what two films of an unchanged foot differ by, in 95 %. ± is that smallest detectable change; how far readers differ is not in it.";
    ui.label(
        RichText::new(note)
            .size(size::SMALLEST)
            .color(theme::tokens(ui).soft),
    );
    calibrations_ui(ui, comparing);
}

fn grid_ui(ui: &mut Ui, comparing: &Comparing, rows: &[&ChangeRow]) {
    let visits = &comparing.comparison.visits;
    let pair = comparing.pair();
    Grid::new("changes")
        .num_columns(visits.len() + 3)
        .min_col_width(34.0)
        .spacing([9.0, 5.0])
        .striped(false)
        .show(ui, |ui| {
            ui.label("");
            for (place, visit) in visits.iter().enumerate() {
                let text = visit_text(
                    ui,
                    &visit.name.short,
                    place == pair.earlier || place == pair.later,
                );
                ui.label(text).on_hover_text(&visit.name.long);
            }
            ui.label(widgets::soft(ui, "change"));
            ui.label("");
            ui.end_row();
            for row in rows {
                row_ui(ui, comparing, row);
            }
        });
}

fn visit_text(ui: &Ui, name: &str, is_chosen: bool) -> RichText {
    let tokens = theme::tokens(ui);
    let short: String = name.chars().take(11).collect();
    let text = RichText::new(short).size(size::SMALLEST);
    if is_chosen {
        text.color(tokens.ink).family(theme::semibold())
    } else {
        text.color(tokens.soft)
    }
}

fn row_ui(ui: &mut Ui, comparing: &Comparing, row: &ChangeRow) {
    let tokens = theme::tokens(ui);
    let pair = comparing.pair();
    name_ui(ui, row.measurement);
    for (place, outcome) in row.outcomes.iter().enumerate() {
        let is_chosen = place == pair.earlier || place == pair.later;
        let ink = if is_chosen { tokens.ink } else { tokens.soft };
        let text = RichText::new(value_text(row.measurement, outcome))
            .size(size::SECONDARY)
            .color(ink);
        let label = ui.label(text);
        if let Some(hover) = value_hover(row.measurement, outcome) {
            label.on_hover_text(hover);
        }
    }
    match &row.change {
        Ok(change) => {
            let colour = match row.direction(pair) {
                Some(Direction::Away) => tokens.look_again,
                Some(Direction::Toward) => tokens.good,
                None if change.is_real => tokens.ink,
                None => tokens.soft,
            };
            let hover = hover_text(row, change, comparing);
            let number = with_smallest(row.measurement, change);
            for text in [number.as_str(), short_verdict(change)] {
                let text = RichText::new(text).size(size::SECONDARY).color(colour);
                ui.label(text).on_hover_text(&hover);
            }
        }
        Err(why) => {
            let text = RichText::new(short_why(why))
                .size(size::SECONDARY)
                .color(tokens.soft);
            ui.label(text).on_hover_text(why.to_string());
            ui.label("");
        }
    }
    ui.end_row();
}

/// The name of a measurement, shortened where it is long, and its unit.
fn name_ui(ui: &mut Ui, measurement: Measurement) {
    let unit = unit_text(measurement.unit());
    let room = if unit.is_empty() {
        NAME_ROOM
    } else {
        NAME_ROOM - UNIT_ROOM
    };
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.scope(|ui| {
            ui.set_max_width(room);
            let text = RichText::new(row_name(measurement)).size(size::SECONDARY);
            ui.add(egui::Label::new(text).truncate());
        });
        ui.label(widgets::soft(ui, unit));
    });
}

/// A change in a word or two.
fn short_verdict(change: &Change) -> &'static str {
    match (change.is_real, change.sd) {
        _ if change.is_of_reading => "of reading",
        (true, _) => "real",
        (false, None) if change.difference.abs() < 0.5 => "same",
        (false, _) => "within ±",
    }
}

pub(super) const fn short_why(why: &NoChange) -> &'static str {
    match why {
        NoChange::Missing { .. } => "–",
        NoChange::OtherAxes { .. } => "other axes",
        NoChange::OtherStance => "no weight borne",
        NoChange::OtherCalibration { .. } => "other calibration",
    }
}

pub(super) const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Ratio => 3,
        Unit::Position | Unit::Grade | Unit::PerCent => 0,
        Unit::Degrees | Unit::Millimetres => 1,
    }
}

/// A number as it stands in a column, without its unit.
pub(super) fn value_text(measurement: Measurement, outcome: &Outcome) -> String {
    let unit = measurement.unit();
    outcome.reading().map_or_else(
        || "–".to_owned(),
        |reading| match unit {
            Unit::Position => in_unit(unit, reading.value, 0),
            _ => plain(reading.value, decimals(unit)),
        },
    )
}

/// The unit as it stands beside a row's name; nothing where the number has none.
pub(super) const fn unit_text(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => "mm",
        Unit::PerCent => "%",
        Unit::Ratio | Unit::Position | Unit::Grade => "",
    }
}

/// How sure a number is and whose millimetres it is in, or why there is none.
fn value_hover(measurement: Measurement, outcome: &Outcome) -> Option<String> {
    let Some(reading) = outcome.reading() else {
        return outcome.why_not();
    };
    let (value, spread) = value_and_spread(measurement.unit(), reading);
    let calibration = reading
        .calibration_name
        .as_ref()
        .map_or_else(String::new, |name| format!(", {name}"));
    Some(if spread.is_empty() {
        format!("{}: {value}", measurement.name())
    } else {
        format!(
            "{}: {value} {spread} (95 % of this tracing){calibration}",
            measurement.name()
        )
    })
}

/// Whose millimetres the visits have.
fn calibrations_ui(ui: &mut Ui, comparing: &Comparing) {
    for line in calibration_lines(&comparing.comparison) {
        let text = RichText::new(line).size(size::SMALLEST);
        ui.label(text.color(theme::tokens(ui).soft));
    }
}

/// A change with the smallest detectable one: "+5.2 ± 2.1".
fn with_smallest(measurement: Measurement, change: &Change) -> String {
    let decimals = decimals(measurement.unit());
    let number = signed(change.difference, decimals);
    change.smallest_detectable.map_or_else(
        || number.clone(),
        |smallest| format!("{number} ± {}", plain(smallest, decimals)),
    )
}

fn change_text(measurement: Measurement, change: &Change) -> String {
    let number = signed(change.difference, decimals(measurement.unit()));
    format!("{number}  {}", change.verdict())
}

fn hover_text(row: &ChangeRow, change: &Change, comparing: &Comparing) -> String {
    let decimals = decimals(row.measurement.unit());
    let smallest = change
        .smallest_detectable
        .map_or_else(String::new, |smallest| {
            format!(
                " Smallest detectable change: {} {}.",
                plain(smallest, decimals),
                row.measurement.unit().identifier().replace('_', " ")
            )
        });
    let direction = match row.direction(comparing.pair()) {
        Some(Direction::Toward) => " Toward the usual range.",
        Some(Direction::Away) => " Away from the usual range.",
        None => "",
    };
    format!(
        "{}: {}.{smallest}{direction}",
        row.measurement.name(),
        change_text(row.measurement, change)
    )
}

fn conventions_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let now = comparing.comparison.convention;
    ui.horizontal(|ui| {
        ui.label(widgets::soft(ui, "Every visit by"));
        ui.menu_button(RichText::new(now.name()).size(size::SECONDARY), |ui| {
            for convention in comparing.foot.conventions() {
                let is_on = convention == now;
                if ui.selectable_label(is_on, convention.name()).clicked() && !is_on {
                    commands.push(Command::Compare(CompareCommand::By(convention)));
                    ui.close();
                }
            }
        });
    });
}
