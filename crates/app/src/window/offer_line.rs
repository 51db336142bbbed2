//! What the prompt line shows of a proposal: one sentence, one line, and the choices as buttons.

use egui::{Button, RichText, Ui};

use super::{shortcuts, theme};
use crate::workbench::{Command, Offer, Workbench};

/// The sentence and the line of help.
#[must_use]
pub(super) fn offer_texts(workbench: &Workbench, offer: &Offer) -> (String, String) {
    let correcting = workbench.view().adjusting && matches!(offer, Offer::Tracing { .. });
    let help = if correcting {
        "Drag any point: it is yours at its new place. Delete takes one out. Then accept the rest."
            .to_owned()
    } else {
        offer.help()
    };
    (offer.prompt(), help)
}

/// Draws the choices, the likeliest one filled. Where the layout runs from the right, they still read
/// from the left.
pub(super) fn choices_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    offer: &Offer,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let mut choices: Vec<(usize, Command)> = offer.choices().into_iter().enumerate().collect();
    if ui.layout().prefer_right_to_left() {
        choices.reverse();
    }
    for (index, choice) in choices {
        let is_pressed = choice == Command::SetAdjusting(true) && workbench.view().adjusting;
        let name = RichText::new(offer.name_of(&choice)).family(theme::medium());
        let is_likeliest = index == 0 && offer.first_is_likeliest();
        let mut button = if is_likeliest {
            Button::new(name.color(tokens.on_accent)).fill(tokens.accent)
        } else {
            Button::new(name).selected(is_pressed)
        };
        if let Some(keys) = keys_of(ui, &choice) {
            let ink = if is_likeliest {
                tokens.on_accent
            } else {
                tokens.soft
            };
            button = button.shortcut_text(RichText::new(keys).color(ink));
        }
        if ui.add(button).on_hover_text(choice.text()).clicked() {
            commands.push(if is_pressed {
                Command::SetAdjusting(false)
            } else {
                choice
            });
        }
    }
}

/// Escape has no command of its own, because it leaves whatever is open.
fn keys_of(ui: &Ui, choice: &Command) -> Option<String> {
    match choice {
        Command::SetAdjusting(_) => Some("Esc".to_owned()),
        other => shortcuts::keys_text(ui, other),
    }
}
