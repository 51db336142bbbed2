//! A supervisor makes a practice set of studies: which of them, what the set is called, where it is written.

use std::{path::PathBuf, time::Duration};

use egui::{
    Button, CentralPanel, Frame, Label, Margin, Panel, RichText, Role, ScrollArea, TextEdit, Ui,
    WidgetInfo,
};
use plumbray_practise::BURNT_IN;

use super::{
    super::{WindowState, theme, theme::size, widgets},
    making_film::film_ui,
    making_studies::{ROW, study_ui},
};
use crate::workbench::{Command, MakingCommand, PracticeCommand, SetInMaking, Workbench};

/// Width of the panel with what the set is to be, in points.
const PANEL: f32 = 396.0;
/// How often the window looks how far work has come.
const GLANCE: Duration = Duration::from_millis(100);

pub(super) fn make(command: MakingCommand) -> Command {
    Command::Practise(PracticeCommand::Make(command))
}

/// What the prompt line says while a set is made.
pub(super) fn prompt(making: &SetInMaking) -> (String, String) {
    let prompt = making
        .work_under_way()
        .map(|work| format!("{work}…"))
        .or_else(|| making.what_is_missing())
        .unwrap_or_else(|| "Everything is said. Write the set.".to_owned());
    let help = if making.looked_at.is_some() {
        "Wheel zooms, a drag moves the film, a drag with the right button changes its greys."
    } else {
        "Of each film only the grey picture is copied: no name, no date, not the names of its files."
    };
    (prompt, help.to_owned())
}

/// Draws the page on which a set is made.
pub(in super::super) fn making_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    if making.work_under_way().is_some() {
        ui.ctx().request_repaint_after(GLANCE);
    }
    let padded = |fill| {
        Frame::new()
            .fill(fill)
            .inner_margin(Margin::symmetric(16, 12))
    };
    Panel::right("set in making")
        .exact_size(PANEL.min(ui.available_width() * 0.5))
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            Panel::bottom("write the set")
                .frame(padded(tokens.raised))
                .resizable(false)
                .show(ui, |ui| write_ui(ui, workbench, making, commands));
            CentralPanel::no_frame()
                .frame(padded(tokens.panel))
                .show(ui, |ui| {
                    ScrollArea::vertical()
                        .id_salt("what the set is to be")
                        .auto_shrink(false)
                        .show(ui, |ui| fields_ui(ui, workbench, making, state, commands));
                });
        });
    if let Some(film) = &making.looked_at {
        film_ui(ui, making, film, &mut state.compare_painters[0], commands);
        return;
    }
    CentralPanel::no_frame()
        .frame(padded(tokens.desk))
        .show(ui, |ui| studies_ui(ui, making, state, commands));
}

fn fields_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    ui.label(widgets::heading(ui, "Make a practice set"));
    let text = "From studies that you traced. Your tracing becomes the reference by which attempts are judged.";
    ui.add(Label::new(widgets::soft(ui, text)).wrap());
    folder_ui(ui, workbench, making, &mut state.practise.folder, commands);
    if let Some(name) = field_ui(
        ui,
        "Name of the set",
        "Feet of the spring course",
        &making.name,
    ) {
        commands.push(make(MakingCommand::Name(name)));
    }
    let who = &making.supervisor;
    if let Some(name) = field_ui(ui, "Who makes the set", "Name of the supervisor", who) {
        commands.push(make(MakingCommand::Supervisor(name)));
    }
    if let Some(target) = field_ui(ui, "Where to write it", "A new folder", &making.target) {
        commands.push(make(MakingCommand::Where(target)));
    }
    let ask = make(MakingCommand::AskWhere);
    widgets::small_button(ui, workbench, "Choose where…", ask, commands);
    ui.add_space(8.0);
    let mut snapping = making.snapping;
    if ui
        .checkbox(&mut snapping, "residents begin with snapping")
        .on_hover_text(
            "Points move to the nearest edge. Each resident can choose otherwise for a foot.",
        )
        .changed()
    {
        commands.push(make(MakingCommand::Snapping(snapping)));
    }
    ui.add_space(8.0);
    let tokens = theme::tokens(ui);
    let warning = RichText::new(BURNT_IN).size(size::SECONDARY);
    ui.add(Label::new(warning.color(tokens.look_again)).wrap());
    ui.add_space(4.0);
    let difficulty = "How hard a foot is to read is not in a study; each counts as easy.";
    ui.add(Label::new(widgets::soft(ui, difficulty).size(size::SMALLEST)).wrap());
}

/// Where the studies lie; the folder is read when the field is left.
fn folder_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    typed: &mut Option<String>,
    commands: &mut Vec<Command>,
) {
    let kept = making.folder.as_ref();
    let kept = kept.map_or_else(String::new, |folder| folder.display().to_string());
    let mut text = typed.clone().unwrap_or_else(|| kept.clone());
    ui.add_space(8.0);
    let name = "Folder of the studies";
    ui.label(widgets::soft(ui, name));
    let field = TextEdit::singleline(&mut text)
        .hint_text("A folder with studies in it or below it")
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
    if response.lost_focus() && !text.trim().is_empty() && text.trim() != kept {
        let folder = PathBuf::from(text.trim());
        commands.push(make(MakingCommand::ReadStudies(folder)));
    }
    *typed = response.has_focus().then_some(text);
    let ask = make(MakingCommand::AskForStudies);
    widgets::small_button(ui, workbench, "Choose the folder…", ask, commands);
}

/// A field with its name above it; gives the text when it was changed.
fn field_ui(ui: &mut Ui, name: &str, hint: &str, kept: &str) -> Option<String> {
    ui.add_space(8.0);
    ui.label(widgets::soft(ui, name));
    let mut text = kept.to_owned();
    let field = TextEdit::singleline(&mut text)
        .hint_text(hint)
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
    response.changed().then_some(text)
}

fn write_ui(ui: &mut Ui, workbench: &Workbench, making: &SetInMaking, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let feet = making.taken().count();
    let heading = match feet {
        0 => "No foot yet".to_owned(),
        1 => "A set of 1 foot".to_owned(),
        feet => format!("A set of {feet} feet"),
    };
    ui.label(widgets::heading(ui, heading));
    let state = making
        .work_under_way()
        .or_else(|| making.what_is_missing())
        .unwrap_or_else(|| "Every film was looked at.".to_owned());
    ui.add(Label::new(widgets::soft(ui, state)).wrap());
    ui.add_space(6.0);
    ui.horizontal_wrapped(|ui| {
        let write = make(MakingCommand::Write);
        let text = RichText::new("Write the set").color(tokens.on_accent);
        let button = Button::new(text).fill(tokens.accent);
        if ui
            .add_enabled(write.is_possible(workbench), button)
            .clicked()
        {
            commands.push(write);
        }
        if let Some((place, view)) = making.next_to_look_at(None) {
            let look = make(MakingCommand::LookAt(place, view));
            widgets::small_button(ui, workbench, "Look at the next film", look, commands);
        }
        widgets::text_action(ui, "Leave", make(MakingCommand::Leave), commands);
    });
}

fn studies_ui(
    ui: &mut Ui,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let Some(studies) = &making.studies else {
        let text = match making.work_under_way() {
            Some(work) => format!("{work}…"),
            None => "Choose the folder of the studies at the right. Each study in it and below it is shown here with \
                     what it offers."
                .to_owned(),
        };
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    };
    let fit = studies.iter().filter(|own| own.fitness.refusal.is_none());
    let count = format!("{} of {} studies can serve", fit.count(), studies.len());
    ui.label(widgets::heading(ui, count));
    ui.add_space(6.0);
    ScrollArea::vertical()
        .id_salt("studies of the set")
        .auto_shrink(false)
        .show_rows(ui, ROW, studies.len(), |ui, rows| {
            let first = rows.start;
            for (index, study) in studies[rows].iter().enumerate() {
                let pictures = &mut state.practise.pictures;
                study_ui(ui, (first + index, study), pictures, commands);
            }
        });
}
