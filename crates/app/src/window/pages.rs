//! Pages over the window: which one is open, the searchable list of actions, and About.

use egui::{Id, Modal, RichText, ScrollArea, Ui};

use super::{
    WindowState, caution::CAUTION, export_page, rows_page, sheet_page, theme, visit_page,
    visits_page, widgets,
};
use crate::workbench::{Command, Overlay, ThemeChoice, Workbench};

/// Draws the page that is open, if any.
pub(crate) fn page_ui(
    ui: &Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let Some(overlay) = workbench.view().overlay else {
        state.search.clear();
        if let Some(fields) = state.visit_fields.take() {
            // What could not be taken over is told where it is read now that the page is gone.
            commands.extend(fields.unfit());
        }
        state.visit_names.clear();
        state.letters.forget();
        return;
    };
    let response = Modal::new(Id::unique("page")).show(ui.ctx(), |ui| {
        let width = match overlay {
            Overlay::Visits => 660.0_f32,
            Overlay::Export => export_page::width(workbench),
            _ => 520.0,
        };
        ui.set_width(width.min(ui.ctx().content_rect().width() - 48.0));
        match overlay {
            Overlay::Actions => actions_ui(ui, workbench, state, commands),
            Overlay::About => about_ui(ui, workbench, state, commands),
            Overlay::Visit => {
                visit_page::visit_ui(ui, workbench, &mut state.visit_fields, commands);
            }
            Overlay::Rows => rows_page::rows_ui(ui, workbench, commands),
            Overlay::Sheet => sheet_page::sheet_ui(ui, workbench, commands),
            Overlay::Export => {
                export_page::export_ui(ui, workbench, &mut state.letters, commands);
            }
            Overlay::Visits => {
                visits_page::visits_ui(ui, workbench, &mut state.visit_names, commands);
            }
        }
    });
    if response.should_close() {
        commands.push(Command::Show(None));
    }
}

fn actions_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let field = egui::TextEdit::singleline(&mut state.search)
        .hint_text("Search all actions")
        .desired_width(f32::INFINITY);
    let field = ui.add(field);
    field.request_focus();
    let wanted = state.search.to_lowercase();
    let found: Vec<Command> = Command::listed()
        .into_iter()
        .filter(|command| command.is_possible(workbench))
        .filter(|command| {
            let text = command.text().to_lowercase();
            wanted.split_whitespace().all(|word| text.contains(word))
        })
        .collect();
    let enter = ui.input(|input| input.key_pressed(egui::Key::Enter));
    let mut chosen = if enter { found.first().cloned() } else { None };
    let room = ui.ctx().content_rect().height() * 0.6;
    ScrollArea::vertical()
        .max_height(room)
        .auto_shrink([false, true])
        .show(ui, |ui| {
            for command in &found {
                let mut button = egui::Button::new(command.text())
                    .frame(false)
                    .min_size(egui::vec2(ui.available_width(), 26.0));
                if let Some(keys) = super::shortcuts::keys_text(ui, command) {
                    button = button.shortcut_text(keys);
                }
                if ui.add(button).clicked() {
                    chosen = Some(command.clone());
                }
            }
            if found.is_empty() {
                ui.label(widgets::soft(
                    ui,
                    "No action has these words, or it is not possible now.",
                ));
            }
        });
    if let Some(command) = chosen {
        commands.push(Command::Show(None));
        commands.push(command);
    }
}

fn about_ui(ui: &mut Ui, workbench: &Workbench, state: &WindowState, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let title = format!("Plumbray {}", env!("CARGO_PKG_VERSION"));
    ui.label(RichText::new(title).size(20.0).family(theme::semibold()));
    ui.label("Measures standing radiographs of the foot.");
    ui.add_space(8.0);
    ui.label(RichText::new(CAUTION).color(tokens.look_again));
    ui.add_space(8.0);
    ui.label(widgets::soft(
        ui,
        "Confirm side and patient. Check that the film was taken standing. A change smaller than the \
         reader’s own error is no change. An AP film shows neither a dorsal or plantar shift nor \
         rotation.",
    ));
    ui.add_space(8.0);
    ui.label(widgets::soft(
        ui,
        format!("Films are drawn {}.", state.how_films_are_drawn(workbench)),
    ));
    ui.label(widgets::soft(
        ui,
        "Typeface: Lato, SIL Open Font Licence 1.1.",
    ));
    ui.add_space(8.0);
    ui.horizontal(|ui| {
        ui.label("Panels");
        for (theme, name) in [
            (ThemeChoice::System, "as the desktop"),
            (ThemeChoice::Dark, "dark"),
            (ThemeChoice::Light, "light"),
        ] {
            if ui
                .selectable_label(workbench.settings().theme == theme, name)
                .clicked()
            {
                commands.push(Command::SetTheme(theme));
            }
        }
    });
    ui.horizontal(|ui| {
        ui.label("Text size");
        if ui.button("Smaller").clicked() {
            commands.push(Command::ChangeTextSize(-10));
        }
        ui.label(format!(
            "{}\u{2009}%",
            workbench.settings().text_size_per_cent
        ));
        if ui.button("Larger").clicked() {
            commands.push(Command::ChangeTextSize(10));
        }
    });
    ui.add_space(8.0);
    if ui.button("Close").clicked() {
        commands.push(Command::Show(None));
    }
}
