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
    against_ui(ui, workbench, commands);
    letters_wanted_ui(ui, workbench);
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

/// That films leave only after somebody looked for letters on them.
fn letters_wanted_ui(ui: &mut Ui, workbench: &Workbench) {
    if workbench.export_waits_for_letters() {
        let text = "Look at each film for letters that name somebody, and tick that you did: nothing leaves before.";
        ui.label(RichText::new(text).color(theme::tokens(ui).look_again));
        ui.add_space(8.0);
    }
}

/// What the films' files say against the study, and the way on for who looked.
fn against_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let against = workbench.contradictions();
    if against.is_empty() {
        return;
    }
    let colour = theme::tokens(ui).bad;
    for one in &against {
        let text = format!("Look again: {}.", one.text());
        ui.label(RichText::new(text).color(colour));
    }
    let advice = "Look at the films and their markers. Where the study is wrong, correct the side at the top of the window or \
                  exchange the views; where the file is wrong, say so:";
    ui.label(widgets::soft(ui, advice));
    let mut looked = workbench.goes_on_against_films();
    let tick = "I looked at the films: side and views of the study are right";
    if ui.checkbox(&mut looked, tick).changed() {
        commands.push(Command::Export(ExportCommand::FilmsLookedAt(looked)));
    }
    ui.add_space(8.0);
}

fn destinations_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let choices = &workbench.view().export;
    let came_from = workbench.came_from();
    let is_known = |archive: &str| choices.archives.iter().any(|one| one == archive);
    if let Some(archive) = came_from.filter(|archive| !is_known(archive)) {
        let text =
            format!("The films came from {archive}, which is no longer in the list of archives.");
        ui.label(widgets::soft(ui, text));
    } else if let Some(archive) = came_from {
        ui.label(widgets::soft(ui, format!("The films came from {archive}.")));
        let send = Command::Export(ExportCommand::Send(archive.to_owned()));
        let text = RichText::new(format!("Send back to {archive}")).family(theme::semibold());
        ui.horizontal(|ui| worded_button_ui(ui, workbench, text, send, commands));
        ui.add_space(4.0);
    }
    let others = choices.archives.iter();
    let others: Vec<&String> = others
        .filter(|one| Some(one.as_str()) != came_from)
        .collect();
    if !others.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for archive in others {
                let send = Command::Export(ExportCommand::Send(archive.clone()));
                button_ui(ui, workbench, send, commands);
            }
        });
    }
    if choices.without_identity && !choices.archives.is_empty() {
        let text = "An archive gets it as another patient, one without a name.";
        ui.label(widgets::soft(ui, text));
    }
    ui.horizontal(|ui| {
        let write = Command::Export(ExportCommand::AskFolder);
        button_ui(ui, workbench, write, commands);
        if ui.button("Close").clicked() {
            commands.push(Command::Show(None));
        }
    });
}

fn button_ui(ui: &mut Ui, workbench: &Workbench, command: Command, commands: &mut Vec<Command>) {
    let text = RichText::new(command.text());
    worded_button_ui(ui, workbench, text, command, commands);
}

/// A button that leaves the page open: who cancels a dialog comes back to it.
fn worded_button_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    text: RichText,
    command: Command,
    commands: &mut Vec<Command>,
) {
    let is_possible = command.is_possible(workbench);
    let button = egui::Button::new(text);
    if ui.add_enabled(is_possible, button).clicked() {
        commands.push(command);
    }
}
