//! While a foot is traced that is handed in later: what is to be traced, and no number.

use egui::{Frame, Label, Margin, Panel, RichText, ScrollArea, Sense, Ui, vec2};
use plumbray_anatomy::View;
use plumbray_report::number::in_unit;

use super::super::{theme, theme::size, widgets};
use crate::workbench::{
    Attempt, Command, LimitedNumber, PracticeCommand, Practising, Progress, TraceStep, Workbench,
};

/// Draws the panel.
pub(super) fn tracing_panel_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    attempt: &Attempt,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    Panel::bottom("hand in")
        .frame(
            Frame::new()
                .fill(tokens.raised)
                .inner_margin(Margin::symmetric(16, 12)),
        )
        .resizable(false)
        .show(ui, |ui| hand_in_ui(ui, workbench, commands));
    egui::CentralPanel::no_frame()
        .frame(
            Frame::new()
                .fill(tokens.panel)
                .inner_margin(Margin::symmetric(16, 12)),
        )
        .show(ui, |ui| {
            ui.label(widgets::heading(ui, attempt.foot()));
            let how = widgets::snapping_words(attempt.snapping());
            let set = &practising.set().name;
            ui.add(Label::new(widgets::soft(ui, format!("{set} · {how}"))).wrap());
            ui.add_space(10.0);
            ScrollArea::vertical()
                .id_salt("what is to be traced")
                .auto_shrink(false)
                .show(ui, |ui| {
                    let limited = practising.limited_numbers(attempt.foot());
                    limits_ui(ui, &limited);
                    steps_ui(ui, workbench, &limited, commands);
                });
        });
}

fn hand_in_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    ui.horizontal(|ui| {
        let text = RichText::new("Hand in").color(tokens.on_accent);
        let hand_in = Command::Practise(PracticeCommand::HandIn);
        let button = egui::Button::new(text).fill(tokens.accent);
        if ui
            .add_enabled(hand_in.is_possible(workbench), button)
            .clicked()
        {
            commands.push(hand_in);
        }
        let put_by = Command::Practise(PracticeCommand::PutBy);
        widgets::text_action(ui, "Put this foot by", put_by, commands);
    });
    ui.add_space(4.0);
    ui.add(
        Label::new(
            widgets::soft(
                ui,
                "What is not traced cannot be judged, and counts as missed where it has a limit.",
            )
            .size(size::SMALLEST),
        )
        .wrap(),
    );
}

/// What counts as a miss, and how the structures that decide it are marked.
fn limits_ui(ui: &mut Ui, limited: &[LimitedNumber]) {
    let each: Vec<String> = limited
        .iter()
        .map(|own| {
            let unit = own.measurement.unit();
            let limit = in_unit(unit, own.largest, 0);
            let name = own.measurement.name().to_lowercase();
            format!("the {name} is off by more than {limit}")
        })
        .collect();
    let text = if each.is_empty() {
        "No number of this foot has a limit: nothing counts as a miss, and every difference is told.".to_owned()
    } else {
        format!(
            "The foot counts as missed where {}, or is not traced. What these are measured from is marked below with \
             “limit”. Everything else is told in the lesson and does not count.",
            each.join(", or ")
        )
    };
    ui.add(Label::new(widgets::soft(ui, text).size(size::SMALLEST)).wrap());
    ui.add_space(8.0);
}

/// The steps of each film, what is done ticked; a click goes to one.
fn steps_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    limited: &[LimitedNumber],
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    for view in View::ALL {
        if workbench.film(view).is_none() {
            continue;
        }
        let heading = RichText::new(format!("{} film", view.name()))
            .size(size::SECONDARY)
            .family(theme::semibold())
            .color(tokens.soft);
        ui.label(heading);
        for step in TraceStep::of_view(view, workbench.study().visit.operated) {
            let numbers: Vec<String> = limited
                .iter()
                .filter(|own| own.steps.contains(&step))
                .map(|own| own.measurement.name().to_lowercase())
                .collect();
            step_ui(ui, workbench, step, &numbers, commands);
        }
        ui.add_space(8.0);
    }
}

/// A step; `limited` are the numbers with a limit that are measured from it.
fn step_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    step: TraceStep,
    limited: &[String],
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let is_next = workbench.next_step() == Some(step);
    let is_done = workbench.progress(step) != Progress::Missing;
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(14.0, 18.0), Sense::hover());
        if is_done {
            widgets::tick(ui.painter(), rect.center(), tokens.good);
        } else if is_next {
            ui.painter()
                .circle_filled(rect.center(), 3.5, tokens.accent);
        }
        let text = RichText::new(step.name()).size(size::SECONDARY);
        let text = if is_next {
            text.color(tokens.ink).family(theme::semibold())
        } else {
            text.color(tokens.soft)
        };
        if ui.add(egui::Button::new(text).frame(false)).clicked() {
            commands.push(Command::GoTo(step));
        }
        if !limited.is_empty() {
            let mark = RichText::new("limit").size(size::SMALLEST);
            ui.label(mark.color(tokens.look_again))
                .on_hover_text(format!("For the {}.", limited.join(" and the ")));
        }
    });
}
