//! The page on which a reader says what is exported for an archive, and with whose name.

use egui::{RichText, ScrollArea, Ui, vec2};
use plumbray_anatomy::Side;
use plumbray_report::ChosenObjects;

use super::{
    caution::CAUTION,
    film_letters::{LettersState, letters_ui},
    theme, widgets,
};
use crate::workbench::{Command, ExportCommand, Workbench};

/// Width of the choices in points.
const CHOICES: f32 = 400.0;
/// The choices never take a larger share of the page than this.
const MOST_OF_WIDTH: f32 = 0.45;
/// Room between choices and film in points.
const BETWEEN: f32 = 16.0;
/// The widest page with films in points: wider, a film of usual shape would not become larger.
const WIDEST: f32 = 1560.0;
/// Room above and below the page in points.
const AROUND: f32 = 84.0;

/// The width of the page in points, where the window has the room: the films stand on it where letters are looked for.
pub(super) fn width(workbench: &Workbench) -> f32 {
    if workbench.view().export.without_identity {
        WIDEST
    } else {
        520.0
    }
}

/// Draws the page: which objects, whom they name, the films with boxes over letters, and where the objects go.
pub(super) fn export_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    letters: &mut LettersState,
    commands: &mut Vec<Command>,
) {
    let height = (ui.ctx().content_rect().height() - AROUND).max(0.0);
    let scrolled = |ui: &mut Ui, commands: &mut Vec<Command>| {
        ScrollArea::vertical()
            .id_salt("what is exported")
            .max_height(height)
            // The page that was open before, however low, does not say how high this one is.
            .min_scrolled_height(height)
            .show(ui, |ui| choices_ui(ui, workbench, commands));
    };
    if !workbench.view().export.without_identity {
        scrolled(ui, commands);
        return;
    }
    let choices = CHOICES.min(ui.available_width() * MOST_OF_WIDTH);
    ui.horizontal_top(|ui| {
        ui.allocate_ui(vec2(choices, height), |ui| {
            ui.set_width(choices);
            ui.vertical(|ui| scrolled(ui, commands));
        });
        ui.add_space(BETWEEN);
        let room = vec2(ui.available_width(), height);
        ui.allocate_ui(room, |ui| {
            ui.vertical(|ui| letters_ui(ui, workbench, letters, commands));
        });
    });
}

fn choices_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    ui.label(widgets::heading(ui, "Export as DICOM"));
    ui.add_space(6.0);
    objects_ui(ui, workbench, commands);
    ui.add_space(8.0);
    identity_ui(ui, workbench, commands);
    ui.add_space(8.0);
    side_ui(ui, workbench, commands);
    ui.label(RichText::new(CAUTION).color(theme::tokens(ui).look_again));
    ui.add_space(8.0);
    destinations_ui(ui, workbench, commands);
}

fn objects_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let mut chosen: ChosenObjects = workbench.view().export.chosen;
    let boxes = [
        (
            &mut chosen.report,
            "Report: every number, with what it stands on",
        ),
        (&mut chosen.drawing, "Drawing: the tracing over each film"),
        (&mut chosen.sheet, "Sheet: the printed sheet, on A4"),
        (
            &mut chosen.picture,
            "Picture: each film with its tracing burnt in",
        ),
        (&mut chosen.film, "Films: the films themselves"),
    ];
    let mut is_changed = false;
    for (is_wanted, what) in boxes {
        is_changed |= ui.checkbox(is_wanted, what).changed();
    }
    if is_changed {
        commands.push(Command::Export(ExportCommand::Choose(chosen)));
    }
}

fn identity_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let choices = &workbench.view().export;
    let may_name = Command::Export(ExportCommand::NamePatient(true)).is_possible(workbench);
    let mut is_named = choices.names_patient && may_name;
    let named = egui::Checkbox::new(&mut is_named, "With the patient on the sheet");
    if ui.add_enabled(may_name, named).changed() {
        commands.push(Command::Export(ExportCommand::NamePatient(is_named)));
    }
    let mut without = choices.without_identity;
    if ui.checkbox(&mut without, "Without identity").changed() {
        commands.push(Command::Export(ExportCommand::WithoutIdentity(without)));
    }
    let about = if choices.without_identity {
        "Names, numbers and days are taken out of everything by the Basic Profile of the DICOM standard. Letters \
         in the picture of a film are found by nobody but you: look at each film, and drag a box over each of \
         them. It is no promise that nobody can be recognised."
    } else {
        "Each object names the patient as the film’s file does, and belongs to the film’s study."
    };
    ui.label(widgets::soft(ui, about));
}

/// What stands in the way while nobody confirmed which foot it is, with the way out.
fn side_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    if !workbench.export_waits_for_side() {
        return;
    }
    let text = "The side is not confirmed, and only the films themselves can leave before it is.";
    ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
    ui.horizontal(|ui| {
        for side in [Side::Right, Side::Left] {
            button_ui(ui, workbench, Command::ConfirmSide(side), commands);
        }
    });
    ui.add_space(8.0);
}

fn destinations_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let archives = &workbench.view().export.archives;
    if !archives.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for archive in archives {
                let send = Command::Export(ExportCommand::Send(archive.clone()));
                button_ui(ui, workbench, send, commands);
            }
        });
    }
    ui.horizontal(|ui| {
        let write = Command::Export(ExportCommand::AskFolder);
        button_ui(ui, workbench, write, commands);
        if ui.button("Close").clicked() {
            commands.push(Command::Show(None));
        }
    });
}

/// A button that leaves the page open: who cancels a dialog comes back to it.
fn button_ui(ui: &mut Ui, workbench: &Workbench, command: Command, commands: &mut Vec<Command>) {
    let is_possible = command.is_possible(workbench);
    let button = egui::Button::new(command.text());
    if ui.add_enabled(is_possible, button).clicked() {
        commands.push(command);
    }
}
