//! The verdict at the foot of the worksheet: severity, how probable, and by whose limits.

use egui::{Rect, RichText, Sense, Ui, pos2, vec2};
use plumbray_measure::{Implausible, Severity, SeverityOutcome, SeverityScheme};

use super::{caution, number, theme, widgets};
use crate::workbench::{Command, Workbench};

/// Draws the verdict: severity with the probability of each class, and by whose limits.
pub(crate) fn verdict_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    match &workbench.worksheet().severity {
        SeverityOutcome::Graded(severity) => graded_ui(ui, workbench, severity),
        SeverityOutcome::Ungraded(missing) => {
            ui.label(widgets::heading(ui, "No verdict yet"));
            let names: Vec<&str> = missing
                .iter()
                .map(|row| row.measurement.short_name())
                .collect();
            ui.label(widgets::soft(
                ui,
                format!("Severity follows from: {}.", names.join(", ")),
            ));
        }
        SeverityOutcome::ImpossibleReaderError => {
            ui.label(widgets::soft(
                ui,
                "The reader’s error is not a number from 0 upward.",
            ));
        }
    }
    scheme_menu_ui(ui, workbench, commands);
    implausible_ui(ui, workbench);
    caution::one_line_ui(ui);
}

/// What looks wrong about the tracing: the first of it in full, the rest behind a word.
fn implausible_ui(ui: &mut Ui, workbench: &Workbench) {
    let found = workbench.implausible();
    let Some(first) = found.first() else {
        return;
    };
    let more = match found.len() {
        1 => String::new(),
        many => format!(" And {} more.", many - 1),
    };
    let text = RichText::new(format!("{}{more}", first.text()))
        .size(theme::size::SECONDARY)
        .color(theme::tokens(ui).look_again);
    let all: Vec<String> = found.iter().map(Implausible::text).collect();
    ui.label(text).on_hover_text(all.join("\n"));
}

fn graded_ui(ui: &mut Ui, workbench: &Workbench, severity: &Severity) {
    let words: Vec<String> = severity
        .likely_classes()
        .iter()
        .take(3)
        .map(|(class, share)| {
            format!(
                "{}, {}",
                severity.scheme.class_name(*class),
                number::likelihood(*share)
            )
        })
        .collect();
    let mut headline = words.join("; ");
    if let Some(first) = headline.get(..1) {
        headline.replace_range(..1, &first.to_uppercase());
    }
    ui.label(widgets::heading(ui, headline));
    probability_bar_ui(ui, severity);
    let mut remarks = vec![severity.reader_words().to_owned()];
    remarks.extend(workbench.why_no_own_spread());
    remarks.extend(severity.remarks());
    ui.label(widgets::soft(ui, remarks.join(" ")));
}

fn probability_bar_ui(ui: &mut Ui, severity: &Severity) {
    let tokens = theme::tokens(ui);
    let colours = [tokens.good, tokens.accent, tokens.look_again, tokens.bad];
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 8.0), Sense::hover());
    let mut left = rect.left();
    for (share, colour) in severity.probabilities.into_iter().zip(colours) {
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a share of a bar on the screen"
        )]
        let width = rect.width() * share as f32;
        if width >= 1.0 {
            let part =
                Rect::from_min_size(pos2(left, rect.top()), vec2(width - 1.0, rect.height()));
            ui.painter().rect_filled(part, 2.0, colour);
        }
        left += width;
    }
}

fn scheme_menu_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let scheme = workbench.choices().severity;
    let label = widgets::soft(ui, format!("Limits after {}…", scheme.name()));
    ui.menu_button(label, |ui| {
        for other in SeverityScheme::ALL {
            if ui.selectable_label(other == scheme, other.name()).clicked() {
                commands.push(Command::SetSeverityScheme(other));
                ui.close();
            }
        }
    });
}
