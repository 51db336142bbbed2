//! Numbers and findings of a plan in words.

use plumbray_plan::{Check, Extent, Figure, Length, Undertaking, Verdict};
use plumbray_report::number::signed;

use super::super::number::{degrees, millimetres, per_cent, plain};
use crate::planning::{
    screw_words::letter,
    words::{check_name, wanted},
};

/// A length short enough for a table: in millimetres, or in per cent of the shaft's width.
pub(super) fn short_length(length: Length) -> String {
    length
        .mm
        .map_or_else(|| per_cent(length.of_width), millimetres)
}

/// A change of length with its sign.
pub(super) fn signed_length(length: Length) -> String {
    length.mm.map_or_else(
        || format!("{}\u{2009}%", signed(length.of_width * 100.0, 0)),
        |mm| format!("{}\u{2009}mm", signed(mm, 1)),
    )
}

/// The number behind a check.
pub(super) fn figure(figure: Figure) -> String {
    match figure {
        Figure::Count(count) => count.to_string(),
        Figure::Length(length) => short_length(length),
        Figure::Degrees(angle) => degrees(angle),
        Figure::Share(share) => per_cent(share),
    }
}

/// A check within a sentence: "A leaves the shaft before the cut (1.2 mm, wanted at least 4.0 mm)".
pub(super) fn check_in_words(check: &Check, done: &Undertaking) -> String {
    let name = check_name(check.finding, done.before.ap.mm_per_pixel_width.is_some());
    let name = match check.screw {
        Some(place) => {
            let mut letters = name.chars();
            let first = letters.next().map(|letter| letter.to_ascii_lowercase());
            let rest = letters.as_str();
            let lower: String = first.into_iter().chain(rest.chars()).collect();
            format!("{} {lower}", letter(place))
        }
        None => name.to_owned(),
    };
    let wanted = wanted(check).map(|wanted| format!("wanted {wanted}"));
    let both: Vec<String> = check.figure.map(figure).into_iter().chain(wanted).collect();
    if both.is_empty() {
        name
    } else {
        format!("{name} ({})", both.join(", "))
    }
}

/// Which checks of a plan are open, for a table.
pub(super) fn open_checks(done: &Undertaking) -> (String, String) {
    let open: Vec<String> = done
        .checks
        .iter()
        .filter(|check| check.verdict == Verdict::Open)
        .map(|check| check_in_words(check, done))
        .collect();
    let short = match open.len() {
        0 => "all met".to_owned(),
        1 => "one open".to_owned(),
        many => format!("{many} open"),
    };
    let cannot = done
        .checks
        .iter()
        .filter(|check| check.verdict == Verdict::CannotTell)
        .count();
    let short = if cannot > 0 && open.is_empty() {
        format!("{cannot} unknown")
    } else {
        short
    };
    (short, open.join("\n"))
}

/// An angle with its sign.
pub(super) fn signed_degrees(angle: f64) -> String {
    format!("{}°", signed(angle, 1))
}

/// A band of usual millimetres or per cent: "usual 22 to 25 mm".
pub(super) fn usual_band(extent: Extent) -> String {
    let [low, high] = match extent {
        Extent::Millimetres(_) => plumbray_plan::USUAL_LEVEL_MM,
        Extent::Share(_) => plumbray_plan::USUAL_LEVEL_SHARE.map(|share| share * 100.0),
    };
    let unit = match extent {
        Extent::Millimetres(_) => "mm",
        Extent::Share(_) => "% of M1",
    };
    format!(
        "usual {} to {}\u{2009}{unit}",
        plain(low, 0),
        plain(high, 0)
    )
}
