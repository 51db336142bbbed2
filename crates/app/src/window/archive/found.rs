//! The studies that an archive has.

use egui::{Button, Label, RichText, Role, ScrollArea, Ui, WidgetInfo, vec2};
use plumbray_archive::{FoundSeries, FoundStudies, FoundStudy, WantedFilms};

use crate::{
    disc::words::joined,
    window::{theme, theme::size, widgets},
    words::counted,
    workbench::{ArchiveCommand, ArchivePage, Command, ListedSeries},
};

/// Height of a row in points.
const ROW: f32 = 26.0;
/// Least widths of the columns before the button, in points: day, patient, number, description, modalities, objects.
const COLUMNS: [f32; 6] = [82.0, 150.0, 100.0, 150.0, 98.0, 60.0];
/// How the room that is left is shared between the columns.
const SHARES: [f32; 6] = [0.0, 0.4, 0.15, 0.45, 0.0, 0.0];
/// Width of the buttons in points.
const BUTTONS: f32 = 124.0;

/// One line of the list.
enum Row<'a> {
    Study(&'a FoundStudy),
    Series(&'a FoundStudy, &'a FoundSeries),
    /// The study has no series.
    Nothing,
}

/// The studies, and under the one of which they were asked for its series.
fn rows<'a>(found: &'a FoundStudies, listed: Option<&'a ListedSeries>) -> Vec<Row<'a>> {
    let mut rows = Vec::new();
    for study in &found.studies {
        rows.push(Row::Study(study));
        let listed = listed.filter(|listed| listed.study == study.study);
        if let Some(ListedSeries { series, .. }) = listed {
            rows.extend(series.iter().map(|one| Row::Series(study, one)));
            if series.is_empty() {
                rows.push(Row::Nothing);
            }
        }
    }
    rows
}

/// Draws a row for each study, and one for each series of the study of which they were asked for.
pub(super) fn found_ui(
    ui: &mut Ui,
    found: &FoundStudies,
    page: &ArchivePage,
    commands: &mut Vec<Command>,
) {
    let listed = page.series();
    if !found.is_complete {
        let text = "The archive has more; narrow the question down.";
        let text = RichText::new(text).size(size::SECONDARY);
        ui.label(text.color(theme::tokens(ui).look_again));
    }
    if found.studies.is_empty() {
        ui.label(widgets::soft(ui, "The archive has no such study."));
        return;
    }
    let taken = COLUMNS.iter().sum::<f32>() + BUTTONS + 8.0 * ui.spacing().item_spacing.x;
    let left = (ui.available_width() - taken - 12.0).max(0.0);
    let mut widths = COLUMNS;
    for (width, share) in widths.iter_mut().zip(SHARES) {
        *width += left * share;
    }
    let rows = rows(found, listed);
    ScrollArea::horizontal()
        .id_salt("columns of studies")
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                let names = ["day", "patient", "number", "study", "modality", "objects"];
                for (name, width) in names.into_iter().zip(widths) {
                    cell_ui(ui, width, widgets::soft(ui, name));
                }
            });
            ScrollArea::vertical()
                .id_salt("studies")
                .auto_shrink(false)
                .show_rows(ui, ROW, rows.len(), |ui, shown| {
                    for row in &rows[shown] {
                        match row {
                            Row::Study(study) => {
                                study_ui(ui, study, page, widths, commands);
                            }
                            Row::Series(study, series) => {
                                series_ui(ui, study, series, widths, commands);
                            }
                            Row::Nothing => nothing_ui(ui, widths),
                        }
                    }
                });
        });
}

fn study_ui(
    ui: &mut Ui,
    study: &FoundStudy,
    page: &ArchivePage,
    widths: [f32; 6],
    commands: &mut Vec<Command>,
) {
    let listed = page.series();
    let is_listed = listed.is_some_and(|listed| listed.study == study.study);
    let is_fetched = page.has_fetched(&study.study);
    let said = |text: &Option<String>| text.clone().unwrap_or_default();
    let objects = study.objects.map(|objects| objects.to_string());
    let cells = [
        study.date.map(|day| day.to_string()).unwrap_or_default(),
        said(&study.patient_name),
        said(&study.patient_id),
        said(&study.description),
        study.modalities.join(" "),
        objects.unwrap_or_default(),
    ];
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        for (text, width) in cells.iter().zip(widths) {
            cell_ui(ui, width, RichText::new(text).size(size::SECONDARY));
        }
        let whose = whose(study);
        let fetch = WantedFilms::of_study(study.study.clone());
        let fetch = ArchiveCommand::AskWhereToFetch(fetch);
        button_ui(
            ui,
            if is_fetched { "Again…" } else { "Fetch…" },
            &format!("Fetch the films of {whose}"),
            fetch,
            commands,
        );
        if is_listed {
            let name = format!("Hide the series of {whose}");
            button_ui(ui, "Hide", &name, ArchiveCommand::HideSeries, commands);
        } else {
            let list = ArchiveCommand::ListSeries(study.study.clone());
            button_ui(
                ui,
                "Series",
                &format!("List the series of {whose}"),
                list,
                commands,
            );
        }
    });
}

/// Whose study it is and of which day.
fn whose(study: &FoundStudy) -> String {
    let name = study.patient_name.as_deref().unwrap_or_default();
    let day = study.date.map(|day| day.to_string()).unwrap_or_default();
    format!("{name}, {day}")
}

/// A series under its study, from the column of patients on.
fn series_ui(
    ui: &mut Ui,
    study: &FoundStudy,
    series: &FoundSeries,
    widths: [f32; 6],
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        let words = series_words(series);
        let text = RichText::new(&words).size(size::SECONDARY);
        series_cell_ui(ui, widths, text.color(theme::tokens(ui).soft));
        let films = WantedFilms::of_series(study.study.clone(), series.series.clone());
        let fetch = ArchiveCommand::AskWhereToFetch(films);
        let name = format!("Fetch {words} of {}", whose(study));
        button_ui(ui, "Fetch…", &name, fetch, commands);
    });
}

fn nothing_ui(ui: &mut Ui, widths: [f32; 6]) {
    ui.horizontal(|ui| {
        ui.set_height(ROW);
        let text = widgets::soft(ui, "The archive lists no series of this study.");
        series_cell_ui(ui, widths, text);
    });
}

fn series_cell_ui(ui: &mut Ui, widths: [f32; 6], text: RichText) {
    ui.add_space(widths[0] + ui.spacing().item_spacing.x);
    let between = 4.0 * ui.spacing().item_spacing.x;
    cell_ui(ui, widths[1..].iter().sum::<f32>() + between, text);
}

fn button_ui(
    ui: &mut Ui,
    text: &str,
    name: &str,
    command: ArchiveCommand,
    commands: &mut Vec<Command>,
) {
    let button = ui.add(Button::new(RichText::new(text).size(size::SECONDARY)));
    button.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    if button.clicked() {
        commands.push(Command::Archive(command));
    }
}

/// A series in a few words: its number, how it was taken, of which part of the body, what it is called, and how much it
/// holds.
fn series_words(series: &FoundSeries) -> String {
    let number = series.number.map(|number| format!("Series {number}"));
    let side = series
        .laterality
        .as_deref()
        .and_then(|letter| match letter {
            "L" => Some("left"),
            "R" => Some("right"),
            _ => None,
        });
    joined(&[
        number.unwrap_or_else(|| "Series".to_owned()),
        series.modality.clone().unwrap_or_default(),
        series.body_part.clone().unwrap_or_default(),
        side.unwrap_or_default().to_owned(),
        series.description.clone().unwrap_or_default(),
        held_words(series),
    ])
}

/// How many films a series holds, or objects where they are none.
fn held_words(series: &FoundSeries) -> String {
    let modality = series.modality.as_deref().unwrap_or_default();
    // Reports, presentation states, documents, and notes about objects (PS3.3 C.7.3.1.1.1).
    if matches!(modality, "SR" | "PR" | "DOC" | "KO") {
        counted(series.films.len(), "object", "objects")
    } else {
        counted(series.films.len(), "film", "films")
    }
}

fn cell_ui(ui: &mut Ui, width: f32, text: RichText) {
    widgets::cell(ui, vec2(width, ROW), Label::new(text).truncate());
}
