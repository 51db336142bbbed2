//! The films that are ticked, what can be done with them, and what else the disc holds.

use egui::{Align, Button, Label, Layout, RichText, Role, TextEdit, Ui, WidgetInfo, vec2};

use super::{command, film_row};
use crate::{
    disc::words::{film_words, others_words, patient_name, problem_lines, study_words},
    window::{small_pictures::SmallPictures, theme, theme::size, widgets},
    workbench::{Command, DiscCommand, DiscListing, OpenDisc, Workbench},
};

/// The largest width and height of a small picture in points.
const PICTURE: f32 = 56.0;
/// Height of a button in points.
const BUTTON: f32 = 36.0;
/// Said where the films lie in a place that cannot be written.
const CANNOT_BE_WRITTEN: &str = "Nothing can be written where these films lie. Copied into a folder, films and \
    tracings stay together. Opened here, what you trace is kept among this user’s own files.";
/// Said of copies.
const COPIES: &str = "Copies are named by view and a number, without the patient’s name; no other file is overwritten. \
    What is in them stays as it is, with the patient’s name.";

/// Draws the panel.
pub(super) fn chosen_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    disc: &OpenDisc,
    state: &mut SmallPictures<usize>,
    commands: &mut Vec<Command>,
) {
    ui.label(widgets::heading(ui, "One foot"));
    let Some(listing) = disc.listing() else {
        let text = "Once the films are listed, the two of one foot are ticked and opened here.";
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    };
    if listing.film_count() > 0 {
        ticked_ui(ui, disc, listing, state, commands);
        ui.add_space(8.0);
        open_ui(ui, workbench, disc, listing, commands);
    }
    ui.add_space(16.0);
    rest_ui(ui, listing);
}

fn ticked_ui(
    ui: &mut Ui,
    disc: &OpenDisc,
    listing: &DiscListing,
    state: &mut SmallPictures<usize>,
    commands: &mut Vec<Command>,
) {
    if disc.ticked().is_empty() {
        let text = "Tick an AP and a lateral film of one foot, or one of them. Mind the side.";
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    }
    let first = disc.ticked().first().and_then(|film| listing.film(*film));
    if let Some((patient, ..)) = first {
        let name = widgets::soft(ui, patient_name(&patient.identity));
        ui.add(Label::new(name).truncate());
        ui.add_space(4.0);
    }
    for film in disc.ticked() {
        let Some((_, study, _, about)) = listing.film(*film) else {
            continue;
        };
        ui.horizontal(|ui| {
            film_row::picture_ui(ui, disc, *film, PICTURE, state);
            ui.with_layout(Layout::top_down(Align::Min), |ui| {
                let words = RichText::new(film_words(&about.about)).family(theme::semibold());
                ui.add(Label::new(words).truncate());
                let study = widgets::soft(ui, study_words(&study.about));
                ui.add(Label::new(study).truncate());
            });
        });
    }
    let tokens = theme::tokens(ui);
    for remark in disc.remarks() {
        let text = RichText::new(remark).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
    }
    let untick = command(DiscCommand::UntickAll);
    widgets::text_action(ui, "Untick", untick, commands);
}

/// The two ways to open films; copying comes first where nothing can be saved beside them.
fn open_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    disc: &OpenDisc,
    listing: &DiscListing,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let here = (
        if disc.ticked().len() == 1 {
            "Open this film"
        } else {
            "Open these films"
        },
        DiscCommand::OpenTicked,
    );
    let asks = disc.copies().trim().is_empty();
    let copy = (
        if asks {
            "Copy into a folder and open…"
        } else {
            "Copy into this folder and open"
        },
        DiscCommand::CopyAndOpen,
    );
    if listing.can_be_written {
        button_ui(ui, workbench, here, true, commands);
        button_ui(ui, workbench, copy, false, commands);
    } else {
        let text = RichText::new(CANNOT_BE_WRITTEN).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
        ui.add_space(4.0);
        button_ui(ui, workbench, copy, true, commands);
        button_ui(ui, workbench, here, false, commands);
    }
    ui.add_space(4.0);
    let name = "Folder for copies";
    ui.label(widgets::soft(ui, name));
    let mut text = disc.copies().to_owned();
    let field = TextEdit::singleline(&mut text)
        .hint_text("Empty: you are asked")
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
    if response.changed() {
        commands.push(command(DiscCommand::WhereToCopy(text)));
    }
    ui.add(Label::new(widgets::soft(ui, COPIES).size(size::SMALLEST)).wrap());
    if disc.is_copying() {
        ui.horizontal(|ui| {
            ui.spinner();
            ui.label("Copying…");
        });
    }
}

fn button_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    (text, wanted): (&str, DiscCommand),
    is_main: bool,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let wanted = command(wanted);
    let is_possible = wanted.is_possible(workbench);
    let words = RichText::new(text).size(size::HEADING);
    let button = if is_main && is_possible {
        let words = words.family(theme::semibold()).color(tokens.on_accent);
        Button::new(words).fill(tokens.accent)
    } else {
        Button::new(words)
    };
    let button = button.min_size(vec2(ui.available_width(), BUTTON));
    if ui.add_enabled(is_possible, button).clicked() {
        commands.push(wanted);
    }
}

/// What else lies there and what could not be read.
fn rest_ui(ui: &mut Ui, listing: &DiscListing) {
    let tokens = theme::tokens(ui);
    let others = others_words(&listing.disc);
    if !others.is_empty() {
        ui.label(widgets::heading(ui, "Besides"));
        ui.add(Label::new(widgets::soft(ui, others)).wrap());
        ui.add_space(8.0);
    }
    let problems = problem_lines(&listing.disc);
    if problems.is_empty() {
        return;
    }
    ui.label(widgets::heading(ui, "Not listed"));
    for problem in problems {
        let text = RichText::new(problem).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
        ui.add_space(3.0);
    }
}
