//! The top line: the activity at the left, the visit in the middle, which foot at the right.

use egui::{Align, Layout, Rect, RichText, Sense, Stroke, Ui, vec2};
use plumbray_anatomy::Side;
use plumbray_report::{Contradiction, OtherFact};
use plumbray_study::{SideSource, Stance};

use super::{compare::time_line_ui, theme, theme::size};
use crate::workbench::{
    ArchiveCommand, Command, CompareCommand, DiscCommand, ExportCommand, Overlay, PlanCommand,
    PracticeCommand, PracticeStage, Practising, Workbench,
};

/// Room between the visits and which foot it is.
const BESIDE_TIME_LINE: f32 = 14.0;

/// Draws the top line.
pub(crate) fn top_line_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let whole = ui.max_rect();
    ui.horizontal_centered(|ui| {
        activity_ui(ui, workbench, commands);
        if let Some(practising) = workbench.practising() {
            practice_ui(ui, whole, practising);
            return;
        }
        if let Some(comparing) = workbench.comparing() {
            ui.add_space(16.0);
            let visits = Command::Show(Some(Overlay::Visits));
            let button = egui::Button::new(RichText::new("Visits…").size(size::SECONDARY));
            if ui
                .add(button.frame(false))
                .on_hover_text(visits.text())
                .clicked()
            {
                commands.push(visits);
            }
            // The foot stands first, so that the visits get what it leaves, however much it asks.
            let rest = ui.available_rect_before_wrap();
            let layout = Layout::right_to_left(Align::Center);
            let mut right = ui.new_child(egui::UiBuilder::new().max_rect(rest).layout(layout));
            foot_ui(&mut right, workbench, commands);
            let end = (right.min_rect().left() - BESIDE_TIME_LINE).max(rest.left());
            let middle = rest.with_max_x(end).shrink2(vec2(0.0, 2.0));
            let mut middle = ui.new_child(
                egui::UiBuilder::new()
                    .max_rect(middle)
                    .layout(Layout::top_down(Align::Center)),
            );
            time_line_ui(&mut middle, comparing, commands);
            return;
        } else if workbench.has_foot() {
            ui.add_space(16.0);
            foot_menu_ui(ui, workbench, commands);
            let middle = ui.new_child(
                egui::UiBuilder::new()
                    .max_rect(whole)
                    .layout(Layout::top_down(Align::Center)),
            );
            visit_ui(middle, workbench, commands);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            foot_ui(ui, workbench, commands);
        });
    });
}

/// Which foot of which set is practised.
fn practice_ui(ui: &mut Ui, whole: Rect, practising: &Practising) {
    let set = practising.set();
    let foot = match practising.stage() {
        PracticeStage::Overview | PracticeStage::Making(_) => None,
        PracticeStage::Tracing(attempt) => Some(attempt.foot()),
        PracticeStage::Lesson(handed_in) => Some(handed_in.lesson.foot.as_str()),
    };
    let place = foot.and_then(|foot| set.feet.iter().position(|own| own.identifier == foot));
    if let Some(place) = place {
        let mut middle = ui.new_child(
            egui::UiBuilder::new()
                .max_rect(whole)
                .layout(Layout::top_down(Align::Center)),
        );
        let tokens = theme::tokens(&middle);
        middle.add_space(6.0);
        let (dot, _) = middle.allocate_exact_size(vec2(11.0, 11.0), Sense::hover());
        middle
            .painter()
            .circle_filled(dot.center(), 5.0, tokens.accent);
        let text = format!("foot {} of {}", place + 1, set.feet.len());
        middle.label(RichText::new(text).size(size::SECONDARY).color(tokens.soft));
    }
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let tokens = theme::tokens(ui);
        let name = RichText::new(&set.name).size(size::SECONDARY);
        ui.add(egui::Label::new(name.color(tokens.soft)).truncate());
        let side = foot.and_then(|foot| set.foot(foot)).map(|foot| foot.side);
        if let Some(side) = side {
            let words = match side {
                Side::Left => "Left foot",
                Side::Right => "Right foot",
            };
            ui.label(
                RichText::new(words)
                    .family(theme::semibold())
                    .size(size::HEADING),
            );
        }
    });
}

/// Which foot it is, from right to left.
fn foot_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    if workbench.has_foot() {
        side_ui(ui, workbench, commands);
    } else if ui.button("About").clicked() {
        commands.push(Command::Show(Some(Overlay::About)));
    }
}

/// The activities; the one that is on is underlined.
fn activity_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let compares = workbench.comparing().is_some();
    let plans = workbench.planning().is_some();
    let practises = workbench.practising().is_some();
    let leave = if practises {
        Command::Practise(PracticeCommand::Leave)
    } else if plans {
        Command::Plan(PlanCommand::Leave)
    } else {
        Command::Compare(CompareCommand::Leave)
    };
    let activities = [
        ("Measure", !compares && !plans && !practises, leave),
        ("Plan", plans, Command::Plan(PlanCommand::Begin)),
        ("Compare", compares, Command::Compare(CompareCommand::Begin)),
        (
            "Practise",
            practises,
            Command::Practise(PracticeCommand::Begin),
        ),
    ];
    for (name, is_on, command) in activities {
        let ink = if is_on { tokens.ink } else { tokens.soft };
        let text = RichText::new(name)
            .family(theme::semibold())
            .size(size::BODY)
            .color(ink);
        let is_possible = is_on || command.is_possible(workbench);
        let button = egui::Button::new(text).frame(false);
        let response = ui.add_enabled(is_possible, button);
        if is_on {
            let underline = ui.max_rect().bottom() - 1.0;
            let stroke = Stroke::new(3.0, tokens.accent);
            ui.painter()
                .hline(response.rect.x_range(), underline, stroke);
        } else if response
            .on_disabled_hover_text(if practises {
                "Leave practising first: click Measure."
            } else {
                "Open a foot first."
            })
            .clicked()
        {
            commands.push(command);
        }
    }
}

fn foot_menu_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    ui.menu_button("Foot", |ui| {
        let entries = [
            Command::AskForFilms,
            Command::Disc(DiscCommand::Ask),
            Command::Archive(ArchiveCommand::Show),
            Command::AskForAnotherFilm,
            Command::ProposeTracing,
            Command::ExchangeViews,
            Command::ReadOneFootOfTwo(Side::Left),
            Command::ReadOneFootOfTwo(Side::Right),
            Command::Show(Some(Overlay::Visit)),
            Command::Show(Some(Overlay::Sheet)),
            Command::Show(Some(Overlay::Export)),
            Command::Export(ExportCommand::SendBack),
            Command::CloseFoot,
            Command::Show(Some(Overlay::Actions)),
            Command::Show(Some(Overlay::About)),
            Command::Quit,
        ];
        // A foot whose films came from no archive goes back to none.
        let is_offered = |entry: &Command| {
            *entry != Command::Export(ExportCommand::SendBack) || entry.is_possible(workbench)
        };
        for entry in entries.into_iter().filter(is_offered) {
            super::widgets::command_button(ui, workbench, &entry, commands);
        }
    });
}

/// One dot on the time line: this visit.
fn visit_ui(mut ui: Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(&ui);
    let visit = &workbench.study().visit;
    let name = if visit.label.is_empty() {
        "This visit"
    } else {
        &visit.label
    };
    let date = [&workbench.study().ap, &workbench.study().lateral]
        .into_iter()
        .flatten()
        .find_map(|film| film.date);
    let when = date.map_or_else(|| "day unknown".to_owned(), |date| date.to_string());
    ui.add_space(6.0);
    let (dot, _) = ui.allocate_exact_size(vec2(11.0, 11.0), Sense::hover());
    ui.painter().circle_filled(dot.center(), 5.0, tokens.accent);
    let text = RichText::new(format!("{name} · {when}"))
        .size(size::SECONDARY)
        .color(tokens.soft);
    let button = egui::Button::new(text).frame(false);
    if ui
        .add(button)
        .on_hover_text("Visit, dates and reader")
        .clicked()
    {
        commands.push(Command::Show(Some(Overlay::Visit)));
    }
}

fn side_ui(ui: &mut Ui, workbench: &Workbench, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let stance = match workbench.study().visit.stance {
        Stance::Standing => "standing",
        Stance::NotStanding => "not standing",
        Stance::Unknown => "standing: not said",
    };
    let stance = RichText::new(stance)
        .size(size::SECONDARY)
        .color(tokens.soft);
    let button = egui::Button::new(stance).frame(false);
    if ui
        .add(button)
        .on_hover_text("Whether the films were taken standing")
        .clicked()
    {
        commands.push(Command::Show(Some(Overlay::Visit)));
    }
    let confirmed = workbench.study().side.filter(|choice| choice.confirmed);
    if let Some(choice) = confirmed {
        let name = if choice.side == Side::Left {
            "Left foot"
        } else {
            "Right foot"
        };
        let label = RichText::new(name)
            .family(theme::semibold())
            .size(size::HEADING);
        ui.menu_button(label, |ui| {
            for side in [Side::Left, Side::Right] {
                super::widgets::command_button(
                    ui,
                    workbench,
                    &Command::ConfirmSide(side),
                    commands,
                );
            }
            for path in workbench.feet_of_film() {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                if ui.button(format!("Open {name}")).clicked() {
                    commands.push(Command::Open(vec![path.clone()]));
                    ui.close();
                }
            }
        });
    } else {
        for (side, name) in [(Side::Right, "Right"), (Side::Left, "Left")] {
            let proposed = workbench.study().foot() == Some(side);
            let text = RichText::new(name);
            let button = if proposed {
                egui::Button::new(text.color(tokens.on_accent)).fill(tokens.accent)
            } else {
                egui::Button::new(text)
            };
            if ui
                .add(button)
                .on_hover_text(format!("It is a {} foot", side.identifier()))
                .clicked()
            {
                commands.push(Command::ConfirmSide(side));
            }
        }
        ui.label(
            RichText::new(side_question(workbench))
                .size(size::SECONDARY)
                .color(tokens.look_again),
        );
    }
    against_film_ui(ui, workbench);
    if workbench.side_is_contradicted() {
        let warning = RichText::new("the bones say otherwise").color(tokens.bad);
        ui.label(warning).on_hover_text(
            "The order of the metatarsals, seen from the dorsum, makes it the other foot. Check the \
             side, or mirror of the film.",
        );
    }
}

/// That the file of a film says the other foot or the other view, beside the side.
fn against_film_ui(ui: &mut Ui, workbench: &Workbench) {
    let against = workbench.contradictions();
    let Some(first) = against.first() else {
        return;
    };
    let text = match first.said {
        OtherFact::Side(said) => format!("the file says {}", said.value.identifier()),
        OtherFact::View(said) => format!(
            "the file of the {} film says {}",
            first.view.name_in_sentence(),
            said.value.name_in_sentence()
        ),
    };
    let told: Vec<String> = against.iter().map(Contradiction::text).collect();
    let warning = RichText::new(text).color(theme::tokens(ui).bad);
    ui.label(warning).on_hover_text(format!(
        "Look again: {}. Look at the films and their markers; correct the side or the views if the study is wrong.",
        told.join("; ")
    ));
}

/// Which foot it is, as a question, with what proposes an answer.
fn side_question(workbench: &Workbench) -> String {
    match workbench.study().side {
        Some(choice) => {
            let attribute = workbench.side_attribute();
            let source = attribute.unwrap_or_else(|| source_name(choice.source));
            format!("Which foot? {source} proposes")
        }
        None => "Which foot?".to_owned(),
    }
}

const fn source_name(source: SideSource) -> &'static str {
    match source {
        SideSource::FilmFile => "the file",
        SideSource::Marker => "the marker",
        SideSource::Bones => "the order of the bones",
        SideSource::User => "the reader",
    }
}
