//! The points and cortices of a lesson that lie farthest off: a click brings the film to one.

use egui::{Button, Frame, Label, Margin, RichText, Ui};
use plumbray_practise::{FilmLesson, LengthUnit, PlacedThing};

use super::super::{number::plain, theme, theme::size, widgets};
use crate::workbench::{Command, HandedIn, PracticeCommand};

/// Points and cortices that are listed.
const LISTED: usize = 6;

/// A point or a cortex that lies off.
struct Place {
    thing: PlacedThing,
    name: String,
    /// How far off, and which way.
    words: String,
    /// What its degrees belong to beside itself.
    with: &'static str,
    /// Its distance over the one that is expected of a careful hand.
    relative: f64,
}

/// Draws the places that lie farthest off, measured by what a careful hand errs by.
pub(super) fn places_ui(ui: &mut Ui, handed_in: &HandedIn, commands: &mut Vec<Command>) {
    let lesson = &handed_in.lesson;
    let mut listed: Vec<Place> = lesson.films.iter().flat_map(places_of).collect();
    listed.sort_by(|one, other| other.relative.total_cmp(&one.relative));
    listed.truncate(LISTED);
    if listed.is_empty() {
        return;
    }
    ui.add_space(10.0);
    ui.horizontal_wrapped(|ui| {
        ui.label(widgets::heading(ui, "Where it lay off"));
        if handed_in.looked_at.is_some() {
            let whole = Command::Practise(PracticeCommand::WholeFilms);
            widgets::text_action(ui, "Whole films", whole, commands);
        }
    });
    let key = "Click one to see it on the film. Its degrees are its share of what its bone turned the judged angles by, \
               without signs.";
    ui.add(Label::new(widgets::soft(ui, key).size(size::SMALLEST)).wrap());
    for place in listed {
        ui.scope(|ui| place_ui(ui, handed_in, &place, commands));
    }
    for film in &lesson.films {
        if let LengthUnit::Millimetres { calibration } = &film.unit {
            let text = format!("{} film: mm {calibration}", film.view.name());
            ui.label(widgets::soft(ui, text).size(size::SMALLEST));
        }
    }
}

fn place_ui(ui: &mut Ui, handed_in: &HandedIn, place: &Place, commands: &mut Vec<Command>) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let is_on = handed_in.looked_at == Some(place.thing);
    let name = RichText::new(&place.name)
        .size(size::SECONDARY)
        .color(theme::tokens(ui).accent);
    let button = Button::selectable(is_on, name).wrap();
    if ui.add(button).clicked() {
        let look = PracticeCommand::LookAt(place.thing);
        commands.push(Command::Practise(look));
    }
    let degrees = handed_in.lesson.cost_degrees(place.thing);
    let words = format!(
        "{}; {}° of the judged angles{}",
        place.words,
        plain(degrees, 1),
        place.with
    );
    Frame::new()
        .inner_margin(Margin {
            left: 8,
            bottom: 4,
            ..Margin::ZERO
        })
        .show(ui, |ui| {
            ui.add(Label::new(widgets::soft(ui, words).size(size::SMALLEST)).wrap());
        });
}

fn places_of(film: &FilmLesson) -> Vec<Place> {
    let view = film.view;
    let landmarks = film.landmarks.iter().map(|own| Place {
        thing: PlacedThing::Landmark(view, own.landmark),
        name: own.landmark.name(),
        words: own.in_words(&film.unit),
        with: "",
        relative: own.distance / own.expected,
    });
    let cortices = film.cortices.iter().map(|own| {
        let which = own.cortex.map_or("", |cortex| cortex.name());
        let toward = own.toward.map_or_else(String::new, |toward| {
            format!(", on the whole toward {}", toward.name())
        });
        Place {
            thing: PlacedThing::Cortices(view, own.bone),
            name: format!(
                "{}, {which} cortex",
                plumbray_anatomy::capitalised(own.bone.name())
            ),
            words: format!("{}{toward}", film.unit.in_words(own.distance)),
            with: ", with the bone’s other cortex",
            relative: own.distance / own.expected,
        }
    });
    landmarks.chain(cortices).collect()
}
