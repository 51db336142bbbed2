//! The studies of which a set can be made: what each offers, and its films, small.

use egui::{Align, Button, Label, Layout, RichText, Role, Ui, WidgetInfo, vec2};
use plumbray_anatomy::{Side, View};

use super::{
    super::{row_text::row_name, theme, theme::size, widgets},
    making::make,
};
use crate::{
    window::small_pictures::SmallPictures,
    workbench::{Command, FilmOfStudy, MakingCommand, OfferedStudy},
};

/// Height of a study's row in points.
pub(super) const ROW: f32 = 146.0;
/// The largest width and height of a small picture in points.
const PICTURE: f32 = 104.0;
/// Room for a small picture with its tick in points.
const PICTURE_ROOM: f32 = 124.0;
/// The largest width of what is said of a study in points: on a wide window its films stay beside it.
const TEXT: f32 = 620.0;

/// Draws a study of the list.
pub(super) fn study_ui(
    ui: &mut Ui,
    (place, study): (usize, &OfferedStudy),
    pictures: &mut SmallPictures<(usize, View)>,
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
    pictures: &mut SmallPictures<(usize, View)>,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let texture = pictures.texture(ui, (place, film.view), &film.picture);
    let natural = texture.size_vec2();
    let scale = PICTURE / natural.max_elem().max(1.0);
    let image = egui::Image::new((texture.id(), natural * scale));
    let image = if study.is_taken {
        image
    } else {
        image.tint(theme::film::LEFT_OUT)
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
