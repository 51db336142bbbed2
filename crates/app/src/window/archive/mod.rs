//! The page on which archives are asked: the question, the studies found, what was fetched, and what waits to be sent.

use std::fmt;

use egui::{CentralPanel, Label, Panel, RichText, ScrollArea, Ui, WidgetInfo};
use zeroize::Zeroizing;

mod address;
mod found;
mod question;
mod secret;
mod side;

use super::{theme, theme::size, widgets};
use crate::workbench::{
    AddressForm, ArchiveCommand, ArchivePage, Command, Question, Said, Workbench,
};

/// Width of the panel at the right in points.
const PANEL: f32 = 396.0;
/// Room for what is waited for and what is said above a list in points.
const WAITING: f32 = 48.0;

/// What is being typed on the page. It may name a patient and hold a secret, so it has no text of its own.
#[derive(Default)]
pub(super) struct ArchiveState {
    question: Question,
    address: Option<AddressForm>,
    secret: Zeroizing<String>,
    keeps_secret: bool,
    /// Whether the field of the secret is there already, so that it got the keyboard once.
    asks_secret: bool,
}

impl fmt::Debug for ArchiveState {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("ArchiveState(…)")
    }
}

/// Draws the page.
pub(super) fn archive_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    page: &ArchivePage,
    state: &mut ArchiveState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    if page.address().is_none() && page.chosen().is_some() {
        state.address = None;
    }
    let queue = workbench.queue_shown();
    // What is fetched must not push the list aside under the pointer.
    let has_side = page.found().is_some() || !page.fetched().is_empty() || !side::is_quiet(&queue);
    if has_side {
        Panel::right("fetched and waiting")
            .exact_size(PANEL.min(ui.available_width() * 0.4))
            .resizable(false)
            .frame(widgets::padded(tokens.panel))
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("fetched and waiting")
                    .auto_shrink(false)
                    .show(ui, |ui| {
                        side::fetched_ui(ui, workbench, page, commands);
                        side::queue_ui(ui, &queue, commands);
                    });
            });
    }
    CentralPanel::no_frame()
        .frame(widgets::padded(tokens.desk))
        .show(ui, |ui| {
            head_ui(ui, page, commands);
            if let Some(problem) = page.book_problem() {
                said_ui(ui, problem, true);
                return;
            }
            if page.chosen().is_none() || page.address().is_some() {
                address::address_ui(ui, workbench, page, state, commands);
                return;
            }
            question::question_ui(ui, workbench, state, commands);
            waiting_ui(ui, page, commands);
            if page.wants_secret() {
                secret::secret_ui(ui, workbench, page, state, commands);
            }
            state.asks_secret = page.wants_secret();
            if let Some(found) = page.found() {
                found::found_ui(ui, found, page, commands);
            }
        });
}

/// Which archive is asked, and what else can be done with archives.
fn head_ui(ui: &mut Ui, page: &ArchivePage, commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        let title = RichText::new("Films of an archive").size(22.0);
        ui.label(title.family(theme::semibold()));
        let mut action = |ui: &mut Ui, text: &str, command| {
            widgets::text_action(ui, text, Command::Archive(command), commands);
        };
        if page.chosen().is_some() && page.address().is_none() {
            action(ui, "Is this archive there?", ArchiveCommand::Echo);
            action(ui, "Change its address…", ArchiveCommand::ChangeAddress);
            action(ui, "Add an archive…", ArchiveCommand::AddAddress);
        }
        action(ui, "Put it away", ArchiveCommand::Leave);
    });
    if page.address().is_none() {
        ui.horizontal_wrapped(|ui| {
            for archive in page.archives() {
                let is_chosen = page
                    .chosen()
                    .is_some_and(|chosen| chosen.name == archive.name);
                let label = ui.selectable_label(is_chosen, &archive.name);
                if label.clicked() && !is_chosen {
                    let choose = ArchiveCommand::Choose(archive.name.clone());
                    commands.push(Command::Archive(choose));
                }
            }
        });
    }
    ui.add_space(4.0);
}

/// What is waited for, and what is said. Its room is there when there is nothing to say, so that the list below does not
/// move under the pointer.
fn waiting_ui(ui: &mut Ui, page: &ArchivePage, commands: &mut Vec<Command>) {
    let top = ui.cursor().top();
    waiting_words_ui(ui, page, commands);
    let left = WAITING - (ui.cursor().top() - top);
    if page.found().is_some() && left > 0.0 {
        ui.add_space(left);
    }
}

fn waiting_words_ui(ui: &mut Ui, page: &ArchivePage, commands: &mut Vec<Command>) {
    if let Some(waits_for) = page.waits_for() {
        ui.horizontal(|ui| {
            ui.label(widgets::soft(ui, waits_for));
            if ui.button("Stop").clicked() {
                commands.push(Command::Archive(ArchiveCommand::Stop));
            }
        });
    }
    if let Some(Said { text, is_problem }) = page.said() {
        said_ui(ui, text, *is_problem);
    }
}

fn said_ui(ui: &mut Ui, text: &str, is_problem: bool) {
    let tokens = theme::tokens(ui);
    let colour = if is_problem {
        tokens.look_again
    } else {
        tokens.soft
    };
    let text = RichText::new(text).size(size::SECONDARY).color(colour);
    ui.add(Label::new(text).wrap());
    ui.add_space(4.0);
}

/// A field of one line under its name; whether Enter was pressed in it.
fn field_ui(ui: &mut Ui, name: &str, hint: &str, width: f32, text: &mut String) -> bool {
    ui.vertical(|ui| {
        ui.set_width(width);
        ui.label(widgets::soft(ui, name));
        let hint = RichText::new(hint).color(theme::tokens(ui).faint);
        let field = egui::TextEdit::singleline(text)
            .hint_text(hint)
            .desired_width(width);
        let response = ui.add(field);
        response.widget_info(|| WidgetInfo::labeled(egui::Role::TextInput, true, name));
        response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter))
    })
    .inner
}
