//! The lesson: each number beside the reference's, what explains the difference, and the points farthest off.

use egui::{Frame, Margin, Panel, ScrollArea, Ui};
use plumbray_measure::Measurement;
use plumbray_practise::{Judgement, MeasurementLesson};

use super::{
    super::{number::plain, theme, widgets},
    lesson_numbers::{blame_ui, numbers_ui},
    lesson_places::places_ui,
    next_ui,
    progress::progress_ui,
};
use crate::workbench::{Command, HandedIn, PracticeCommand, Practising, Selection, Workbench};

/// What the prompt line says of a lesson.
pub(super) fn prompt(workbench: &Workbench, handed_in: &HandedIn) -> (String, String) {
    let limited = |row: &&MeasurementLesson| {
        matches!(
            row.judgement,
            Judgement::Within { .. } | Judgement::Beyond { .. } | Judgement::LimitedButMissing
        )
    };
    let rows = &handed_in.lesson.measurements;
    let all = rows.iter().filter(limited).count();
    let missed = rows.iter().filter(|row| row.is_missed()).count();
    let prompt = match (missed, all) {
        (_, 0) => "Nothing here has a limit.".to_owned(),
        (0, 1) => "Within its limit.".to_owned(),
        (0, _) => "Every limited number is within its limit.".to_owned(),
        (missed, all) => format!("{} of {all} within limits.", all - missed),
    };
    let help = chosen(handed_in, clicked(workbench))
        .and_then(|row| row.blame.as_ref())
        .and_then(|blame| {
            let name = blame.measurement.name().to_lowercase();
            Some(format!("Of the {name}: {}", blame.sentence()?))
        })
        .unwrap_or_else(|| "Look at the ringed places, then take the next foot.".to_owned());
    (prompt, help)
}

/// The number whose difference is explained: the one that was clicked, else the one that lies farthest beyond its
/// limit.
pub(super) fn chosen(
    handed_in: &HandedIn,
    clicked: Option<Measurement>,
) -> Option<&MeasurementLesson> {
    let rows = &handed_in.lesson.measurements;
    let of = |measurement| rows.iter().find(|row| row.measurement == measurement);
    clicked.and_then(of).or_else(|| {
        let share = |row: &MeasurementLesson| match (row.judgement, row.difference()) {
            (Judgement::Within { limit } | Judgement::Beyond { limit }, Some(difference)) => {
                difference.abs() / limit
            }
            _ => 0.0,
        };
        rows.iter()
            .filter(|row| row.blame.is_some())
            .max_by(|one, other| share(one).total_cmp(&share(other)))
    })
}

/// The measurement that was clicked.
pub(super) const fn clicked(workbench: &Workbench) -> Option<Measurement> {
    match workbench.view().selection {
        Selection::Measurement(measurement) => Some(measurement),
        Selection::Nothing | Selection::Point(..) => None,
    }
}

/// Draws the panel of the lesson.
pub(super) fn lesson_panel_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    practising: &Practising,
    handed_in: &HandedIn,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let frame = |fill| {
        Frame::new()
            .fill(fill)
            .inner_margin(Margin::symmetric(16, 12))
    };
    Panel::bottom("next foot")
        .frame(frame(tokens.raised))
        .resizable(false)
        .show(ui, |ui| next_ui(ui, workbench, practising, commands));
    egui::CentralPanel::no_frame()
        .frame(frame(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt((
                    "lesson",
                    &handed_in.lesson.foot,
                    practising.resident().progress().attempts.len(),
                ))
                .auto_shrink(false)
                .show(ui, |ui| {
                    heading_ui(ui, handed_in, commands);
                    numbers_ui(ui, workbench, handed_in, commands);
                    blame_ui(ui, workbench, handed_in);
                    places_ui(ui, handed_in, commands);
                    progress_ui(
                        ui,
                        practising.resident().progress(),
                        &practising.set().defaults,
                    );
                });
        });
}

fn heading_ui(ui: &mut Ui, handed_in: &HandedIn, commands: &mut Vec<Command>) {
    let lesson = &handed_in.lesson;
    let how = widgets::snapping_words(lesson.snapping);
    ui.label(widgets::heading(
        ui,
        format!("This attempt, {}, {how}", duration(lesson.seconds)),
    ));
    ui.horizontal_wrapped(|ui| {
        let (text, shown) = if handed_in.shows_reference {
            ("Hide the reference", false)
        } else {
            ("Show the reference", true)
        };
        let show = Command::Practise(PracticeCommand::ShowReference(shown));
        widgets::text_action(ui, text, show, commands);
        let again = PracticeCommand::Take(lesson.foot.clone());
        widgets::text_action(ui, "Trace it again", Command::Practise(again), commands);
        let all = PracticeCommand::ToOverview;
        widgets::text_action(ui, "All feet", Command::Practise(all), commands);
    });
    ui.add_space(6.0);
}

/// "2 min 10 s".
pub(super) fn duration(seconds: f64) -> String {
    let whole = seconds.round().max(0.0);
    let minutes = (whole / 60.0).floor();
    if minutes < 1.0 {
        format!("{} s", plain(whole, 0))
    } else {
        format!(
            "{} min {} s",
            plain(minutes, 0),
            plain(whole - 60.0 * minutes, 0)
        )
    }
}
