//! The worksheet: rows under the questions that a clinician asks.

use egui::{Align2, FontId, Rect, RichText, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use plumbray_anatomy::View;
use plumbray_measure::{Measurement, Need, Outcome, Question, Reading, Row, Unit};

use super::{
    judgement::judgement_ui,
    range_strip::RangeStrip,
    row_text::{row_name, short_why, spoken_value, value_texts},
    rows_page::row_sets_ui,
    theme,
    theme::size,
    widgets,
};
use crate::workbench::{
    CalibrationMethod, Command, ExportCommand, Overlay, Selection, TraceStep, Workbench,
};

/// Room for the two sets of rows and the menu beside the field to look for a row.
const SETS_ROOM: f32 = 150.0;
/// Height of a row in points.
const ROW_HEIGHT: f32 = 24.0;
/// Room for the range strip at the right of a row.
const STRIP_ROOM: f32 = 96.0;
/// A narrower row leaves its strip out, so that names stay readable.
const LEAST_WIDTH_FOR_STRIP: f32 = 360.0;
/// The share of a row that the reason for a missing number may always take.
const LEAST_REASON_SHARE: f32 = 0.4;

/// Draws the line above the rows: what to look for, and which rows there are.
pub(crate) fn rows_line_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    wanted: &mut String,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.add_space(16.0);
        let field = egui::TextEdit::singleline(wanted)
            .hint_text("Find a measurement")
            .desired_width(ui.available_width() - SETS_ROOM);
        let field = ui.add(field);
        field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Find a measurement"));
        row_sets_ui(ui, workbench, commands);
        ui.menu_button("…", |ui| {
            for command in [
                Command::Show(Some(Overlay::Rows)),
                Command::RowsAsUsual,
                Command::CopyTable,
                Command::Show(Some(Overlay::Sheet)),
                Command::Show(Some(Overlay::Export)),
            ] {
                widgets::command_button(ui, workbench, &command, commands);
            }
            let back = Command::Export(ExportCommand::SendBack);
            if back.is_possible(workbench) {
                widgets::command_button(ui, workbench, &back, commands);
            }
        })
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Button, true, "More about these rows"));
    });
}

/// Draws the rows, grouped by question: those that are chosen, or those that have the words looked for.
pub(crate) fn worksheet_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    wanted: &str,
    commands: &mut Vec<Command>,
) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let shown = workbench.shown_rows(wanted);
    if shown.is_empty() {
        ui.add_space(12.0);
        let indented = egui::Margin::symmetric(16, 0);
        egui::Frame::NONE.inner_margin(indented).show(ui, |ui| {
            let text = if wanted.trim().is_empty() {
                "Every row is left out. Take some in: …, Choose rows."
            } else {
                "No measurement has these words."
            };
            ui.label(widgets::soft(ui, text));
        });
    }
    for question in Question::ALL {
        let rows: Vec<&Row> = shown
            .iter()
            .copied()
            .filter(|row| row.measurement.question() == question)
            .collect();
        if rows.is_empty() {
            continue;
        }
        question_ui(ui, question, &rows);
        for row in rows {
            row_ui(ui, workbench, row, commands);
        }
        judgement_ui(ui, workbench, question, commands);
    }
}

/// The heading of a question, and beside it what its numbers stand on.
fn question_ui(ui: &mut Ui, question: Question, rows: &[&Row]) {
    ui.add_space(9.0);
    let heading = RichText::new(question.heading())
        .size(size::SECONDARY)
        .family(theme::semibold())
        .color(theme::tokens(ui).soft);
    let ink = theme::tokens(ui).faint;
    let faint = |text: String| RichText::new(text).size(size::SMALLEST).color(ink);
    let mut bases = bases_of(rows).into_iter().map(faint);
    let beside = bases.next();
    ui.horizontal(|ui| {
        ui.add_space(16.0);
        ui.label(heading);
        if let Some(text) = beside {
            ui.add_space(8.0);
            ui.add(egui::Label::new(text).truncate());
        }
    });
    // Beside the heading there is room for one of them in full.
    for text in bases {
        let indented = egui::Margin {
            left: 16,
            ..egui::Margin::ZERO
        };
        egui::Frame::NONE.inner_margin(indented).show(ui, |ui| {
            ui.add(egui::Label::new(text).truncate());
        });
    }
}

/// Where these rows' millimetres come from, and by which axes their numbers are, to stand with their
/// heading.
fn bases_of(rows: &[&Row]) -> Vec<String> {
    let readings = || rows.iter().filter_map(|row| row.outcome.reading());
    let millimetres = readings()
        .find_map(|reading| reading.calibration_name.clone())
        .map(|calibration| format!("mm {calibration}"));
    let axes = readings()
        .find_map(|reading| reading.convention)
        .map(|convention| convention.name().to_lowercase());
    [millimetres, axes].into_iter().flatten().collect()
}

fn row_ui(ui: &mut Ui, workbench: &Workbench, row: &Row, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), ROW_HEIGHT), Sense::click());
    let selected = workbench.view().selection == Selection::Measurement(row.measurement);
    let lit = match workbench.view().selection {
        Selection::Point(view, landmark) => depends_on(row, view, landmark),
        _ => false,
    };
    let painter = ui.painter().clone();
    if selected || response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 0.0, tokens.raised);
    }
    if selected || lit {
        let bar = Rect::from_min_size(rect.min, vec2(3.0, rect.height()));
        painter.rect_filled(
            bar,
            0.0,
            if selected {
                tokens.accent
            } else {
                tokens.look_again
            },
        );
    }
    let middle = rect.center().y;
    let name_ink = if row.outcome.reading().is_some() {
        tokens.ink
    } else {
        tokens.soft
    };
    let (spoken, right) = match &row.outcome {
        Outcome::Value(reading) => {
            let left_of_value = value_of_row_ui(ui, workbench, row.measurement, reading, rect);
            (spoken_value(row.measurement, reading), left_of_value)
        }
        other => {
            let whole = truncated(
                ui,
                row_name(row.measurement),
                size::BODY,
                name_ink,
                f32::INFINITY,
            );
            let left_of_reason = why_not_ui(ui, &short_why(other), rect, whole.size().x);
            (other.why_not().unwrap_or_default(), left_of_reason)
        }
    };
    let spoken = format!("{}: {spoken}", row.measurement.name());
    let left = rect.left() + 16.0;
    let name = truncated(
        ui,
        row_name(row.measurement),
        size::BODY,
        name_ink,
        right - left - 8.0,
    );
    painter.galley(pos2(left, middle - name.size().y / 2.0), name, name_ink);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &spoken));
    response.context_menu(|ui| {
        let measurement = row.measurement;
        let is_in = workbench.settings().rows.has(measurement);
        for command in [
            Command::CopyRow(measurement),
            Command::ShowRow(measurement, !is_in),
        ] {
            widgets::command_button(ui, workbench, &command, commands);
        }
    });
    if response.clicked() {
        match &row.outcome {
            Outcome::Needs(needs) => commands.extend(first_remedy(needs)),
            Outcome::Value(_) | Outcome::Refused { .. } | Outcome::Degenerate { .. } => {}
        }
        let again = selected && row.outcome.reading().is_some();
        commands.push(if again {
            Command::SelectNothing
        } else {
            Command::Select(row.measurement)
        });
    }
}

/// Whether a row's number answers to this point.
fn depends_on(row: &Row, view: View, landmark: plumbray_anatomy::Landmark) -> bool {
    let source = plumbray_measure::Source::Landmark(view, landmark);
    row.outcome.reading().is_some_and(|reading| {
        reading
            .sensitivities
            .iter()
            .any(|entry| entry.source == source)
    })
}

/// What a click on a row that lacks something leads to: the bone that is missing, or a calibration.
fn first_remedy(needs: &[Need]) -> Option<Command> {
    needs.iter().find_map(|need| match *need {
        Need::Film(_) => Some(Command::AskForAnotherFilm),
        Need::Shaft(view, bone) => Some(Command::GoTo(TraceStep::Shaft(view, bone))),
        Need::Landmark(view, landmark) => TraceStep::of_landmark(view, landmark).map(Command::GoTo),
        Need::AnotherMetatarsal => Some(Command::GoTo(TraceStep::Shaft(
            View::Ap,
            plumbray_anatomy::LongBone::M2,
        ))),
        Need::Calibration(view) => Some(Command::StartCalibration(
            view,
            CalibrationMethod::RoundObject,
        )),
    })
}

/// One line of text, cut with an ellipsis where it would be wider than its room.
fn truncated(
    ui: &Ui,
    text: &str,
    font_size: f32,
    ink: egui::Color32,
    room: f32,
) -> std::sync::Arc<egui::Galley> {
    let font = FontId::proportional(font_size);
    let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), font, ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(room.max(24.0));
    ui.painter().layout_job(job)
}

/// Draws why there is no number; gives where it begins.
fn why_not_ui(ui: &Ui, why: &str, rect: Rect, name_width: f32) -> f32 {
    let ink = theme::tokens(ui).look_again;
    let room = (rect.width() - name_width - 40.0).max(rect.width() * LEAST_REASON_SHARE);
    let galley = truncated(ui, why, size::SMALLEST, ink, room);
    let left = rect.right() - 12.0 - galley.size().x;
    ui.painter().galley(
        pos2(left, rect.center().y - galley.size().y / 2.0),
        galley,
        ink,
    );
    left
}

/// Draws the number, how sure it is and its range strip; gives where they begin.
fn value_of_row_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    measurement: Measurement,
    reading: &Reading,
    rect: Rect,
) -> f32 {
    let tokens = theme::tokens(ui);
    let middle = rect.center().y;
    let strip_left = rect.right() - STRIP_ROOM;
    let (value, spread) = value_texts(workbench, measurement, reading);
    let small = FontId::proportional(size::SMALLEST);
    let has_strip = matches!(
        measurement.unit(),
        Unit::Degrees | Unit::Ratio | Unit::Millimetres
    ) && measurement.usual_range().is_some()
        && rect.width() >= LEAST_WIDTH_FOR_STRIP;
    let right = pos2(
        if has_strip {
            strip_left - 8.0
        } else {
            rect.right() - 12.0
        },
        middle,
    );
    let spread_rect = ui
        .painter()
        .text(right, Align2::RIGHT_CENTER, spread, small, tokens.soft);
    let strong = FontId::new(size::BODY, theme::semibold());
    let value_place = pos2(spread_rect.left() - 4.0, middle);
    let value_rect =
        ui.painter()
            .text(value_place, Align2::RIGHT_CENTER, value, strong, tokens.ink);
    if has_strip {
        let place = Rect::from_min_max(pos2(strip_left, rect.top()), rect.max);
        let mut child = ui.new_child(
            egui::UiBuilder::new()
                .max_rect(place)
                .layout(egui::Layout::left_to_right(egui::Align::Center)),
        );
        strip_of(workbench, measurement, reading).ui(&mut child);
    }
    value_rect.left()
}

fn strip_of(workbench: &Workbench, measurement: Measurement, reading: &Reading) -> RangeStrip {
    let scheme = workbench.choices().severity;
    let limits = match measurement {
        Measurement::HalluxValgusAngle => scheme.hallux_valgus_limits().to_vec(),
        Measurement::IntermetatarsalAngle12 => scheme.intermetatarsal_limits().to_vec(),
        _ => Vec::new(),
    };
    RangeStrip {
        scale: measurement.strip_range(),
        usual: measurement
            .usual_range()
            .map(|range| (range.low, range.high)),
        limits: limits.iter().map(|limit| limit.degrees).collect(),
        value: reading.value,
        interval: reading.interval,
    }
}
