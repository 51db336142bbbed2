//! The series of a clinic: a line for each visit, what is to hold of them, and their summary; or how far its readers
//! agree.

use egui::{
    CentralPanel, CollapsingHeader, Color32, Frame, Label, Layout, Margin, Panel, Response,
    RichText, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, vec2,
};
use plumbray_cohort::{FIELDS, Filter};
use plumbray_study::STUDY_ENDING;

mod bland_altman;
mod readers;

use super::{WindowState, theme, theme::size, welcome::CAUTION, widgets};
use crate::{
    series::words::{BY_THE_PROGRAM, OF_TRACING_ALONE, PRINTED, VisitWords},
    workbench::{
        Command, DiscCommand, ListedVisit, Listing, Series, SeriesCommand, SeriesOrder, SeriesPage,
        Urgency, Workbench,
    },
};

/// Width of the panel with the summary in points, and its largest share of the window.
const PANEL: f32 = 340.0;
const PANEL_SHARE: f32 = 0.23;
/// A filter that is being typed acts after so many seconds without a key.
const PAUSE_SECONDS: f64 = 0.4;
/// Height of a row in points.
const ROW: f32 = 24.0;
/// Widths of the columns behind the name in points, where there is little room.
const NARROW: [f32; 9] = [46.0, 74.0, 58.0, 88.0, 70.0, 70.0, 70.0, 50.0, 62.0];
/// The same where there is room for every heading.
const WIDE: [f32; 9] = [46.0, 76.0, 60.0, 106.0, 94.0, 108.0, 70.0, 72.0, 66.0];
/// Room between columns in points.
const BETWEEN: f32 = 5.0;
/// Room for the bar at the right in points.
const BAR: f32 = 12.0;
/// What became of a foot has up to this room in points, where there is any.
const REMARKS: f32 = 220.0;
/// About the width of a character of a name in points.
const CHARACTER: f32 = 6.4;
/// The name has this width at least.
const NAME: f32 = 96.0;

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
        .frame(padded(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("summary of the series")
                .auto_shrink(false)
                .show(ui, |ui| {
                    summary_ui(ui, series.listing());
                    index_ui(ui, workbench, state, commands);
                    ui.add_space(8.0);
                    ui.add(Label::new(widgets::soft(ui, CAUTION).size(size::SMALLEST)).wrap());
                });
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
                Some(listing) => list_ui(ui, series, listing, commands),
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

fn list_ui(ui: &mut Ui, series: &Series, listing: &Listing, commands: &mut Vec<Command>) {
    if listing.visits.is_empty() {
        let text = if listing.studies == 0 {
            "No study lies below this folder. Studies end in .study.ron; trace films and they are saved beside them."
        } else {
            "No visit is like that. Empty the field above to see all."
        };
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        if listing.studies == 0 {
            ui.add_space(8.0);
            let films = DiscCommand::Open(series.folder().to_owned());
            if ui.button("Look for films in this folder").clicked() {
                commands.push(Command::Disc(films));
            }
        }
        return;
    }
    let widths = Widths::within(ui.available_width());
    let of = widgets::soft(ui, OF_TRACING_ALONE).size(size::SMALLEST);
    ui.label(of);
    ui.spacing_mut().item_spacing.x = BETWEEN;
    ScrollArea::horizontal()
        .id_salt("columns of the series")
        .show(ui, |ui| {
            heading_ui(ui, series.order(), &widths, commands);
            ScrollArea::vertical()
                .id_salt("visits of the series")
                .auto_shrink(false)
                .show_rows(ui, ROW, listing.visits.len(), |ui, rows| {
                    for visit in &listing.visits[rows] {
                        visit_ui(ui, visit, &widths, commands);
                    }
                    if listing.more > 0 {
                        let text = format!("and {} more; the filter finds them", listing.more);
                        ui.label(widgets::soft(ui, text));
                    }
                });
        });
}

/// How wide the name and the remarks of a row are in points; the other columns are as wide always.
struct Widths {
    name: f32,
    columns: [f32; 9],
    remarks: f32,
}

impl Widths {
    /// The widths with which a row just fits, so that nothing is scrolled sideways on a window of the usual size.
    fn within(all: f32) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a few columns")]
        let gaps = (WIDE.len() + 2) as f32 * BETWEEN;
        let room = |columns: [f32; 9]| all - columns.iter().sum::<f32>() - gaps - BAR;
        let columns = if room(WIDE) < NAME { NARROW } else { WIDE };
        let left = room(columns).max(NAME);
        let remarks = (0.4 * (left - NAME)).min(REMARKS);
        Self {
            name: left - remarks,
            columns,
            remarks,
        }
    }
}

/// The headings; a click on one sorts by it, another click the other way round.
fn heading_ui(
    ui: &mut Ui,
    order: Option<SeriesOrder>,
    widths: &Widths,
    commands: &mut Vec<Command>,
) {
    let names = PRINTED.map(|measurement| measurement.short_name().to_owned());
    let before = ["study", "side", "day", "operated", "reader"].map(str::to_owned);
    let headings = before
        .into_iter()
        .chain(names)
        .chain(["severity".to_owned()]);
    let widths = std::iter::once(widths.name).chain(widths.columns);
    ui.horizontal(|ui| {
        for ((place, heading), width) in headings.enumerate().zip(widths) {
            let mark = match order.filter(|order| order.column == place) {
                None => "",
                Some(order) if order.falling => " (falling)",
                Some(_) => " (rising)",
            };
            let text = widgets::soft(ui, format!("{heading}{mark}"));
            let cell = ui.allocate_ui_with_layout(
                vec2(width, ROW),
                Layout::left_to_right(egui::Align::Center),
                |ui| {
                    ui.set_min_width(width);
                    ui.add(Label::new(text).truncate().sense(Sense::click()))
                },
            );
            let response = cell.inner.on_hover_text("A click sorts by this");
            let spoken = format!("Sort by {heading}");
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &spoken));
            if response.clicked() {
                commands.push(Command::Series(SeriesCommand::SortBy(place)));
            }
        }
    });
}

fn visit_ui(ui: &mut Ui, visit: &ListedVisit, widths: &Widths, commands: &mut Vec<Command>) {
    let name_width = widths.name;
    let tokens = theme::tokens(ui);
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a width on a screen, not below NAME"
        )]
        let characters = (name_width / CHARACTER) as usize;
        let fitting = shortened_in_middle(&visit.name, characters);
        let name = RichText::new(fitting).size(size::SECONDARY);
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
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &visit.name));
        let about = format!("Open this study: {}", visit.name);
        if response.on_hover_text(about).clicked() {
            let open = SeriesCommand::OpenStudy(visit.study.clone());
            commands.push(Command::Series(open));
        }
        match &visit.words {
            Ok(words) => words_ui(ui, visit, words, widths),
            Err(problem) => {
                let text = RichText::new(format!("cannot be read: {problem}"));
                let text = text.size(size::SECONDARY).color(tokens.look_again);
                ui.scope(|ui| {
                    ui.set_max_width(widths.columns.iter().sum());
                    ui.add(Label::new(text).truncate());
                });
            }
        }
    });
}

/// What stands in the columns of a visit.
fn words_ui(ui: &mut Ui, visit: &ListedVisit, words: &VisitWords, widths: &Widths) {
    let tokens = theme::tokens(ui);
    let about = [&words.draft, &words.conventions, &words.by_which_angle].map(String::as_str);
    let about: Vec<&str> = about.into_iter().filter(|text| !text.is_empty()).collect();
    let about = about.join("\n");
    let before = [&words.side, &words.day, &words.operated, &words.reader];
    let after = words.numbers.iter().chain([&words.severity]);
    for (text, width) in before.into_iter().chain(after).zip(widths.columns) {
        let is_draft = text == BY_THE_PROGRAM && !words.draft.is_empty();
        let cell = RichText::new(text).size(size::SECONDARY);
        let cell = if is_draft {
            cell.color(tokens.look_again)
        } else {
            cell
        };
        cell_ui(ui, width, cell).on_hover_text(&about);
    }
    let remarks = words.remarks.trim_start_matches("; ");
    let (text, colour) = if visit.other_axes.is_empty() {
        (remarks.to_owned(), tokens.soft)
    } else {
        let text = format!("axes: {}  {remarks}", visit.other_axes);
        (text, tokens.look_again)
    };
    if text.trim().is_empty() {
        return;
    }
    let cell = RichText::new(&text).size(size::SECONDARY).color(colour);
    cell_ui(ui, widths.remarks, cell).on_hover_text(&text);
}

/// A path that keeps its beginning and its end, which tell apart what lies in folders alike.
fn shortened_in_middle(path: &str, most: usize) -> String {
    let path = path.strip_suffix(STUDY_ENDING).unwrap_or(path);
    let length = path.chars().count();
    if length <= most {
        return path.to_owned();
    }
    let kept = most.saturating_sub(1);
    let beginning: String = path.chars().take(kept.div_ceil(2)).collect();
    let end: String = path.chars().skip(length - kept / 2).collect();
    format!("{beginning}…{end}")
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
}

/// Where the index lies, and another place for it.
fn index_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let kept = &workbench.settings().series_index;
    let place = if kept.address.is_empty() {
        "in this user's cache".to_owned()
    } else {
        kept.address.clone()
    };
    CollapsingHeader::new(widgets::soft(ui, format!("Index: {place}")))
        .id_salt("index of series")
        .show(ui, |ui| {
            let about = "Numbers are read from the files once and kept in an index, which can always be made anew. \
                         Workstations that share a series share one in PostgreSQL; its password is taken from \
                         PGPASSWORD and never kept.";
            ui.add(Label::new(widgets::soft(ui, about)).wrap());
            let index = state.series_index.get_or_insert_with(|| kept.clone());
            for (name, hint, text) in [
                (
                    "Address of the index",
                    "this user's cache, or postgresql://user@host/database",
                    &mut index.address,
                ),
                (
                    "Name of the series in it",
                    "the folder's path",
                    &mut index.series,
                ),
            ] {
                ui.label(widgets::soft(ui, name));
                let field = TextEdit::singleline(text)
                    .hint_text(hint)
                    .desired_width(f32::INFINITY);
                let response = ui.add(field);
                response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
            }
            let chosen = Command::Series(SeriesCommand::KeepIndex(index.clone()));
            widgets::text_action(ui, "Use this index", chosen, commands);
        });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_path_keeps_its_beginning_and_its_end() {
        for (path, most, shown) in [
            ("one/ap.study.ron", 20, "one/ap"),
            ("patient-0001/left-ap.dcm.study.ron", 11, "patie…p.dcm"),
            ("ä/ö/ü/ß.study.ron", 3, "ä…ß"),
        ] {
            assert_eq!(shortened_in_middle(path, most), shown, "{path}");
        }
    }
}
