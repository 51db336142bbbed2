//! Wires as they lie on the later film: marked by two clicks, drawn, and held against the plan.

use egui::{RichText, Ui};
use plumbray_anatomy::FilmPoint;

use super::super::{
    pen::Pen,
    theme::{self, film, size},
    widgets,
};
use crate::{
    comparing::{WIRES_ARE, coarse_words, wire_lines},
    workbench::{Command, CompareCommand, Comparing, WireMarking, Workbench},
};

/// Draws what was marked and how it lies against the plan; nothing without a plan.
pub(super) fn wires_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    comparing: &Comparing,
    commands: &mut Vec<Command>,
) {
    if comparing.held_plan().is_none() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(widgets::heading(ui, "Wires as they lie"));
        let mark = Command::Compare(CompareCommand::MarkWire);
        widgets::small_button(ui, workbench, &mark.text(), mark, commands);
    });
    if let Err(why) = comparing.marks_wires() {
        ui.label(widgets::soft(ui, format!("Not to be marked: {why}.")));
    }
    let Ok((held, _, laid)) = comparing.laid_by_shaft() else {
        ui.add_space(10.0);
        return;
    };
    let against = comparing.wires_against_plan();
    for (number, wire) in (1..).zip(&against) {
        ui.horizontal_wrapped(|ui| {
            let name = RichText::new(format!("Wire {number}")).size(size::SECONDARY);
            ui.label(name.family(theme::semibold()));
            let take = CompareCommand::TakeWire(wire.place);
            let text = format!("Take wire {number} away");
            widgets::text_action(ui, &text, Command::Compare(take), commands);
        });
        let lines = match &wire.nearest {
            Some((place, told)) => wire_lines(&held.plan.screws, (*place, told)),
            None => vec!["Both ends are one place; take it away and mark it again.".to_owned()],
        };
        for line in lines {
            ui.label(RichText::new(line).size(size::SECONDARY));
        }
    }
    if !against.is_empty() {
        for note in coarse_words(&laid).into_iter().chain([WIRES_ARE]) {
            let note = RichText::new(note).size(size::SMALLEST);
            ui.label(note.color(theme::tokens(ui).soft));
        }
    }
    ui.add_space(10.0);
}

/// Draws the marked wires on the later film as it is shown, and the one that is being marked as far as the pointer.
pub(super) fn draw_wires(pen: &Pen<'_>, comparing: &Comparing, pointer: Option<FilmPoint>) {
    for (_, wire) in comparing.wires_on_later() {
        let [entry, tip] = wire.ends.map(|at| comparing.as_later_is_shown(at));
        pen.axis(entry, tip, film::ACCENT);
        pen.dot(entry, film::ACCENT);
    }
    if let WireMarking::Tip(entry) = comparing.looking.wires.marking {
        let entry = comparing.as_later_is_shown(entry);
        pen.dot(entry, film::ACCENT);
        if let Some(pointer) = pointer {
            pen.axis(entry, pointer, film::ACCENT);
        }
    }
}

/// What to click next while a wire is being marked.
pub(super) const fn prompt(comparing: &Comparing) -> Option<&'static str> {
    match comparing.looking.wires.marking {
        WireMarking::Nothing => None,
        WireMarking::Entry => Some("On the later film, click where the wire enters the bone."),
        WireMarking::Tip(_) => Some("Click its tip. Escape forgets it."),
    }
}
