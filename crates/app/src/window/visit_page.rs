//! The page of the visit: its name and days, the operation, who traces, and whom the films' files name.

use egui::{Label, RichText, Ui};
use plumbray_anatomy::{Side, View};
use plumbray_study::Stance;

use super::{theme, theme::size, widgets};
use crate::workbench::{Command, PatientsOfFilms, Workbench, day_of};

/// Width of a field of words, in points.
const FIELD_WIDTH: f32 = 260.0;
/// Width of the field of a day, in points.
const DAY_WIDTH: f32 = 120.0;

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

    /// The commands that set days, each with the text of its field.
    fn days(&self) -> [(Command, &str); 3] {
        [
            (
                Command::SetFilmDate(View::Ap, self.ap_date.clone()),
                &self.ap_date,
            ),
            (
                Command::SetFilmDate(View::Lateral, self.lateral_date.clone()),
                &self.lateral_date,
            ),
            (
                Command::SetOperationDate(self.operation_date.clone()),
                &self.operation_date,
            ),
        ]
    }

    /// The commands of the fields in which no day stands: what they do is to say so.
    pub(crate) fn unfit(&self) -> Vec<Command> {
        let days = self.days().into_iter();
        days.filter(|(_, text)| day_of(text).is_err())
            .map(|(command, _)| command)
            .collect()
    }
}

/// Draws the page.
pub(crate) fn visit_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    fields: &mut Option<VisitFields>,
    commands: &mut Vec<Command>,
) {
    let fields = fields.get_or_insert_with(|| VisitFields::of(workbench));
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
    patients_ui(ui, workbench, commands);
    ui.add_space(8.0);
    if let Some(words) = workbench.where_saved() {
        let text = RichText::new(words)
            .size(size::SMALLEST)
            .color(theme::tokens(ui).faint);
        ui.add(Label::new(text).wrap());
    }
    if ui.button("Close").clicked() {
        commands.push(Command::Show(None));
    }
}

fn visit_fields_ui(ui: &mut Ui, fields: &mut VisitFields, commands: &mut Vec<Command>) {
    let nothing = |_: &mut Ui, _: &str, _: bool| ();
    egui::Grid::new("visit")
        .num_columns(2)
        .spacing([16.0, 8.0])
        .show(ui, |ui| {
            let hint = "before, 6 weeks, 1 year…";
            let long = (hint, FIELD_WIDTH);
            if field_ui(ui, "Name of the visit", long, &mut fields.label, nothing) {
                commands.push(Command::SetVisitLabel(fields.label.clone()));
            }
            let days = [
                ("Day of the AP film", &mut fields.ap_date),
                ("Day of the lateral film", &mut fields.lateral_date),
                ("Day of the operation", &mut fields.operation_date),
            ];
            let left = days.map(|(name, text)| day_ui(ui, name, text));
            for (is_left, (command, text)) in left.into_iter().zip(fields.days()) {
                if is_left && day_of(text).is_ok() {
                    commands.push(command);
                }
            }
            let long = ("may stay empty", FIELD_WIDTH);
            if field_ui(ui, "Who traces", long, &mut fields.reader, nothing) {
                commands.push(Command::SetReader(fields.reader.clone()));
            }
        });
}

/// Draws a field with what stands beside it, and tells whether the keyboard has left it, so that its text counts.
fn field_ui(
    ui: &mut Ui,
    name: &str,
    (hint, width): (&str, f32),
    text: &mut String,
    beside: impl FnOnce(&mut Ui, &str, bool),
) -> bool {
    let label = ui.label(name);
    let response = ui
        .horizontal(|ui| {
            let edit = egui::TextEdit::singleline(text)
                .hint_text(hint)
                .desired_width(width);
            let response = ui.add(edit).labelled_by(label.id);
            beside(ui, text, response.has_focus());
            response
        })
        .inner;
    ui.end_row();
    response.lost_focus()
}

/// Draws the field of a day. What stands in it and is no day is said beside it as soon as nobody writes there; below
/// it, the other fields would move under the hand that goes on to them.
fn day_ui(ui: &mut Ui, name: &str, text: &mut String) -> bool {
    let day = ("year-month-day", DAY_WIDTH);
    field_ui(ui, name, day, text, |ui, text, is_written_in| {
        if is_written_in || day_of(text).is_ok() {
            ui.label(widgets::soft(ui, "empty if unknown"));
        } else {
            let words = RichText::new("Not a day. Write 2026-11-25.").size(size::SECONDARY);
            ui.label(words.color(theme::tokens(ui).bad));
        }
    })
}

/// Draws whom the films' files name, once that was asked for.
fn patients_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let Some(patients) = &workbench.view().patients else {
        widgets::text_action(
            ui,
            &Command::ShowPatients.text(),
            Command::ShowPatients,
            commands,
        );
        return;
    };
    ui.label(RichText::new("The patient, as the films’ files say").family(theme::medium()));
    for line in patients.lines() {
        ui.label(line);
    }
    if let Some(warning) = patients.warning() {
        let warning = RichText::new(warning).family(theme::medium());
        ui.label(warning.color(theme::tokens(ui).bad));
    }
    ui.label(widgets::soft(ui, PatientsOfFilms::KEPT_NOWHERE));
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
