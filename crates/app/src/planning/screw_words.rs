//! Screws and wires in words, as window, command line and sheet write them.

use plumbray_anatomy::{View, capitalised};
use plumbray_plan::{Plan, Screw, ScrewCourse, ScrewKind, ScrewLength, Undertaking};

use plumbray_report::number::{degrees, millimetres};

use super::words::length;

/// The letter of a screw or wire by its place in the plan: A for the first.
pub(crate) fn letter(place: usize) -> char {
    u8::try_from(place)
        .ok()
        .and_then(|place| b'A'.checked_add(place))
        .filter(u8::is_ascii_uppercase)
        .map_or('?', char::from)
}

/// What it is within a sentence: "screw", "wire".
pub(crate) const fn kind(kind: ScrewKind) -> &'static str {
    match kind {
        ScrewKind::Screw => "screw",
        ScrewKind::Wire => "wire",
    }
}

/// A screw or wire as it is called: "Screw A", "Wire C".
pub(crate) fn screw_name(of: ScrewKind, place: usize) -> String {
    capitalised(&format!("{} {}", kind(of), letter(place)))
}

/// How long a screw is: the true length, or why it is withheld.
pub(crate) fn true_length(length: &ScrewLength) -> String {
    match (length.true_mm, &length.withheld) {
        (Some(mm), _) => millimetres(mm),
        (None, Some(why)) => format!("withheld: {why}"),
        (None, None) => "withheld".to_owned(),
    }
}

/// What one film alone shows of a screw's length: "38.2 mm"; nothing where that film has no millimetre of the
/// patient.
pub(crate) fn length_alone(length: &ScrewLength, view: View) -> Option<String> {
    let mm = match view {
        View::Ap => length.ap_mm,
        View::Lateral => length.lateral_mm,
    };
    mm.map(millimetres)
}

/// The length at hand that reaches no further than the tip, and how long a screw was asked for; nothing where no
/// length can be told.
pub(crate) fn length_at_hand(plan: &Plan, length: &ScrewLength) -> Option<String> {
    let mm = length.true_mm?;
    Some(plan.lengths.at_most(mm + 1e-6).map_or_else(
        || "none at hand is so short".to_owned(),
        |at_hand| format!("{} is at hand", millimetres(at_hand)),
    ))
}

/// The cortices that a screw crosses, in order: "medial shaft, lateral shaft, lateral head".
pub(crate) fn cortices(course: &ScrewCourse) -> String {
    let names: Vec<&str> = course
        .crossings
        .iter()
        .map(|crossing| crossing.cortex.name())
        .collect();
    if names.is_empty() {
        "none".to_owned()
    } else {
        names.join(", ")
    }
}

/// How much bone holds a screw: "in the shaft 20.1 mm, in the head 11.0 mm".
pub(crate) fn purchase(course: &ScrewCourse) -> String {
    format!(
        "in the shaft {}, in the head {}",
        length(course.in_shaft),
        length(course.in_fragment)
    )
}

/// A screw's angle to the shaft, and to the first screw where it is not that.
pub(crate) fn screw_angle(course: &ScrewCourse) -> String {
    let to_shaft = format!("{} to the shaft", degrees(course.angle_to_shaft_degrees));
    course.angle_to_first_degrees.map_or_else(
        || to_shaft.clone(),
        |first| format!("{to_shaft}, {} to {}", degrees(first), letter(0)),
    )
}

/// How high a screw enters on the lateral film: "0.8 mm dorsal of the midline".
pub(crate) fn height_of_entry(undertaking: &Undertaking, screw: &Screw) -> String {
    let before = &undertaking.before;
    let Some(lateral) = &before.lateral else {
        return "its height is not told without a lateral film".to_owned();
    };
    let above = screw.entry.dorsal * lateral.length - lateral.midline;
    let above = undertaking
        .cut
        .length(above * before.ap.length / lateral.length);
    let words = length(above.abs());
    let is_on_it = words == length(undertaking.cut.length(0.0));
    if is_on_it {
        "on the midline".to_owned()
    } else if above.pixel_widths > 0.0 {
        format!("{words} dorsal of the midline")
    } else {
        format!("{words} plantar of the midline")
    }
}
