//! How a marked wire lies otherwise than planned, in words.

use plumbray_compare::{EndDifference, LaidByShaft, MetalDifference, ScaleBy};
use plumbray_plan::{Length, Screw};
use plumbray_report::number::plain;

use crate::planning::screw_words::screw_name;

/// What is said of every marked wire.
pub(crate) const WIRES_ARE: &str = "As the AP film shows it: how far dorsal a wire lies, it does not tell. Marked wires are kept in no \
                                    file; they are gone when you leave Compare.";

/// How a marked wire lies against the planned screw or wire that is nearest to it, a line each.
pub(crate) fn wire_lines(planned: &[Screw], nearest: (usize, &MetalDifference)) -> Vec<String> {
    let (place, told) = nearest;
    let name = planned
        .get(place)
        .map_or_else(String::new, |screw| screw_name(screw.kind, place));
    let way = way_words(told.angle_degrees);
    let mut lines = vec![
        format!("Nearest planned: {name}"),
        format!("Entry {}", end_words(&told.entry)),
        format!("Tip {}", end_words(&told.tip)),
        format!("Points {way} than planned"),
    ];
    lines.push(match &told.calibration {
        Some(name) => format!("Millimetres {name}, of the film before."),
        None => "Per cent are of the shaft’s width at the planned cut; without a calibration of the film before, no \
                 millimetres."
            .to_owned(),
    });
    lines
}

/// What makes the comparison coarse, if anything does.
pub(crate) fn coarse_words(laid: &LaidByShaft) -> Option<&'static str> {
    (laid.scale_by() == ScaleBy::ShaftWidth).then_some(
        "No lesser metatarsal is traced whole on both films, so that the size of the later one is taken from the width \
         of the shaft: 2 % of it puts a tip a tenth of the width too far.",
    )
}

/// "1.2 mm farther lateral and 0.8 mm farther proximal, 1.4 mm apart".
fn end_words(end: &EndDifference) -> String {
    format!(
        "{} and {}, {} apart",
        farther(&end.lateral, ["lateral", "medial"]),
        farther(&end.distal, ["distal", "proximal"]),
        size_words(&end.apart)
    )
}

fn farther(length: &Length, [positive, negative]: [&str; 2]) -> String {
    let toward = if length.pixel_widths < 0.0 {
        negative
    } else {
        positive
    };
    format!("{} farther {toward}", size_words(length))
}

/// Its size in millimetres where there are any, else in per cent of the shaft's width.
fn size_words(length: &Length) -> String {
    match length.mm {
        Some(mm) => format!("{}\u{2009}mm", plain(mm.abs(), 1)),
        None => format!("{}\u{2009}%", plain(100.0 * length.of_width.abs(), 0)),
    }
}

/// "3.2° farther lateral".
fn way_words(degrees: f64) -> String {
    let toward = if degrees < 0.0 { "medial" } else { "lateral" };
    format!("{}° farther {toward}", plain(degrees.abs(), 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn length(pixel_widths: f64, is_calibrated: bool) -> Length {
        Length {
            pixel_widths,
            of_width: pixel_widths / 50.0,
            mm: is_calibrated.then_some(pixel_widths * 0.2),
        }
    }

    #[test]
    fn an_end_is_told_in_millimetres_only_where_the_film_before_is_calibrated() {
        for (is_calibrated, expected) in [
            (
                true,
                "1.2\u{2009}mm farther medial and 0.8\u{2009}mm farther distal, 1.4\u{2009}mm apart",
            ),
            (
                false,
                "12\u{2009}% farther medial and 8\u{2009}% farther distal, 14\u{2009}% apart",
            ),
        ] {
            let end = EndDifference {
                lateral: length(-6.0, is_calibrated),
                distal: length(4.0, is_calibrated),
                apart: length(7.2, is_calibrated),
            };
            assert_eq!(end_words(&end), expected, "calibrated: {is_calibrated}");
        }
    }

    #[test]
    fn the_way_a_wire_points_names_its_side() {
        for (degrees, expected) in [
            (3.21, "3.2° farther lateral"),
            (-0.5, "0.5° farther medial"),
        ] {
            assert_eq!(way_words(degrees), expected, "{degrees}");
        }
    }
}
