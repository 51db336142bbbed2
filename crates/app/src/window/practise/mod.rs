//! Practising: the feet of a set with the progress, a foot that is being traced, and its lesson.

mod lesson;
mod lesson_marks;
mod lesson_numbers;
mod lesson_places;
mod making;
mod making_film;
mod making_studies;
mod overview;
mod progress;
mod tracing;

use egui::{Label, RichText, ScrollArea, Ui};
use plumbray_anatomy::View;

use super::{
    prompt_line::{Asking, asking_ui},
    small_pictures::SmallPictures,
    theme, widgets,
};
use crate::workbench::{
    Command, HandedIn, PracticeCommand, PracticeStage, Practising, TraceStep, Workbench,
};

pub(super) use lesson_marks::lesson_marks_ui;
pub(super) use making::making_ui;
pub(super) use overview::overview_ui;

/// Room for the keys that matter now.
const KEYS_ROOM: f32 = 470.0;
/// A narrower line leaves them out, in points.
const LEAST_WIDTH_FOR_KEYS: f32 = 860.0;

/// Draws what stands at the right of the films: what is to be traced, or the lesson.
pub(super) fn panel_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    commands: &mut Vec<Command>,
) {
    match practising.stage() {
        PracticeStage::Overview | PracticeStage::Making(_) => {}
        PracticeStage::Tracing(attempt) => {
            tracing::tracing_panel_ui(ui, workbench, practising, attempt, commands);
        }
        PracticeStage::Lesson(handed_in) => {
            lesson::lesson_panel_ui(ui, workbench, practising, handed_in, commands);
        }
    }
}

/// Draws what stands below the lateral film: how to trace, or how to read the picture of the lesson.
pub(super) fn beside_ui(ui: &mut Ui, practising: &Practising) {
    ScrollArea::vertical()
        .id_salt("practice help")
        .auto_shrink(false)
        .show(ui, |ui| match practising.stage() {
            PracticeStage::Lesson(handed_in) => how_to_read_ui(ui, handed_in),
            PracticeStage::Overview | PracticeStage::Tracing(_) | PracticeStage::Making(_) => {
                how_to_trace_ui(ui);
            }
        });
}

fn how_to_trace_ui(ui: &mut Ui) {
    ui.label(widgets::heading(ui, "No numbers yet"));
    ui.add(Label::new(
        "Trace as you would for a patient. Angles, grades and the reference are shown when you hand in.",
    ));
    ui.add_space(6.0);
    note_ui(
        ui,
        "Time runs while this foot is open. Put it by to go on later: the tracing is kept.",
    );
}

fn how_to_read_ui(ui: &mut Ui, handed_in: &HandedIn) {
    ui.label(widgets::heading(ui, "How to read this picture"));
    let reference = handed_in.lesson.reference.as_str();
    ui.add(Label::new(format!(
        "White is the reference, {reference}. Dotted is yours. A ring marks what cost the chosen number most. \
         A click on a place in “Where it lay off” brings the film to it."
    )));
    ui.add_space(6.0);
    note_ui(
        ui,
        "The shares say how far each part of your tracing turned the number, by the measurement’s own \
         derivatives; they add up for small errors.",
    );
    note_ui(ui, "A practice score says nothing about a patient.");
}

fn note_ui(ui: &mut Ui, text: &str) {
    ui.add(Label::new(widgets::soft(ui, text)).wrap());
}

/// Draws the prompt line while somebody practises.
pub(super) fn prompt_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    commands: &mut Vec<Command>,
) {
    let (prompt, help) = prompt_and_help(workbench, practising);
    let asking = Asking {
        prompt,
        help,
        keys: keys(practising),
        keys_room: KEYS_ROOM,
        least_width: LEAST_WIDTH_FOR_KEYS,
        explains_map: workbench.has_foot(),
    };
    asking_ui(ui, workbench, asking, commands);
}

fn prompt_and_help(workbench: &Workbench, practising: &Practising) -> (String, String) {
    match practising.stage() {
        PracticeStage::Lesson(handed_in) => lesson::prompt(workbench, handed_in),
        PracticeStage::Overview => (
            "Take a foot, trace it, hand it in.".to_owned(),
            "The lesson then says where your tracing differs and what that did to each angle."
                .to_owned(),
        ),
        PracticeStage::Making(making) => making::prompt(making),
        PracticeStage::Tracing(attempt) => match workbench.next_step() {
            _ if workbench.view().adjusting => (
                "Drag any point to correct it.".to_owned(),
                "Tab walks the points, arrow keys nudge, Delete removes. Esc goes on tracing."
                    .to_owned(),
            ),
            Some(step) if attempt.snapping() => (step.prompt().to_owned(), step.help().to_owned()),
            Some(step) => (step.prompt().to_owned(), by_hand(step).to_owned()),
            None => (
                "Everything is traced. Hand it in.".to_owned(),
                "Or correct points first: Esc lets you drag them.".to_owned(),
            ),
        },
    }
}

/// What a step asks of a hand without snapping.
const fn by_hand(step: TraceStep) -> &'static str {
    match step {
        TraceStep::Shaft(..) => {
            "Your stroke is the axis: from the middle of the base’s joint surface to the middle of the head’s."
        }
        TraceStep::Head(_) => {
            "Click on the centre of the circle that the head’s joint surface follows."
        }
        _ => "Every point stays where you put it.",
    }
}

/// The keys that matter now, the last one first.
const fn keys(practising: &Practising) -> &'static [(&'static str, &'static str)] {
    match practising.stage() {
        PracticeStage::Making(_) => &[("Ctrl K", "all actions")],
        PracticeStage::Overview => &[("Ctrl K", "all actions"), ("Enter", "next foot")],
        PracticeStage::Tracing(_) => &[
            ("Ctrl K", "all actions"),
            ("Ctrl Enter", "hand in"),
            ("N", "next bone"),
            ("Ctrl Z", "undo"),
        ],
        PracticeStage::Lesson(_) => &[
            ("Ctrl K", "all actions"),
            ("Enter", "next foot"),
            ("X", "reference on, off"),
        ],
    }
}

/// The button by which the next foot is taken, with why it is that one.
fn next_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let Some((foot, reason)) = practising.resident().next(practising.set()) else {
        return;
    };
    ui.label(widgets::heading(ui, format!("Next: {foot}")));
    ui.add(Label::new(widgets::soft(ui, reason)).wrap());
    ui.add_space(6.0);
    ui.horizontal_wrapped(|ui| {
        let text = RichText::new("Take it").color(tokens.on_accent);
        let take = egui::Button::new(text).fill(tokens.accent);
        let command = Command::Practise(PracticeCommand::TakeNext);
        if ui
            .add_enabled(command.is_possible(workbench), take)
            .clicked()
        {
            commands.push(command);
        }
        let mut snapping = practising.snapping();
        if ui
            .checkbox(&mut snapping, "with snapping")
            .on_hover_text("Points move to the nearest edge. Without it your hand alone is judged.")
            .changed()
        {
            let allow = PracticeCommand::AllowSnapping(snapping);
            commands.push(Command::Practise(allow));
        }
    });
}

/// What the window keeps between frames for practising.
#[derive(Debug, Default)]
pub(super) struct PractiseState {
    /// The name that is being written.
    pub(super) name: Option<String>,
    /// The folder of studies that is being written.
    pub(super) folder: Option<String>,
    /// The small pictures of the films of which a set is made, as they are on the screen.
    pub(super) pictures: SmallPictures<(usize, View)>,
}
