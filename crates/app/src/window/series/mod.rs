//! The series of a clinic: a line for each visit, what is to hold of them, and their summary; or how far its readers
//! agree.

use egui::{CentralPanel, Label, Panel, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};
use plumbray_cohort::{FIELDS, Filter};

mod bland_altman;
mod readers;
mod summary;
mod table;

use super::{WindowState, caution::CAUTION, theme, theme::size, widgets};
use crate::workbench::{Command, Series, SeriesCommand, SeriesPage, Urgency, Workbench};

/// Width of the panel with the summary in points, and its largest share of the window.
const PANEL: f32 = 340.0;
const PANEL_SHARE: f32 = 0.23;
/// A filter that is being typed acts after so many seconds without a key.
const PAUSE_SECONDS: f64 = 0.4;

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
        .exact_size(PANEL.min(ui.available_width() * PANEL_SHARE))
        .resizable(false)
        .frame(widgets::padded(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("summary of the series")
                .auto_shrink(false)
                .show(ui, |ui| {
                    summary::summary_ui(ui, series.listing());
                    summary::index_ui(ui, workbench, state, commands);
                    ui.add_space(8.0);
                    ui.add(Label::new(widgets::soft(ui, CAUTION).size(size::SMALLEST)).wrap());
                });
        });
    CentralPanel::no_frame()
        .frame(widgets::padded(tokens.desk))
        .show(ui, |ui| {
            head_ui(ui, workbench, series, commands);
            filter_ui(ui, series, state, commands);
            match series.listing() {
                None => {
                    ui.label(widgets::soft(ui, "Reading…"));
                }
                Some(listing) => table::list_ui(ui, series, listing, commands),
            }
        });
}

fn head_ui(ui: &mut Ui, workbench: &Workbench, series: &Series, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let name = series.folder().file_name().unwrap_or_default();
    ui.horizontal_wrapped(|ui| {
        let name = RichText::new(name.to_string_lossy()).size(22.0);
        ui.label(name.family(theme::semibold()))
            .on_hover_text(series.folder().display().to_string());
        let of_visits = ("Write the table…", SeriesCommand::AskWhereToPutTable);
        let of_visits = (series.page() == SeriesPage::Visits).then_some(of_visits);
        let first = [
            ("Another folder…", SeriesCommand::Ask),
            ("Read again", SeriesCommand::ReadAgain),
        ];
        let last = [("Put it away", SeriesCommand::Leave)];
        for (text, command) in first.into_iter().chain(of_visits).chain(last) {
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
    let changed_at = response.id.with("changed at");
    let now = ui.input(|input| input.time);
    if response.changed() {
        ui.data_mut(|data| data.insert_temp(changed_at, now));
    }
    let since = now - ui.data(|data| data.get_temp(changed_at).unwrap_or(f64::NEG_INFINITY));
    let is_settled = !response.has_focus() || since >= PAUSE_SECONDS;
    let is_other = text.trim() != series.filter();
    if is_other && !is_settled {
        let rest = std::time::Duration::from_secs_f64((PAUSE_SECONDS - since).max(0.0));
        ui.ctx().request_repaint_after(rest);
    } else if is_other {
        match Filter::parse(text.split_whitespace()) {
            Ok(_) => commands.push(Command::Series(SeriesCommand::Filter(
                text.trim().to_owned(),
            ))),
            Err(problem) => {
                let problem = RichText::new(problem.to_string()).size(size::SECONDARY);
                let colour = theme::tokens(ui).look_again;
                ui.add(Label::new(problem.color(colour)).wrap());
            }
        }
    }
    // What is typed stays, also where it is no filter yet.
    state.series_filter = (response.has_focus() || is_other).then_some(text);
    ui.add_space(8.0);
}
