//! A film in the list of a disc: a tick, its picture, and what its file says.

use egui::{
    Align, Checkbox, CornerRadius, Image, Label, Layout, Rect, RichText, Role, Sense, Stroke,
    StrokeKind, Ui, UiBuilder, Vec2, WidgetInfo, vec2,
};

use super::command;
use crate::{
    disc::words::{film_words, size_words},
    window::{small_pictures::SmallPictures, theme, theme::size, widgets},
    workbench::{Command, DiscCommand, DiscListing, OpenDisc},
};

/// Height of a film's row in points.
pub(super) const HEIGHT: f32 = 92.0;
/// The largest width and height of a small picture in points.
const PICTURE: f32 = 80.0;
/// How far a film stands in from its patient, in points.
const STEP_IN: f32 = 32.0;

/// Draws a film; a click anywhere in the row ticks it.
pub(super) fn film_ui(
    ui: &mut Ui,
    disc: &OpenDisc,
    listing: &DiscListing,
    film: usize,
    state: &mut SmallPictures<usize>,
    commands: &mut Vec<Command>,
) {
    let Some((.., about)) = listing.film(film) else {
        return;
    };
    let is_ticked = disc.ticked().contains(&film);
    let whole = ui.max_rect().shrink2(vec2(0.0, 2.0));
    let whole = whole.with_min_x(whole.left() + STEP_IN);
    let row = ui.interact(whole, ui.scope_id().with("row"), Sense::click());
    let words = film_words(&about.about);
    row.widget_info(|| WidgetInfo::labeled(Role::ListItem, true, &words));
    background(ui, whole, is_ticked, row.hovered());
    let mut own = ui.new_child(
        UiBuilder::new()
            .max_rect(whole.shrink2(vec2(10.0, 4.0)))
            .layout(Layout::left_to_right(Align::Center)),
    );
    let mut ticked = is_ticked;
    let tick = own.add(Checkbox::without_text(&mut ticked));
    let name = format!("{words}: {}", listing.name(film));
    tick.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, is_ticked, &name));
    if row.clicked() || tick.changed() {
        commands.push(command(DiscCommand::Tick(film, !is_ticked)));
    }
    picture_ui(&mut own, disc, film, PICTURE, state);
    own.add_space(8.0);
    own.with_layout(Layout::top_down(Align::Min), |ui| {
        ui.add_space(14.0);
        let words = RichText::new(words).family(theme::semibold());
        ui.add(Label::new(words).truncate());
        let facts = widgets::soft(ui, size_words(&about.about));
        ui.add(Label::new(facts).truncate());
        last_line_ui(ui, disc, listing, film);
    });
}

fn background(ui: &Ui, whole: Rect, is_ticked: bool, is_hovered: bool) {
    let tokens = theme::tokens(ui);
    let corners = CornerRadius::same(4);
    if is_ticked {
        ui.painter().rect_filled(whole, corners, tokens.raised);
    }
    if is_ticked || is_hovered {
        let line = Stroke::new(1.0, tokens.accent);
        ui.painter()
            .rect_stroke(whole, corners, line, StrokeKind::Inside);
    }
}

/// The path, or why there is no picture.
fn last_line_ui(ui: &mut Ui, disc: &OpenDisc, listing: &DiscListing, film: usize) {
    let tokens = theme::tokens(ui);
    match disc.small(film) {
        Some(Err(problem)) => {
            let text = format!("cannot be opened: {problem}");
            let shown = RichText::new(&text).size(size::SMALLEST);
            let shown = Label::new(shown.color(tokens.look_again)).truncate();
            ui.add(shown).on_hover_text(text);
        }
        _ => {
            let path = RichText::new(listing.name(film)).size(size::SMALLEST);
            ui.add(Label::new(path.color(tokens.faint)).truncate());
        }
    }
}

/// A film's small picture in a square, dark like every film; empty until it is there.
pub(super) fn picture_ui(
    ui: &mut Ui,
    disc: &OpenDisc,
    film: usize,
    room: f32,
    state: &mut SmallPictures<usize>,
) {
    let (rect, _) = ui.allocate_exact_size(Vec2::splat(room), Sense::hover());
    let corners = CornerRadius::same(3);
    ui.painter()
        .rect_filled(rect, corners, theme::film::SURROUND);
    if let Some(Ok(picture)) = disc.small(film) {
        let texture = state.texture(ui, film, picture);
        let natural = texture.size_vec2();
        let drawn = natural * (room / natural.max_elem().max(1.0));
        let place = Rect::from_center_size(rect.center(), drawn);
        Image::new((texture.id(), drawn)).paint_at(ui, place);
    }
}
