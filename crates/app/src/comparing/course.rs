//! The followed angles over the visits of a foot.

use plumbray_compare::{
    Comparison, DAYS_IN_MONTH, FOLLOWED, Occasion, VisitColumn, days_between, on_one_film,
};
use plumbray_measure::Measurement;
use plumbray_report::{Course, CoursePoint, SheetSide, course_picture};

use super::FootOverTime;
use crate::window::CAUTION;

/// The followed angles over the visits, each where two visits have it. Visits stand by their days where every day
/// is known, else in their order.
pub(crate) fn courses(comparison: &Comparison) -> Vec<Course> {
    let (places, horizontal) = places(&comparison.visits);
    let of = |measurement: Measurement| {
        let points: Vec<CoursePoint> = comparison
            .row(measurement)?
            .outcomes
            .iter()
            .zip(&comparison.visits)
            .zip(&places)
            // A foot on the table bears no weight: its numbers are on another scale.
            .filter(|((_, visit), _)| visit.occasion != Occasion::InTheatre)
            .filter_map(|((outcome, visit), at)| {
                let reading = outcome.reading()?;
                Some(CoursePoint {
                    at: *at,
                    visit: visit.name.short.clone(),
                    value: reading.value,
                    half_interval: on_one_film(measurement, reading).half_interval(),
                })
            })
            .collect();
        (points.len() > 1).then(|| Course {
            name: measurement.name().to_owned(),
            horizontal: horizontal.to_owned(),
            usual: measurement
                .usual_range()
                .map(|range| (range.low, range.high)),
            points,
        })
    };
    FOLLOWED.into_iter().filter_map(of).collect()
}

/// Where each visit stands, and what that counts.
fn places(visits: &[VisitColumn]) -> (Vec<f64>, &'static str) {
    let months = |days: i32| f64::from(days) / DAYS_IN_MONTH;
    let since = |day: &dyn Fn(&VisitColumn) -> Option<i32>| -> Option<Vec<f64>> {
        visits.iter().map(|visit| day(visit).map(months)).collect()
    };
    let operation = visits
        .iter()
        .find_map(|visit| Some((visit.date?, visit.days_after_operation?)));
    if let Some((date, days)) = operation {
        // A film taken before the operation may not know its day.
        let after = since(&|visit| Some(days_between(date, visit.date?)? + days));
        if let Some(places) = after {
            return (places, "months after surgery");
        }
    }
    let first = visits.first().and_then(|visit| visit.date);
    if let Some(places) = since(&|visit| days_between(first?, visit.date?)) {
        return (places, "months after the first visit");
    }
    let order = (1_u32..).map(f64::from).take(visits.len()).collect();
    (order, "visits in their order")
}

/// The courses as a picture (PNG) that names the foot, the axes and the caution.
///
/// # Errors
/// When no angle has two visits, or the picture cannot be made.
pub(crate) fn comparison_plot(
    foot: &FootOverTime,
    comparison: &Comparison,
) -> anyhow::Result<Vec<u8>> {
    let courses = courses(comparison);
    anyhow::ensure!(
        !courses.is_empty(),
        "no angle has a number at two visits; trace the films first"
    );
    let side = foot
        .visits
        .last()
        .map_or(SheetSide::Unknown, |visit| SheetSide::of(&visit.study));
    let (large, below) = side.words();
    let mut heading = format!("Foot over time: {large}");
    if let Some(below) = below {
        heading = format!("{heading} ({below})");
    }
    let axes = format!("Every number by {}.", comparison.convention.name());
    Ok(course_picture(&[heading, axes], &courses, CAUTION)?)
}
