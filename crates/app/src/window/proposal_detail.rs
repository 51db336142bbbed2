//! What is proposed on a film, bone by bone: a click on a bone traces it oneself.

use egui::{RichText, Sense, Ui, vec2};
use plumbray_anatomy::Landmark;
use plumbray_proposal::Doubt;

use super::{theme, theme::size, widgets};
use crate::workbench::{Command, Offer, Progress, TraceStep, Workbench};

/// Height of a row in points.
const ROW_HEIGHT: f32 = 22.0;

/// Draws the bones of the proposal that the prompt line is about; tells whether there is one.
pub(super) fn proposal_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) -> bool {
    let Some(Offer::Tracing { view, .. }) = workbench.offer() else {
        return false;
    };
    ui.label(widgets::heading(
        ui,
        format!("Proposed on the {} film", view.name_in_sentence()),
    ));
    ui.label(widgets::soft(
        ui,
        "Nothing of it is in the study, and no number comes from it, before you accept it. Click a \
         bone to trace it yourself.",
    ));
    ui.add_space(4.0);
    let operated = workbench.study().visit.operated;
    let rows = TraceStep::of_view(view, operated).into_iter();
    let (asking, others): (Vec<_>, Vec<_>) = rows
        .map(|step| (step, state_of(workbench, step)))
        .partition(|(_, state)| state.asks);
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for (step, state) in asking.into_iter().chain(others) {
            row_ui(ui, step, state, commands);
        }
    });
    true
}

/// What is said of a bone, and whether it asks for the reader's eye or hand.
struct State {
    text: String,
    asks: bool,
}

fn row_ui(ui: &mut Ui, step: TraceStep, state: State, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), ROW_HEIGHT), Sense::click());
    let spoken = format!("Trace it yourself: {}, {}", step.name(), state.text);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &spoken));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 0.0, tokens.raised);
    }
    let ink = if state.asks {
        tokens.look_again
    } else {
        tokens.soft
    };
    let mut row = ui.new_child(
        egui::UiBuilder::new()
            .max_rect(rect)
            .layout(egui::Layout::left_to_right(egui::Align::Center)),
    );
    row.add(egui::Label::new(RichText::new(step.name()).size(size::SECONDARY)).selectable(false));
    let short = RichText::new(state.text.as_str())
        .size(size::SMALLEST)
        .color(ink);
    row.add(egui::Label::new(short).selectable(false).truncate());
    // In a narrow window the reason is cut short in the row.
    let response = if state.asks {
        response.on_hover_text(state.text)
    } else {
        response
    };
    if response.clicked() {
        commands.push(Command::GoTo(step));
    }
}

fn state_of(workbench: &Workbench, step: TraceStep) -> State {
    let view = step.view();
    let proposal = workbench.proposal(view);
    let landmarks = step.landmarks();
    let doubt = |landmark: &Landmark| workbench.doubt_about(view, *landmark);
    let left =
        |landmark: &Landmark| proposal.and_then(|proposal| proposal.left_to_reader.get(landmark));
    let (text, asks) = match workbench.progress(step) {
        Progress::Missing => {
            let reason = landmarks.iter().find_map(left);
            let reason = reason.map_or("not found", |doubt| doubt.reason());
            (format!("left for you: {reason}"), true)
        }
        Progress::Proposed => {
            let part_left = landmarks.iter().find_map(|at| Some((at, *left(at)?)));
            let doubted = landmarks.iter().find_map(|at| Some((at, doubt(at)?)));
            match (doubted, part_left) {
                (Some((at, why)), _) => (with_part("look again", *at, why), true),
                (None, Some((at, why))) => (with_part("left for you", *at, why), true),
                (None, None) => ("proposed".to_owned(), false),
            }
        }
        Progress::Doubtful | Progress::Done => ("yours".to_owned(), false),
    };
    State { text, asks }
}

/// A part of a bone and what is the matter with it, without the bone's own name. A stroke that nobody made
/// is no part of it: there the whole bone is meant.
fn with_part(what: &str, landmark: Landmark, why: Doubt) -> String {
    if let Landmark::ShaftStart(_) | Landmark::ShaftEnd(_) = landmark {
        return format!("{what}: {}", why.reason());
    }
    let name = landmark.name();
    let part = name
        .split_once(", ")
        .map_or(name.as_str(), |(_, part)| part);
    format!("{what}: {part}, {}", why.reason())
}
