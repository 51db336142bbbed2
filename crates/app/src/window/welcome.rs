//! The empty window: an invitation to open films.

use egui::{RichText, Ui, vec2};

use plumbray_archive::JobState;

use super::{caution::CAUTION, theme, theme::size, widgets};
use crate::workbench::{
    ArchiveCommand, Command, DiscCommand, PracticeCommand, SeriesCommand, Workbench,
};

/// Draws the invitation.
pub(crate) fn welcome_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let room = ui.available_size();
    ui.vertical_centered(|ui| {
        ui.set_max_width(560.0_f32.min(room.x - 32.0));
        ui.add_space((room.y * 0.16).max(16.0));
        ui.label(
            RichText::new("Measure a foot")
                .size(26.0)
                .family(theme::semibold())
                .color(tokens.ink),
        );
        ui.add_space(4.0);
        ui.label(
            RichText::new(
                "Open the standing AP and lateral films of one foot, or drop them here. PNG, TIFF, \
                 JPEG, BMP and DICOM.",
            )
            .size(size::HEADING)
            .color(tokens.soft),
        );
        ui.add_space(20.0);
        let open = RichText::new("Open films…")
            .size(size::HEADING)
            .family(theme::semibold())
            .color(tokens.on_accent);
        let open = egui::Button::new(open)
            .fill(tokens.accent)
            .min_size(vec2(220.0, 40.0));
        if ui.add(open).clicked() {
            commands.push(Command::AskForFilms);
        }
        ui.add_space(6.0);
        let sample = RichText::new("Open the sample foot").size(size::HEADING);
        if ui
            .add(egui::Button::new(sample).min_size(vec2(220.0, 36.0)))
            .clicked()
        {
            commands.push(Command::OpenSampleFoot);
        }
        ui.add_space(4.0);
        let traced = Command::OpenTracedSampleFoot;
        widgets::text_action(ui, &traced.text(), traced.clone(), commands);
        let practise = Command::Practise(PracticeCommand::Begin);
        widgets::text_action(ui, &practise.text(), practise.clone(), commands);
        let series = Command::Series(SeriesCommand::Ask);
        widgets::text_action(ui, &series.text(), series.clone(), commands);
        let disc = Command::Disc(DiscCommand::Ask);
        widgets::text_action(ui, &disc.text(), disc.clone(), commands);
        let archive = Command::Archive(ArchiveCommand::Show);
        widgets::text_action(ui, &archive.text(), archive.clone(), commands);
        refused_ui(ui, workbench);
        ui.add_space(28.0);
        if !workbench.kept_work().is_empty() {
            widgets::command_button(ui, workbench, &Command::PutKeptWorkBack, commands);
            ui.add_space(16.0);
        }
        recent_ui(ui, workbench, commands);
        ui.add_space(24.0);
        ui.label(
            RichText::new(CAUTION)
                .size(size::SMALLEST)
                .color(tokens.faint),
        );
    });
}

/// What an archive refused waits for a person; all else is not spoken of.
fn refused_ui(ui: &mut Ui, workbench: &Workbench) {
    let queue = workbench.queue_shown();
    let refused = queue
        .jobs
        .iter()
        .filter(|job| job.state == JobState::Refused);
    let text = match refused.count() {
        0 => return,
        1 => "An archive refused a film that was sent to it; “Films of an archive…” says why."
            .to_owned(),
        count => format!(
            "Archives refused {count} films that were sent; “Films of an archive…” says why."
        ),
    };
    let text = RichText::new(text).size(size::SECONDARY);
    ui.label(text.color(theme::tokens(ui).look_again));
}

fn recent_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let recent = workbench.recent_feet();
    if recent.is_empty() {
        return;
    }
    ui.label(widgets::soft(ui, "Recent feet"));
    for foot in recent {
        let text = (RichText::new(foot.name()), widgets::soft(ui, foot.words()));
        let button = ui.add(egui::Button::new(text).frame(false).truncate());
        if button
            .on_hover_text(foot.path.display().to_string())
            .clicked()
        {
            commands.push(Command::Open(vec![foot.path]));
        }
    }
}
