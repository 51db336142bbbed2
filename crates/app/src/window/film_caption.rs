//! The captions in the corners of a film, with the menu at its foot.

use egui::{Align2, FontId, Rect, Ui, vec2};
use plumbray_anatomy::View;

use super::{
    film_menu::{self, film_menu_ui},
    number,
    theme::{self, film, size},
};
use crate::{
    canvas::{Placement, ScreenFromFilm},
    workbench::{Command, OpenFilm, Workbench},
};

/// A narrower zone sets its captions one below the other and leaves the zoom out.
const LEAST_WIDTH_FOR_ONE_LINE: f32 = 340.0;

/// Draws what a film is into its corners; beside its view and side stands what it shows beyond the film itself.
pub(super) fn caption_ui(
    ui: &mut Ui,
    rect: Rect,
    workbench: &Workbench,
    (view, what): (View, Option<&str>),
    open: &OpenFilm,
    map: &ScreenFromFilm,
    commands: &mut Vec<Command>,
) {
    let small = FontId::proportional(size::SMALLEST);
    let strong = FontId::new(size::SMALLEST, theme::semibold());
    let painter = ui.painter().with_clip_rect(rect);
    let inner = rect.shrink2(vec2(12.0, 8.0));
    let name = painter.text(
        inner.left_top(),
        Align2::LEFT_TOP,
        view.name(),
        strong,
        film::INK,
    );
    let side = match workbench.study().side {
        Some(choice) if choice.confirmed => choice.side.identifier().to_owned(),
        Some(choice) => format!("{}? (not confirmed)", choice.side.identifier()),
        None => "side unknown".to_owned(),
    };
    let side = match what {
        Some(what) => format!("{side} · {what}"),
        None => side,
    };
    let after_name = name.right_top() + vec2(6.0, 0.0);
    painter.text(
        after_name,
        Align2::LEFT_TOP,
        side,
        small.clone(),
        film::SOFT,
    );
    let (calibration, colour) = match workbench.calibration(view) {
        Some(calibration) => (calibration.basis.name(), film::SOFT),
        None => ("not calibrated".to_owned(), film::LOOK_AGAIN),
    };
    let wide = rect.width() >= LEAST_WIDTH_FOR_ONE_LINE;
    let (place, anchor) = if wide {
        (inner.right_top(), Align2::RIGHT_TOP)
    } else {
        (inner.left_top() + vec2(0.0, 15.0), Align2::LEFT_TOP)
    };
    painter.text(place, anchor, calibration, small.clone(), colour);
    let window = open.view.look.window;
    let named = named_window(open).map_or_else(String::new, |name| format!(" · {name}"));
    let look = format!(
        "window {} · level {}{named}{}",
        grouped(window.width),
        grouped(window.centre),
        if open.view.look.inverted {
            " · inverted"
        } else {
            ""
        }
    );
    film_menu_ui(ui, inner.left_bottom(), workbench, (view, open), commands);
    painter.text(
        inner.left_bottom() + vec2(film_menu::BUTTON, 0.0),
        Align2::LEFT_BOTTOM,
        look,
        small.clone(),
        film::SOFT,
    );
    if !wide {
        return;
    }
    let zoom = match open.view.placement {
        Placement::Fit => "whole film".to_owned(),
        Placement::Part(_) if workbench.planning().is_some() => "first ray".to_owned(),
        Placement::Part(_) | Placement::At { .. } => number::per_cent(map.zoom()),
    };
    painter.text(
        inner.right_bottom(),
        Align2::RIGHT_BOTTOM,
        zoom,
        small,
        film::SOFT,
    );
}

/// What the window is called through which a film is seen; nothing where it has no name or is the reader's own.
fn named_window(open: &OpenFilm) -> Option<&str> {
    let window = open.film.grey().windows.get(open.view.named_window?)?;
    (!window.explanation.is_empty()).then_some(&*window.explanation)
}

/// A film value with commas between thousands.
pub(super) fn grouped(value: f32) -> String {
    let plain = number::plain(f64::from(value), 0);
    let (sign, digits) = match plain.strip_prefix('\u{2212}') {
        Some(digits) => ("\u{2212}", digits.to_owned()),
        None => ("", plain),
    };
    let mut text = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    format!("{sign}{text}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(grouped(1_234_567.0), "1,234,567", "millions");
        assert_eq!(grouped(-1024.0), "\u{2212}1,024", "negative values");
        assert_eq!(grouped(12.4), "12", "rounded");
    }
}
