//! One field of a plan: its name, its number with the unit, and what it brings in words.

use std::ops::RangeInclusive;

use egui::{Align, DragValue, Label, Layout, Response, RichText, Ui, WidgetInfo, vec2};
use plumbray_plan::{Extent, ExtentLimits, NumberLimits};

use super::super::{number::plain, theme, theme::size, widgets};
use crate::workbench::{Command, PlanCommand, PlanEdit};

/// Room for the name of a field.
const NAME_ROOM: f32 = 88.0;
/// Room for its number.
const NUMBER_ROOM: f32 = 76.0;
/// How much a number changes for a point of a drag, in its smallest step shown.
const STEPS_PER_POINT: f64 = 0.5;

/// A number that a surgeon states.
pub(super) struct Field<'a> {
    /// As it stands before the number.
    pub(super) label: &'a str,
    /// Its accessible name.
    pub(super) name: &'a str,
    /// The number in the unit that is shown.
    pub(super) value: f64,
    /// What it can be.
    pub(super) range: RangeInclusive<f64>,
    /// How many decimals are shown.
    pub(super) decimals: usize,
    /// Its unit, with what stands before it.
    pub(super) unit: &'static str,
}

/// Draws a field with its consequence in words; gives the number that was typed or dragged, and whether the
/// gesture ended.
pub(super) fn field_ui(ui: &mut Ui, field: &Field<'_>, words: &str) -> Option<(f64, bool)> {
    ui.horizontal(|ui| {
        name_ui(ui, field.label);
        let mut value = field.value;
        let response = ui.add_sized(vec2(NUMBER_ROOM, 24.0), number_of(&mut value, field));
        let answer = answered(&response, value);
        name_it(&response, field);
        words_ui(ui, words);
        answer
    })
    .inner
}

/// The name of a field in its room.
pub(super) fn name_ui(ui: &mut Ui, name: &str) {
    ui.allocate_ui_with_layout(
        vec2(NAME_ROOM, 24.0),
        Layout::left_to_right(Align::Center),
        |ui| {
            ui.set_min_width(NAME_ROOM);
            ui.add(Label::new(RichText::new(name).size(size::SECONDARY)).truncate());
        },
    );
}

/// The consequence of a field, in the room that is left.
pub(super) fn words_ui(ui: &mut Ui, words: &str) {
    if !words.is_empty() {
        ui.add(Label::new(widgets::soft(ui, words)).wrap());
    }
}

/// The number alone, for rows that lay themselves out; gives the same as [`field_ui`].
pub(super) fn number_ui(ui: &mut Ui, field: &Field<'_>) -> Option<(f64, bool)> {
    let mut value = field.value;
    let response = ui.add(number_of(&mut value, field));
    let answer = answered(&response, value);
    name_it(&response, field);
    answer
}

fn number_of<'a>(value: &'a mut f64, field: &Field<'_>) -> DragValue<'a> {
    let decimals = field.decimals;
    let places = i32::try_from(decimals).unwrap_or_default();
    DragValue::new(value)
        .range(field.range.clone())
        .speed(STEPS_PER_POINT * 0.1_f64.powi(places))
        .fixed_decimals(decimals)
        .custom_formatter(move |number, _| plain(number, decimals))
        .custom_parser(parsed)
        .suffix(field.unit)
        .update_while_editing(false)
}

/// A number as a person writes it: with a true minus sign or a comma, with or without its unit.
fn parsed(text: &str) -> Option<f64> {
    let plain: String = text
        .chars()
        .map(|letter| match letter {
            '\u{2212}' => '-',
            ',' => '.',
            other => other,
        })
        .filter(|letter| letter.is_ascii_digit() || matches!(letter, '-' | '+' | '.'))
        .collect();
    plain.parse().ok().filter(|number: &f64| number.is_finite())
}

/// What a person did with a number: while it is dragged the gesture goes on.
fn answered(response: &Response, value: f64) -> Option<(f64, bool)> {
    if response.drag_stopped() {
        Some((value, true))
    } else if response.changed() {
        Some((value, !response.dragged()))
    } else {
        None
    }
}

fn name_it(response: &Response, field: &Field<'_>) {
    response.widget_info(|| WidgetInfo {
        label: Some(field.name.to_owned()),
        ..WidgetInfo::drag_value(true, field.value)
    });
}

/// A length that is typed in its own unit, with what it may be in each.
pub(super) struct ExtentField<'a> {
    /// As it stands before the number.
    pub(super) label: &'a str,
    /// Its accessible name.
    pub(super) name: &'a str,
    /// The length.
    pub(super) extent: Extent,
    /// What it can be.
    pub(super) limits: ExtentLimits,
}

/// Draws a length with its consequence in words.
pub(super) fn extent_ui(
    ui: &mut Ui,
    field: &ExtentField<'_>,
    words: &str,
) -> Option<(Extent, bool)> {
    let (value, [low, high], unit) = match field.extent {
        Extent::Millimetres(mm) => (mm, field.limits.mm, "\u{2009}mm"),
        Extent::Share(share) => (
            share * 100.0,
            field.limits.share.map(|share| share * 100.0),
            "\u{2009}%",
        ),
    };
    let number = Field {
        label: field.label,
        name: field.name,
        value,
        range: low..=high,
        decimals: 1,
        unit,
    };
    let (value, finished) = field_ui(ui, &number, words)?;
    let extent = match field.extent {
        Extent::Millimetres(_) => Extent::Millimetres(value),
        Extent::Share(_) => Extent::Share(value / 100.0),
    };
    Some((extent, finished))
}

/// The range of a field whose number is shown as it is.
pub(super) const fn range_of(limits: &NumberLimits) -> RangeInclusive<f64> {
    let [least, most] = limits.range;
    least..=most
}

/// The command that sets a field.
pub(super) const fn set(edit: PlanEdit, finished: bool) -> Command {
    Command::Plan(PlanCommand::Set(edit, finished))
}

/// A heading within the panel.
pub(super) fn heading_ui(ui: &mut Ui, text: &str) {
    ui.add_space(8.0);
    let text = RichText::new(text)
        .size(size::SECONDARY)
        .family(theme::semibold())
        .color(theme::tokens(ui).soft);
    ui.label(text);
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn a_number_is_read_as_people_write_it() {
        for (text, number) in [
            ("\u{2212}4.5°", -4.5),
            ("9,7 mm", 9.7),
            ("+76\u{2009}%", 76.0),
        ] {
            let read = parsed(text).expect("a number");
            assert_close(read, number, 1e-12, text);
        }
        assert_eq!(parsed("as far as it goes"), None, "no number");
    }
}
