//! Sections: what the tube's tilt, the foot's stance and the first ray's pronation do to the angles.

use plumbray_measure::Measurement;

use super::{
    Section,
    table::{Table, number},
};
use crate::{
    plot::{Axis, Chart, Mark, Series},
    projection_effects::{Course, PRONATIONS, SameFeet, TILTS},
    statistics::{mean, slope, standard_deviation},
};

/// Where among the tilts the usual one stands.
const USUAL: usize = 3;

pub(super) fn tube_section(same: &SameFeet, feet: usize) -> Section {
    let by_tilt = &same.by_tilt;
    let mut section = Section::headed("What the tube does to the angles");
    section.text(&format!(
        "The same {feet} feet or fewer, stood still, with the AP tube tilted by 0 to 25° toward the heel. From the true \
outlines on each film, so that no reader adds anything. The change from the usual {}° is shown; the table \
gives its mean and, in brackets, its standard deviation over the feet. A foot of which the phantom finds no \
outline at one of the settings is left out; n says how many remain.",
        number(TILTS[USUAL], 0)
    ));
    section.text(&course_table("tilt of the tube", by_tilt, USUAL, 5.0));
    section.chart(
        "tube-tilt",
        &course_chart(
            "Mean change of the true angles on the film with the tilt of the tube",
            Axis::new("tilt of the AP tube toward the heel, °", -1.0, 26.0),
            "change from 15° of tilt",
            by_tilt,
            USUAL,
        ),
    );
    section.text(
        "Beside the literature: tubes are tilted by 10 to 25° in practice (radiographic teaching pages; 15° is \
common), so that two good films of one foot may differ by that much. In a flat model with parallel light, a \
first metatarsal that falls by 22° and a second that falls by 16°, our own arithmetic gives 13.0° upright, \
12.1° at 10°, 11.7° at 15° and 11.3° at 20° for an intermetatarsal angle of 13°: about 0.4° less for each \
5°. No published curve for the other angles was found. A film of both feet with the tube between them also \
changes the angles: 15.9° against 14.1° for the intermetatarsal angle in 110 feet, not significant in that \
study (Orthop Surg 2020, abstract).",
    );
    section
}

pub(super) fn standing_section(same: &SameFeet, feet: usize) -> Section {
    /// Where among the turns and rolls the true position stands.
    const TRUE: usize = 2;
    let mut section = Section::headed("What a foot that stands turned does to the angles");
    section.text(&format!(
        "The same {feet} feet or fewer, tube at the usual 15°, the whole foot turned about the vertical (positive: toes \
outward) or rolled about its long axis (positive: lateral edge raised). True outlines; change from the true \
position, mean and, in brackets, standard deviation over the feet."
    ));
    section.text(&course_table(
        "turned outward, AP film",
        &same.by_turn,
        TRUE,
        10.0,
    ));
    section.text(&course_table(
        "turned outward, lateral film",
        &same.by_turn_lateral,
        TRUE,
        10.0,
    ));
    section.text(&course_table("rolled, AP film", &same.by_roll, TRUE, 10.0));
    section.chart(
        "rolled-foot",
        &course_chart(
            "Mean change of the true angles on the AP film with the roll of the foot",
            Axis::new("roll of the foot, lateral edge raised, °", -16.0, 16.0),
            "change from the true position",
            &same.by_roll,
            TRUE,
        ),
    );
    section.text(
        "Beside the literature: calcaneal inclination is sensitive to 10 to 25° of misalignment on the lateral \
film, the lateral talo–first metatarsal angle is not (Willauer and others, Foot Ankle Int 2014;35:1334–1340, \
abstract). Compare the second table; our lateral film turns the foot about the vertical only.",
    );
    section
}

pub(super) fn pronation_section(by_pronation: &[Course], feet: usize) -> Section {
    let mut section = Section::headed("What pronation of the first ray does to the angles");
    section.text(&format!(
        "The same {feet} feet or fewer, with the first metatarsal turned about its own axis, its dorsum medially, its \
sesamoids and great toe along with it. Nothing else changes: not the axis of the bone and not the tilt that \
its joint surface has in the plane of the bone. Tube at the usual 15°, true outlines. So whatever changes \
here is the look of the film and no deformity in the plane of the floor."
    ));
    section.text(&course_table("pronation", by_pronation, 0, 10.0));
    section.chart(
        "pronation",
        &course_chart(
            "Mean change of the true angles on the film with pronation of the first ray",
            Axis::new("pronation of the first ray, °", -1.0, 31.0),
            "change from no pronation",
            by_pronation,
            0,
        ),
    );
    section.text(&articular_direction(by_pronation));
    section.text(
        "Beside the literature: the distal metatarsal articular angle grows with pronation (Robinson and others, \
Foot Ankle Int 2006;27:1036–1040; from memory, the direction only) and goes along with it in patients \
(r = 0.62, 20 feet: Luo and others, BMC Musculoskelet Disord 2025, doi 10.1186/s12891-025-09306-3, \
abstract; no such correlation with the sesamoid grade by Hardy and Clapham was found there). Up to 87 % of \
feet with hallux valgus are pronated on computed tomography (review: Wagner, Wagner, JAAOS Glob Res Rev \
2020;4:e20.00091). In a flat model of our own, a joint surface that faces 8° laterally and 20° plantarly \
shows 8.0°, 11.4°, 14.4° and 16.9° at 0, 10, 20 and 30° of pronation: the direction and the order of size, \
not a published formula. So an articular angle on a film of a pronated foot is partly pronation, and no flat \
film tells how much.",
    );
    section
}

/// Which way the articular angle of our feet goes with pronation, and what that means.
fn articular_direction(by_pronation: &[Course]) -> String {
    let change = by_pronation
        .iter()
        .find(|course| course.measurement == Measurement::DistalMetatarsalArticularAngle)
        .and_then(|course| mean(course.changes_from(0).last()?))
        .unwrap_or(0.0);
    let size = number(change.abs(), 1);
    let most = number(PRONATIONS[PRONATIONS.len() - 1], 0);
    if change > 0.5 {
        format!(
            "In our feet {most}° of pronation add {size}° to the distal metatarsal articular angle on average: the \
direction that the literature reports."
        )
    } else {
        format!(
            "In our feet {most}° of pronation change the distal metatarsal articular angle by {}{size}° on average. \
**That is not what the literature reports**, where it grows. Our reading: the two ends of our joint surface lie \
side by side in the plane of the bone's width, and a tube that does not look squarely at a falling bone shows \
their line tipped when one end rises and the other sinks; in patients the surface also faces plantarly, and \
pronation turns that part to lateral. So our simulated feet do not show this effect as patients do.",
            if change < 0.0 { "−" } else { "+" }
        )
    }
}

fn course_table(what: &str, courses: &[Course], base: usize, each: f64) -> String {
    let settings = courses.first().map_or(&[][..], |course| &course.settings);
    let seen = courses.first().map_or(0, |course| course.values.len());
    let heads: Vec<String> = std::iter::once(format!("{what} (n = {seen})"))
        .chain(settings.iter().map(|setting| {
            let decimals = usize::from(setting.fract() != 0.0);
            format!("{}°", number(*setting, decimals))
        }))
        .chain(std::iter::once(format!("for each {}°", number(each, 0))))
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut table = Table::new(&heads);
    for course in courses {
        let changes = course.changes_from(base);
        let cells = changes.iter().map(|changes| {
            let (mean, sd) = (mean(changes), standard_deviation(changes));
            format!(
                "{} ({})",
                number(mean.unwrap_or(0.0), 2),
                number(sd.unwrap_or(0.0), 2)
            )
        });
        let points: Vec<(f64, f64)> = course
            .settings
            .iter()
            .copied()
            .zip(changes.iter().filter_map(|changes| mean(changes)))
            .collect();
        let for_each = slope(&points).map_or_else(String::new, |slope| number(each * slope, 2));
        let unit = unit_of(course.measurement);
        table.row(
            std::iter::once(format!("{}, {unit}", course.measurement.name()))
                .chain(cells)
                .chain(std::iter::once(for_each)),
        );
    }
    table.markdown()
}

fn unit_of(measurement: Measurement) -> &'static str {
    match measurement {
        Measurement::TibialSesamoidShare => "% of its width",
        _ => "°",
    }
}

/// Mean changes of the angles; the sesamoid's share is no angle and stands in the table only.
fn course_chart(title: &str, across: Axis, change: &str, courses: &[Course], base: usize) -> Chart {
    let angles = courses
        .iter()
        .filter(|course| course.measurement != Measurement::TibialSesamoidShare);
    let series: Vec<Series> = angles
        .enumerate()
        .map(|(style, course)| Series {
            name: Some(course.measurement.name().to_owned()),
            mark: Mark::LineAndShapes,
            style,
            points: course
                .settings
                .iter()
                .copied()
                .zip(course.changes_from(base).iter().filter_map(|one| mean(one)))
                .collect(),
        })
        .collect();
    let values: Vec<f64> = series
        .iter()
        .flat_map(|one| one.points.iter().map(|point| point.1))
        .collect();
    Chart {
        title: title.to_owned(),
        across,
        up: Axis::around(&format!("{change}, °"), values, false),
        places: Vec::new(),
        levels: vec![0.0],
        series,
    }
}
