//! The prompt line: the foot map, what comes next in one sentence, and the keys that matter now.

use egui::{Align, Layout, RichText, Ui};
use plumbray_anatomy::View;

use super::{
    foot_map::{foot_map_key_ui, foot_map_ui},
    offer_line, theme,
    theme::size,
    widgets,
};
use crate::{
    words::draft_words,
    workbench::{Command, GestureKind, Offer, SeriesPage, TraceStep, Urgency, Workbench},
};

/// Room for the keys that matter now.
const KEYS_ROOM: f32 = 470.0;
/// A notice takes at most so many rows; the rest shows when the pointer rests on it.
const NOTICE_ROWS: usize = 2;

/// What the prompt line of an activity says.
pub(super) struct Asking<'a> {
    /// What comes next, in one sentence.
    pub(super) prompt: String,
    /// A line of help; a notice stands in its place.
    pub(super) help: String,
    /// The keys that matter now, with what they do, the last one first.
    pub(super) keys: &'a [(&'a str, &'a str)],
    /// Room for the keys in points.
    pub(super) keys_room: f32,
    /// A narrower line, in points, leaves the keys out.
    pub(super) least_width: f32,
    /// Whether the foot map's colours are explained beside it.
    pub(super) explains_map: bool,
}

/// Draws the prompt line of an activity beside measuring.
pub(super) fn asking_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    asking: Asking<'_>,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    ui.horizontal_centered(|ui| {
        ui.add_space(12.0);
        let clicked = foot_map_ui(ui, workbench.study().foot(), None, |step| {
            workbench.progress(step)
        });
        commands.extend(clicked.map(Command::GoTo));
        let has_keys = ui.available_width() > asking.least_width;
        if asking.explains_map && has_keys {
            ui.add_space(8.0);
            foot_map_key_ui(ui);
        }
        ui.add_space(16.0);
        let keys_room = if has_keys { asking.keys_room } else { 0.0 };
        let room = egui::vec2(ui.available_width() - keys_room, ui.available_height());
        ui.allocate_ui_with_layout(room, Layout::top_down(Align::Min), |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.add_space(14.0);
            let prompt = RichText::new(asking.prompt)
                .size(size::PROMPT)
                .family(theme::medium())
                .color(tokens.ink);
            ui.add(egui::Label::new(prompt).truncate());
            let (help, colour) = match workbench.notices().last() {
                Some(notice) if notice.urgency == Urgency::Warning => {
                    (notice.text.clone(), tokens.look_again)
                }
                Some(notice) => (notice.text.clone(), tokens.soft),
                None => (asking.help, tokens.soft),
            };
            let text = RichText::new(&help).size(size::SECONDARY).color(colour);
            ui.add(egui::Label::new(text).truncate())
                .on_hover_text(help);
        });
        if keys_room > 0.0 {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add_space(12.0);
                key_list_ui(ui, asking.keys);
            });
        }
    });
}

/// Draws the prompt line.
pub(crate) fn prompt_line_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    ui.horizontal_centered(|ui| {
        ui.add_space(12.0);
        let offer = workbench.offer();
        let next = workbench
            .next_step()
            .filter(|_| !workbench.view().adjusting && offer.is_none());
        let clicked = foot_map_ui(ui, workbench.study().foot(), next, |step| {
            workbench.progress(step)
        });
        commands.extend(clicked.map(Command::GoTo));
        ui.add_space(16.0);
        let keys_room = if ui.available_width() > 860.0 {
            KEYS_ROOM
        } else {
            0.0
        };
        let prompt_room = ui.available_width() - keys_room;
        ui.allocate_ui_with_layout(
            egui::vec2(prompt_room, ui.available_height()),
            Layout::top_down(Align::Min).with_main_justify(false),
            |ui| {
                prompt_ui(ui, workbench, offer.as_ref(), commands);
                if let Some(offer) = offer.as_ref().filter(|_| keys_room == 0.0) {
                    ui.horizontal(|ui| offer_line::choices_ui(ui, workbench, offer, commands));
                }
            },
        );
        if keys_room > 0.0 {
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                ui.add_space(12.0);
                match &offer {
                    Some(offer) => offer_line::choices_ui(ui, workbench, offer, commands),
                    None => keys_ui(ui, workbench),
                }
            });
        }
    });
}

fn prompt_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    offer: Option<&Offer>,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    ui.spacing_mut().item_spacing.y = 2.0;
    ui.add_space(8.0);
    let (prompt, help) = prompt_and_help(workbench, offer);
    ui.add(
        egui::Label::new(
            RichText::new(prompt)
                .size(size::PROMPT)
                .family(theme::medium())
                .color(tokens.ink),
        )
        .truncate(),
    );
    // The latest notice takes the place of the help, so that a refusal stands where one looks.
    match workbench.notices().last() {
        Some(notice) => {
            let colour = match notice.urgency {
                Urgency::Note => tokens.soft,
                Urgency::Warning => tokens.look_again,
            };
            let index = workbench.notices().len() - 1;
            ui.horizontal(|ui| {
                let close = egui::Button::new(RichText::new("×").color(tokens.soft)).frame(false);
                let close = ui.add(close).on_hover_text("Take this notice away");
                if close.clicked() {
                    commands.push(Command::DismissNotice(index));
                }
                let more = match index {
                    0 => String::new(),
                    1 => " (and 1 more notice)".to_owned(),
                    more => format!(" (and {more} more notices)"),
                };
                let text = format!("{}{more}", notice.text);
                let font = egui::FontId::proportional(size::SECONDARY);
                let mut job = egui::text::LayoutJob::simple(text, font, colour, 0.0);
                job.wrap.max_width = ui.available_width();
                job.wrap.max_rows = NOTICE_ROWS;
                // Laid out here: a label beside another widget would not break its line.
                let laid_out = ui.painter().layout_job(job);
                ui.add(egui::Label::new(laid_out))
                    .on_hover_text(&notice.text);
            });
        }
        None => {
            ui.add(egui::Label::new(widgets::soft(ui, help)).truncate());
        }
    }
}

/// The sentence that says what comes next, and a line of help.
fn prompt_and_help(workbench: &Workbench, offer: Option<&Offer>) -> (String, String) {
    let view = workbench.view();
    let disc = workbench.disc().filter(|_| !workbench.has_foot());
    if let Some(disc) = disc.filter(|disc| !disc.is_copying()) {
        return super::disc::prompt(disc);
    }
    if let Some(work) = workbench.awaited_work() {
        return (format!("{work}…"), String::new());
    }
    if !workbench.has_foot() && workbench.archive_page().is_some() {
        return (
            "Ask for a patient’s films and fetch them.".to_owned(),
            "Names of patients stay on this page; they are kept nowhere.".to_owned(),
        );
    }
    if let Some(series) = workbench.series().filter(|_| !workbench.has_foot()) {
        let is_empty = series.listing().is_some_and(|read| read.visits.is_empty());
        let text = match series.page() {
            SeriesPage::Readers => "How far the readers of these studies agree.",
            SeriesPage::Visits if is_empty => "No study is listed.",
            SeriesPage::Visits => "A click on a study opens it.",
        };
        return (text.to_owned(), String::new());
    }
    if !workbench.has_foot() {
        return (
            "Open the films of one foot.".to_owned(),
            "Drop them here, or choose them.".to_owned(),
        );
    }
    if let Some(calibrating) = view.calibrating {
        let help = "Then check the true size at the right and use it. Esc leaves it.";
        return (calibrating.method.prompt().to_owned(), help.to_owned());
    }
    if let Some(offer) = offer {
        return offer_line::offer_texts(workbench, offer);
    }
    if view.adjusting {
        let help = "Tab walks the points, arrow keys nudge, Delete removes. Esc goes on tracing.";
        return ("Drag any point to correct it.".to_owned(), help.to_owned());
    }
    let draft = workbench.study().draft_of_the_program().unwrap_or_default();
    match workbench.next_step() {
        Some(step) if view.first_click.is_some() && step.gesture() == GestureKind::Sweep => {
            ("Now click its other end.".to_owned(), step.prompt().to_owned())
        }
        Some(step) => (step.prompt().to_owned(), help_for(workbench, step)),
        None if !workbench.doubtful_points().is_empty() => (
            format!(
                "{} Look again at what is marked with a question mark.",
                all_traced(workbench)
            ),
            "D goes to the next one and says why; Y finds it right, or drag it.".to_owned(),
        ),
        None if draft > 0 => (
            draft_words(draft as u64),
            "Esc lets you drag points. Then say who reads it, under “Visit, dates and reader”."
                .to_owned(),
        ),
        None => (
            all_traced(workbench).to_owned(),
            "Click a row to see its construction. Esc lets you drag points; a click on the foot map \
             traces a bone again."
                .to_owned(),
        ),
    }
}

/// That everything is traced, and of which films.
fn all_traced(workbench: &Workbench) -> &'static str {
    match View::ALL.map(|view| workbench.film(view).is_some()) {
        [true, false] => "Everything on this film is traced; there is no lateral film.",
        [false, true] => "Everything on this film is traced; there is no AP film.",
        _ => "Everything is traced.",
    }
}

/// The help for a step: before it, what became of looking at the film.
fn help_for(workbench: &Workbench, step: TraceStep) -> String {
    let view = step.view();
    if let Some(doubt) = workbench.left_to_reader(step).values().next() {
        return format!("Left for you: {}. {}", doubt.reason(), step.help());
    }
    let untraced = workbench.study().tracing.on(view).is_empty();
    if workbench.is_looking_at(view) {
        return format!(
            "{} The program is looking for the bones meanwhile.",
            step.help()
        );
    }
    match workbench.why_nothing_is_proposed(view).filter(|_| untraced) {
        Some(problem) => format!("Nothing is proposed: {problem}."),
        None => step.help().to_owned(),
    }
}

fn keys_ui(ui: &mut Ui, workbench: &Workbench) {
    let view = workbench.view();
    let proposal_waits = view
        .active
        .is_some_and(|active| workbench.offered_tracing(active).is_some());
    let keys: &[(&str, &str)] = if workbench.has_foot() {
        &[
            ("Ctrl K", "all actions"),
            ("Space", "bare film"),
            ("Shift", "no snapping"),
            (
                "Esc",
                if view.first_click.is_some() {
                    "forget this end"
                } else if view.adjusting {
                    "trace"
                } else if proposal_waits {
                    "to the proposal"
                } else {
                    "correct points"
                },
            ),
        ]
    } else {
        &[("Ctrl K", "all actions"), ("Ctrl O", "open films")]
    };
    key_list_ui(ui, keys);
}

/// Keys with what they do, laid out from the right, so that the words come before the key cap.
fn key_list_ui(ui: &mut Ui, keys: &[(&str, &str)]) {
    for (key, what) in keys {
        let words = RichText::new(*what).size(size::SMALLEST);
        ui.label(words.color(theme::tokens(ui).soft));
        widgets::key_cap(ui, key);
        ui.add_space(6.0);
    }
}
