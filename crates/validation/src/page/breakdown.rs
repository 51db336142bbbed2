//! The errors of rough readers broken down by deformity and by the quality of the film, what was not
//! found, and what the projection does to lengths.

use std::collections::BTreeMap;

use plumbray_anatomy::View;
use plumbray_measure::{Class, Measurement};

use super::{
    accuracy_section::{AP_ANGLES, errors, readings_of},
    table::{Table, number, per_cent},
};
use crate::{
    accuracy::FilmResult,
    plot::{Axis, Chart, Mark, Series},
    quality::Quality,
    statistics::{Summary, mean, quantile, share_within},
};

/// One row a group of films: n, then bias, SD and 95th centile of HVA, IMA and DMAA.
fn grouped(head: &str, groups: &[(&str, Vec<FilmResult>)]) -> String {
    let mut table = Table::new(&[
        head,
        "feet",
        "n",
        "HVA bias °",
        "SD °",
        "95th °",
        "IMA bias °",
        "SD °",
        "95th °",
        "DMAA bias °",
        "SD °",
        "95th °",
        "sesamoid share SD %",
        "same grade, %",
    ]);
    for (name, films) in groups {
        let summary = |measurement| Summary::of(&errors(readings_of(films, measurement)));
        let feet = films.iter().filter(|film| film.view == View::Ap).count();
        let count = summary(Measurement::HalluxValgusAngle).map_or(0, |one| one.count);
        let mut row = vec![(*name).to_owned(), feet.to_string(), count.to_string()];
        for measurement in [
            Measurement::HalluxValgusAngle,
            Measurement::IntermetatarsalAngle12,
            Measurement::DistalMetatarsalArticularAngle,
        ] {
            row.extend(summary(measurement).map_or_else(
                || vec!["–".to_owned(); 3],
                |one| {
                    [one.bias, one.sd, one.centile_95_size]
                        .map(|value| number(value, 2))
                        .to_vec()
                },
            ));
        }
        row.push(
            summary(Measurement::TibialSesamoidShare)
                .map_or_else(|| "–".to_owned(), |one| number(one.sd, 1)),
        );
        let grades = errors(readings_of(films, Measurement::TibialSesamoidGrade));
        row.push(per_cent(share_within(&grades, 0.5)));
        table.row(row);
    }
    table.markdown()
}

pub(super) fn by_class(films: &[FilmResult]) -> String {
    let groups = Class::ALL.map(|class| {
        let of_class = films
            .iter()
            .filter(|film| film.quality == Quality::Good && film.class == class);
        (class.identifier(), of_class.cloned().collect())
    });
    grouped("deformity", &groups)
}

pub(super) fn qualities(films: &[FilmResult]) -> String {
    let present: Vec<String> = Quality::ALL
        .into_iter()
        .filter(|quality| films.iter().any(|film| film.quality == *quality))
        .map(|quality| format!("* **{}**: {}", quality.name(), quality.recipe()))
        .collect();
    present.join("\n")
}

pub(super) fn by_quality(films: &[FilmResult]) -> String {
    let groups = Quality::ALL.map(|quality| {
        let of_quality = films.iter().filter(|film| film.quality == quality);
        (quality.name(), of_quality.cloned().collect())
    });
    grouped("film", &groups)
}

pub(super) fn quality_chart(films: &[FilmResult]) -> Chart {
    let series = |style, measurement: Measurement| {
        let points = Quality::ALL
            .into_iter()
            .enumerate()
            .map(|(place, quality)| {
                let sizes: Vec<f64> = errors(
                    readings_of(films, measurement).filter(|(film, _)| film.quality == quality),
                )
                .iter()
                .map(|error| error.abs())
                .collect();
                (place as f64, quantile(&sizes, 0.95).unwrap_or(f64::NAN))
            })
            .collect();
        Series {
            name: Some(measurement.name().to_owned()),
            mark: Mark::Shapes,
            style,
            points,
        }
    };
    let series: Vec<Series> = AP_ANGLES
        .into_iter()
        .enumerate()
        .map(|(style, measurement)| series(style, measurement))
        .collect();
    let highest = series
        .iter()
        .flat_map(|one| one.points.iter().map(|point| point.1))
        .filter(|value| value.is_finite())
        .fold(1.0, f64::max);
    Chart {
        title: "95th centile of the error by the quality of the film".to_owned(),
        across: Axis::new("film", -0.4, 5.4),
        up: Axis::new("95th centile of the error, °", 0.0, 1.05 * highest),
        places: Quality::ALL
            .map(|quality| quality.name().to_owned())
            .to_vec(),
        levels: Vec::new(),
        series,
    }
}

pub(super) fn misses(films: &[FilmResult]) -> String {
    let mut counts: BTreeMap<(View, &str), usize> = BTreeMap::new();
    for film in films {
        for miss in &film.misses {
            *counts.entry((film.view, miss)).or_default() += 1;
        }
    }
    let tries = |view| {
        films
            .iter()
            .filter(|film| film.view == view)
            .map(readers_of)
            .sum::<usize>()
    };
    let mut table = Table::new(&["what", "film", "times", "of tracings, %"]);
    for ((view, what), count) in &counts {
        let of = tries(*view).max(1);
        table.row([
            (*what).to_owned(),
            view.name().to_owned(),
            count.to_string(),
            number(100.0 * *count as f64 / of as f64, 1),
        ]);
    }
    let text = if counts.is_empty() {
        "Everything was found on every film.".to_owned()
    } else {
        table.markdown()
    };
    format!(
        "A number that leans on something not found is not given; the program names what it lacks. An end of \
the joint surface that went to the nearest edge keeps the spread of a hand. Two ends may count in one \
tracing.\n\n{text}"
    )
}

fn readers_of(film: &FilmResult) -> usize {
    film.readings
        .iter()
        .map(|one| one.reader + 1)
        .max()
        .unwrap_or(0)
}

pub(super) fn lengths_in_space(films: &[FilmResult]) -> String {
    let mut table = Table::new(&[
        "length on the film less length of the bone",
        "n",
        "at the detector, mm",
        "SD",
        "by a 25 mm ball or coin, mm",
        "SD",
    ]);
    for measurement in [
        Measurement::M1Length,
        Measurement::M2Length,
        Measurement::M5Length,
    ] {
        let of_kind = || {
            films
                .iter()
                .flat_map(|film| &film.lengths)
                .filter(move |length| length.measurement == measurement)
        };
        let detector: Vec<f64> = of_kind()
            .map(|length| length.true_at_detector_mm - length.bone_mm)
            .collect();
        let ball: Vec<f64> = of_kind()
            .map(|length| length.true_by_ball_mm - length.bone_mm)
            .collect();
        let Some((at_detector, by_ball)) = Summary::of(&detector).zip(Summary::of(&ball)) else {
            continue;
        };
        table.row([
            measurement.name().to_owned(),
            at_detector.count.to_string(),
            number(at_detector.bias, 2),
            number(at_detector.sd, 2),
            number(by_ball.bias, 2),
            number(by_ball.sd, 2),
        ]);
    }
    let all: Vec<f64> = films
        .iter()
        .flat_map(|film| &film.lengths)
        .filter(|length| length.measurement == Measurement::M1Length)
        .map(|length| 100.0 * (length.true_at_detector_mm / length.bone_mm - 1.0))
        .collect();
    let enlarged = mean(&all).map_or_else(String::new, |mean| {
        format!(
            " The first metatarsal is drawn {} % longer at the detector than it is, on average.",
            number(mean, 1)
        )
    });
    format!(
        "From the true outlines, without any reader: what the projection does to a length. A bone is enlarged \
by its height above the detector and changed by its slope against the tilted beam; the ball or coin \
corrects the enlargement at its own height only.{enlarged}\n\n{}",
        table.markdown()
    )
}
