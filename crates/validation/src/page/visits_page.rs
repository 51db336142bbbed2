//! The page on visits: how far a change between two films can be trusted.

use std::path::Path;

use anyhow::Result;
use plumbray_compare::{Change, FOLLOWED, film_to_film_sd};
use plumbray_measure::Unit;

use super::{
    bar::{self, Bar, Found, Limit},
    table::{Table, number},
    write_alone,
};
use crate::{
    statistics::{Summary, quantile},
    visits::{
        CHANGE_DEGREES, Followed, LOSS, ROLL_SD_DEGREES, Seen, StandingAgain, TILT_SD_DEGREES,
        TURN_SD_DEGREES, VisitsPlan, follow_ups, is_whole_length, pairs, standing_again,
    },
};

/// A written page with everything that it was made from.
#[derive(Clone, Debug)]
pub struct VisitsPage {
    /// The page, in Markdown.
    pub markdown: String,
    /// Every pair of films.
    pub pairs: Vec<Seen>,
    /// Every operated foot.
    pub follow_ups: Vec<Followed>,
}

/// Films every foot of a plan and writes up what was seen.
///
/// # Errors
/// When a foot or a film cannot be made.
pub fn visits_page(plan: &VisitsPlan) -> Result<VisitsPage> {
    let spreads = standing_again(plan)?;
    let pairs = pairs(plan)?;
    let follow_ups = follow_ups(plan)?;
    let VisitsPlan {
        seed,
        feet_standing_again,
        pairs: pair_count,
        follow_ups: operated,
        pixel_mm,
    } = plan;
    let bars: Vec<Bar> = pair_bars(&pairs)
        .into_iter()
        .chain(follow_up_bars(&follow_ups))
        .collect();
    let mut markdown = format!(
        "# How far a change between two films can be trusted\n\n\
Simulated feet that come again. This page is written by a command; the same seed gives the same page:\n\n\
```text\ncargo run --release -p plumbray-validation -- visits --standing {feet_standing_again} --pairs {pair_count} --operated {operated} --seed {seed} --pixel {pixel_mm} --out docs\n```\n\n\
From one visit to the next a foot turns by {TURN_SD_DEGREES}° and rolls by {ROLL_SD_DEGREES}°, and the tube is tilted by {TILT_SD_DEGREES}° more or less than 15° (standard deviations; \
ours, no source was found). Every film is traced without a click, and read by head centre – base centre.\n\n\
**What this is not.** These are simulated feet, and the program is no medical device.\n\n## In short\n\n"
    );
    markdown.push_str(&bar::table(&bars));
    markdown.push_str("\n## Films of a foot that has not changed\n\n");
    markdown.push_str(&format!(
        "{feet_standing_again} feet, each filmed six times; from true outlines, so that nothing but the direction differs. Standard deviation within a foot, of lengths of bones as a share. \
The smallest detectable change holds it twice, beside the spread of both tracings ([comparison.md](comparison.md)).\n\n"
    ));
    markdown.push_str(&spread_table(&spreads));
    markdown.push_str("\n## Changes that are none, and changes that are\n\n");
    markdown.push_str(&pair_text(&pairs));
    markdown.push_str("\n## Laid over each other\n\n");
    markdown.push_str(&registration_text(&pairs));
    markdown.push_str("\n## An operation and what is lost of it\n\n");
    markdown.push_str(&follow_up_text(&follow_ups));
    Ok(VisitsPage {
        markdown,
        pairs,
        follow_ups,
    })
}

impl VisitsPage {
    /// Writes `visits.md` into a folder.
    ///
    /// # Errors
    /// When the folder cannot be written.
    pub fn write(&self, folder: &Path) -> Result<()> {
        write_alone(folder, "visits.md", &self.markdown)
    }
}

fn spread_table(spreads: &[StandingAgain]) -> String {
    let mut table = Table::new(&["", "feet", "seen here", "used"]);
    for spread in spreads {
        let measurement = spread.measurement;
        let (decimals, unit) = match measurement.unit() {
            Unit::Degrees => (2, "°"),
            Unit::Millimetres if is_whole_length(measurement) => (4, " of it"),
            Unit::Millimetres => (2, " mm"),
            Unit::Ratio => (4, ""),
            Unit::PerCent | Unit::Position | Unit::Grade => (1, " %"),
        };
        let used = film_to_film_sd(measurement, 1.0);
        table.row([
            measurement.name().to_owned(),
            spread.feet.to_string(),
            format!("{}{unit}", number(spread.sd, decimals)),
            format!("{}{unit}", number(used, decimals)),
        ]);
    }
    table.markdown()
}

/// The share of pairs whose change of an angle is told as real.
fn share_real(pairs: &[Seen], is_changed: bool, angle: usize) -> Option<f64> {
    let changes: Vec<Change> = pairs
        .iter()
        .filter(|seen| seen.is_changed == is_changed)
        .filter_map(|seen| seen.changes[angle])
        .collect();
    let real = changes.iter().filter(|change| change.is_real).count();
    (!changes.is_empty()).then(|| real as f64 / changes.len() as f64)
}

fn pair_bars(pairs: &[Seen]) -> Vec<Bar> {
    let mut bars = Vec::new();
    for (place, angle) in FOLLOWED.into_iter().enumerate() {
        let name = angle.name();
        bars.push(Bar::share(
            format!("{name}: unchanged feet told to have changed"),
            share_real(pairs, false, place),
            Limit::AtMost(8.0),
        ));
        bars.push(Bar::share(
            format!("{name}: changes of {CHANGE_DEGREES}° missed"),
            share_real(pairs, true, place).map(|real| 1.0 - real),
            Limit::AtMost(8.0),
        ));
    }
    bars
}

fn pair_text(pairs: &[Seen]) -> String {
    let count = |is_changed| {
        pairs
            .iter()
            .filter(|seen| seen.is_changed == is_changed)
            .count()
    };
    let mut text = format!(
        "{} pairs of films of unchanged feet; {} of feet whose hallux valgus and intermetatarsal angle grew or fell by {CHANGE_DEGREES}°. The error is the change as read less that on the true outlines.\n\n",
        count(false),
        count(true),
    );
    let mut table = Table::new(&[
        "",
        "n",
        "smallest detectable, median °",
        "change read, SD °",
        "error, median °",
        "error, 95th °",
    ]);
    for is_changed in [false, true] {
        for (place, angle) in FOLLOWED.into_iter().enumerate() {
            let own: Vec<&Seen> = pairs
                .iter()
                .filter(|seen| seen.is_changed == is_changed)
                .collect();
            let smallest: Vec<f64> = own
                .iter()
                .filter_map(|seen| seen.changes[place]?.smallest_detectable)
                .collect();
            let read: Vec<f64> = own
                .iter()
                .filter_map(|seen| Some(seen.changes[place]?.difference))
                .collect();
            let errors: Vec<f64> = own
                .iter()
                .filter_map(|seen| {
                    Some(seen.changes[place]?.difference - seen.true_changes[place]?)
                })
                .collect();
            let cell =
                |value: Option<f64>| value.map_or_else(|| "–".to_owned(), |value| number(value, 2));
            let summary = Summary::of(&errors);
            table.row([
                format!(
                    "{}, {}",
                    angle.name(),
                    if is_changed { "changed" } else { "unchanged" }
                ),
                read.len().to_string(),
                cell(quantile(&smallest, 0.5)),
                cell(Summary::of(&read).map(|read| read.sd)),
                cell(summary.map(|summary| summary.median_size)),
                cell(summary.map(|summary| summary.centile_95_size)),
            ]);
        }
    }
    text.push_str(&table.markdown());
    text
}

fn registration_text(pairs: &[Seen]) -> String {
    let refused: Vec<&String> = pairs
        .iter()
        .filter_map(|seen| seen.laid_over.as_ref().err())
        .collect();
    let refined = pairs
        .iter()
        .filter(|seen| seen.laid_over.as_ref().is_ok_and(|laid| laid.is_refined))
        .count();
    let true_residuals: Vec<f64> = pairs
        .iter()
        .filter_map(|seen| seen.true_residual_mm)
        .collect();
    let shown: Vec<f64> = pairs
        .iter()
        .filter_map(|seen| {
            Some(
                seen.laid_over
                    .as_ref()
                    .ok()?
                    .residual
                    .millimetres
                    .clone()?
                    .0,
            )
        })
        .collect();
    let cell = |values: &[f64], share: f64| {
        quantile(values, share).map_or_else(|| "–".to_owned(), |value| number(value, 2))
    };
    let mut text = format!(
        "{} of {} pairs were laid over each other, {refined} of them made finer on the films. The true bases, tips and shafts of the lesser metatarsals then lie apart by {} mm in the median and {} mm in the 95th centile \
(root of the mean square, at the detector); the residual that is shown is {} and {} mm.\n",
        pairs.len() - refused.len(),
        pairs.len(),
        cell(&true_residuals, 0.5),
        cell(&true_residuals, 0.95),
        cell(&shown, 0.5),
        cell(&shown, 0.95),
    );
    for why in refused.iter().take(5) {
        text.push_str(&format!("\n* {why}\n"));
    }
    text
}

/// Errors of the shift in mm, of the shift in per cent of the width, and of both shares lost in points.
struct Errors {
    shift_mm: Vec<f64>,
    shift_per_cent: Vec<f64>,
    lost_points: [Vec<f64>; 2],
    lost_from_asked_points: [Vec<f64>; 2],
}

fn errors(followed: &[Followed]) -> Errors {
    let mut errors = Errors {
        shift_mm: Vec::new(),
        shift_per_cent: Vec::new(),
        lost_points: [Vec::new(), Vec::new()],
        lost_from_asked_points: [Vec::new(), Vec::new()],
    };
    for foot in followed {
        if let (Ok(read), Ok(truth)) = (&foot.read, &foot.truth) {
            if let Some((read, _)) = &read.millimetres {
                errors.shift_mm.push(read.value - foot.shift_mm);
            }
            errors
                .shift_per_cent
                .push(100.0 * (read.share_of_width.value - truth.share_of_width.value));
        }
        for angle in 0..FOLLOWED.len() {
            if let (Some(read), Some(truth)) = (foot.lost[angle], foot.true_lost[angle]) {
                errors.lost_points[angle].push(100.0 * (read - truth));
                errors.lost_from_asked_points[angle].push(100.0 * (read - LOSS.0));
            }
        }
    }
    errors
}

fn follow_up_bars(followed: &[Followed]) -> Vec<Bar> {
    let errors = errors(followed);
    let median = |what: String, values: &[f64], most: f64, unit| Bar {
        what,
        limit: Limit::AtMost(most),
        found: Summary::of(values)
            .map_or(Found::Nothing, |summary| Found::Value(summary.median_size)),
        decimals: 2,
        unit,
    };
    let mut bars = vec![
        median(
            "Shift of the head against the fragment’s travel, median error".to_owned(),
            &errors.shift_mm,
            1.0,
            " mm",
        ),
        median(
            "Shift of the head, median error in points of the shaft’s width".to_owned(),
            &errors.shift_per_cent,
            5.0,
            " points",
        ),
    ];
    for (place, angle) in FOLLOWED.into_iter().enumerate() {
        bars.push(median(
            format!(
                "{}: correction lost, median error against the true outlines",
                angle.name()
            ),
            &errors.lost_points[place],
            5.0,
            " points",
        ));
    }
    bars
}

/// How often the 95 % interval of the shift held the true one, and how wide it was.
fn interval_text(followed: &[Followed]) -> String {
    let shifts: Vec<(f64, f64)> = followed
        .iter()
        .filter_map(Followed::error_and_half_interval)
        .collect();
    let (half_intervals, is_within): (Vec<f64>, Vec<bool>) = shifts
        .iter()
        .map(|(error, half)| (100.0 * half, error.abs() <= *half))
        .unzip();
    let centile = |share| {
        quantile(&half_intervals, share).map_or_else(|| "–".to_owned(), |half| number(half, 2))
    };
    format!(
        "\n{} of {} shifts, in points of the width, lay within their 95 % interval.\n\n\
The interval’s half-width was {} points in the median and {} in the 95th centile.\n",
        is_within.iter().filter(|within| **within).count(),
        shifts.len(),
        centile(0.5),
        centile(0.95),
    )
}

fn follow_up_text(followed: &[Followed]) -> String {
    let errors = errors(followed);
    let mut text = format!(
        "{} feet with a hallux valgus angle above 25° and an intermetatarsal angle above 12°, operated on with a shift of 6 to 11 mm, filmed before, some days after, and {} weeks after with {} % of shift and turns lost. \
The fragment’s travel is that along the cut in space; the film at the detector shows it some per cent larger. The share of the width is held against the true outlines.\n\n",
        followed.len(),
        LOSS.1,
        100.0 * LOSS.0
    );
    let mut table = Table::new(&["error", "n", "bias", "median", "95th", "worst"]);
    let mut row = |what: &str, values: &[f64]| {
        let Some(summary) = Summary::of(values) else {
            return;
        };
        table.row([
            what.to_owned(),
            summary.count.to_string(),
            number(summary.bias, 2),
            number(summary.median_size, 2),
            number(summary.centile_95_size, 2),
            number(summary.worst, 2),
        ]);
    };
    row("shift of the head, mm", &errors.shift_mm);
    row(
        "shift of the head, points of the width",
        &errors.shift_per_cent,
    );
    for (place, angle) in FOLLOWED.into_iter().enumerate() {
        let name = angle.name();
        row(
            &format!("{name}: share lost, points, against the true outlines"),
            &errors.lost_points[place],
        );
        row(
            &format!("{name}: share lost, points, against the share of shift and turns"),
            &errors.lost_from_asked_points[place],
        );
    }
    text.push_str(&table.markdown());
    text.push_str(&interval_text(followed));
    for foot in followed
        .iter()
        .filter_map(|foot| foot.read.as_ref().err())
        .take(5)
    {
        text.push_str(&format!("\n* {foot}\n"));
    }
    text
}
