//! How a film is laid out when it opens, by what its file says of the patient's body.

use plumbray_anatomy::{Angle, View};
use plumbray_film::{BodyDirection, Film, FilmDirections, FilmFacts};

use crate::canvas::Orientation;

/// How a film is laid out when it opens as this view, and what was done as a sentence, where anything was.
pub(super) fn layout_of(facts: &FilmFacts, view: View) -> (Orientation, Option<String>) {
    let said = facts.directions;
    let laid = said.and_then(|said| Some((laid_out(said.value, view)?, said.source)));
    laid.map_or((Orientation::default(), None), |(orientation, source)| {
        (orientation, layout_words(view, orientation, source))
    })
}

/// Whether a film is wider than tall as it is laid out.
pub(super) fn is_wide(film: &Film, laid_out: Orientation) -> bool {
    let lies_across = laid_out.turn.radians().sin().abs() > 0.5;
    if lies_across {
        film.height() > film.width()
    } else {
        film.width() > film.height()
    }
}

/// How to lay a film out as films of a foot are looked at: the AP film with the toes up and seen from the dorsum, the
/// lateral film with the sole down (common practice, no source). Nothing where what the file says does not fit the
/// view; [`Orientation::default`] where the film lies so already.
///
/// On an AP film rows and columns lie in the plane of left–right and front–back. Looked at from the dorsum with the
/// toes up, the patient's right is at the right. A film that only a mirror brings there is mirrored; whoever shows the
/// result must say so. A lateral film is never mirrored: seen from medial or from lateral, either is a film.
#[must_use]
fn laid_out(directions: FilmDirections, view: View) -> Option<Orientation> {
    use BodyDirection::{Anterior, Feet, Head, Left, Posterior, Right};
    let FilmDirections {
        along_rows,
        down_columns,
    } = directions;
    let toward = |positive: BodyDirection, negative: BodyDirection| {
        place_of(along_rows, positive, negative)
            .map(|sign| [sign, 0.0])
            .or_else(|| place_of(down_columns, positive, negative).map(|sign| [0.0, sign]))
    };
    match view {
        View::Ap => {
            let (right, back) = (toward(Right, Left)?, toward(Posterior, Anterior)?);
            let flipped = right[0] * back[1] - right[1] * back[0] < 0.0;
            Some(with_down(back, flipped))
        }
        View::Lateral => {
            let (feet, _) = (toward(Feet, Head)?, toward(Anterior, Posterior)?);
            Some(with_down(feet, false))
        }
    }
}

/// 1 where a direction of the film is the positive one, −1 where it is the negative one.
fn place_of(
    direction: BodyDirection,
    positive: BodyDirection,
    negative: BodyDirection,
) -> Option<f64> {
    if direction == positive {
        Some(1.0)
    } else if direction == negative {
        Some(-1.0)
    } else {
        None
    }
}

/// The orientation in which this direction of the film, `[x, y]` with y down, points down on the screen.
fn with_down([x, y]: [f64; 2], flipped: bool) -> Orientation {
    // A zero must not be negative: it would make half a turn of −180°.
    let x = if flipped { -x } else { x } + 0.0;
    Orientation {
        turn: Angle::from_radians(x.atan2(y)),
        flipped,
    }
}

/// What was done to a film by what its file says, as a sentence; nothing where nothing was.
fn layout_words(view: View, shown: Orientation, source: &str) -> Option<String> {
    if shown == Orientation::default() {
        return None;
    }
    let done = match (shown.flipped, shown.turn.radians().abs() > 0.1) {
        (false, _) => "turned",
        (true, false) => "mirrored",
        (true, true) => "mirrored and turned",
    };
    let usual = match view {
        View::Ap if shown.flipped => "the toes point up and the foot is seen from its dorsum",
        View::Ap => "the toes point up",
        View::Lateral => "the sole is down",
    };
    Some(format!(
        "The {} film is {done} by {source}, so that {usual}.",
        view.name_in_sentence()
    ))
}

#[cfg(test)]
mod tests {
    use BodyDirection::{Anterior, Feet, Head, Left, Posterior, Right};

    use super::*;

    fn shown(view: View, along_rows: BodyDirection, down_columns: BodyDirection) -> (f64, bool) {
        let directions = FilmDirections {
            along_rows,
            down_columns,
        };
        let orientation = laid_out(directions, view).expect("fits the view");
        (orientation.turn.degrees().round(), orientation.flipped)
    }

    #[test]
    fn an_ap_film_is_laid_with_the_toes_up_and_seen_from_the_dorsum_from_all_eight_ways() {
        let cases = [
            (Right, Posterior, 0.0, false),
            (Posterior, Left, 90.0, false),
            (Left, Anterior, 180.0, false),
            (Anterior, Right, -90.0, false),
            (Left, Posterior, 0.0, true),
            (Posterior, Right, -90.0, true),
            (Right, Anterior, 180.0, true),
            (Anterior, Left, 90.0, true),
        ];
        for (rows, columns, turn, flipped) in cases {
            assert_eq!(
                shown(View::Ap, rows, columns),
                (turn, flipped),
                "{rows:?}, {columns:?}"
            );
        }
    }

    #[test]
    fn a_lateral_film_is_laid_with_the_sole_down_from_all_eight_ways_and_never_mirrored() {
        let cases = [
            (Anterior, Feet, 0.0),
            (Posterior, Feet, 0.0),
            (Anterior, Head, 180.0),
            (Posterior, Head, 180.0),
            (Feet, Anterior, 90.0),
            (Feet, Posterior, 90.0),
            (Head, Anterior, -90.0),
            (Head, Posterior, -90.0),
        ];
        for (rows, columns, turn) in cases {
            assert_eq!(
                shown(View::Lateral, rows, columns),
                (turn, false),
                "{rows:?}, {columns:?}"
            );
        }
    }

    #[test]
    fn what_does_not_fit_the_view_lays_nothing_out() {
        let directions = FilmDirections {
            along_rows: Left,
            down_columns: Feet,
        };
        for view in View::ALL {
            assert_eq!(laid_out(directions, view), None, "{view:?}");
        }
    }

    #[test]
    fn what_was_done_is_said_with_the_attribute_that_said_so() {
        let words = |rows, columns| {
            let directions = FilmDirections {
                along_rows: rows,
                down_columns: columns,
            };
            let shown = laid_out(directions, View::Ap).expect("fits");
            layout_words(View::Ap, shown, "Patient Orientation")
        };
        assert_eq!(words(Right, Posterior), None, "it lies so already");
        let turned = words(Left, Anterior).expect("turned");
        assert!(
            turned.contains("is turned by Patient Orientation"),
            "{turned}"
        );
        let mirrored = words(Left, Posterior).expect("mirrored");
        assert!(mirrored.contains("is mirrored by"), "{mirrored}");
    }

    #[test]
    fn a_film_that_is_stored_on_its_side_is_as_wide_as_it_is_shown() {
        let mut png = std::io::Cursor::new(Vec::new());
        image::GrayImage::new(6, 4)
            .write_to(&mut png, image::ImageFormat::Png)
            .expect("a picture");
        let film = Film::from_bytes(png.get_ref()).expect("a film");
        let turned = |degrees| Orientation::default().turned_by(Angle::from_degrees(degrees));
        assert!(is_wide(&film, turned(0.0)), "as stored");
        assert!(is_wide(&film, turned(180.0)), "upside down");
        assert!(!is_wide(&film, turned(90.0)), "on its side");
        assert!(!is_wide(&film, turned(-90.0)), "on its other side");
    }
}
