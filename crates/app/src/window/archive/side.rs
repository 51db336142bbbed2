//! The films that were fetched, and what waits to be sent.

use egui::{Button, Label, RichText, Ui};
use plumbray_archive::{Job, JobState, Request, SecretError, class_name};

use crate::{
    window::{theme, theme::size, widgets},
    words::counted,
    workbench::{ArchiveCommand, ArchivePage, Command, FetchedStudy, QueueShown, Workbench},
};

/// Whether there is nothing to say of the queue.
pub(super) const fn is_quiet(queue: &QueueShown) -> bool {
    queue.jobs.is_empty()
        && queue.damaged.is_empty()
        && queue.receipts == 0
        && queue.problem.is_none()
}

/// Draws the films that were fetched; those that are ticked are opened.
pub(super) fn fetched_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    page: &ArchivePage,
    commands: &mut Vec<Command>,
) {
    if page.found().is_none() && page.fetched().is_empty() {
        return;
    }
    ui.label(widgets::heading(ui, "Fetched"));
    if page.fetched().is_empty() {
        ui.label(widgets::soft(
            ui,
            "Films that you fetch stand here, to be opened as a foot.",
        ));
        ui.add_space(16.0);
        return;
    }
    for fetched in page.fetched() {
        fetched_study_ui(ui, page, fetched, commands);
    }
    if page.ticks_several_patients() {
        warning_ui(ui, "The ticked films are of different patients.");
    }
    let open = Command::Archive(ArchiveCommand::OpenTicked);
    if page
        .fetched()
        .iter()
        .any(|fetched| !fetched.films.is_empty())
    {
        widgets::command_button(ui, workbench, &open, commands);
    }
    ui.add_space(16.0);
}

fn fetched_study_ui(
    ui: &mut Ui,
    page: &ArchivePage,
    fetched: &FetchedStudy,
    commands: &mut Vec<Command>,
) {
    if let Some(study) = page.study(&fetched.study) {
        let day = study.date.map(|day| day.to_string());
        let said = [study.patient_name.clone(), study.patient_id.clone(), day];
        let said = said.into_iter().flatten().collect::<Vec<_>>().join(" · ");
        ui.add(Label::new(RichText::new(said).size(size::SECONDARY)).wrap());
    }
    let lies_in = format!("{} in {}", fetched_words(fetched), fetched.folder.display());
    ui.add(Label::new(widgets::soft(ui, lies_in)).wrap());
    let ticked = page.ticked().len();
    for film in &fetched.films {
        let mut is_ticked = film.is_ticked;
        // A foot has two films.
        let is_possible = is_ticked || ticked < 2;
        let text = RichText::new(&film.words).size(size::SECONDARY);
        let tick = ui.add_enabled(is_possible, egui::Checkbox::new(&mut is_ticked, text));
        let name = film.path.file_name().unwrap_or_default().to_string_lossy();
        if tick.on_hover_text(name).changed() {
            let tick = ArchiveCommand::Tick(film.path.clone(), is_ticked);
            commands.push(Command::Archive(tick));
        }
    }
    if fetched.films.len() > 2 {
        let text = "Tick the AP and the lateral film of one foot.";
        ui.label(widgets::soft(ui, text));
    }
    for complaint in &fetched.complaints {
        warning_ui(ui, complaint);
    }
    ui.add_space(6.0);
}

fn fetched_words(fetched: &FetchedStudy) -> String {
    let films = match fetched.films.len() {
        0 => "no film".to_owned(),
        count => counted(count, "film", "films"),
    };
    match fetched.others {
        0 => films,
        count => {
            let others = counted(count, "other object", "other objects");
            format!("{films} and {others}")
        }
    }
}

/// Draws the queue, if there is anything in it.
pub(super) fn queue_ui(ui: &mut Ui, queue: &QueueShown, commands: &mut Vec<Command>) {
    if is_quiet(queue) {
        return;
    }
    ui.label(widgets::heading(ui, "To be sent"));
    for problem in queue.problem.iter().chain(&queue.damaged) {
        warning_ui(ui, problem);
    }
    if queue.jobs.is_empty() {
        ui.label(widgets::soft(ui, "Nothing waits."));
    }
    for job in &queue.jobs {
        job_ui(ui, queue, job, commands);
    }
    if queue.receipts > 0 {
        let count = counted(queue.receipts, "object", "objects");
        ui.label(widgets::soft(
            ui,
            format!("Done with: {count}, arrived or taken back."),
        ));
    }
}

fn job_ui(ui: &mut Ui, queue: &QueueShown, job: &Job, commands: &mut Vec<Command>) {
    let is_sending = queue.sending.as_ref() == Some(&job.id);
    let class = object_words(job.object.class.as_str());
    let state = match job.state {
        _ if is_sending => "being sent",
        JobState::Waiting { .. } => "waits",
        JobState::Sending { .. } => "being sent",
        JobState::InDoubt { .. } => "in doubt: the archive will be asked for it",
        JobState::Refused => "refused",
    };
    let tries = match job.tries {
        0 => String::new(),
        1 => ", tried once".to_owned(),
        2 => ", tried twice".to_owned(),
        tries => format!(", tried {tries} times"),
    };
    let text = format!("{class} for {}: {state}{tries}", job.archive);
    let text = RichText::new(text).size(size::SECONDARY);
    ui.add(Label::new(text).wrap())
        .on_hover_text(job.object.instance.as_str());
    if let Some(reason) = job.last_reason.as_deref().filter(|_| !is_sending) {
        warning_ui(ui, reason);
    }
    ui.horizontal(|ui| {
        if lacks_secret(job) {
            let give = [
                ArchiveCommand::Choose(job.archive.clone()),
                ArchiveCommand::Echo,
            ];
            let button = Button::new(RichText::new("Give its secret…").size(size::SECONDARY));
            if ui.add_enabled(!is_sending, button).clicked() {
                commands.extend(give.map(Command::Archive));
            }
        }
        for (name, request) in [("Try now", Request::TryNow), ("Cancel", Request::Cancel)] {
            let button = Button::new(RichText::new(name).size(size::SECONDARY));
            let command = ArchiveCommand::OfQueue(job.id.clone(), request);
            let command = Command::Archive(command);
            if ui
                .add_enabled(!is_sending, button)
                .on_hover_text(command.text())
                .clicked()
            {
                commands.push(command);
            }
        }
    });
    ui.add_space(8.0);
}

/// Whether a job was put off because nobody gave the secret of its archive.
fn lacks_secret(job: &Job) -> bool {
    let missing = SecretError::Missing {
        archive: job.archive.clone(),
    };
    job.last_reason.as_deref() == Some(missing.to_string().as_str())
}

/// What an object is, in the words of the export page.
fn object_words(class: &str) -> String {
    let name = class_name(class);
    match name.split(" Storage").next().unwrap_or(&name) {
        own if own == class => "Object".to_owned(),
        "Comprehensive SR" => "Report".to_owned(),
        "Grayscale Softcopy Presentation State" => "Drawing".to_owned(),
        "Encapsulated PDF" => "Sheet".to_owned(),
        other => other.to_owned(),
    }
}

fn warning_ui(ui: &mut Ui, text: &str) {
    let text = RichText::new(text).size(size::SECONDARY);
    let text = text.color(theme::tokens(ui).look_again);
    ui.add(Label::new(text).wrap());
}
