//! The table of a series: a line for each visit.

use egui::{Label, Response, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};
use plumbray_study::STUDY_ENDING;

use crate::{
    series::words::{BY_THE_PROGRAM, OF_TRACING_ALONE, PRINTED, VisitWords},
    window::{theme, theme::size, widgets},
    words::shortened_in_middle,
    workbench::{Command, DiscCommand, ListedVisit, Listing, Series, SeriesCommand, SeriesOrder},
};

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

/// Draws the visits, or says why there are none.
pub(super) fn list_ui(
    ui: &mut Ui,
    series: &Series,
    listing: &Listing,
    commands: &mut Vec<Command>,
) {
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

/// How wide the columns of a row are in points.
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
            let label = Label::new(text).truncate().sense(Sense::click());
            let cell = widgets::cell(ui, vec2(width, ROW), label);
            let response = cell.on_hover_text("A click sorts by this");
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
        let fitting = shortened_in_middle(
            visit.name.strip_suffix(STUDY_ENDING).unwrap_or(&visit.name),
            characters,
        );
        let name = RichText::new(fitting).size(size::SECONDARY);
        let button = egui::Button::new(name.color(tokens.accent))
            .frame(false)
            .truncate();
        let response = widgets::cell(ui, vec2(name_width, ROW), button);
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

fn cell_ui(ui: &mut Ui, width: f32, text: RichText) -> Response {
    widgets::cell(ui, vec2(width, ROW), Label::new(text).truncate())
}
