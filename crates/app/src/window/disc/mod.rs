//! The films of a disc or folder: patients, studies, series and films in one list, and beside it the films that are
//! ticked and what can be done with them.

mod chosen;
mod film_row;
mod rows;

use std::{path::Path, time::Duration};

use egui::{CentralPanel, Label, Panel, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use super::{WindowState, theme, widgets};
use crate::{
    disc::words::films_words,
    workbench::{Command, DiscCommand, OpenDisc, Workbench},
};

/// Width of the panel with the films that are ticked, in points.
const PANEL: f32 = 348.0;
/// How often the window looks how far the listing has come.
const GLANCE: Duration = Duration::from_millis(100);

pub(super) const fn command(command: DiscCommand) -> Command {
    Command::Disc(command)
}

/// What the prompt line says of a disc.
pub(super) fn prompt(disc: &OpenDisc) -> (String, String) {
    let named = "Patients’ names are shown on this page only and kept nowhere.";
    let prompt = if let Some(work) = disc.work_under_way() {
        format!("{work}…")
    } else if disc
        .listing()
        .is_none_or(|listing| listing.film_count() == 0)
    {
        "There are no films to open here.".to_owned()
    } else {
        match disc.ticked().len() {
            0 => "Tick the AP and the lateral film of one foot.".to_owned(),
            1 => "Tick the other film of the same foot, or open this one.".to_owned(),
            _ if disc.remarks().is_empty() => "Open the two films.".to_owned(),
            _ => "Check what is said of the two films at the right.".to_owned(),
        }
    };
    (prompt, named.to_owned())
}

/// Draws the disc.
pub(super) fn disc_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    disc: &OpenDisc,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    if disc.work_under_way().is_some() {
        ui.ctx().request_repaint_after(GLANCE);
    }
    state
        .disc
        .forget_all_but(|film| disc.small(*film)?.as_ref().ok());
    Panel::right("films that are ticked")
        .exact_size(PANEL.min(ui.available_width() * 0.4))
        .resizable(false)
        .frame(widgets::padded(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("films that are ticked")
                .auto_shrink(false)
                .show(ui, |ui| {
                    chosen::chosen_ui(ui, workbench, disc, &mut state.disc, commands);
                });
        });
    CentralPanel::no_frame()
        .frame(widgets::padded(tokens.desk))
        .show(ui, |ui| {
            head_ui(ui, workbench, disc, commands);
            match disc.listing() {
                Some(listing) if listing.film_count() > 0 => {
                    filter_ui(ui, disc, commands);
                    if disc.rows().is_empty() {
                        let text = "No film has all these words. Empty the field above to see all.";
                        ui.label(widgets::soft(ui, text));
                    }
                    rows::rows_ui(ui, disc, listing, &mut state.disc, commands);
                }
                Some(_) => {
                    let text = "No film lies in this folder or below it.";
                    ui.label(widgets::soft(ui, text));
                }
                None => unlisted_ui(ui, disc, commands),
            }
        });
}

fn head_ui(ui: &mut Ui, workbench: &Workbench, disc: &OpenDisc, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        let name = RichText::new(folder_name(disc.folder())).size(22.0);
        ui.label(name.family(theme::semibold()))
            .on_hover_text(disc.folder().display().to_string());
        if let Some(listing) = disc.listing() {
            ui.label(widgets::soft(ui, films_words(&listing.disc)));
        }
        for (text, wanted) in [
            ("Another disc or folder…", DiscCommand::Ask),
            ("List again", DiscCommand::ListAgain),
            ("Studies in this folder", DiscCommand::LookForStudies),
            ("Put it away", DiscCommand::Leave),
        ] {
            let wanted = command(wanted);
            if wanted.is_possible(workbench) {
                widgets::text_action(ui, text, wanted, commands);
            }
        }
    });
    ui.add_space(4.0);
}

/// A folder's own name; a disc may be the root of a drive, which has none.
fn folder_name(folder: &Path) -> String {
    match folder.file_name() {
        Some(name) => name.to_string_lossy().into_owned(),
        None => folder.display().to_string(),
    }
}

/// Which films are listed; they change while one types.
fn filter_ui(ui: &mut Ui, disc: &OpenDisc, commands: &mut Vec<Command>) {
    let mut text = disc.filter().to_owned();
    let field = TextEdit::singleline(&mut text)
        .hint_text("Only films with these words: a name, a day, a description, left, lateral…")
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Which films are listed"));
    if response.changed() {
        commands.push(command(DiscCommand::Filter(text)));
    }
    ui.add_space(8.0);
}

/// While the disc is being listed, and where it could not be.
fn unlisted_ui(ui: &mut Ui, disc: &OpenDisc, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    if let Some(work) = disc.work_under_way() {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.label(format!("{work}…"));
            if ui.button("Stop").clicked() {
                commands.push(command(DiscCommand::Stop));
            }
        });
    } else if let Some(problem) = disc.problem() {
        let text = RichText::new(problem).color(tokens.look_again);
        ui.add(Label::new(text).wrap());
    }
}
