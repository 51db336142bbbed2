//! Section: whether the stated spread of a number is its real one.

use plumbray_measure::Measurement;

use super::{
    Section,
    accuracy_section::{ALL, readings_of},
    table::{Table, number, per_cent},
};
use crate::{
    accuracy::FilmResult,
    plot::{Axis, Chart, Mark, Series},
    quality::Quality,
    statistics::{TWO_SIDED_95, quantile, share_within},
};

pub(super) fn section(films: &[FilmResult]) -> Section {
    let mut section = Section::headed("Does the stated interval hold the truth?");
    section.text(
        "Beside each number the program states a standard deviation for this tracing. If it is honest, the \
truth lies within ± 1 of it in 68 % of readings and within ± 1.96 in 95 %. A smaller share means that the \
program claims too much; a larger one, that its interval is wider than it needs to be. *Stated* and *real* \
are medians: of the stated standard deviation, and of the error's size times 1.48, which is the standard \
deviation of normal errors.",
    );
    let mut table = Table::new(&[
        "",
        "n",
        "within 1 SD, %",
        "within 1.96 SD, %",
        "good films: within 1.96 SD, %",
        "stated",
        "real",
    ]);
    for measurement in ALL {
        let of = |only_good: bool| -> Vec<f64> {
            readings_of(films, measurement)
                .filter(|(film, _)| !only_good || film.quality == Quality::Good)
                .filter_map(|(_, one)| one.error_in_sds())
                .collect()
        };
        let all = of(false);
        if all.is_empty() {
            continue;
        }
        let stated: Vec<f64> = readings_of(films, measurement)
            .filter_map(|(_, one)| one.read.as_ref().ok().map(|(_, sd)| *sd))
            .collect();
        let sizes: Vec<f64> = readings_of(films, measurement)
            .filter_map(|(_, one)| one.error().map(f64::abs))
            .collect();
        let decimals = if measurement.identifier().contains("ratio") {
            3
        } else {
            2
        };
        let shown =
            |value: Option<f64>| value.map_or_else(String::new, |value| number(value, decimals));
        table.row([
            measurement.name().to_owned(),
            all.len().to_string(),
            per_cent(share_within(&all, 1.0)),
            per_cent(share_within(&all, TWO_SIDED_95)),
            per_cent(share_within(&of(true), TWO_SIDED_95)),
            shown(quantile(&stated, 0.5)),
            shown(quantile(&sizes, 0.5).map(|size| 1.4826 * size)),
        ]);
    }
    section.text(&table.markdown());
    section.chart("stated-spread", &chart(films));
    section.text(
        "For the talus and the floor the program states the spread of a careful hand, about half a \
millimetre; these readers missed by 1 mm there, so that the intervals of the lateral angles are too narrow \
for them. That part is the hand's. The rest is the search's, which mostly does not find the shaft of the first \
metatarsal on a lateral film, or leaves it as it was drawn.",
    );
    section
}

fn chart(films: &[FilmResult]) -> Chart {
    let steps = || (0..=40).map(|step| 0.1 * f64::from(step));
    let mut series: Vec<Series> = [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
        Measurement::DistalMetatarsalArticularAngle,
        Measurement::TibialSesamoidShare,
    ]
    .into_iter()
    .enumerate()
    .map(|(style, measurement)| {
        let errors: Vec<f64> = readings_of(films, measurement)
            .filter_map(|(_, one)| one.error_in_sds())
            .collect();
        Series {
            name: Some(measurement.name().to_owned()),
            mark: Mark::Line,
            style,
            points: steps()
                .filter_map(|limit| Some((limit, 100.0 * share_within(&errors, limit)?)))
                .collect(),
        }
    })
    .collect();
    series.push(Series {
        name: Some("honest: the normal distribution".to_owned()),
        mark: Mark::FaintLine,
        style: 4,
        points: steps()
            .map(|limit| (limit, 100.0 * normal_share(limit)))
            .collect(),
    });
    Chart {
        title: "How often the truth lies within so many stated standard deviations".to_owned(),
        across: Axis::new("stated standard deviations", 0.0, 4.0),
        up: Axis::new("readings whose truth lies within, %", 0.0, 100.0),
        places: Vec::new(),
        levels: vec![95.0],
        series,
    }
}

/// The share of a normal distribution within ± a limit, by Simpson's rule on its density.
fn normal_share(limit: f64) -> f64 {
    const HALF_STEPS: u32 = 200;
    let density = |x: f64| (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let width = limit / f64::from(HALF_STEPS);
    let sum: f64 = (0..=HALF_STEPS)
        .map(|step| {
            let weight = match step {
                0 | HALF_STEPS => 1.0,
                odd if odd % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * density(width * f64::from(step))
        })
        .sum();
    2.0 * sum * width / 3.0
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;

    #[test]
    fn the_normal_distribution_has_its_tabled_shares() {
        for (limit, share) in [
            (0.0, 0.0),
            (1.0, 0.682_689_492),
            (TWO_SIDED_95, 0.95),
            (3.0, 0.997_300_204),
        ] {
            assert_close(normal_share(limit), share, 1e-8, "share within");
        }
    }
}
