//! The series of a clinic: a line for each visit, what is to hold of them, and their summary; or how far its readers
//! agree.

use egui::{
    CentralPanel, Color32, Frame, Label, Layout, Margin, Panel, Response, RichText, Role,
    ScrollArea, TextEdit, Ui, WidgetInfo, vec2,
};
use plumbray_cohort::FIELDS;

mod bland_altman;
mod readers;

use super::{WindowState, theme, theme::size, welcome::CAUTION, widgets};
use crate::{
    series::words::PRINTED,
    workbench::{
        Command, ListedVisit, Listing, Series, SeriesCommand, SeriesPage, Urgency, Workbench,
    },
};

/// Width of the panel with the summary in points.
const PANEL: f32 = 396.0;
/// Height of a row in points.
const ROW: f32 = 24.0;
/// Widths of the columns behind the name in points.
const COLUMNS: [f32; 8] = [48.0, 84.0, 68.0, 88.0, 88.0, 88.0, 56.0, 76.0];
/// The name has this width at least.
const NAME: f32 = 180.0;

/// Draws the series.
pub(super) fn series_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    series: &Series,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    if series.page() == SeriesPage::Readers {
        readers::readers_ui(ui, workbench, series, commands);
        return;
    }
    let tokens = theme::tokens(ui);
    Panel::right("series summary")
        .exact_size(PANEL.min(ui.available_width() * 0.4))
        .resizable(false)
        .frame(padded(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("summary of the series")
                .auto_shrink(false)
                .show(ui, |ui| summary_ui(ui, series.listing()));
        });
    CentralPanel::no_frame()
        .frame(padded(tokens.desk))
        .show(ui, |ui| {
            head_ui(ui, workbench, series, commands);
            filter_ui(ui, series, state, commands);
            match series.listing() {
                None => {
                    ui.label(widgets::soft(ui, "Reading…"));
                }
                Some(listing) => list_ui(ui, listing, commands),
            }
        });
}

fn padded(fill: Color32) -> Frame {
    Frame::new()
        .fill(fill)
        .inner_margin(Margin::symmetric(16, 12))
}

fn head_ui(ui: &mut Ui, workbench: &Workbench, series: &Series, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let name = series.folder().file_name().unwrap_or_default();
    ui.horizontal_wrapped(|ui| {
        let name = RichText::new(name.to_string_lossy()).size(22.0);
        ui.label(name.family(theme::semibold()))
            .on_hover_text(series.folder().display().to_string());
        for (text, command) in [
            ("Another folder…", SeriesCommand::Ask),
            ("Read again", SeriesCommand::ReadAgain),
            ("Put it away", SeriesCommand::Leave),
        ] {
            widgets::text_action(ui, text, Command::Series(command), commands);
        }
    });
    ui.horizontal(|ui| {
        for (page, text) in [
            (SeriesPage::Visits, "Visits"),
            (SeriesPage::Readers, "Agreement of readers"),
        ] {
            let is_shown = series.page() == page;
            if ui.selectable_label(is_shown, text).clicked() && !is_shown {
                commands.push(Command::Series(SeriesCommand::Show(page)));
            }
        }
    });
    // A warning may be longer than the line at the foot of the window.
    let warning = workbench.notices().last();
    if let Some(warning) = warning.filter(|notice| notice.urgency == Urgency::Warning) {
        let text = RichText::new(&warning.text).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
    }
    ui.add_space(4.0);
}

/// Which visits are listed.
fn filter_ui(ui: &mut Ui, series: &Series, state: &mut WindowState, commands: &mut Vec<Command>) {
    let mut text = state
        .series_filter
        .clone()
        .unwrap_or_else(|| series.filter().to_owned());
    let field = TextEdit::singleline(&mut text)
        .hint_text("Only visits with… side=left hva>=30")
        .desired_width(f32::INFINITY);
    let response = ui.add(field).on_hover_text(FIELDS);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Which visits are listed"));
    if response.lost_focus() && text.trim() != series.filter() {
        commands.push(Command::Series(SeriesCommand::Filter(
            text.trim().to_owned(),
        )));
    }
    state.series_filter = response.has_focus().then_some(text);
    ui.add_space(8.0);
}

fn list_ui(ui: &mut Ui, listing: &Listing, commands: &mut Vec<Command>) {
    if listing.visits.is_empty() {
        let text = if listing.studies == 0 {
            "No study lies below this folder. Studies end in .study.ron; trace films and they are saved beside them."
        } else {
            "No visit is like that. Empty the field above to see all."
        };
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    }
    let name_width = (ui.available_width() - COLUMNS.iter().sum::<f32>() - 90.0).max(NAME);
    ScrollArea::horizontal()
        .id_salt("columns of the series")
        .show(ui, |ui| {
            heading_ui(ui, name_width);
            ScrollArea::vertical()
                .id_salt("visits of the series")
                .auto_shrink(false)
                .show_rows(ui, ROW, listing.visits.len(), |ui, rows| {
                    for visit in &listing.visits[rows] {
                        visit_ui(ui, visit, name_width, commands);
                    }
                    if listing.more > 0 {
                        let text = format!("and {} more; the filter finds them", listing.more);
                        ui.label(widgets::soft(ui, text));
                    }
                });
        });
}

fn heading_ui(ui: &mut Ui, name_width: f32) {
    let names = PRINTED.map(|measurement| measurement.short_name().to_owned());
    let before = ["side", "day", "operated"].map(str::to_owned);
    let headings = before
        .into_iter()
        .chain(names)
        .chain(["severity".to_owned()]);
    ui.horizontal(|ui| {
        cell_ui(ui, name_width, widgets::soft(ui, "study"));
        for (heading, width) in headings.zip(COLUMNS) {
            cell_ui(ui, width, widgets::soft(ui, heading));
        }
    });
}

fn visit_ui(ui: &mut Ui, visit: &ListedVisit, name_width: f32, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        let name = RichText::new(&visit.name).size(size::SECONDARY);
        let button = egui::Button::new(name.color(tokens.accent))
            .frame(false)
            .truncate();
        let response = ui
            .allocate_ui_with_layout(
                vec2(name_width, ROW),
                Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(name_width);
                    ui.add(button)
                },
            )
            .inner;
        if response.on_hover_text("Open this study").clicked() {
            let open = SeriesCommand::OpenStudy(visit.study.clone());
            commands.push(Command::Series(open));
        }
        match &visit.words {
            Ok(words) => {
                let before = [&words.side, &words.day, &words.operated];
                let after = words.numbers.iter().chain([&words.severity]);
                for (text, width) in before.into_iter().chain(after).zip(COLUMNS) {
                    cell_ui(ui, width, RichText::new(text).size(size::SECONDARY))
                        .on_hover_text(&words.conventions);
                }
                let remarks = words.remarks.trim_start_matches("; ");
                ui.label(widgets::soft(ui, remarks));
            }
            Err(problem) => {
                let text = RichText::new(format!("cannot be read: {problem}"));
                let text = text.size(size::SECONDARY).color(tokens.look_again);
                ui.scope(|ui| {
                    ui.set_max_width(COLUMNS.iter().sum());
                    ui.add(Label::new(text).truncate());
                });
            }
        }
    });
}

fn cell_ui(ui: &mut Ui, width: f32, text: RichText) -> Response {
    ui.allocate_ui_with_layout(
        vec2(width, ROW),
        Layout::left_to_right(egui::Align::Center),
        |ui| {
            ui.set_min_width(width);
            ui.add(Label::new(text).truncate())
        },
    )
    .inner
}

fn summary_ui(ui: &mut Ui, listing: Option<&Listing>) {
    let tokens = theme::tokens(ui);
    ui.label(widgets::heading(ui, "Summary"));
    let Some(listing) = listing else { return };
    for line in &listing.summary {
        let text = RichText::new(line.trim()).size(size::SECONDARY);
        ui.add(Label::new(text).wrap());
        ui.add_space(3.0);
    }
    for problem in &listing.problems {
        let text = RichText::new(format!("! {problem}")).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
    }
    ui.add_space(8.0);
    ui.add(Label::new(widgets::soft(ui, CAUTION).size(size::SMALLEST)).wrap());
}
