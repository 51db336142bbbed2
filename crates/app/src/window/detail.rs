//! The detail zone: what is selected, what it means and how far to trust it.

use egui::{Grid, RichText, Ui};
use plumbray_anatomy::{Landmark, Origin, View};
use plumbray_film::FilmFacts;
use plumbray_measure::{
    AxisConvention, Measurement, Outcome, Unit, all_conventions, level_freedom,
};

use super::{
    number, proposal_detail, reader_detail::reader_ui, row_text::value_texts, theme, theme::size,
    widgets,
};
use crate::workbench::{
    Calibrating, CalibrationMethod, Command, FittedScale, Selection, TraceStep, Workbench,
};

/// Draws the detail of what is selected, or of the films where nothing is.
pub(crate) fn detail_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    if let Some(calibrating) = workbench.view().calibrating {
        calibrating_ui(ui, workbench, calibrating, commands);
        return;
    }
    match workbench.view().selection {
        Selection::Measurement(measurement) => {
            measurement_ui(ui, workbench, measurement, commands);
        }
        Selection::Point(view, landmark) => point_ui(ui, workbench, view, landmark, commands),
        Selection::Nothing => {
            if proposal_detail::proposal_ui(ui, workbench, commands) {
                ui.add_space(12.0);
            } else {
                how_to_see_constructions_ui(ui);
            }
            films_ui(ui, workbench, commands);
        }
    }
}

fn measurement_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    measurement: Measurement,
    commands: &mut Vec<Command>,
) {
    let outcome = workbench.worksheet().outcome(measurement);
    let reading = outcome.and_then(Outcome::reading);
    let title = match reading {
        Some(reading) => {
            let (value, spread) = value_texts(workbench, measurement, reading);
            format!("{}, {value} {spread}", measurement.name())
        }
        None => measurement.name().to_owned(),
    };
    ui.label(widgets::heading(ui, title));
    ui.label(widgets::soft(ui, measurement.definition()));
    if let Some(why) = outcome.and_then(Outcome::why_not) {
        let text = format!("No number yet: {why}.");
        ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
    }
    ui.add_space(4.0);
    conventions_ui(ui, workbench, measurement, commands);
    if let Some(reading) = reading {
        reader_ui(ui, workbench, measurement, reading);
        if let Some(calibration) = &reading.calibration_name {
            ui.label(widgets::soft(ui, format!("Millimetres: {calibration}.")));
        }
        for remark in &reading.remarks {
            ui.label(widgets::soft(ui, format!("Note: {}.", remark.text())));
        }
        if let Some(largest) = reading.influences.first() {
            ui.label(widgets::soft(
                ui,
                format!(
                    "Largest share of the uncertainty: {}, {}",
                    largest.part.name(),
                    number::per_cent(largest.share)
                ),
            ));
        }
    }
    freedom_ui(ui, workbench, measurement);
    repeats_ui(ui, workbench, measurement);
    ui.add_space(4.0);
    source_ui(ui, measurement);
}

/// How far the choice among the published levels moves the number.
fn freedom_ui(ui: &mut Ui, workbench: &Workbench, measurement: Measurement) {
    let span = level_freedom(&workbench.foot(), &workbench.choices(), measurement);
    if let Some((least, greatest)) = span {
        let shown = |value: f64| match measurement.unit() {
            Unit::Degrees => number::degrees(value),
            Unit::Ratio => number::plain(value, 2),
            _ => number::plain(value, 1),
        };
        ui.label(widgets::soft(
            ui,
            format!(
                "Levels from 10 to 20 mm off the ends of a metatarsal, all of it published, give {} to {}.",
                shown(least),
                shown(greatest)
            ),
        ));
    }
}

/// What several tracings of the same films come to.
fn repeats_ui(ui: &mut Ui, workbench: &Workbench, measurement: Measurement) {
    let Some(repeated) = workbench.repeated(measurement) else {
        return;
    };
    let decimals = if measurement.unit() == Unit::Ratio {
        3
    } else {
        1
    };
    let shown = |value: f64| number::plain(value, decimals);
    let (count, mean) = (repeated.count, shown(repeated.mean));
    let text = match repeated.scatter {
        None => format!("Traced {count} times, each time {mean}."),
        Some(scatter) => format!(
            "Traced {count} times: mean {mean}, spread within the reader {} (one standard deviation; 95 % \
             interval {} to {}), smallest detectable change {}.",
            shown(scatter.standard_deviation),
            shown(scatter.interval.lower),
            shown(scatter.interval.upper),
            shown(scatter.repeatability_coefficient)
        ),
    };
    ui.label(widgets::soft(ui, text));
}

fn source_ui(ui: &mut Ui, measurement: Measurement) {
    let mut text = measurement.source().to_owned();
    if let Some(usual) = measurement.usual_range() {
        let decimals = if measurement.unit() == Unit::Ratio {
            2
        } else {
            0
        };
        let (low, high) = (
            number::plain(usual.low, decimals),
            number::plain(usual.high, decimals),
        );
        let degree = if measurement.unit() == Unit::Degrees {
            "°"
        } else {
            ""
        };
        let text_end = text.trim_end_matches('.');
        text = format!(
            "{text_end}. Usual: {low}{degree} to {high}{degree} ({}).",
            usual.source
        );
    }
    let faint = theme::tokens(ui).faint;
    ui.label(RichText::new(text).size(size::SMALLEST).color(faint));
}

/// Every convention that gives a number, the one in use marked; a click chooses it for the study.
fn conventions_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    measurement: Measurement,
    commands: &mut Vec<Command>,
) {
    let (foot, choices) = (workbench.foot(), workbench.choices());
    let all = all_conventions(&foot, &choices, measurement);
    if all.is_empty() {
        return;
    }
    let in_use = choices
        .convention
        .unwrap_or_else(|| foot.default_convention());
    let tokens = theme::tokens(ui);
    Grid::new("conventions")
        .num_columns(2)
        .spacing([16.0, 2.0])
        .show(ui, |ui| {
            for (convention, outcome) in all {
                let chosen = convention == in_use;
                let name = RichText::new(convention.name()).size(size::SECONDARY);
                let response = ui.selectable_label(chosen, name).on_hover_text(format!(
                    "{}\n\n{}",
                    convention.definition(),
                    convention.source()
                ));
                if response.clicked() {
                    commands.push(choice_of(workbench, convention));
                }
                match (&outcome, outcome.why_not()) {
                    (Outcome::Value(reading), _) => {
                        let (value, spread) = value_texts(workbench, measurement, reading);
                        let text = RichText::new(format!("{value} {spread}")).size(size::SECONDARY);
                        ui.label(if chosen {
                            text.family(theme::semibold())
                        } else {
                            text
                        });
                    }
                    (_, why) => {
                        let why = why.unwrap_or_default();
                        let text = RichText::new(why).size(size::SMALLEST).color(tokens.faint);
                        ui.add(egui::Label::new(text).truncate());
                    }
                }
                ui.end_row();
            }
        });
}

/// Choosing the visit's own default again leaves the choice to the visit.
fn choice_of(workbench: &Workbench, convention: AxisConvention) -> Command {
    let is_default = convention == workbench.foot().default_convention();
    Command::SetConvention((!is_default).then_some(convention))
}

fn point_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    view: View,
    landmark: Landmark,
    commands: &mut Vec<Command>,
) {
    ui.label(widgets::heading(ui, landmark.name()));
    if let Some(doubt) = workbench.doubt_about(view, landmark) {
        let text = format!("Look at it again: {}.", doubt.reason());
        ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
        ui.horizontal(|ui| {
            widgets::command_button(ui, workbench, &Command::ConfirmPoint, commands);
            widgets::command_button(ui, workbench, &Command::NextDoubt, commands);
        });
    }
    let Some(placed) = workbench.study().tracing.on(view).points.get(&landmark) else {
        let is_offered = workbench
            .offered_tracing(view)
            .is_some_and(|offered| offered.points.contains_key(&landmark));
        let text = if is_offered {
            "Proposed, not accepted. Drag it, and it is yours at its new place; Delete takes it out \
             of the proposal."
        } else {
            "Not placed."
        };
        ui.label(widgets::soft(ui, text));
        return;
    };
    let origin = match placed.origin {
        Origin::Hand => "placed by hand",
        Origin::Snapped => "snapped to the film",
        Origin::Derived => "found from the bone’s outline",
        Origin::Proposed => "proposed by the program",
        Origin::Imported => "imported",
    };
    let spread = match workbench.calibration(view) {
        Some(calibration) => format!(
            "{} ({})",
            number::millimetres(placed.sd_px * calibration.mm_per_pixel_width()),
            calibration.basis.name()
        ),
        None => format!("{} pixels", number::plain(placed.sd_px, 1)),
    };
    ui.label(widgets::soft(
        ui,
        format!(
            "{}: x {}, y {} pixels, {origin}. Spread {spread}, standard deviation.",
            view.name(),
            number::plain(placed.at.x_px, 1),
            number::plain(placed.at.y_px, 1)
        ),
    ));
    ui.label(widgets::soft(
        ui,
        "Drag it, or nudge it with the arrow keys by a tenth of a pixel; with Shift by a whole one.",
    ));
    ui.horizontal(|ui| {
        if ui.button("Delete this point").clicked() {
            commands.push(Command::DeletePoint(view, landmark));
        }
        if let Some(step) = TraceStep::of_landmark(view, landmark)
            && ui.button(format!("Trace again: {}", step.name())).clicked()
        {
            commands.push(Command::GoTo(step));
        }
    });
}

fn calibrating_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    calibrating: Calibrating,
    commands: &mut Vec<Command>,
) {
    let title = format!("Calibrate the {} film", calibrating.view.name());
    ui.label(widgets::heading(ui, title));
    ui.horizontal(|ui| {
        for method in [
            CalibrationMethod::RoundObject,
            CalibrationMethod::KnownDistance,
        ] {
            let chosen = method == calibrating.method;
            if ui.selectable_label(chosen, method.name()).clicked() && !chosen {
                commands.push(Command::StartCalibration(calibrating.view, method));
            }
        }
    });
    let what = match calibrating.method {
        CalibrationMethod::RoundObject => "True diameter",
        CalibrationMethod::KnownDistance => "True distance",
    };
    ui.horizontal(|ui| {
        let label = ui.label(what);
        let mut size_mm = calibrating.known_size_mm;
        let field = egui::DragValue::new(&mut size_mm)
            .range(1.0..=500.0)
            .speed(0.1)
            .max_decimals(2)
            .suffix("\u{2009}mm");
        if ui.add(field).labelled_by(label.id).changed() {
            commands.push(Command::SetKnownSize(size_mm));
        }
    });
    match calibrating.fitted {
        None => {
            ui.label(widgets::soft(ui, calibrating.method.prompt()));
        }
        Some(fitted) => fitted_ui(ui, workbench, fitted),
    }
    ui.label(widgets::soft(
        ui,
        "The object must lie at the height of the bones: one lying nearer the detector makes every \
         length read too long.",
    ));
    ui.horizontal(|ui| {
        super::widgets::command_button(ui, workbench, &Command::FinishCalibration, commands);
        super::widgets::command_button(ui, workbench, &Command::CancelCalibration, commands);
    });
    if workbench
        .file_spacing_on_request(calibrating.view)
        .is_some()
    {
        let offer = Command::AcceptFileSpacing(calibrating.view);
        widgets::text_action(ui, &offer.text(), offer.clone(), commands);
    }
}

fn fitted_ui(ui: &mut Ui, workbench: &Workbench, fitted: FittedScale) {
    let size = match fitted {
        FittedScale::Circle(circle) => {
            format!(
                "Circle of {} pixels across.",
                number::plain(2.0 * circle.radius_px, 1)
            )
        }
        FittedScale::Distance { from, to, .. } => {
            format!(
                "Two points {} pixels apart.",
                number::plain(from.distance_px(to), 1)
            )
        }
    };
    ui.label(widgets::soft(ui, size));
    if let Some((_, calibration)) = workbench.fitted_calibration() {
        let text = format!(
            "One pixel is {} by {} wide and tall, ± {}.",
            number::plain(calibration.spacing.between_columns_mm(), 4),
            format_args!(
                "{}\u{2009}mm",
                number::plain(calibration.spacing.between_rows_mm(), 4)
            ),
            number::per_cent_precise(1.96 * calibration.relative_sd)
        );
        ui.label(widgets::soft(ui, text));
    }
}

fn how_to_see_constructions_ui(ui: &mut Ui) {
    ui.label(widgets::heading(ui, "Click a row to see its construction"));
    ui.label(widgets::soft(
        ui,
        "Its lines are drawn on the film, with its definition, its other conventions and its source \
         here.",
    ));
    ui.add_space(6.0);
}

fn films_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    for view in View::ALL {
        let Some(open) = workbench.film(view) else {
            continue;
        };
        let spacing = workbench.calibration(view).map_or_else(
            || "not calibrated: angles, grades and ratios only".to_owned(),
            |calibration| calibration.basis.name(),
        );
        let name = open.path.file_name().unwrap_or_default().to_string_lossy();
        ui.label(RichText::new(format!("{} · {name}", view.name())).size(size::SECONDARY));
        ui.label(widgets::soft(
            ui,
            format!(
                "{} × {} pixels, {} bits; {spacing}",
                open.film.width(),
                open.film.height(),
                open.film.bits()
            ),
        ));
        if let Some(said) = said_by_file(open.film.facts()) {
            ui.label(widgets::soft(ui, said));
        }
        ui.horizontal_wrapped(|ui| {
            let calibrate = Command::StartCalibration(view, CalibrationMethod::RoundObject);
            widgets::text_action(ui, "Calibrate by hand", calibrate, commands);
            if workbench.calibration(view).is_some() {
                let remove = Command::RemoveCalibration(view);
                widgets::text_action(ui, "Remove the calibration", remove, commands);
            }
            if let Some(offered) = workbench.file_spacing_on_request(view) {
                let offer = format!("Use the file’s: {}", offered.basis.name());
                widgets::text_action(ui, &offer, Command::AcceptFileSpacing(view), commands);
            }
        });
    }
}

/// What a film's file says of view, side and standing, each with the attribute that says it.
fn said_by_file(facts: &FilmFacts) -> Option<String> {
    let view = facts
        .view
        .map(|said| format!("{} by {}", said.value.name(), said.source));
    let side = facts
        .side
        .map(|said| format!("{} by {}", said.value.identifier(), said.source));
    let stood = facts.weight_bearing.map(|said| {
        let words = if said.value {
            "standing"
        } else {
            "not standing"
        };
        format!("{words} by {}", said.source)
    });
    let said: Vec<String> = [view, side, stood].into_iter().flatten().collect();
    (!said.is_empty()).then(|| format!("The file says: {}", said.join(", ")))
}
