//! The feet of a practice set, who practises, and how far.

use egui::{
    CentralPanel, Frame, Grid, Label, Margin, Panel, RichText, Role, ScrollArea, TextEdit, Ui,
    WidgetInfo,
};
use plumbray_practise::{PastAttempt, PracticeFoot};

use super::{
    super::{WindowState, small_pictures::SmallPictures, theme, theme::size, widgets},
    lesson::duration,
    next_ui,
    progress::progress_ui,
};
use crate::workbench::{Command, PracticeCommand, Practising, Workbench};

/// Width of the panel with the progress in points.
const PANEL: f32 = 396.0;

/// Draws the overview.
pub(in super::super) fn overview_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    // No set is being made: its pictures are let go.
    state.practise.pictures = SmallPictures::default();
    Panel::right("practice progress")
        .exact_size(PANEL.min(ui.available_width() * 0.5))
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            Panel::bottom("next foot")
                .frame(
                    Frame::new()
                        .fill(tokens.raised)
                        .inner_margin(Margin::symmetric(16, 12)),
                )
                .resizable(false)
                .show(ui, |ui| next_ui(ui, workbench, practising, commands));
            CentralPanel::no_frame()
                .frame(Frame::new().inner_margin(Margin::symmetric(16, 12)))
                .show(ui, |ui| {
                    ScrollArea::vertical()
                        .id_salt("progress")
                        .auto_shrink(false)
                        .show(ui, |ui| {
                            who_ui(ui, workbench, practising, state, commands);
                            progress_ui(
                                ui,
                                practising.resident().progress(),
                                &practising.set().defaults,
                            );
                            kept_ui(ui, practising, commands);
                        });
                });
        });
    CentralPanel::no_frame()
        .frame(
            Frame::new()
                .fill(tokens.desk)
                .inner_margin(Margin::symmetric(24, 18)),
        )
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("feet of the set")
                .auto_shrink(false)
                .show(ui, |ui| set_ui(ui, workbench, practising, commands));
        });
}

fn who_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    ui.label(widgets::heading(ui, "Who practises"));
    let kept = &practising.resident().progress().resident;
    let name = &mut state.practise.name;
    let mut text = name.clone().unwrap_or_else(|| kept.clone());
    let field = TextEdit::singleline(&mut text)
        .hint_text("Name or initials")
        .char_limit(60)
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, "Who practises"));
    if response.changed() {
        // At once: whoever types a name and takes a foot has given it.
        commands.push(Command::Practise(PracticeCommand::As(text.clone())));
    }
    *name = response.has_focus().then_some(text);
    if !practising.is_named() {
        let tokens = theme::tokens(ui);
        let ask = RichText::new("Give a name or initials first: what you do is kept under it.");
        ui.add(Label::new(ask.size(size::SECONDARY).color(tokens.look_again)).wrap());
    }
    if !practising.begun().is_empty() {
        ui.add_space(8.0);
        let text = format!(
            "Begun and not handed in: {}.",
            practising.begun().join(", ")
        );
        ui.add(Label::new(text).wrap());
        let resume = Command::Practise(PracticeCommand::Resume);
        widgets::small_button(ui, workbench, "Go on with the latest", resume, commands);
    }
}

/// Where everything lies, and how it is deleted.
fn kept_ui(ui: &mut Ui, practising: &Practising, commands: &mut Vec<Command>) {
    if practising.resident().progress().attempts.is_empty() {
        ui.add_space(10.0);
        let text =
            "No foot was handed in under this name yet. What you do is kept on this computer only.";
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    }
    ui.add_space(12.0);
    let folder = practising.resident().folder().display().to_string();
    ui.add(
        Label::new(
            widgets::soft(ui, format!("Kept on this computer only: {folder}")).size(size::SMALLEST),
        )
        .wrap(),
    );
    ui.menu_button(RichText::new("Delete it…").size(size::SECONDARY), |ui| {
        ui.label("Every attempt and the progress of this name are deleted.");
        let delete = Command::Practise(PracticeCommand::DeleteProgress);
        if ui.button("Delete for good").clicked() {
            commands.push(delete);
            ui.close();
        }
    });
}

fn set_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    commands: &mut Vec<Command>,
) {
    let set = practising.set();
    ui.horizontal_wrapped(|ui| {
        ui.label(
            RichText::new(&set.name)
                .size(22.0)
                .family(theme::semibold()),
        );
        let other = Command::Practise(PracticeCommand::AskForSet);
        widgets::text_action(ui, "Another set…", other, commands);
        let make = Command::Practise(PracticeCommand::MakeSet);
        widgets::text_action(ui, "Make a set…", make, commands);
    });
    ui.add(
        Label::new(widgets::soft(
            ui,
            format!("{} feet, made by {}", set.feet.len(), set.made_by),
        ))
        .wrap(),
    );
    let limits: Vec<String> = set
        .defaults
        .limits
        .iter()
        .map(|limit| {
            let name = limit.measurement.name().to_lowercase();
            format!("the {name} is off by more than {:.0}°", limit.largest)
        })
        .collect();
    if !limits.is_empty() {
        let text = format!("A foot counts as missed where {}.", limits.join(" or "));
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
    }
    ui.add_space(12.0);
    Grid::new("feet")
        .num_columns(5)
        .spacing([24.0, 8.0])
        .striped(false)
        .show(ui, |ui| {
            for heading in ["", "difficulty", "tried", "last", ""] {
                ui.label(widgets::soft(ui, heading));
            }
            ui.end_row();
            for foot in &set.feet {
                foot_ui(ui, workbench, practising, foot, commands);
                ui.end_row();
            }
        });
}

fn foot_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    foot: &PracticeFoot,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let attempts: Vec<&PastAttempt> = practising
        .resident()
        .progress()
        .attempts
        .iter()
        .filter(|attempt| attempt.set == practising.set().name && attempt.foot == foot.identifier)
        .collect();
    ui.label(RichText::new(&foot.identifier).family(theme::semibold()));
    let reasons: Vec<&str> = foot
        .difficulty
        .reasons
        .iter()
        .map(|reason| reason.name())
        .collect();
    let difficulty = match reasons.as_slice() {
        [] => foot.difficulty.grade.name().to_owned(),
        reasons => format!("{}: {}", foot.difficulty.grade.name(), reasons.join(", ")),
    };
    ui.label(widgets::soft(ui, difficulty));
    let is_begun = practising.begun().contains(&foot.identifier.as_str());
    let tried = match attempts.len() {
        _ if is_begun => "begun".to_owned(),
        0 => "not yet".to_owned(),
        1 => "once".to_owned(),
        many => format!("{many} times"),
    };
    ui.label(widgets::soft(ui, tried));
    match attempts.last() {
        None => ui.label(""),
        Some(last) => {
            let (words, colour) = if last.missed {
                ("missed", tokens.bad)
            } else {
                ("within limits", tokens.good)
            };
            ui.label(RichText::new(words).size(size::SECONDARY).color(colour))
                .on_hover_text(format!(
                    "{}, in {}",
                    last.when.date(),
                    duration(last.seconds)
                ))
        }
    };
    let take = Command::Practise(PracticeCommand::Take(foot.identifier.clone()));
    let text = if is_begun { "Go on" } else { "Take it" };
    widgets::small_button(ui, workbench, text, take, commands);
}
