//! What the visits of a series come to, and where its index lies.

use egui::{CollapsingHeader, Label, RichText, Role, TextEdit, Ui, WidgetInfo};

use crate::{
    window::{WindowState, theme, theme::size, widgets},
    workbench::{Command, Listing, SeriesCommand, Workbench},
};

/// Draws the summary and what could not be read.
pub(super) fn summary_ui(ui: &mut Ui, listing: Option<&Listing>) {
    let tokens = theme::tokens(ui);
    ui.label(widgets::heading(ui, "Summary"));
    let Some(listing) = listing else { return };
    for line in &listing.summary {
        let text = RichText::new(line.trim()).size(size::SECONDARY);
        ui.add(Label::new(text).wrap());
        ui.add_space(3.0);
    }
    for problem in &listing.problems {
        let text = RichText::new(format!("! {problem}")).size(size::SECONDARY);
        ui.add(Label::new(text.color(tokens.look_again)).wrap());
    }
    ui.add_space(8.0);
}

/// Where the index lies, and another place for it.
pub(super) fn index_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let kept = &workbench.settings().series_index;
    let place = if kept.address.is_empty() {
        "in this user's cache".to_owned()
    } else {
        kept.address.clone()
    };
    CollapsingHeader::new(widgets::soft(ui, format!("Index: {place}")))
        .id_salt("index of series")
        .show(ui, |ui| {
            let about = "Numbers are read from the files once and kept in an index, which can always be made anew. \
                         Workstations that share a series share one in PostgreSQL; its password is taken from \
                         PGPASSWORD and never kept.";
            ui.add(Label::new(widgets::soft(ui, about)).wrap());
            let index = state.series_index.get_or_insert_with(|| kept.clone());
            for (name, hint, text) in [
                (
                    "Address of the index",
                    "this user's cache, or postgresql://user@host/database",
                    &mut index.address,
                ),
                (
                    "Name of the series in it",
                    "the folder's path",
                    &mut index.series,
                ),
            ] {
                ui.label(widgets::soft(ui, name));
                let field = TextEdit::singleline(text)
                    .hint_text(hint)
                    .desired_width(f32::INFINITY);
                let response = ui.add(field);
                response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
            }
            let chosen = Command::Series(SeriesCommand::KeepIndex(index.clone()));
            widgets::text_action(ui, "Use this index", chosen, commands);
        });
}
