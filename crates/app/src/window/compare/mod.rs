//! Comparing two visits: the films, what changed, whether the correction holds.

mod answers;
mod films;
mod plan;
mod plot;
mod table;
mod time_line;
mod wires;

use egui::{CentralPanel, Frame, Margin, Panel, RichText, ScrollArea, Ui};

use plumbray_anatomy::View;

use super::{WindowState, theme, theme::size, widgets};
use crate::workbench::{Command, CompareCommand, CompareView, Comparing, Workbench};

pub(super) use time_line::time_line_ui;

/// Width of the panel with the numbers in points.
const NUMBERS: f32 = 520.0;

/// Draws films and numbers of the visits that are compared.
pub(super) fn compare_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    comparing: &Comparing,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let width = NUMBERS.min(ui.available_width() * 0.5);
    Panel::right("changes")
        .exact_size(width)
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            Panel::bottom("laid over")
                .frame(
                    Frame::new()
                        .fill(tokens.raised)
                        .inner_margin(Margin::symmetric(16, 10)),
                )
                .resizable(false)
                .show(ui, |ui| answers::laid_over_ui(ui, comparing));
            CentralPanel::no_frame()
                .frame(Frame::new().fill(tokens.panel))
                .show(ui, |ui| {
                    ScrollArea::vertical()
                        .id_salt("changes")
                        .auto_shrink(false)
                        .show(ui, |ui| {
                            Frame::new()
                                .inner_margin(Margin::symmetric(16, 10))
                                .show(ui, |ui| {
                                    answers::answers_ui(ui, comparing, commands);
                                    ui.add_space(8.0);
                                    table::table_ui(ui, workbench, comparing, commands);
                                    ui.add_space(12.0);
                                    plan::plan_ui(ui, comparing, commands);
                                    wires::wires_ui(ui, workbench, comparing, commands);
                                    answers::head_ui(ui, comparing);
                                    plot::plots_ui(ui, comparing, commands);
                                });
                        });
                });
        });
    CentralPanel::no_frame()
        .frame(Frame::new().fill(theme::film::SURROUND))
        .show(ui, |ui| films::films_ui(ui, comparing, state, commands));
}

/// Draws the prompt line while visits are compared: what is seen, and the ways to see it.
pub(super) fn prompt_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    comparing: &Comparing,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let pair = comparing.pair();
    let name = |place: usize| {
        let visit = comparing.comparison.visits.get(place);
        visit.map_or_else(String::new, |visit| visit.name.long.clone())
    };
    ui.horizontal_centered(|ui| {
        ui.add_space(16.0);
        ui.vertical(|ui| {
            ui.add_space(14.0);
            let prompt = match (workbench.awaited_work(), wires::prompt(comparing)) {
                (Some(work), _) => format!("{work}…"),
                (None, Some(prompt)) => prompt.to_owned(),
                (None, None) => format!("“{}” against “{}”.", name(pair.later), name(pair.earlier)),
            };
            let prompt = RichText::new(prompt)
                .size(size::PROMPT)
                .family(theme::medium())
                .color(tokens.ink);
            ui.add(egui::Label::new(prompt).truncate());
            let help = match workbench.notices().last() {
                Some(notice) => notice.text.clone(),
                None => help_of(comparing).to_owned(),
            };
            ui.add(egui::Label::new(widgets::soft(ui, help)).truncate());
        });
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(12.0);
            ways_ui(ui, comparing, commands);
        });
    });
}

/// The ways to see the films, from right to left.
fn ways_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let looking = &comparing.looking;
    for shown in CompareView::ALL.into_iter().rev() {
        let is_on = looking.shown == shown;
        let is_possible = comparing.laid.is_some() || shown == CompareView::SideBySide;
        let button = egui::Button::selectable(is_on, shown.name());
        if ui.add_enabled(is_possible, button).clicked() {
            commands.push(Command::Compare(CompareCommand::Show(shown)));
        }
    }
    if looking.shown == CompareView::Blend && comparing.laid.is_some() {
        let mut cover = looking.cover;
        let slider = egui::Slider::new(&mut cover, 0.0..=1.0)
            .custom_formatter(|share, _| super::number::per_cent(share));
        let response = ui.add(slider);
        response.widget_info(|| {
            egui::WidgetInfo::slider(true, f64::from(cover), "How strongly the later film shows")
        });
        if response.changed() {
            commands.push(Command::Compare(CompareCommand::Cover(cover)));
        }
    }
    ui.separator();
    for view in View::ALL.into_iter().rev() {
        let is_on = comparing.view == view;
        let button = egui::Button::selectable(is_on, view.name());
        let is_possible = is_on || comparing.has_both(view);
        if ui.add_enabled(is_possible, button).clicked() && !is_on {
            commands.push(Command::Compare(CompareCommand::Films(view)));
        }
    }
}

fn help_of(comparing: &Comparing) -> &'static str {
    match (comparing.looking.shown, comparing.laid.is_some()) {
        (_, false) => "The films are not laid over each other; each is shown by itself.",
        (CompareView::SideBySide, _) => {
            "The wheel zooms both, a drag moves both; the right button changes the window, W puts it back."
        }
        (CompareView::Blend, _) => {
            "The later film over the earlier one; the slider says how strongly."
        }
        (CompareView::Curtain, _) => "Move the pointer: the earlier film is left of it.",
        (CompareView::Blink, _) => "One film after the other in the same place.",
        (CompareView::Outlines, _) if comparing.drawn_plan().is_some() => {
            "The broken lines are the bones as they were, in the colour of plans what was planned."
        }
        (CompareView::Outlines, _) => "The broken lines are the bones as they were.",
        (CompareView::Difference, _) => "Bright is what came, dark is what went.",
    }
}
