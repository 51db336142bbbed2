//! How far the readers of a series agree: what is asked, what was found, and what each can keep.

use egui::{
    CentralPanel, CollapsingHeader, ComboBox, Frame, Label, Margin, Panel, RichText, Role,
    ScrollArea, Stroke, Ui, WidgetInfo,
};
use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement, Question};

use super::super::{caution::CAUTION, theme, theme::size, widgets};
use super::{PANEL, bland_altman::plot_ui, head_ui};
use crate::{
    agreeing::{Card, MeasurementAgreement, NO_NAME, PRESUMED, USUAL},
    words::counted,
    workbench::{AskReaders, Command, ComparisonFile, Judged, Series, SeriesCommand, Workbench},
};

/// So many plots of differences are open from the start; more are opened by a click.
const PLOTS_AT_ONCE: usize = 3;
/// A plot is at least so wide, in points.
const NARROWEST_PLOT: f32 = 230.0;
/// No more plots stand beside each other.
const MOST_BESIDE: usize = 4;

/// Draws the readers' page.
pub(super) fn readers_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    series: &Series,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    Panel::right("readers")
        .exact_size(PANEL.min(ui.available_width() * 0.4))
        .resizable(false)
        .frame(widgets::padded(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("readers of the series")
                .auto_shrink(false)
                .show(ui, |ui| who_ui(ui, workbench, series, commands));
        });
    CentralPanel::no_frame()
        .frame(widgets::padded(tokens.desk))
        .show(ui, |ui| {
            head_ui(ui, workbench, series, commands);
            asked_ui(ui, workbench, series, commands);
            ui.add_space(6.0);
            if let Some(problem) = series.readers().problem() {
                let text = RichText::new(problem).size(size::SECONDARY);
                ui.add(Label::new(text.color(tokens.look_again)).wrap());
            }
            let Some(judged) = series.readers().judged() else {
                if workbench.is_judging_readers() {
                    ui.label(widgets::soft(ui, "Reading…"));
                }
                return;
            };
            ScrollArea::vertical()
                .id_salt("agreement of the readers")
                .auto_shrink(false)
                .show(ui, |ui| found_ui(ui, judged));
        });
}

/// What is asked: which measurements, by which axes, which reading of several.
fn asked_ui(ui: &mut Ui, workbench: &Workbench, series: &Series, commands: &mut Vec<Command>) {
    let asked = series.readers().asked();
    let mut ask = |what| commands.push(Command::Series(SeriesCommand::AskReaders(what)));
    ui.horizontal_wrapped(|ui| {
        let by = |convention: Option<AxisConvention>| {
            convention.map_or("each study’s own axes", AxisConvention::name)
        };
        let all = AxisConvention::ALL.into_iter().map(Some);
        let choices: Vec<_> = std::iter::once(None).chain(all).collect();
        let chosen = combo_ui(ui, "Axes", by(asked.convention), &choices, |one| by(*one));
        if let Some(convention) = chosen.filter(|one| *one != asked.convention) {
            ask(AskReaders::By(convention));
        }
        let counts = |one: OneValue| match one {
            OneValue::First => "first reading counts",
            OneValue::Mean => "mean of readings counts",
        };
        let choices = [OneValue::First, OneValue::Mean];
        let name = "Which reading of a film";
        let chosen = combo_ui(ui, name, counts(asked.one_value), &choices, |one| {
            counts(*one)
        });
        if let Some(one_value) = chosen.filter(|one| *one != asked.one_value) {
            ask(AskReaders::OneValue(one_value));
        }
        let label = RichText::new("Measurements…").size(size::SECONDARY);
        ui.menu_button(label, |ui| {
            ScrollArea::vertical()
                .max_height(420.0)
                .show(ui, |ui| measurements_ui(ui, &asked.measurements, &mut ask));
        });
    });
    ui.horizontal_wrapped(|ui| {
        for (text, file) in [
            ("Write PDF…", ComparisonFile::Sheet),
            ("Write table…", ComparisonFile::Table),
        ] {
            let command = Command::Series(SeriesCommand::AskWhereToWrite(file));
            widgets::small_button(ui, workbench, text, command, commands);
        }
        if workbench.is_judging_readers() && series.readers().judged().is_some() {
            ui.label(widgets::soft(ui, "Working it out again…"));
        }
    });
}

/// A choice among a few; what was chosen now, if anything.
fn combo_ui<T: Copy>(
    ui: &mut Ui,
    name: &str,
    now: &str,
    choices: &[T],
    text: impl Fn(&T) -> &'static str,
) -> Option<T> {
    let mut chosen = None;
    let combo = ComboBox::from_id_salt(name)
        .width(190.0)
        .selected_text(RichText::new(now).size(size::SECONDARY))
        .show_ui(ui, |ui| {
            for choice in choices {
                let text = text(choice);
                if ui.selectable_label(text == now, text).clicked() {
                    chosen = Some(*choice);
                }
            }
        });
    combo.response.widget_info(|| WidgetInfo {
        current_text_value: Some(now.to_owned()),
        ..WidgetInfo::labeled(Role::ComboBox, true, name)
    });
    chosen
}

/// Every measurement by its question, to be judged or not.
fn measurements_ui(ui: &mut Ui, judged: &[Measurement], ask: &mut impl FnMut(AskReaders)) {
    let mut tick_ui = |ui: &mut Ui, measurement: Measurement| {
        let mut is_judged = judged.contains(&measurement);
        let text = RichText::new(measurement.name()).size(size::SECONDARY);
        if ui.checkbox(&mut is_judged, text).changed() {
            ask(AskReaders::Measurement(measurement, is_judged));
        }
    };
    // A box that is not ticked has the colour of the menu.
    let edge = Stroke::new(1.0, theme::tokens(ui).faint);
    ui.visuals_mut().widgets.inactive.bg_stroke = edge;
    ui.label(widgets::soft(ui, "The usual four"));
    for measurement in USUAL {
        tick_ui(ui, measurement);
    }
    for question in Question::ALL {
        let of_question = Measurement::ALL
            .into_iter()
            .filter(|one| one.question() == question && !USUAL.contains(one));
        ui.add_space(4.0);
        ui.label(widgets::soft(ui, question.heading()));
        for measurement in of_question {
            tick_ui(ui, measurement);
        }
    }
}

/// What was found, a card for each measurement.
fn found_ui(ui: &mut Ui, judged: &Judged) {
    let tokens = theme::tokens(ui);
    let measurements = &judged.agreement.measurements;
    for (measured, card) in measurements.iter().zip(&judged.cards) {
        Frame::new()
            .fill(tokens.panel)
            .corner_radius(6.0)
            .inner_margin(Margin::symmetric(14, 10))
            .show(ui, |ui| {
                ui.set_min_width(ui.available_width());
                card_ui(ui, measured, card);
            });
        ui.add_space(8.0);
    }
    if measurements.is_empty() {
        ui.label(widgets::soft(ui, "Choose a measurement above."));
    }
    ui.add(Label::new(widgets::soft(ui, PRESUMED).size(size::SMALLEST)).wrap());
}

fn card_ui(ui: &mut Ui, measured: &MeasurementAgreement, card: &Card) {
    ui.add(Label::new(widgets::heading(ui, measured.measurement.name())).wrap());
    ui.add(Label::new(widgets::soft(ui, &card.basis)).wrap());
    lines_ui(ui, "All readers", &card.told.among_all);
    lines_ui(ui, "Every two readers", &card.told.pairs);
    plots_ui(ui, measured);
    lines_ui(ui, "Each reader a second time", &card.told.repeats);
    for note in &measured.readings.notes {
        let text = RichText::new(note).size(size::SECONDARY);
        let colour = theme::tokens(ui).look_again;
        ui.add(Label::new(text.color(colour)).wrap());
    }
    if !card.silent.is_empty() {
        let text = format!("Without any reading: {}.", card.silent);
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
    }
    left_out_ui(ui, measured);
}

fn lines_ui(ui: &mut Ui, heading: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    ui.add_space(6.0);
    let heading = widgets::soft(ui, heading).family(theme::semibold());
    ui.label(heading);
    for line in lines {
        let text = RichText::new(line).size(size::SECONDARY);
        ui.add(Label::new(text).wrap());
    }
}

fn plots_ui(ui: &mut Ui, measured: &MeasurementAgreement) {
    let plots = &measured.plots;
    if plots.is_empty() {
        return;
    }
    let name = measured.measurement.name();
    let heading = format!("Differences over means, {} ({name})", plots.len());
    let heading = RichText::new(heading).size(size::SECONDARY);
    CollapsingHeader::new(heading)
        .id_salt(("plots", measured.measurement.identifier()))
        .default_open(plots.len() <= PLOTS_AT_ONCE)
        .show(ui, |ui| {
            let beside = columns_of(ui.available_width());
            for row in plots.chunks(beside) {
                ui.columns(beside, |columns| {
                    for (column, plot) in columns.iter_mut().zip(row) {
                        plot_ui(column, measured.measurement, plot);
                    }
                });
            }
        });
}

/// How many plots stand beside each other in this width.
fn columns_of(width: f32) -> usize {
    let fits = |columns: &usize| {
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let columns = *columns as f32;
        columns * NARROWEST_PLOT <= width
    };
    (2..=MOST_BESIDE).rev().find(fits).unwrap_or(1)
}

fn left_out_ui(ui: &mut Ui, measured: &MeasurementAgreement) {
    let left_out = &measured.readings.left_out;
    if left_out.is_empty() {
        return;
    }
    ui.add_space(4.0);
    let name = measured.measurement.name();
    let heading = format!("Left out, {} ({name})", left_out.len());
    let heading = RichText::new(heading).size(size::SECONDARY);
    CollapsingHeader::new(heading)
        .id_salt(("left out", measured.measurement.identifier()))
        .show(ui, |ui| {
            for why in left_out {
                ui.add(Label::new(widgets::soft(ui, why)).wrap());
            }
        });
}

/// Who read how much, and what each can keep.
fn who_ui(ui: &mut Ui, workbench: &Workbench, series: &Series, commands: &mut Vec<Command>) {
    ui.label(widgets::heading(ui, "Readers"));
    let Some(judged) = series.readers().judged() else {
        return;
    };
    let gathered = &judged.agreement.gathered;
    let text = format!(
        "{} by {}",
        counted(gathered.studies.len(), "study", "studies"),
        counted(gathered.readers.len(), "reader", "readers")
    );
    ui.label(widgets::soft(ui, text));
    for place in 0..gathered.readers.len() {
        ui.add_space(8.0);
        reader_ui(ui, workbench, judged, place, commands);
    }
    let tokens = theme::tokens(ui);
    ui.add_space(8.0);
    for problem in &gathered.problems {
        let text = RichText::new(format!("Left out: {problem}")).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
    }
    ui.add_space(8.0);
    let text = "What a reader keeps widens the intervals of that reader’s own worksheets: value ± 1.96 · √(sd² + sw²), \
                with sw the within-reader SD. It is kept by measurement and axes, and can be kept again.";
    ui.add(Label::new(widgets::soft(ui, text).size(size::SMALLEST)).wrap());
    ui.add_space(4.0);
    ui.add(Label::new(widgets::soft(ui, CAUTION).size(size::SMALLEST)).wrap());
}

fn reader_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    judged: &Judged,
    place: usize,
    commands: &mut Vec<Command>,
) {
    let gathered = &judged.agreement.gathered;
    let Some(name) = gathered.readers.get(place) else {
        return;
    };
    ui.label(RichText::new(name).family(theme::semibold()));
    if let Some(counts) = judged.counts.get(place) {
        let text = format!(
            "{} of {}; {} more than once",
            counted(counts.tracings, "tracing", "tracings"),
            counted(counts.films, "film", "films"),
            counts.films_again
        );
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
    }
    if name == NO_NAME {
        let text = "These tracings name no reader, so they count as one. Say who traces under “Visit, dates and reader”.";
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    }
    if let Some(kept) = workbench.own_spread_of(name) {
        for spread in &kept.spreads {
            let measurement = spread.measurement().map_or("", Measurement::name);
            let text = format!("Kept: {measurement}, {}", spread.words());
            let text = widgets::soft(ui, text).size(size::SMALLEST);
            ui.add(Label::new(text).wrap());
        }
    }
    match judged.keepable.get(place) {
        Some(Ok(keepable)) if !keepable.spreads.is_empty() => {
            let button = RichText::new("Keep as my spread").size(size::SECONDARY);
            let each: Vec<String> = keepable
                .spreads
                .iter()
                .map(|spread| {
                    let name = spread.measurement().map_or("", Measurement::name);
                    format!("{name}: {}", spread.words())
                })
                .collect();
            let response = ui.button(button).on_hover_text(each.join("\n"));
            let spoken = format!("Keep as my spread, {name}");
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &spoken));
            if response.clicked() {
                let keep = SeriesCommand::KeepSpread(name.clone());
                commands.push(Command::Series(keep));
            }
            for refused in &keepable.refused {
                let text = widgets::soft(ui, format!("Not: {refused}"));
                ui.add(Label::new(text.size(size::SMALLEST)).wrap());
            }
        }
        Some(Ok(keepable)) => {
            if let Some(why) = keepable.refused.first() {
                let text = widgets::soft(ui, format!("Nothing to keep. {why}"));
                ui.add(Label::new(text.size(size::SMALLEST)).wrap());
            }
        }
        Some(Err(_)) | None => {}
    }
}
