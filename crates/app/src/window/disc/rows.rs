//! The list of a disc: only the rows on the screen are drawn, so that a thousand films cost no more than ten.

use egui::{Label, Rect, RichText, ScrollArea, Ui, UiBuilder, pos2, vec2};
use plumbray_film::{PatientIdentity, SeriesSummary, StudySummary};

use super::{command, film_row};
use crate::{
    disc::words::{patient_facts, patient_name, series_words, study_words},
    window::{small_pictures::SmallPictures, theme, theme::size, widgets},
    workbench::{Command, DiscCommand, DiscListing, DiscRow, OpenDisc},
};

/// How far a study and a series stand in from their patient, in points.
const STEP_IN: f32 = 16.0;

/// Height of a row in points.
const fn height(row: DiscRow) -> f32 {
    match row {
        DiscRow::Patient(_) => 36.0,
        DiscRow::Study(_) => 26.0,
        DiscRow::Series(_) => 24.0,
        DiscRow::Film(_) => film_row::HEIGHT,
    }
}

/// Draws the list, and tells which films are on the screen.
pub(super) fn rows_ui(
    ui: &mut Ui,
    disc: &OpenDisc,
    listing: &DiscListing,
    state: &mut SmallPictures<usize>,
    commands: &mut Vec<Command>,
) {
    let rows = disc.rows();
    let whole: f32 = rows.iter().copied().map(height).sum();
    let mut in_view = Vec::new();
    ScrollArea::vertical()
        .id_salt("films of the disc")
        .auto_shrink(false)
        .show_viewport(ui, |ui, viewport| {
            ui.set_height(whole);
            let corner = ui.max_rect().min;
            let width = ui.available_width();
            let mut top = 0.0;
            for row in rows.iter().copied() {
                let (above, high) = (top, height(row));
                top += high;
                if top < viewport.top() {
                    continue;
                }
                if above > viewport.bottom() {
                    break;
                }
                let place = pos2(corner.x, corner.y + above);
                let place = Rect::from_min_size(place, vec2(width, high));
                let mut own = ui.new_child(UiBuilder::new().max_rect(place).id_salt(row_id(row)));
                if let DiscRow::Film(film) = row {
                    in_view.push(film);
                }
                // A click on a word is a click on its row.
                own.style_mut().interaction.selectable_labels = false;
                row_ui(&mut own, disc, listing, row, state, commands);
            }
        });
    if in_view != disc.in_view() {
        commands.push(command(DiscCommand::InView(in_view)));
    }
}

const fn row_id(row: DiscRow) -> (u8, usize) {
    match row {
        DiscRow::Patient(film) => (0, film),
        DiscRow::Study(film) => (1, film),
        DiscRow::Series(film) => (2, film),
        DiscRow::Film(film) => (3, film),
    }
}

fn row_ui(
    ui: &mut Ui,
    disc: &OpenDisc,
    listing: &DiscListing,
    row: DiscRow,
    state: &mut SmallPictures<usize>,
    commands: &mut Vec<Command>,
) {
    let (DiscRow::Patient(film)
    | DiscRow::Study(film)
    | DiscRow::Series(film)
    | DiscRow::Film(film)) = row;
    let Some((patient, study, series, _)) = listing.film(film) else {
        return;
    };
    match row {
        DiscRow::Patient(_) => patient_ui(ui, &patient.identity),
        DiscRow::Study(_) => study_ui(ui, &study.about),
        DiscRow::Series(_) => series_ui(ui, &series.about),
        DiscRow::Film(_) => film_row::film_ui(ui, disc, listing, film, state, commands),
    }
}

fn patient_ui(ui: &mut Ui, identity: &PatientIdentity) {
    let tokens = theme::tokens(ui);
    ui.painter().hline(
        ui.max_rect().x_range(),
        ui.max_rect().top() + 4.0,
        egui::Stroke::new(1.0, tokens.line),
    );
    ui.horizontal_centered(|ui| {
        let name = RichText::new(patient_name(identity)).size(size::PROMPT);
        ui.add(Label::new(name.family(theme::semibold()).color(tokens.ink)).truncate());
        let facts = widgets::soft(ui, patient_facts(identity));
        ui.add(Label::new(facts).truncate());
    });
}

fn study_ui(ui: &mut Ui, study: &StudySummary) {
    let words = RichText::new(study_words(study)).size(size::BODY);
    stepped_in(
        ui,
        1.0,
        words.family(theme::medium()).color(theme::tokens(ui).ink),
    );
}

fn series_ui(ui: &mut Ui, series: &SeriesSummary) {
    stepped_in(ui, 2.0, widgets::soft(ui, series_words(series)));
}

fn stepped_in(ui: &mut Ui, steps: f32, text: RichText) {
    ui.horizontal_centered(|ui| {
        ui.add_space(STEP_IN * steps);
        ui.add(Label::new(text).truncate());
    });
}
