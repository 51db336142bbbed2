//! Numbers and classes of a report with what they stand on (TID 300, TID 320).

use plumbray_anatomy::FilmPoint;
use plumbray_measure::{
    AxisConvention, Class, Ellipse, Line, LineRole, Measurement, Reading, Row, SeverityOutcome,
    Unit,
};

use super::{
    code::{self, Code},
    content::{ContentItem, Relation, Shape},
    film_reference::FilmReference,
};

/// The items of a row of the worksheet: none where it has no number, one where it has. `own_spread` is what is kept of
/// the reader, where the interval holds it.
pub(super) fn measurement_items(
    row: &Row,
    own_spread: Option<&str>,
    film: &FilmReference,
) -> Option<ContentItem> {
    let reading = row.outcome.reading()?;
    let measurement = row.measurement;
    let name = measurement_code(measurement);
    let item = match measurement.unit() {
        Unit::Position | Unit::Grade => classified(measurement, &name, reading),
        Unit::Degrees => measured(&name, reading, &code::DEGREE),
        Unit::Millimetres => measured(&name, reading, &code::MILLIMETRE),
        Unit::Ratio => measured(&name, reading, &code::NO_UNITS),
        Unit::PerCent => measured(&name, reading, &code::PER_CENT),
    };
    Some(
        item.with_all(interval_holds(measurement, own_spread))
            .with_all(stands_on(measurement, reading))
            .with_all(drawn(measurement, reading, film)),
    )
}

/// A measurement as a concept of our own scheme: no vocabulary of the standard has one of them.
pub(crate) fn measurement_code(measurement: Measurement) -> Code {
    Code::own(measurement.identifier(), measurement.name())
}

/// A number with its standard deviation and the ends of its interval.
fn measured(name: &Code, reading: &Reading, unit: &Code) -> ContentItem {
    let property =
        |name: &Code, value: f64| ContentItem::number(Relation::HasProperties, name, value, unit);
    let [low, high] = interval_codes();
    let own = reading.own_sd.map(|sd| property(&own_sd_code(), sd));
    ContentItem::number(Relation::Contains, name, reading.value, unit)
        .with(property(&code::STANDARD_DEVIATION, reading.sd))
        .with_all(own)
        .with(property(&low, reading.interval.0))
        .with(property(&high, reading.interval.1))
}

/// The ends of an interval.
pub(crate) fn interval_codes() -> [Code; 2] {
    [
        ("interval_low", "Lower end of 95 % interval"),
        ("interval_high", "Upper end of 95 % interval"),
    ]
    .map(|(value, meaning)| Code::own(value, meaning))
}

/// The standard deviation of the reader's own readings of one film, which an interval may hold beside that of the
/// tracing.
pub(crate) fn own_sd_code() -> Code {
    Code::own(
        "own_standard_deviation",
        "Standard deviation of the reader's own readings",
    )
}

/// Of which spread the interval of a number is made; nothing for a position or a grade, which has none. Neither a name
/// nor a day stands in it: who read the films is told once, among the observers.
fn interval_holds(measurement: Measurement, own_spread: Option<&str>) -> Option<ContentItem> {
    let name = Code::own("interval_holds", "What the 95 % interval holds");
    let words = own_spread.map_or_else(
        || "the spread of this tracing".to_owned(),
        |kept| {
            format!("the spread of this tracing, and the reader's own spread, one standard deviation: {kept}")
        },
    );
    let is_number = measurement.unit().is_number();
    is_number.then(|| ContentItem::text(Relation::HasConceptModifier, &name, &words))
}

/// A position or a grade, with the probability of each class.
fn classified(measurement: Measurement, name: &Code, reading: &Reading) -> ContentItem {
    let identifier = measurement.identifier();
    let class = format!("{:.0}", reading.value);
    let probabilities = reading.classes.iter().map(|(class, probability)| {
        let name = Code::own(
            format!("{identifier}.{class}.probability"),
            format!("Probability of {class}, reader's error included"),
        );
        ContentItem::number(
            Relation::HasProperties,
            &name,
            *probability,
            &code::NO_UNITS,
        )
    });
    let word = if measurement.unit() == Unit::Position {
        "Position"
    } else {
        "Grade"
    };
    let value = Code::own(format!("{identifier}.{class}"), format!("{word} {class}"));
    ContentItem::code(Relation::Contains, name, &value).with_all(probabilities)
}

/// By which axes, by which construction, by which calibration, and what else to know.
fn stands_on(measurement: Measurement, reading: &Reading) -> Vec<ContentItem> {
    use Relation::HasConceptModifier as Modifier;
    let text = |value: &'static str, meaning: &'static str, text: &str| {
        ContentItem::text(Modifier, &Code::own(value, meaning), text)
    };
    let mut items = Vec::new();
    if let Some(convention) = reading.convention {
        items.push(ContentItem::code(
            Modifier,
            &code::MEASUREMENT_METHOD,
            &convention_code(convention),
        ));
    }
    items.push(text(
        "construction",
        "Construction",
        measurement.definition(),
    ));
    if let Some(calibration) = &reading.calibration_name {
        items.push(text("calibration", "Calibration", calibration));
    }
    let remarks = reading.remarks.iter();
    items.extend(remarks.map(|remark| text("remark", "Remark", &remark.text())));
    items
}

pub(crate) fn convention_code(convention: AxisConvention) -> Code {
    Code::own(convention.identifier(), convention.name())
}

/// The places on the film from which a number is made.
fn drawn(measurement: Measurement, reading: &Reading, film: &FilmReference) -> Vec<ContentItem> {
    let construction = &reading.construction;
    let is_angle = measurement.unit() == Unit::Degrees;
    let lines = construction.lines.iter().filter_map(|line| {
        let name = if is_angle && is_arm(line.role) {
            code::ARM_OF_ANGLE
        } else {
            let (value, meaning) = role(line)?;
            Code::own(value, meaning)
        };
        let ends = [line.from, line.to];
        Some(ContentItem::places(
            Relation::InferredFrom,
            &name,
            Shape::Polyline,
            &ends,
            film,
        ))
    });
    let outline = construction.ellipse.iter().map(|ellipse| {
        ContentItem::places(
            Relation::InferredFrom,
            &code::SOURCE_OF_MEASUREMENT,
            Shape::Ellipse,
            &axes_of(ellipse),
            film,
        )
    });
    let points = construction.points.iter().map(|point| {
        ContentItem::places(
            Relation::InferredFrom,
            &code::SOURCE_OF_MEASUREMENT,
            Shape::Point,
            &[*point],
            film,
        )
    });
    lines.chain(outline).chain(points).collect()
}

/// Whether an angle lies between lines of this kind.
const fn is_arm(role: LineRole) -> bool {
    matches!(
        role,
        LineRole::Axis(_)
            | LineRole::JointNormal
            | LineRole::Talus
            | LineRole::Calcaneus
            | LineRole::Floor
            | LineRole::LesserTarsus
            | LineRole::CutFace
    )
}

/// What a line is; nothing for lines that only lead from one to another on a drawing.
fn role(line: &Line) -> Option<(String, String)> {
    let plain = |value: &str, meaning: &str| Some((value.to_owned(), meaning.to_owned()));
    match line.role {
        LineRole::Extension => None,
        LineRole::Axis(bone) => Some((
            format!("axis.{}", bone.identifier()),
            format!("Axis of the {}", bone.name()),
        )),
        LineRole::Length(bone) => Some((
            format!("length.{}", bone.identifier()),
            format!("Length of the {}", bone.name()),
        )),
        LineRole::Cortex(bone) => Some((
            format!("cortex.{}", bone.identifier()),
            format!("Line along a cortex of the {}", bone.name()),
        )),
        LineRole::Level => plain("level", "Level across a shaft"),
        LineRole::JointSurface => plain("joint_surface", "Joint surface"),
        LineRole::JointNormal => plain("joint_normal", "Perpendicular of a joint surface"),
        LineRole::Perpendicular => plain("perpendicular", "Perpendicular dropped on an axis"),
        LineRole::Talus => plain("talus", "Axis of the talus"),
        LineRole::Calcaneus => plain("calcaneus", "Plantar line of the calcaneus"),
        LineRole::Floor => plain("floor", "Floor"),
        LineRole::LesserTarsus => plain("lesser_tarsus", "Line of the lesser tarsus"),
        LineRole::Distance => plain("distance", "Distance"),
        LineRole::CutFace => plain("cut_face", "Face of the osteotomy"),
    }
}

/// The ends of an ellipse's major, then of its minor axis, as the standard wants them: the half-diameters that were
/// placed are conjugate and need not be square to each other.
fn axes_of(ellipse: &Ellipse) -> [FilmPoint; 4] {
    let half = |end: FilmPoint| {
        (
            end.x_px - ellipse.centre.x_px,
            end.y_px - ellipse.centre.y_px,
        )
    };
    let (u, v) = (half(ellipse.long_end), half(ellipse.short_end));
    let dot = |a: (f64, f64), b: (f64, f64)| a.0 * b.0 + a.1 * b.1;
    // The distance from the centre is greatest and least where its derivative by the turn is 0.
    let turn = (2.0 * dot(u, v)).atan2(dot(u, u) - dot(v, v)) / 2.0;
    let quarter = std::f64::consts::FRAC_PI_2;
    [0.0, 2.0, 1.0, 3.0].map(|quarters| ellipse.at(turn + quarters * quarter))
}

/// The verdict with the probability of each class; nothing where an angle is missing.
pub(super) fn severity_item(outcome: &SeverityOutcome) -> Option<ContentItem> {
    let SeverityOutcome::Graded(severity) = outcome else {
        return None;
    };
    let scheme = severity.scheme;
    let name = Code::own(
        format!("severity.{}", scheme.identifier()),
        format!("Severity by {}", scheme.name()),
    );
    let probabilities =
        Class::ALL
            .into_iter()
            .zip(severity.probabilities)
            .map(|(class, probability)| {
                let name = Code::own(
                    format!("severity.{}.probability", class.identifier()),
                    format!(
                        "Probability of {}, reader's error included",
                        class.identifier()
                    ),
                );
                ContentItem::number(Relation::HasProperties, &name, probability, &code::NO_UNITS)
            });
    let class = match severity.class {
        Class::Normal => code::NORMAL,
        Class::Mild => code::MILD,
        Class::Moderate => code::MODERATE,
        Class::Severe => code::SEVERE,
    };
    Some(ContentItem::code(Relation::Contains, &name, &class).with_all(probabilities))
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Landmark, testing::assert_close};

    use super::*;

    /// Code Meaning (LO) has at most 64 letters.
    const LONGEST_MEANING: usize = 64;

    #[test]
    fn every_name_fits_a_coded_concept() {
        let measurements = Measurement::ALL.map(measurement_code);
        let conventions = AxisConvention::ALL.map(convention_code);
        let landmarks = Landmark::all();
        let landmarks = landmarks
            .iter()
            .map(|landmark| Code::own(landmark.identifier(), landmark.name()));
        let codes = measurements
            .into_iter()
            .chain(conventions)
            .chain(interval_codes())
            .chain([own_sd_code()])
            .chain(landmarks);
        for code in codes {
            let letters = code.meaning().chars().count();
            assert!(letters <= LONGEST_MEANING, "{letters}: {}", code.meaning());
        }
    }

    #[test]
    fn conjugate_half_diameters_become_the_axes_of_the_same_ellipse() {
        let ellipse = Ellipse {
            centre: FilmPoint::new(10.0, 20.0),
            long_end: FilmPoint::new(17.0, 22.0),
            short_end: FilmPoint::new(11.0, 25.0),
        };
        let ends = axes_of(&ellipse);
        let half = |index: usize| {
            (
                ends[index].x_px - ellipse.centre.x_px,
                ends[index].y_px - ellipse.centre.y_px,
            )
        };
        let (major, minor) = (half(0), half(2));
        assert_close(
            major.0 * minor.0 + major.1 * minor.1,
            0.0,
            1e-9,
            "square to each other",
        );
        assert!(
            major.0.hypot(major.1) > minor.0.hypot(minor.1),
            "the major axis comes first"
        );
        // Area over pi: the determinant of any pair of conjugate half-diameters.
        assert_close(
            (major.0 * minor.1 - major.1 * minor.0).abs(),
            (7.0_f64 * 5.0 - 2.0 * 1.0).abs(),
            1e-9,
            "the same area",
        );
        assert_close(ends[0].x_px + ends[1].x_px, 20.0, 1e-9, "about the centre");
    }
}
