//! The field for a secret, which is shown when none is at hand or the archive did not take it.

use egui::{Role, TextEdit, Ui, WidgetInfo, text_edit::TextEditState};
use plumbray_archive::{Login, Place, Secret};
use zeroize::Zeroize as _;

use super::{ArchiveState, said_ui};
use crate::{
    window::widgets,
    workbench::{ArchiveCommand, ArchivePage, Command, GivenSecret, Workbench},
};

/// Draws the field. What is typed is wiped from it as soon as it is given.
pub(super) fn secret_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    page: &ArchivePage,
    state: &mut ArchiveState,
    commands: &mut Vec<Command>,
) {
    let Some(archive) = page.chosen() else {
        return;
    };
    let name = match &archive.place {
        Place::Web(web) if web.login == Login::Bearer => "Token".to_owned(),
        Place::Web(web) => match &web.login {
            Login::Basic { user } => format!("Password of {user}"),
            Login::None | Login::Bearer => "Password".to_owned(),
        },
        Place::Dimse(_) => "Password".to_owned(),
    };
    ui.label(widgets::soft(ui, &name));
    let mut is_given = false;
    ui.horizontal(|ui| {
        let field = TextEdit::singleline(&mut *state.secret)
            .password(true)
            .desired_width(220.0);
        let response = ui.add(field);
        response.widget_info(|| WidgetInfo::labeled(Role::PasswordInput, true, &name));
        if !state.asks_secret {
            response.request_focus();
        }
        is_given = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let is_typed = !state.secret.is_empty();
        let go_on = ui.add_enabled(is_typed, egui::Button::new("Go on"));
        is_given = is_typed && (is_given || go_on.clicked());
        // Undoing would bring back what was typed.
        if let Some(mut edit) = TextEditState::load(ui.ctx(), response.id) {
            edit.clear_undoer();
            edit.store(ui.ctx(), response.id);
        }
    });
    if workbench.keeps_secrets() {
        let text = "Keep it in this computer’s keyring";
        ui.checkbox(&mut state.keeps_secret, text);
    }
    ui.add_space(6.0);
    if !is_given {
        return;
    }
    let secret = Secret::new(std::mem::take(&mut *state.secret));
    state.secret.zeroize();
    match secret {
        Ok(secret) => {
            let given = GivenSecret::new(secret);
            let give = ArchiveCommand::GiveSecret(given, state.keeps_secret);
            commands.push(Command::Archive(give));
        }
        Err(problem) => said_ui(ui, &problem.to_string(), true),
    }
}
