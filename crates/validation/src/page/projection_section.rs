//! Section: what the tube's tilt does to the angles.

use plumbray_measure::Measurement;

use super::{
    Section,
    table::{Table, number},
};
use crate::{
    plot::{Axis, Chart, Mark, Series},
    projection_effects::{Course, TILTS},
    statistics::{mean, slope, standard_deviation},
};

/// Where among the tilts the usual one stands.
const USUAL: usize = 3;

pub(super) fn section(by_tilt: &[Course], feet: usize) -> Section {
    let mut section = Section::headed("What the tube does to the angles");
    section.text(&format!(
        "The same {feet} feet, stood still, with the AP tube tilted by 0 to 25° toward the heel. From the true \
outlines on each film, so that no reader adds anything. The change from the usual {}° is shown; the table \
gives its mean and, in brackets, its standard deviation over the feet.",
        number(TILTS[USUAL], 0)
    ));
    let heads: Vec<String> = std::iter::once("tilt of the tube".to_owned())
        .chain(TILTS.iter().map(|tilt| format!("{}°", number(*tilt, 0))))
        .chain(std::iter::once("for each 5°".to_owned()))
        .collect();
    section.text(&course_table(&heads, by_tilt, USUAL));
    section.chart("tube-tilt", &course_chart(by_tilt));
    section.text(
        "Beside the literature: tubes are tilted by 10 to 25° in practice (radiographic teaching pages; 15° is \
common), so that two good films of one foot may differ by that much. In a flat model with parallel light, a \
first metatarsal that falls by 22° and a second that falls by 16°, our own arithmetic gives 13.0° upright, \
12.1° at 10°, 11.7° at 15° and 11.3° at 20° for an intermetatarsal angle of 13°: about 0.4° less for each \
5°. No published curve for the other angles was found.",
    );
    section
}

fn course_table(heads: &[String], courses: &[Course], base: usize) -> String {
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let mut table = Table::new(&heads);
    for course in courses {
        let changes = course.changes_from(base);
        let cells = changes.iter().map(|changes| {
            let (mean, sd) = (mean(changes), standard_deviation(changes));
            format!(
                "{} ({})",
                number(mean.unwrap_or(f64::NAN), 2),
                number(sd.unwrap_or(0.0), 2)
            )
        });
        let points: Vec<(f64, f64)> = course
            .settings
            .iter()
            .copied()
            .zip(changes.iter().filter_map(|changes| mean(changes)))
            .collect();
        let for_each_5 = slope(&points).map_or_else(String::new, |slope| number(5.0 * slope, 2));
        let unit = unit_of(course.measurement);
        table.row(
            std::iter::once(format!("{}, {unit}", course.measurement.name()))
                .chain(cells)
                .chain(std::iter::once(for_each_5)),
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

fn course_chart(courses: &[Course]) -> Chart {
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
                .zip(
                    course
                        .changes_from(USUAL)
                        .iter()
                        .filter_map(|one| mean(one)),
                )
                .collect(),
        })
        .collect();
    let values: Vec<f64> = series
        .iter()
        .flat_map(|one| one.points.iter().map(|point| point.1))
        .collect();
    Chart {
        title: "Mean change of the true angles on the film with the tilt of the tube".to_owned(),
        across: Axis::new("tilt of the AP tube toward the heel, °", -1.0, 26.0),
        up: Axis::around("change from 15° of tilt, °", values, false),
        places: Vec::new(),
        levels: vec![0.0],
        series,
    }
}
