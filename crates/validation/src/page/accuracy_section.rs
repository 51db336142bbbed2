//! Section: rough readers against the truth, and broken down by axis, deformity and quality.

use std::collections::BTreeMap;

use plumbray_anatomy::View;
use plumbray_measure::{AxisConvention, Measurement};

use super::{
    Section,
    breakdown::{by_class, by_quality, lengths_in_space, misses, qualities, quality_chart},
    table::{Table, number, per_cent},
};
use crate::{
    accuracy::{FilmResult, LATERAL_EVERY, Plan, Reading},
    plot::{Axis, Chart, Mark, Series},
    quality::Quality,
    reader::{CAREFUL_MM, ROUGH_MM},
    statistics::{Summary, TWO_SIDED_95, quantile, share_within, within_groups_sd},
};

/// The four angles of the AP film.
pub(super) const AP_ANGLES: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::HalluxInterphalangealAngle,
];

/// All that stands in the main table, in its order.
pub(super) const ALL: [Measurement; 16] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::DistalMetatarsalArticularAngle,
    Measurement::HalluxInterphalangealAngle,
    Measurement::TibialSesamoidShare,
    Measurement::M1Length,
    Measurement::M2Length,
    Measurement::M3Length,
    Measurement::M4Length,
    Measurement::M5Length,
    Measurement::LengthRatioM1M2,
    Measurement::RelativeFirstMetatarsalLength,
    Measurement::RelativeFirstMetatarsalLengthRatio,
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
    Measurement::FirstMetatarsalInclinationAngle,
];

pub(super) fn section(plan: &Plan, films: &[FilmResult]) -> Section {
    let mut section = Section::headed("Rough readers against the truth");
    section.text(&how(plan));
    section.text(&left_out(plan, films));
    section.text(&main_table(films));
    section.text(
        "Bias is the mean of read less true; limits are bias ± 1.96 SD, between which 95 % of such errors \
lie; sizes are without sign; *worst* is the greatest error of all, with its sign. *None* counts readings \
without a number because something was not found. *Same film* is the standard deviation of the readers \
about their own mean on one film: how well a number repeats. Lengths in millimetres are **by a 25 mm \
ball or coin** on the film, fitted anew by each reader; ratios need no calibration.",
    );
    section.chart("error-sizes", &error_sizes(films));
    section.chart(
        "hallux-valgus-errors",
        &errors_over_truth(films, Measurement::HalluxValgusAngle),
    );
    section.chart(
        "intermetatarsal-errors",
        &errors_over_truth(films, Measurement::IntermetatarsalAngle12),
    );
    section.text("### The sesamoid's grade");
    section.text(&sesamoid_grades(films));
    section.text("### Which axis is found best");
    section.text(&by_convention(films));
    section.text("### By deformity");
    section.text(
        "Good films only, so that quality does not mix in. Classes by Coughlin and Mann's limits (from \
memory) on the true hallux valgus and intermetatarsal angle of the film, the worse of the two.",
    );
    section.text(&by_class(films));
    section.text("### By the quality of the film");
    section.text(&qualities(films));
    section.text(&by_quality(films));
    section.chart("quality", &quality_chart(films));
    section.text("### What was not found");
    section.text(&misses(films));
    section.text("### What a millimetre is worth");
    section.text(&lengths_in_space(films));
    section
}

/// The few numbers that most readers look for, beside what is known of people.
pub(super) fn in_short(films: &[FilmResult]) -> Section {
    let mut section = Section::headed("In short");
    let line = |measurement: Measurement, people: &str| {
        let errors = errors(readings_of(films, measurement));
        let in_sds: Vec<f64> = readings_of(films, measurement)
            .filter_map(|(_, one)| one.error_in_sds())
            .collect();
        let summary = Summary::of(&errors)?;
        let (decimals, unit) = precision(measurement);
        let all = readings_of(films, measurement).count();
        let without = match all - errors.len() {
            0 => String::new(),
            none => format!(" No number in {none} of {all} readings."),
        };
        Some(format!(
            "* **{}**: half of the readings lie within {}{unit} of the truth, 95 % within {}{unit}; the stated 95 % \
interval holds the truth in {} %.{without} {people}",
            measurement.name(),
            number(summary.median_size, decimals),
            number(summary.centile_95_size, decimals),
            per_cent(share_within(&in_sds, TWO_SIDED_95)),
        ))
    };
    let lines = [
        line(
            Measurement::HalluxValgusAngle,
            "People's repeats agree within 5° in 86 % (Coughlin, Freund 2001, abstract).",
        ),
        line(
            Measurement::IntermetatarsalAngle12,
            "A single reading by a person is good to ± 3.6° (95 %: Condon and others 2002, abstract).",
        ),
        line(
            Measurement::DistalMetatarsalArticularAngle,
            "People's repeats agree within 5° in 59 % (Coughlin, Freund 2001, abstract).",
        ),
        line(Measurement::HalluxInterphalangealAngle, ""),
        line(Measurement::TibialSesamoidShare, ""),
        line(Measurement::TaloFirstMetatarsalAngle, ""),
        line(Measurement::CalcanealInclinationAngle, ""),
    ];
    let lines: Vec<String> = lines
        .into_iter()
        .flatten()
        .map(|line| line.trim_end().to_owned())
        .collect();
    section.text(&lines.join("\n"));
    section.text(
        "**Look before you lean on a number.** The articular angle, the interphalangeal angle and the sesamoid's \
place are mostly good and sometimes far off, where the search took another edge. On lateral films the other \
metatarsals hide the first, so that its shaft is mostly not found, and the stated interval is too narrow: there \
the lines on the film must be looked at every time.",
    );
    section.text(
        "These compare a search on simulated films with its own repeats and with truth; the papers compare people \
with themselves on films of patients. They stand side by side for scale, not as a contest.",
    );
    section
}

fn how(plan: &Plan) -> String {
    format!(
        "{} random feet (seed {}), about three in ten healthy, two with an early deformity and five as they come \
to operation, each with an AP film and every {LATERAL_EVERY}th with a good lateral one. Half of the AP films are \
good, the others poor in five ways, in turn. Each film is read by {} readers. A reader's strokes along the \
shafts run from somewhere between 10 and 25 % of the bone's length to between 75 and 90 %; both ends, and \
every click, miss in x and in y by a normally distributed {ROUGH_MM} mm (standard deviation, at the \
detector). The program then searches as its window does. Where no search helps – the talus, the floor, the \
sweep over the ball – the hand misses by {CAREFUL_MM} mm. Pixels of {} mm.",
        plan.feet, plan.seed, plan.readers, plan.pixel_mm
    )
}

/// How many films the phantom could not make.
fn left_out(plan: &Plan, films: &[FilmResult]) -> String {
    let made = |view| films.iter().filter(|film| film.view == view).count();
    let lateral = plan.feet.div_ceil(LATERAL_EVERY);
    format!(
        "Of {} AP and {lateral} lateral films {} and {} were made; on the others the phantom does not find every \
outline, so that they have no truth and are left out.",
        plan.feet,
        made(View::Ap),
        made(View::Lateral)
    )
}

/// The readings of one measurement by its default convention, with the film of each.
pub(super) fn readings_of(
    films: &[FilmResult],
    measurement: Measurement,
) -> impl Iterator<Item = (&FilmResult, &Reading)> {
    by(
        films,
        measurement,
        measurement.conventions().first().copied(),
    )
}

fn by(
    films: &[FilmResult],
    measurement: Measurement,
    convention: Option<AxisConvention>,
) -> impl Iterator<Item = (&FilmResult, &Reading)> {
    films.iter().flat_map(move |film| {
        film.readings
            .iter()
            .filter(move |one| one.measurement == measurement && one.convention == convention)
            .map(move |one| (film, one))
    })
}

/// Read less true of those readings that gave a number.
pub(super) fn errors<'a>(
    readings: impl Iterator<Item = (&'a FilmResult, &'a Reading)>,
) -> Vec<f64> {
    readings.filter_map(|(_, one)| one.error()).collect()
}

/// Decimals and unit of a measurement's error.
fn precision(measurement: Measurement) -> (usize, &'static str) {
    use plumbray_measure::Unit;
    match measurement.unit() {
        Unit::Degrees => (2, "°"),
        Unit::Millimetres => (2, " mm"),
        Unit::Ratio => (3, ""),
        Unit::PerCent => (1, " %"),
        Unit::Position | Unit::Grade => (1, " class"),
    }
}

fn main_table(films: &[FilmResult]) -> String {
    let mut table = Table::new(&[
        "read less true",
        "n",
        "none",
        "bias",
        "SD",
        "95 % limits",
        "size of the error: median",
        "95th centile",
        "worst",
        "same film",
    ]);
    for measurement in ALL {
        let all = readings_of(films, measurement).count();
        let errors = errors(readings_of(films, measurement));
        let (decimals, unit) = precision(measurement);
        let name = format!("{} {}", measurement.name(), unit.trim())
            .trim()
            .to_owned();
        let Some(summary) = Summary::of(&errors) else {
            table.row([name, "0".to_owned(), all.to_string()]);
            continue;
        };
        let (low, high) = summary.limits();
        let same_film = repeatability(films, measurement)
            .map_or_else(|| "–".to_owned(), |sd| number(sd, decimals));
        table.row([
            name,
            summary.count.to_string(),
            (all - summary.count).to_string(),
            number(summary.bias, decimals),
            number(summary.sd, decimals),
            format!("{} … {}", number(low, decimals), number(high, decimals)),
            number(summary.median_size, decimals),
            number(summary.centile_95_size, decimals),
            number(summary.worst, decimals),
            same_film,
        ]);
    }
    table.markdown()
}

fn repeatability(films: &[FilmResult], measurement: Measurement) -> Option<f64> {
    let mut groups: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (film, reading) in readings_of(films, measurement) {
        if let Some(error) = reading.error() {
            groups.entry(film.foot).or_default().push(error);
        }
    }
    within_groups_sd(groups.values().map(Vec::as_slice))
}

fn error_sizes(films: &[FilmResult]) -> Chart {
    let curves: Vec<Series> = AP_ANGLES
        .into_iter()
        .enumerate()
        .map(|(style, measurement)| {
            let sizes: Vec<f64> = errors(readings_of(films, measurement))
                .iter()
                .map(|error| error.abs())
                .collect();
            let points = (0..=100)
                .map(|centile| f64::from(centile) / 100.0)
                .filter_map(|share| Some((quantile(&sizes, share)?, 100.0 * share)))
                .collect();
            Series {
                name: Some(measurement.name().to_owned()),
                mark: Mark::Line,
                style,
                points,
            }
        })
        .collect();
    Chart {
        title: "How large the errors of the AP angles are".to_owned(),
        across: Axis::new("size of the error, °", 0.0, 6.0),
        up: Axis::new("share of readings with a smaller error, %", 0.0, 100.0),
        places: Vec::new(),
        levels: vec![95.0],
        series: curves,
    }
}

/// Errors over the true angle with bias and limits (Bland and Altman's plot, with the truth known).
fn errors_over_truth(films: &[FilmResult], measurement: Measurement) -> Chart {
    let split = |is_good: bool| -> Vec<(f64, f64)> {
        readings_of(films, measurement)
            .filter(|(film, _)| (film.quality == Quality::Good) == is_good)
            .filter_map(|(_, one)| Some((one.truth, one.error()?)))
            .collect()
    };
    let (good, poor) = (split(true), split(false));
    let all: Vec<f64> = good.iter().chain(&poor).map(|point| point.1).collect();
    let levels = Summary::of(&all).map_or_else(Vec::new, |summary| {
        let (low, high) = summary.limits();
        vec![low, summary.bias, high]
    });
    let reach = all
        .iter()
        .map(|error| error.abs())
        .fold(2.0, f64::max)
        .min(8.0);
    let series = |name: &str, style, points| Series {
        name: Some(name.to_owned()),
        mark: Mark::Dots,
        style,
        points,
    };
    Chart {
        title: format!(
            "{}: error over truth, with bias and 95 % limits",
            measurement.name()
        ),
        across: Axis::around(
            "true angle on the film, °",
            good.iter().chain(&poor).map(|point| point.0),
            false,
        ),
        up: Axis::new("read less true, °", -1.05 * reach, 1.05 * reach),
        places: Vec::new(),
        levels,
        series: vec![series("good films", 0, good), series("poor films", 1, poor)],
    }
}

fn sesamoid_grades(films: &[FilmResult]) -> String {
    let mut table = Table::new(&[
        "tibial sesamoid",
        "n",
        "same, %",
        "one off, %",
        "more off, %",
    ]);
    let mut add = |name: &str, measurement, is_wanted: &dyn Fn(&FilmResult) -> bool| {
        let errors = errors(readings_of(films, measurement).filter(|(film, _)| is_wanted(film)));
        let same = share_within(&errors, 0.5);
        let near = share_within(&errors, 1.5);
        table.row([
            name.to_owned(),
            errors.len().to_string(),
            per_cent(same),
            per_cent(near.zip(same).map(|(near, same)| near - same)),
            per_cent(near.map(|near| 1.0 - near)),
        ]);
    };
    let is_good = |film: &FilmResult| film.quality == Quality::Good;
    let is_any = |_: &FilmResult| true;
    add(
        "grade 0–3, all films",
        Measurement::TibialSesamoidGrade,
        &is_any,
    );
    add(
        "grade 0–3, good films",
        Measurement::TibialSesamoidGrade,
        &is_good,
    );
    add(
        "position I–VII, all films",
        Measurement::TibialSesamoidPosition,
        &is_any,
    );
    add(
        "position I–VII, good films",
        Measurement::TibialSesamoidPosition,
        &is_good,
    );
    format!(
        "{}\nGrades 0 and 3, and positions II, IV and VI, are narrow bands of one continuous share: near a \
limit a small error changes the class. Between readers positions IV and V are known to be hard to tell \
apart (Catanese, Popowitz, Gladstein, Foot Ankle Spec: kappa 0.31 with them, 0.95 without).",
        table.markdown()
    )
}

fn by_convention(films: &[FilmResult]) -> String {
    let mut table = Table::new(&[
        "axis",
        "HVA n",
        "bias °",
        "SD °",
        "IMA bias °",
        "SD °",
        "DMAA bias °",
        "SD °",
    ]);
    for convention in AxisConvention::ALL {
        let summary = |measurement| Summary::of(&errors(by(films, measurement, Some(convention))));
        let [Some(hallux), Some(ray), Some(joint)] = [
            Measurement::HalluxValgusAngle,
            Measurement::IntermetatarsalAngle12,
            Measurement::DistalMetatarsalArticularAngle,
        ]
        .map(summary) else {
            continue;
        };
        table.row([
            convention.name().to_owned(),
            hallux.count.to_string(),
            number(hallux.bias, 2),
            number(hallux.sd, 2),
            number(ray.bias, 2),
            number(ray.sd, 2),
            number(joint.bias, 2),
            number(joint.sd, 2),
        ]);
    }
    format!(
        "Each row compares read and true by the same axis of the first metatarsal. Numbers by different axes \
must not be subtracted from each other ([measurements.md](measurements.md)).\n\n{}",
        table.markdown()
    )
}
