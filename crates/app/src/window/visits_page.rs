//! The list of a foot's visits: what each is called, when it was, in which order they stand.

use egui::{Grid, RichText, ScrollArea, TextEdit, Ui};
use plumbray_compare::Occasion;

use super::{theme, theme::size, widgets};
use crate::{
    comparing::VisitOnDisk,
    workbench::{Command, CompareCommand, TimeLineEdit, Workbench},
};

/// Room for a visit's name.
const NAME_WIDTH: f32 = 150.0;

/// A visit's name while it is being written.
#[derive(Clone, Debug)]
pub(crate) struct NameField {
    /// The visit's study.
    study: std::path::PathBuf,
    /// What stands in the field.
    text: String,
}

/// Draws the list.
pub(crate) fn visits_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    names: &mut Vec<NameField>,
    commands: &mut Vec<Command>,
) {
    let Some(comparing) = workbench.comparing() else {
        commands.push(Command::Show(None));
        return;
    };
    let foot = &comparing.edited;
    ui.label(widgets::heading(ui, "The visits of this foot"));
    ui.label(widgets::soft(
        ui,
        "In their order, the first one first. A film from theatre bears no weight: it is shown, and no result \
         is held against it.",
    ));
    if !foot.is_by_days() {
        ui.horizontal(|ui| {
            let word = RichText::new("They are not in the order of their days.");
            let word = word.size(size::SECONDARY);
            ui.label(word.color(theme::tokens(ui).look_again));
            let order = Command::Compare(CompareCommand::Edit(TimeLineEdit::ByDays));
            widgets::text_action(ui, &order.text(), order, commands);
        });
    }
    ui.add_space(8.0);
    let room = ui.ctx().content_rect().height() * 0.5;
    ScrollArea::vertical().max_height(room).show(ui, |ui| {
        Grid::new("visits")
            .num_columns(5)
            .spacing([10.0, 8.0])
            .show(ui, |ui| {
                for (place, visit) in foot.visits.iter().enumerate() {
                    visit_ui(ui, workbench, names, (place, visit), commands);
                }
            });
    });
    ui.add_space(8.0);
    ui.label(
        RichText::new(format!("Changes are kept in {}", foot.time_line.display()))
            .size(size::SMALLEST)
            .color(theme::tokens(ui).faint),
    );
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        let more = CompareCommand::AskForMoreVisits;
        if ui.button(more.text()).clicked() {
            commands.push(Command::Compare(more));
        }
        for step in [Command::Undo, Command::Redo] {
            widgets::small_button(ui, workbench, &step.text(), step, commands);
        }
        if ui.button("Close").clicked() {
            commands.push(Command::Show(None));
        }
    });
}

fn visit_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    names: &mut Vec<NameField>,
    (place, visit): (usize, &VisitOnDisk),
    commands: &mut Vec<Command>,
) {
    let number = place + 1;
    let day = visit.visit().date();
    let day = day.map_or_else(|| "day unknown".to_owned(), |day| day.to_string());
    ui.label(RichText::new(day).size(size::SECONDARY))
        .on_hover_text(visit.path.display().to_string());
    name_ui(ui, names, (place, visit), commands);
    occasion_ui(ui, (place, visit), commands);
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        for (sign, name, edit) in [
            (
                "Up",
                format!("Move visit {number} up"),
                TimeLineEdit::Earlier(place),
            ),
            (
                "Down",
                format!("Move visit {number} down"),
                TimeLineEdit::Later(place),
            ),
            (
                "Take out",
                format!("Take visit {number} out of the list; its files stay"),
                TimeLineEdit::TakeOut(place),
            ),
        ] {
            let command = Command::Compare(CompareCommand::Edit(edit));
            let button = egui::Button::new(sign).min_size(egui::vec2(24.0, 24.0));
            let response = ui.add_enabled(command.is_possible(workbench), button);
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
            if response.on_hover_text(&name).clicked() {
                commands.push(command);
            }
        }
    });
    ui.end_row();
}

fn name_ui(
    ui: &mut Ui,
    names: &mut Vec<NameField>,
    (place, visit): (usize, &VisitOnDisk),
    commands: &mut Vec<Command>,
) {
    let field = match names.iter().position(|field| field.study == visit.path) {
        Some(known) => &mut names[known],
        None => {
            names.push(NameField {
                study: visit.path.clone(),
                text: visit.name.clone().unwrap_or_default(),
            });
            let last = names.len() - 1;
            &mut names[last]
        }
    };
    let by_itself = VisitOnDisk {
        name: None,
        ..visit.clone()
    };
    let edit = TextEdit::singleline(&mut field.text)
        .hint_text(by_itself.visit().name().long)
        .desired_width(NAME_WIDTH)
        .min_size(egui::vec2(NAME_WIDTH, 0.0));
    let response = ui.add(edit);
    response.widget_info(|| {
        let name = format!("Name of visit {}", place + 1);
        egui::WidgetInfo::labeled(egui::Role::TextInput, true, name)
    });
    let kept = visit.name.clone().unwrap_or_default();
    if response.lost_focus() && field.text != kept {
        let edit = TimeLineEdit::Name(place, field.text.clone());
        commands.push(Command::Compare(CompareCommand::Edit(edit)));
    } else if !response.has_focus() {
        // The name may have been taken back.
        field.text = kept;
    }
}

fn occasion_ui(ui: &mut Ui, (place, visit): (usize, &VisitOnDisk), commands: &mut Vec<Command>) {
    let now = visit.visit().occasion;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 2.0;
        for (occasion, word) in [
            (Occasion::Before, "before"),
            (Occasion::InTheatre, "in theatre"),
            (Occasion::After, "after"),
        ] {
            let is_on = occasion == now;
            let response = ui.selectable_label(is_on, word);
            let name = format!("Visit {} {}", place + 1, occasion.name());
            response
                .widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, is_on, &name));
            if response.on_hover_text(&name).clicked() && !is_on {
                let edit = TimeLineEdit::When(place, Some(occasion));
                commands.push(Command::Compare(CompareCommand::Edit(edit)));
            }
        }
    });
}
