//! The lesson: each number beside the reference's, what explains the difference, and the points farthest off.

use egui::{
    Align, Frame, Grid, Label, Layout, Margin, Panel, Rect, RichText, ScrollArea, Sense, Ui, vec2,
};
use plumbray_measure::{Measurement, Unit};
use plumbray_practise::{FilmLesson, Judgement, Lesson, MeasurementLesson};
use plumbray_report::number::{in_unit, signed};

use super::{
    super::{number::plain, row_text::row_name, theme, theme::size, widgets},
    next_ui,
    progress::progress_ui,
};
use crate::workbench::{Command, HandedIn, PracticeCommand, Practising, Selection, Workbench};

/// Parts of the tracing that are named beside a number.
const PARTS: usize = 5;
/// Points and cortices that are listed.
const POINTS: usize = 6;
/// Width of the bar of a part in points.
const BAR: f32 = 72.0;
/// Room for the name of a number or of a part of the tracing in points.
const NAME: f32 = 146.0;
const PART_NAME: f32 = 196.0;

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
                    points_ui(ui, &handed_in.lesson);
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
    let how = if lesson.snapping {
        "with snapping"
    } else {
        "without snapping"
    };
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

fn numbers_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    handed_in: &HandedIn,
    commands: &mut Vec<Command>,
) {
    let on = chosen(handed_in, clicked(workbench)).map(|row| row.measurement);
    Grid::new("numbers of the lesson")
        .num_columns(5)
        .spacing([8.0, 4.0])
        .min_col_width(20.0)
        .show(ui, |ui| {
            for heading in ["", "yours", "reference", "off", ""] {
                ui.label(widgets::soft(ui, heading).size(size::SMALLEST));
            }
            ui.end_row();
            for row in &handed_in.lesson.measurements {
                number_ui(ui, row, on == Some(row.measurement), commands);
                ui.end_row();
            }
        });
}

fn number_ui(ui: &mut Ui, row: &MeasurementLesson, is_on: bool, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let unit = row.measurement.unit();
    let small = |text: String| RichText::new(text).size(size::SECONDARY);
    let name =
        egui::Button::selectable(is_on, small(row_name(row.measurement).to_owned())).truncate();
    let room = ui.allocate_ui_with_layout(
        vec2(NAME, 22.0),
        Layout::left_to_right(Align::Center),
        |ui| ui.add_enabled(row.blame.is_some(), name),
    );
    if room.inner.on_hover_text(row.measurement.name()).clicked() {
        commands.push(Command::Select(row.measurement));
    }
    let value = |value: f64| in_unit(unit, value, decimals(unit));
    match (row.attempt, &row.why_not) {
        (Some(attempt), _) => ui.label(small(value(attempt)).family(theme::semibold())),
        (None, why) => ui
            .label(widgets::soft(ui, "none"))
            .on_hover_text(why.clone().unwrap_or_default()),
    };
    ui.label(small(value(row.reference)).color(tokens.soft));
    let is_class = matches!(unit, Unit::Grade | Unit::Position);
    let off = row
        .difference()
        .filter(|_| !is_class)
        .map_or_else(String::new, |difference| signed(difference, decimals(unit)));
    ui.label(small(off));
    let (words, colour) = match row.judgement {
        Judgement::Within { .. } => ("good", tokens.good),
        Judgement::Beyond { .. } => ("too far", tokens.bad),
        Judgement::RightGrade => ("right", tokens.good),
        Judgement::WrongGrade => ("wrong", tokens.bad),
        Judgement::Unlimited => ("", tokens.soft),
        Judgement::LimitedButMissing => ("not traced", tokens.bad),
        Judgement::Missing => ("not traced", tokens.soft),
    };
    let label = ui.label(small(words.to_owned()).color(colour));
    if let Judgement::Within { limit } | Judgement::Beyond { limit } = row.judgement {
        label.on_hover_text(format!("The limit of this set: {}", value(limit)));
    }
}

const fn decimals(unit: Unit) -> usize {
    match unit {
        Unit::Degrees | Unit::Millimetres => 1,
        Unit::Ratio => 2,
        Unit::PerCent | Unit::Position | Unit::Grade => 0,
    }
}

/// What explains the difference of the chosen number.
fn blame_ui(ui: &mut Ui, workbench: &Workbench, handed_in: &HandedIn) {
    let Some(row) = chosen(handed_in, clicked(workbench)) else {
        return;
    };
    let Some(blame) = row.blame.as_ref() else {
        return;
    };
    let unit = blame.measurement.unit();
    ui.add_space(10.0);
    ui.label(widgets::heading(ui, "What it was"));
    let amount = |amount: f64| format!("{}{}", signed(amount, decimals(unit)), short_unit(unit));
    ui.add(
        Label::new(widgets::soft(
            ui,
            format!(
                "Shares of the {} in {}",
                amount(blame.error),
                blame.measurement.name()
            ),
        ))
        .wrap(),
    );
    ui.add_space(4.0);
    let most = blame
        .parts
        .iter()
        .map(|part| part.amount.abs())
        .fold(1e-9, f64::max);
    Grid::new("what it was")
        .num_columns(3)
        .spacing([10.0, 5.0])
        .show(ui, |ui| {
            for (place, part) in blame.parts.iter().take(PARTS).enumerate() {
                let text = RichText::new(format!("Your {}", part.part.name())).size(size::SECONDARY);
                let label = ui
                    .scope(|ui| {
                        ui.set_max_width(PART_NAME);
                        ui.add(Label::new(text).truncate())
                    })
                    .inner;
                let things: Vec<String> = part
                    .things
                    .iter()
                    .map(|thing| format!("{}: {}", thing.thing.name(), amount(thing.amount)))
                    .collect();
                label.on_hover_text(things.join("\n"));
                bar_ui(ui, part.amount / most, place == 0);
                ui.label(RichText::new(amount(part.amount)).size(size::SECONDARY));
                ui.end_row();
            }
            let rest = blame.unexplained;
            if rest.abs() >= 0.05 {
                ui.label(widgets::soft(ui, "Not in proportion"))
                    .on_hover_text(
                        "What does not follow the displacements in proportion, and what was placed on one of the \
                         two tracings only.",
                    );
                ui.label("");
                ui.label(widgets::soft(ui, amount(rest)));
                ui.end_row();
            }
        });
}

const fn short_unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Degrees => "°",
        Unit::Millimetres => "\u{2009}mm",
        Unit::PerCent => "\u{2009}%",
        Unit::Ratio | Unit::Position | Unit::Grade => "",
    }
}

/// A bar as long as a share from −1 to 1; what works against the error is hollow.
fn bar_ui(ui: &mut Ui, share: f64, is_first: bool) {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a share of a bar on the screen"
    )]
    let length = share.abs().min(1.0) as f32 * BAR;
    let tokens = theme::tokens(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(BAR, 14.0), Sense::hover());
    let whole = Rect::from_center_size(rect.center(), vec2(BAR, 8.0));
    let painter = ui.painter();
    painter.rect_filled(whole, 4.0, tokens.line);
    let filled = Rect::from_min_size(whole.min, vec2(length.max(3.0), 8.0));
    let colour = if is_first {
        tokens.look_again
    } else {
        tokens.accent
    };
    painter.rect_filled(filled, 4.0, colour);
}

/// The points and cortices that lie farthest off, measured by what a careful hand errs by.
fn points_ui(ui: &mut Ui, lesson: &Lesson) {
    let mut listed: Vec<(f64, String, String)> = lesson.films.iter().flat_map(points_of).collect();
    listed.sort_by(|one, other| other.0.total_cmp(&one.0));
    listed.truncate(POINTS);
    if listed.is_empty() {
        return;
    }
    ui.add_space(10.0);
    ui.label(widgets::heading(ui, "Where it lay off"));
    for (_, name, words) in listed {
        ui.add(Label::new(RichText::new(name).size(size::SECONDARY)).wrap());
        ui.add(Label::new(widgets::soft(ui, words).size(size::SMALLEST)).wrap());
        ui.add_space(3.0);
    }
    for film in &lesson.films {
        if let plumbray_practise::LengthUnit::Millimetres { calibration } = &film.unit {
            let text = format!("{} film: mm {calibration}", film.view.name());
            ui.label(widgets::soft(ui, text).size(size::SMALLEST));
        }
    }
}

fn points_of(film: &FilmLesson) -> Vec<(f64, String, String)> {
    let landmarks = film.landmarks.iter().map(|own| {
        let words = own.in_words(&film.unit);
        (own.distance / own.expected, own.landmark.name(), words)
    });
    let cortices = film.cortices.iter().map(|own| {
        let which = own.cortex.map_or("", |cortex| cortex.name());
        let name = format!(
            "{}, {which} cortex",
            plumbray_anatomy::capitalised(own.bone.name())
        );
        let toward = own.toward.map_or_else(String::new, |toward| {
            format!(", on the whole toward {}", toward.name())
        });
        let words = format!("{}{toward}", film.unit.in_words(own.distance));
        (own.distance / own.expected, name, words)
    });
    landmarks.chain(cortices).collect()
}
