//! A film of a study, as large as the window allows: does it tell who the patient is?

use egui::{
    Button, CentralPanel, Frame, Label, Margin, Panel, PointerButton, RichText, Role, Sense, Ui,
    WidgetInfo,
};

use super::{
    super::{
        film_hand, theme,
        theme::{film, size},
        widgets,
    },
    making::make,
};
use crate::{
    canvas::FilmPainter,
    workbench::{Command, FilmView, LookedAtFilm, MakingCommand, SetInMaking},
};

/// Draws a film that is looked at for names, with the question and its answers above it.
pub(super) fn film_ui(
    ui: &mut Ui,
    making: &SetInMaking,
    looked_at: &LookedAtFilm,
    painter: &mut FilmPainter,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    Panel::top("question about the film")
        .frame(
            Frame::new()
                .fill(tokens.desk)
                .inner_margin(Margin::symmetric(16, 10)),
        )
        .resizable(false)
        .show(ui, |ui| question_ui(ui, making, looked_at, commands));
    CentralPanel::no_frame()
        .frame(Frame::new().fill(film::SURROUND))
        .show(ui, |ui| picture_ui(ui, looked_at, painter, commands));
}

fn question_ui(
    ui: &mut Ui,
    making: &SetInMaking,
    looked_at: &LookedAtFilm,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let (place, view) = (looked_at.place, looked_at.view);
    let studies = making.studies.as_deref().unwrap_or_default();
    let name = studies.get(place).map_or("", |study| study.name.as_str());
    let heading = format!("Names in the picture? Look. {} film of {name}", view.name());
    ui.add(Label::new(widgets::heading(ui, heading)).wrap());
    let text = "A name, a number, a date of birth or a hospital: look along the edges, into the corners and into what \
                is very bright or very dark. It is shown from its darkest to its brightest grey, as the set will have it.";
    ui.add(Label::new(widgets::soft(ui, text)).wrap());
    ui.add_space(4.0);
    let is_clear = making.film(place, view).is_some_and(|own| own.is_clear);
    ui.horizontal_wrapped(|ui| {
        if is_clear {
            ui.label(
                RichText::new("You found nothing in it.")
                    .size(size::SECONDARY)
                    .color(tokens.good),
            );
            let again = make(MakingCommand::Clear(place, view, false));
            widgets::text_action(ui, "Take that back", again, commands);
        } else {
            let text = RichText::new("Nothing in it tells who it is").color(tokens.on_accent);
            if ui.add(Button::new(text).fill(tokens.accent)).clicked() {
                commands.push(make(MakingCommand::Clear(place, view, true)));
            }
            let out = make(MakingCommand::Take(place, false));
            widgets::text_action(ui, "Leave this study out", out, commands);
        }
        let list = make(MakingCommand::ToList);
        widgets::text_action(ui, "Back to the studies", list, commands);
    });
}

fn picture_ui(
    ui: &Ui,
    looked_at: &LookedAtFilm,
    painter: &mut FilmPainter,
    commands: &mut Vec<Command>,
) {
    let rect = ui.available_rect_before_wrap();
    let own = looked_at.pyramid.film();
    let shown = &looked_at.shown;
    let map = film_hand::map_in(
        rect,
        own,
        own.proportions(),
        shown.orientation,
        shown.placement,
    );
    let response = ui.interact(
        rect,
        ui.scope_id().with("film that is looked at"),
        Sense::click_and_drag(),
    );
    let name = format!("{} film, to be looked at for names", looked_at.view.name());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
    let within = ui.painter().with_clip_rect(rect);
    painter.film_ui(&within, &map, &looked_at.pyramid, &shown.look);
    let mut changed: FilmView = shown.clone();
    if let Some(placement) = film_hand::zoomed(ui, &response, &map) {
        changed.placement = placement;
    }
    if response.dragged_by(PointerButton::Primary)
        && let Some(placement) = film_hand::panned(&response, &map)
    {
        changed.placement = placement;
    }
    if let Some(look) = film_hand::windowed(&response, map.viewport(), &shown.look) {
        changed.look = look;
    }
    if changed != *shown {
        commands.push(make(MakingCommand::Show(Box::new(changed))));
    }
}
