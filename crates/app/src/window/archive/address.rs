//! The address of an archive: a small form.

use egui::{Label, ScrollArea, Ui};

use super::{ArchiveState, field_ui, said_ui};
use crate::{
    window::widgets,
    words::counted,
    workbench::{AddressForm, ArchiveCommand, ArchivePage, Command, Way, WayIn, Workbench},
};

/// Width of a long field in points.
const LONG: f32 = 420.0;
/// Width of a short field in points.
const SHORT: f32 = 150.0;

/// Draws the form of a new address, or of the one that is changed.
pub(super) fn address_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    page: &ArchivePage,
    state: &mut ArchiveState,
    commands: &mut Vec<Command>,
) {
    let is_first = page.chosen().is_none();
    let is_changed = page.changes_address();
    let form = state
        .address
        .get_or_insert_with(|| page.address().cloned().unwrap_or_default());
    let about = if is_first {
        "No archive is known yet. Whoever looks after the clinic’s archive can tell what to write here. \
         The command “plumbray archives add” writes the same list."
    } else {
        "No password is kept here. The keyring keeps one for an address and a user: a new name keeps it, a new \
         address does not get it."
    };
    ui.add(Label::new(widgets::soft(ui, about)).wrap());
    ui.add_space(8.0);
    ScrollArea::vertical().id_salt("address").show(ui, |ui| {
        field_ui(
            ui,
            "Name of the archive",
            "as you call it",
            LONG,
            &mut form.name,
        );
        ui.add_space(6.0);
        ui.horizontal(|ui| {
            ui.radio_value(&mut form.way, Way::Associations, "DICOM");
            ui.radio_value(&mut form.way, Way::Web, "DICOMweb");
        });
        ui.add_space(6.0);
        match form.way {
            Way::Associations => associations_ui(ui, form),
            Way::Web => web_ui(ui, form),
        }
        ui.add_space(10.0);
        if let Some(said) = page.said() {
            said_ui(ui, &said.text, said.is_problem);
        }
        ui.horizontal(|ui| {
            if ui.button("Keep this address").clicked() {
                let keep = ArchiveCommand::KeepAddress(Box::new(form.clone()));
                commands.push(Command::Archive(keep));
            }
            if !is_first {
                let leave = Command::Archive(ArchiveCommand::LeaveAddress);
                widgets::text_action(ui, "Cancel", leave, commands);
            }
            if is_changed && !page.is_removing() {
                let remove = Command::Archive(ArchiveCommand::AskToRemove(true));
                widgets::text_action(ui, "Take it out of the list…", remove, commands);
            }
        });
        if page.is_removing() {
            removing_ui(ui, workbench, page, commands);
        }
    });
}

/// Asks whether the archive is really taken out of the list, and says what is lost by it.
fn removing_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    page: &ArchivePage,
    commands: &mut Vec<Command>,
) {
    let Some(archive) = page.chosen() else {
        return;
    };
    let name = &archive.name;
    let mut lost = "Its address".to_owned();
    if archive.needs_secret() && workbench.keeps_secrets() {
        lost.push_str(", and its secret in this computer’s keyring,");
    }
    let mut text = format!("Take “{name}” out of the list? {lost} will be forgotten.");
    match workbench.waiting_for(name) {
        0 => {}
        count => text.push_str(&format!(
            " {} to be sent to it, and will not be.",
            counted(count, "object waits", "objects wait")
        )),
    }
    ui.add_space(10.0);
    said_ui(ui, &text, true);
    ui.horizontal(|ui| {
        if ui.button("Take it out").clicked() {
            commands.push(Command::Archive(ArchiveCommand::RemoveAddress));
        }
        let leave = Command::Archive(ArchiveCommand::AskToRemove(false));
        widgets::text_action(ui, "Leave it in the list", leave, commands);
    });
}

fn associations_ui(ui: &mut Ui, form: &mut AddressForm) {
    ui.horizontal_wrapped(|ui| {
        field_ui(ui, "Host", "archive.clinic.example", 260.0, &mut form.host);
        field_ui(ui, "Port", "104", SHORT, &mut form.port);
    });
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        field_ui(
            ui,
            "Its AE title",
            "ARCHIVE",
            SHORT + 55.0,
            &mut form.called,
        );
        let own = "This workstation’s AE title";
        field_ui(ui, own, "PLUMBRAY", SHORT + 55.0, &mut form.calling);
    });
    ui.add_space(4.0);
    ui.horizontal_wrapped(|ui| {
        let name = "Port on which films arrive";
        let hint = "only where the archive moves films";
        field_ui(ui, name, hint, 260.0, &mut form.receive_port);
    });
    ui.add_space(4.0);
    ui.checkbox(&mut form.is_encrypted, "Encrypted");
    if form.is_encrypted {
        certificate_ui(ui, form);
        ui.add_space(4.0);
        ui.horizontal_wrapped(|ui| {
            let name = "File of this workstation’s own certificate";
            let hint = "where the archive asks for it, or moves films";
            field_ui(ui, name, hint, 300.0, &mut form.certificate);
            let name = "File of the key that belongs to it";
            field_ui(ui, name, "", 260.0, &mut form.key);
        });
        if !form.receive_port.trim().is_empty() && form.certificate.trim().is_empty() {
            let text = "Without these, films come over the same association alone (C-GET): what the archive moved here \
                        would come in the clear, so the port is not used.";
            ui.add(Label::new(widgets::soft(ui, text)).wrap());
        }
    } else {
        let text =
            "Names and films go in the clear. Use this only on a network that the clinic trusts.";
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
    }
}

fn web_ui(ui: &mut Ui, form: &mut AddressForm) {
    let hint = "https://archive.clinic.example/dicom-web";
    field_ui(ui, "Address", hint, LONG, &mut form.url);
    ui.add_space(4.0);
    ui.horizontal(|ui| {
        for (way_in, name) in [
            (WayIn::Open, "Asks for nothing"),
            (WayIn::Password, "Asks for a password"),
            (WayIn::Token, "Asks for a token"),
        ] {
            ui.radio_value(&mut form.way_in, way_in, name);
        }
    });
    ui.add_space(4.0);
    if form.way_in == WayIn::Password {
        field_ui(ui, "User name", "", 260.0, &mut form.user);
        ui.add_space(4.0);
    }
    certificate_ui(ui, form);
}

fn certificate_ui(ui: &mut Ui, form: &mut AddressForm) {
    let name = "File of the clinic’s own certificate";
    let hint = "only where the system does not know it";
    field_ui(ui, name, hint, LONG, &mut form.ca_file);
}
