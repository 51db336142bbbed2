//! Pages over the window: the searchable list of actions, About, and the visit.

use egui::{Id, Modal, RichText, ScrollArea, Ui};
use plumbray_anatomy::{Side, View};
use plumbray_study::Stance;

use super::{
    WindowState, caution::CAUTION, export_page, rows_page, sheet_page, theme, theme::size,
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
        state.visit_fields = None;
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
            Overlay::Visit => visit_ui(ui, workbench, state, commands),
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

/// What is being written into the fields of the visit page.
#[derive(Debug, Clone)]
pub(crate) struct VisitFields {
    label: String,
    ap_date: String,
    lateral_date: String,
    operation_date: String,
    reader: String,
}

impl VisitFields {
    fn of(workbench: &Workbench) -> Self {
        let study = workbench.study();
        let date_of = |view: View| {
            let date = study.film(view).and_then(|film| film.date);
            date.map(|date| date.to_string()).unwrap_or_default()
        };
        let operation = study.visit.operation.and_then(|operation| operation.date);
        Self {
            label: study.visit.label.clone(),
            ap_date: date_of(View::Ap),
            lateral_date: date_of(View::Lateral),
            operation_date: operation.map(|date| date.to_string()).unwrap_or_default(),
            reader: workbench.settings().reader.clone(),
        }
    }
}

fn visit_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let fields = state
        .visit_fields
        .get_or_insert_with(|| VisitFields::of(workbench));
    ui.label(widgets::heading(ui, "This visit"));
    visit_fields_ui(ui, fields, commands);
    let named = fields.reader.trim().to_owned();
    let offered = workbench.readers_with_spread().into_iter();
    let offered: Vec<&str> = offered.filter(|reader| *reader != named).collect();
    if !offered.is_empty() {
        ui.horizontal_wrapped(|ui| {
            ui.label(widgets::soft(ui, "An own spread is kept for"));
            for reader in offered {
                if ui.link(reader).clicked() {
                    reader.clone_into(&mut fields.reader);
                    commands.push(Command::SetReader(reader.to_owned()));
                }
            }
        });
    }
    ui.add_space(8.0);
    visit_choices_ui(ui, workbench, commands);
    ui.add_space(8.0);
    if let Some(path) = workbench.study_path() {
        let text = RichText::new(format!("Saved by itself in {}", path.display()))
            .size(size::SMALLEST)
            .color(theme::tokens(ui).faint);
        ui.label(text);
    }
    if ui.button("Close").clicked() {
        commands.push(Command::Show(None));
    }
}

fn visit_fields_ui(ui: &mut Ui, fields: &mut VisitFields, commands: &mut Vec<Command>) {
    let field = |ui: &mut Ui, name: &str, hint: &str, text: &mut String| -> bool {
        let label = ui.label(name);
        let edit = egui::TextEdit::singleline(text)
            .hint_text(hint)
            .desired_width(260.0);
        let response = ui.add(edit).labelled_by(label.id);
        ui.end_row();
        response.lost_focus()
    };
    let day = "year-month-day, empty if unknown";
    egui::Grid::new("visit")
        .num_columns(2)
        .spacing([16.0, 8.0])
        .show(ui, |ui| {
            if field(
                ui,
                "Name of the visit",
                "before, 6 weeks, 1 year…",
                &mut fields.label,
            ) {
                commands.push(Command::SetVisitLabel(fields.label.clone()));
            }
            if field(ui, "Day of the AP film", day, &mut fields.ap_date) {
                commands.push(Command::SetFilmDate(View::Ap, fields.ap_date.clone()));
            }
            if field(ui, "Day of the lateral film", day, &mut fields.lateral_date) {
                commands.push(Command::SetFilmDate(
                    View::Lateral,
                    fields.lateral_date.clone(),
                ));
            }
            if field(ui, "Day of the operation", day, &mut fields.operation_date) {
                commands.push(Command::SetOperationDate(fields.operation_date.clone()));
            }
            if field(ui, "Who traces", "may stay empty", &mut fields.reader) {
                commands.push(Command::SetReader(fields.reader.clone()));
            }
        });
}

fn visit_choices_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let visit = &workbench.study().visit;
    choice_ui(
        ui,
        "Operated on before this visit",
        &[
            ("no", Command::SetOperated(false)),
            ("yes", Command::SetOperated(true)),
        ],
        usize::from(visit.operated),
        commands,
    );
    let operated_side = visit.operation.and_then(|operation| operation.side);
    choice_ui(
        ui,
        "Side of the operation",
        &[
            ("unknown", Command::SetOperationSide(None)),
            ("left", Command::SetOperationSide(Some(Side::Left))),
            ("right", Command::SetOperationSide(Some(Side::Right))),
        ],
        match operated_side {
            None => 0,
            Some(Side::Left) => 1,
            Some(Side::Right) => 2,
        },
        commands,
    );
    choice_ui(
        ui,
        "Films taken standing",
        &[
            ("unknown", Command::SetStance(Stance::Unknown)),
            ("yes", Command::SetStance(Stance::Standing)),
            ("no", Command::SetStance(Stance::NotStanding)),
        ],
        match visit.stance {
            Stance::Unknown => 0,
            Stance::Standing => 1,
            Stance::NotStanding => 2,
        },
        commands,
    );
}

fn choice_ui(
    ui: &mut Ui,
    question: &str,
    answers: &[(&str, Command)],
    chosen: usize,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.label(question);
        for (index, (answer, command)) in answers.iter().enumerate() {
            if ui.selectable_label(index == chosen, *answer).clicked() {
                commands.push(command.clone());
            }
        }
    });
}
