//! A supervisor makes a practice set of studies: which of them, what the set is called, where it is written.

use std::{collections::BTreeMap, path::PathBuf, sync::Arc, time::Duration};

use egui::{
    Align, Button, CentralPanel, Color32, ColorImage, Frame, Label, Layout, Margin, Panel,
    RichText, Role, ScrollArea, TextEdit, TextureHandle, TextureOptions, Ui, WidgetInfo, vec2,
};
use plumbray_anatomy::{Side, View};
use plumbray_practise::BURNT_IN;

use super::{
    super::{WindowState, row_text::row_name, theme, theme::size, widgets},
    making_film::film_ui,
};
use crate::workbench::{
    Command, FilmOfStudy, GreyPicture, MakingCommand, OfferedStudy, PracticeCommand, SetInMaking,
    Workbench,
};

/// Width of the panel with what the set is to be, in points.
const PANEL: f32 = 396.0;
/// Height of a study's row in points.
const ROW: f32 = 146.0;
/// The largest width and height of a small picture in points.
const PICTURE: f32 = 104.0;
/// Room for a small picture with its tick in points.
const PICTURE_ROOM: f32 = 124.0;
/// The largest width of what is said of a study in points: on a wide window its films stay beside it.
const TEXT: f32 = 620.0;
/// How often the window looks how far work has come.
const GLANCE: Duration = Duration::from_millis(100);

/// The small pictures of films as they are on the screen, by the study's place and the view.
#[derive(Default)]
pub(in super::super) struct SmallPictures {
    shown: BTreeMap<(usize, View), (Arc<GreyPicture>, TextureHandle)>,
}

impl std::fmt::Debug for SmallPictures {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("SmallPictures")
            .field("count", &self.shown.len())
            .finish()
    }
}

impl SmallPictures {
    fn texture(&mut self, ui: &Ui, place: usize, film: &FilmOfStudy) -> TextureHandle {
        let key = (place, film.view);
        match self.shown.get(&key) {
            Some((picture, texture)) if Arc::ptr_eq(picture, &film.picture) => texture.clone(),
            _ => {
                let image = ColorImage::from_gray(film.picture.size, &film.picture.greys);
                let texture =
                    ui.ctx()
                        .load_texture("film of a study", image, TextureOptions::LINEAR);
                let kept = (Arc::clone(&film.picture), texture.clone());
                self.shown.insert(key, kept);
                texture
            }
        }
    }
}

pub(super) fn make(command: MakingCommand) -> Command {
    Command::Practise(PracticeCommand::Make(command))
}

/// What the prompt line says while a set is made.
pub(super) fn prompt(making: &SetInMaking) -> (String, String) {
    let prompt = making
        .work_under_way()
        .map(|work| format!("{work}…"))
        .or_else(|| making.what_is_missing())
        .unwrap_or_else(|| "Everything is said. Write the set.".to_owned());
    let help = if making.looked_at.is_some() {
        "Wheel zooms, a drag moves the film, a drag with the right button changes its greys."
    } else {
        "Of each film only the grey picture is copied: no name, no date, not the names of its files."
    };
    (prompt, help.to_owned())
}

/// Draws the page on which a set is made.
pub(in super::super) fn making_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    if making.work_under_way().is_some() {
        ui.ctx().request_repaint_after(GLANCE);
    }
    let padded = |fill| {
        Frame::new()
            .fill(fill)
            .inner_margin(Margin::symmetric(16, 12))
    };
    Panel::right("set in making")
        .exact_size(PANEL.min(ui.available_width() * 0.5))
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            Panel::bottom("write the set")
                .frame(padded(tokens.raised))
                .resizable(false)
                .show(ui, |ui| write_ui(ui, workbench, making, commands));
            CentralPanel::no_frame()
                .frame(padded(tokens.panel))
                .show(ui, |ui| {
                    ScrollArea::vertical()
                        .id_salt("what the set is to be")
                        .auto_shrink(false)
                        .show(ui, |ui| fields_ui(ui, workbench, making, state, commands));
                });
        });
    if let Some(film) = &making.looked_at {
        film_ui(ui, making, film, &mut state.compare_painters[0], commands);
        return;
    }
    CentralPanel::no_frame()
        .frame(padded(tokens.desk))
        .show(ui, |ui| studies_ui(ui, making, state, commands));
}

fn fields_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    ui.label(widgets::heading(ui, "Make a practice set"));
    let text = "From studies that you traced. Your tracing becomes the reference by which attempts are judged.";
    ui.add(Label::new(widgets::soft(ui, text)).wrap());
    folder_ui(ui, workbench, making, &mut state.practise.folder, commands);
    if let Some(name) = field_ui(
        ui,
        "Name of the set",
        "Feet of the spring course",
        &making.name,
    ) {
        commands.push(make(MakingCommand::Name(name)));
    }
    let who = &making.supervisor;
    if let Some(name) = field_ui(ui, "Whose tracings they are", "Name of the supervisor", who) {
        commands.push(make(MakingCommand::Supervisor(name)));
    }
    if let Some(target) = field_ui(ui, "Where to write it", "A new folder", &making.target) {
        commands.push(make(MakingCommand::Where(target)));
    }
    let ask = make(MakingCommand::AskWhere);
    widgets::small_button(ui, workbench, "Choose where…", ask, commands);
    ui.add_space(8.0);
    let mut snapping = making.snapping;
    if ui
        .checkbox(&mut snapping, "residents begin with snapping")
        .on_hover_text(
            "Points move to the nearest edge. Each resident can choose otherwise for a foot.",
        )
        .changed()
    {
        commands.push(make(MakingCommand::Snapping(snapping)));
    }
    ui.add_space(8.0);
    let tokens = theme::tokens(ui);
    let warning = RichText::new(BURNT_IN).size(size::SECONDARY);
    ui.add(Label::new(warning.color(tokens.look_again)).wrap());
    ui.add_space(4.0);
    let difficulty = "How hard a foot is to read is not in a study; each counts as easy.";
    ui.add(Label::new(widgets::soft(ui, difficulty).size(size::SMALLEST)).wrap());
}

/// Where the studies lie; the folder is read when the field is left.
fn folder_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    making: &SetInMaking,
    typed: &mut Option<String>,
    commands: &mut Vec<Command>,
) {
    let kept = making.folder.as_ref();
    let kept = kept.map_or_else(String::new, |folder| folder.display().to_string());
    let mut text = typed.clone().unwrap_or_else(|| kept.clone());
    ui.add_space(8.0);
    let name = "Folder of the studies";
    ui.label(widgets::soft(ui, name));
    let field = TextEdit::singleline(&mut text)
        .hint_text("A folder with studies in it or below it")
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
    if response.lost_focus() && !text.trim().is_empty() && text.trim() != kept {
        let folder = PathBuf::from(text.trim());
        commands.push(make(MakingCommand::ReadStudies(folder)));
    }
    *typed = response.has_focus().then_some(text);
    let ask = make(MakingCommand::AskForStudies);
    widgets::small_button(ui, workbench, "Choose the folder…", ask, commands);
}

/// A field with its name above it; gives the text when it was changed.
fn field_ui(ui: &mut Ui, name: &str, hint: &str, kept: &str) -> Option<String> {
    ui.add_space(8.0);
    ui.label(widgets::soft(ui, name));
    let mut text = kept.to_owned();
    let field = TextEdit::singleline(&mut text)
        .hint_text(hint)
        .desired_width(f32::INFINITY);
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
    response.changed().then_some(text)
}

fn write_ui(ui: &mut Ui, workbench: &Workbench, making: &SetInMaking, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let feet = making.taken().count();
    let heading = match feet {
        0 => "No foot yet".to_owned(),
        1 => "A set of 1 foot".to_owned(),
        feet => format!("A set of {feet} feet"),
    };
    ui.label(widgets::heading(ui, heading));
    let state = making
        .work_under_way()
        .or_else(|| making.what_is_missing())
        .unwrap_or_else(|| "Every film was looked at.".to_owned());
    ui.add(Label::new(widgets::soft(ui, state)).wrap());
    ui.add_space(6.0);
    ui.horizontal_wrapped(|ui| {
        let write = make(MakingCommand::Write);
        let text = RichText::new("Write the set").color(tokens.on_accent);
        let button = Button::new(text).fill(tokens.accent);
        if ui
            .add_enabled(write.is_possible(workbench), button)
            .clicked()
        {
            commands.push(write);
        }
        if let Some((place, view)) = making.next_to_look_at(None) {
            let look = make(MakingCommand::LookAt(place, view));
            widgets::small_button(ui, workbench, "Look at the next film", look, commands);
        }
        widgets::text_action(ui, "Leave", make(MakingCommand::Leave), commands);
    });
}

fn studies_ui(
    ui: &mut Ui,
    making: &SetInMaking,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let Some(studies) = &making.studies else {
        let text = match making.work_under_way() {
            Some(work) => format!("{work}…"),
            None => "Choose the folder of the studies at the right. Each study in it and below it is shown here with \
                     what it offers."
                .to_owned(),
        };
        ui.add(Label::new(widgets::soft(ui, text)).wrap());
        return;
    };
    let fit = studies.iter().filter(|own| own.fitness.refusal.is_none());
    let count = format!("{} of {} studies can serve", fit.count(), studies.len());
    ui.label(widgets::heading(ui, count));
    ui.add_space(6.0);
    ScrollArea::vertical()
        .id_salt("studies of the set")
        .auto_shrink(false)
        .show_rows(ui, ROW, studies.len(), |ui, rows| {
            let first = rows.start;
            for (index, study) in studies[rows].iter().enumerate() {
                let pictures = &mut state.practise.pictures;
                study_ui(ui, (first + index, study), pictures, commands);
            }
        });
}

fn study_ui(
    ui: &mut Ui,
    (place, study): (usize, &OfferedStudy),
    pictures: &mut SmallPictures,
    commands: &mut Vec<Command>,
) {
    let pictures_room = PICTURE_ROOM * 2.0;
    let text_room = (ui.available_width() - pictures_room - 16.0).clamp(160.0, TEXT);
    ui.horizontal_top(|ui| {
        ui.set_height(ROW);
        ui.allocate_ui_with_layout(vec2(text_room, ROW), Layout::top_down(Align::Min), |ui| {
            ui.set_width(text_room);
            what_it_offers_ui(ui, place, study, commands);
        });
        for film in &study.films {
            ui.allocate_ui_with_layout(
                vec2(PICTURE_ROOM, ROW),
                Layout::top_down(Align::Min),
                |ui| {
                    ui.set_width(PICTURE_ROOM);
                    small_film_ui(ui, (place, study), film, pictures, commands);
                },
            );
        }
    });
}

fn what_it_offers_ui(ui: &mut Ui, place: usize, study: &OfferedStudy, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let fitness = &study.fitness;
    let mut taken = study.is_taken;
    let name = RichText::new(&study.name).family(theme::semibold());
    let tick = egui::Checkbox::new(&mut taken, name);
    let response = ui
        .add_enabled_ui(fitness.refusal.is_none(), |ui| ui.add(tick))
        .inner
        .on_hover_text(fitness.path.display().to_string());
    if response.changed() {
        commands.push(make(MakingCommand::Take(place, taken)));
    }
    if let Some(refusal) = &fitness.refusal {
        let text = RichText::new(plumbray_anatomy::capitalised(refusal));
        let text = text.size(size::SECONDARY).color(tokens.look_again);
        ui.add(Label::new(text).wrap());
        return;
    }
    let by = match fitness.traced_by.trim() {
        "" => "does not say who traced it".to_owned(),
        name => format!("traced by {name}"),
    };
    let side = match fitness.side {
        Some(Side::Left) => "left foot",
        Some(Side::Right) => "right foot",
        None => "side unknown",
    };
    let films = match fitness.views.as_slice() {
        [View::Ap] => "AP film only",
        [View::Lateral] => "lateral film only",
        _ => "AP and lateral film",
    };
    let text = format!("{by} · {side} · {films}");
    ui.add(Label::new(widgets::soft(ui, text)).wrap());
    let lacks: Vec<String> = fitness
        .lacks
        .iter()
        .map(|(measurement, why)| format!("{} {why}", row_name(*measurement).to_lowercase()))
        .collect();
    let text = if lacks.is_empty() {
        "Every number of the lesson that its films can give.".to_owned()
    } else {
        format!("Not judged: {}.", lacks.join("; "))
    };
    ui.add(Label::new(widgets::soft(ui, &text).size(size::SMALLEST)).truncate())
        .on_hover_text(text);
}

/// A film of a study, small: a click shows it large, where names can be read; then it can be ticked.
fn small_film_ui(
    ui: &mut Ui,
    (place, study): (usize, &OfferedStudy),
    film: &FilmOfStudy,
    pictures: &mut SmallPictures,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let texture = pictures.texture(ui, place, film);
    let natural = texture.size_vec2();
    let scale = PICTURE / natural.max_elem().max(1.0);
    let image = egui::Image::new((texture.id(), natural * scale));
    let image = if study.is_taken {
        image
    } else {
        image.tint(Color32::from_gray(110))
    };
    let name = format!(
        "Look at the {} film of {}",
        film.view.name_in_sentence(),
        study.name
    );
    let response = ui.add(Button::image(image).frame(false));
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    if response.on_hover_text(&name).clicked() {
        commands.push(make(MakingCommand::LookAt(place, film.view)));
    }
    if !study.is_taken {
        return;
    }
    if film.seen.is_none() {
        let text = RichText::new("Names in it? Look.").size(size::SMALLEST);
        let look = Button::new(text.color(tokens.look_again)).frame(false);
        if ui.add(look).clicked() {
            commands.push(make(MakingCommand::LookAt(place, film.view)));
        }
        return;
    }
    let mut clear = film.is_clear;
    let (words, colour) = if film.is_clear {
        ("no name in it", tokens.good)
    } else {
        ("no name in it?", tokens.look_again)
    };
    let text = RichText::new(words).size(size::SMALLEST).color(colour);
    let response = ui.checkbox(&mut clear, text);
    let spoken = format!(
        "No name in the {} film of {}",
        film.view.name_in_sentence(),
        study.name
    );
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, film.is_clear, &spoken));
    if response.changed() {
        commands.push(make(MakingCommand::Clear(place, film.view, clear)));
    }
}
