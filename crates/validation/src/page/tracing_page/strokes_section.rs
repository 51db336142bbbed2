//! Section: what comes of rough strokes and clicks.

use plumbray_anatomy::View;
use plumbray_measure::Measurement;

use super::{
    Answered, Section, Sizes, as_made,
    bar::{self, Bar, Found, Limit},
};
use crate::{
    page::table::{Table, per_cent},
    quality::Quality,
    statistics::{quantile, standard_deviation},
    tracing::{AXES, FilmOutcome, Judged, NumberError},
};

/// Angles of the AP film with the bar of their 95th centile, in degrees.
const ANGLES: [(Measurement, f64); 3] = [
    (Measurement::HalluxValgusAngle, 1.0),
    (Measurement::IntermetatarsalAngle12, 0.7),
    (Measurement::DistalMetatarsalArticularAngle, 3.0),
];

pub(super) fn section(films: &[FilmOutcome]) -> Answered {
    let ap: Vec<&FilmOutcome> = as_made(films).collect();
    let mut bars = Vec::new();
    for bone in AXES {
        let turns: Sizes = readings(&ap)
            .filter_map(|judged| judged.axes.iter().find(|axis| axis.0 == bone))
            .map(|axis| axis.1)
            .collect();
        for (share, name, most) in [(0.5, "median", 0.3), (0.95, "95th centile", 1.0)] {
            let what = format!("With strokes: direction of the {}, {name}", bone.name());
            bars.push(Bar::degrees(what, turns.centile(share), most));
        }
    }
    for (measurement, most) in ANGLES {
        let found = sizes(readings(&ap), measurement).centile(0.95);
        let what = format!("With strokes: {}, 95th centile", name(measurement));
        bars.push(Bar::degrees(what, found, most));
    }
    bars.extend(spread_bars(&ap));
    bars.push(Bar::share(
        "With strokes: grade of the tibial sesamoid right",
        sizes(readings(&ap), Measurement::TibialSesamoidGrade).share_within(0.5),
        Limit::AtLeast(90.0),
    ));
    let mut section = Section::headed("From rough strokes and clicks");
    section.text(
        "Every bone is pointed at, 3 mm off. The direction of a bone is that of its axis at the quarters against the true \
one; angles are read less true by the default axes. The spread is the standard deviation over the readers of one film.",
    );
    section.text(&bar::table(&bars));
    section.text(&by_quality(&ap));
    section.text("On lateral films, for information; no bar is set.");
    section.text(&lateral(films));
    (section, bars)
}

/// The tracings of every reader.
fn readings<'a>(films: &'a [&'a FilmOutcome]) -> impl Iterator<Item = &'a Judged> {
    films.iter().flat_map(|film| &film.readers)
}

/// The errors of one number.
fn sizes<'a>(readings: impl Iterator<Item = &'a Judged>, measurement: Measurement) -> Sizes {
    readings
        .filter_map(|judged| judged.number(measurement))
        .map(NumberError::error)
        .collect()
}

fn name(measurement: Measurement) -> String {
    let name = measurement.name();
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// Spread between the tracings of one film.
fn spread_bars(films: &[&FilmOutcome]) -> Vec<Bar> {
    let mut bars = Vec::new();
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ] {
        let spreads: Vec<f64> = films
            .iter()
            .filter_map(|film| spread(&film.readers, measurement))
            .collect();
        for (share, centile) in [(0.5, "median"), (0.95, "95th centile")] {
            let what = format!(
                "With strokes: {}, spread between readers, {centile} of films",
                name(measurement)
            );
            let found = quantile(&spreads, share).map_or(Found::Nothing, Found::Value);
            bars.push(Bar::degrees(what, found, 0.3));
        }
    }
    bars
}

/// The standard deviation of a number over the readers of one film.
pub(super) fn spread(readers: &[Judged], measurement: Measurement) -> Option<f64> {
    let errors: Vec<f64> = readers
        .iter()
        .filter_map(|judged| judged.number(measurement)?.error())
        .collect();
    standard_deviation(&errors)
}

fn by_quality(films: &[&FilmOutcome]) -> String {
    let mut table = Table::new(&[
        "",
        "readings",
        "HVA median °",
        "95th °",
        "IMA median °",
        "95th °",
        "DMAA median °",
        "95th °",
        "same grade, %",
        "first ray flagged, %",
    ]);
    for quality in Quality::ALL {
        let own: Vec<&FilmOutcome> = films
            .iter()
            .copied()
            .filter(|film| film.quality == quality)
            .collect();
        let mut row = vec![
            quality.name().to_owned(),
            readings(&own).count().to_string(),
        ];
        for (measurement, _) in ANGLES {
            let sizes = sizes(readings(&own), measurement);
            row.extend([0.5, 0.95].map(|share| sizes.centile(share).cell(2)));
        }
        let grades = sizes(readings(&own), Measurement::TibialSesamoidGrade);
        row.push(per_cent(grades.share_within(0.5)));
        let flagged = super::share_of(readings(&own), |judged| judged.first_ray_is_flagged);
        row.push(per_cent(flagged));
        table.row(row);
    }
    table.markdown()
}

fn lateral(films: &[FilmOutcome]) -> String {
    let own: Vec<&FilmOutcome> = films
        .iter()
        .filter(|film| film.view == View::Lateral)
        .collect();
    let mut table = Table::new(&["", "readings", "no number", "median °", "95th °"]);
    for measurement in [
        Measurement::TaloFirstMetatarsalAngle,
        Measurement::CalcanealInclinationAngle,
        Measurement::FirstMetatarsalInclinationAngle,
    ] {
        let sizes = sizes(readings(&own), measurement);
        table.row([
            measurement.name().to_owned(),
            sizes.count().to_string(),
            sizes.missing.to_string(),
            sizes.centile(0.5).cell(2),
            sizes.centile(0.95).cell(2),
        ]);
    }
    table.markdown()
}
