//! The progress of a resident: errors over the attempts, the charts of misses, and what costs most.

use egui::{Id, Label, RichText, Role, Ui, WidgetInfo};
use egui_plot::{GridMark, HLine, Line, LineStyle, PlotPoints, Points};
use plumbray_agreement::Chart;
use plumbray_measure::Measurement;
use plumbray_practise::{LessonDefaults, MISSES_LIMIT, Progress, miss_rates};

use super::super::{number::plain, still_plot::still_plot, theme, theme::size, widgets};

/// Height of a plot in points.
const HEIGHT: f32 = 96.0;
/// Weak points that are named.
const WEAKEST: usize = 4;
/// What costs less, in degrees, would be told as nothing.
const LEAST_TOLD: f64 = 0.05;

/// Draws the progress; nothing before the first attempt.
pub(super) fn progress_ui(ui: &mut Ui, progress: &Progress, limits: &LessonDefaults) {
    let count = progress.attempts.len();
    if count == 0 {
        return;
    }
    ui.add_space(12.0);
    let heading = if count == 1 {
        "Your first foot".to_owned()
    } else {
        format!("Your {count} feet so far")
    };
    ui.label(widgets::heading(ui, heading));
    // Two curves: what the program placed says nothing about the hand.
    for snapping in [false, true] {
        chart_ui(ui, progress, snapping);
    }
    for measurement in [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ] {
        let limit = limits.limit(measurement).map(|limit| limit.largest);
        errors_ui(ui, progress, measurement, limit);
    }
    weakest_ui(ui, progress);
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a resident makes far fewer than 2^52 attempts"
)]
fn place(index: usize) -> f64 {
    (index + 1) as f64
}

/// The chart of misses of the feet that were traced with or without snapping, with its limit; nothing where there is
/// no such foot.
fn chart_ui(ui: &mut Ui, progress: &Progress, snapping: bool) {
    let rates = miss_rates();
    let Ok(Some(curve)) = progress.chart(Chart::Misses, snapping, rates, MISSES_LIMIT) else {
        return;
    };
    let tokens = theme::tokens(ui);
    let how = widgets::snapping_words(snapping);
    ui.add_space(6.0);
    small_heading_ui(ui, format!("Misses {how}, summed"));
    let note = format!(
        "Up by {} at a foot that was missed, down by {} at one that was not. The sum tells {} % of misses from {} %.",
        plain(rates.scores(Chart::Misses).miss, 2),
        plain(rates.scores(Chart::Misses).hit.abs(), 2),
        plain(rates.unacceptable() * 100.0, 0),
        plain(rates.acceptable() * 100.0, 0),
    );
    let sums: Vec<[f64; 2]> = curve
        .sums
        .iter()
        .enumerate()
        .map(|(index, sum)| [place(index), *sum])
        .collect();
    let top = sums.iter().map(|at| at[1]).fold(MISSES_LIMIT, f64::max) * 1.15;
    let plot = still_plot(ui, Id::unique(("chart of misses", snapping)), HEIGHT);
    let shown = plot.show_grid([false, true]).show(ui, |plot| {
        plot.set_plot_bounds_x(0.5..=place(sums.len().max(8)));
        plot.set_plot_bounds_y(-0.1..=top);
        let limit = HLine::new("", MISSES_LIMIT)
            .color(tokens.bad)
            .style(LineStyle::dashed_loose());
        plot.hline(limit);
        let line = Line::new("", PlotPoints::from(sums.clone()));
        plot.line(line.color(tokens.accent).width(1.5).allow_hover(false));
        let dots = Points::new("", PlotPoints::from(sums.clone()));
        plot.points(dots.color(tokens.accent).radius(3.0).filled(snapping));
    });
    let count = feet(sums.len());
    let spoken = format!(
        "Chart of misses {how}, {} of {count} missed, {} times above the limit",
        curve.misses,
        curve.signals.len()
    );
    shown
        .response
        .on_hover_text(&note)
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
    let words = if curve.signals.is_empty() {
        "Up at a miss, down at each foot without one. Above the dashed line ask for help."
    } else {
        "It went above the dashed line: ask for help before you go on."
    };
    let text = format!("{} of {count} {how} missed. {words}", curve.misses);
    ui.add(Label::new(widgets::soft(ui, text).size(size::SMALLEST)).wrap());
}

fn small_heading_ui(ui: &mut Ui, text: String) {
    let soft = theme::tokens(ui).soft;
    let heading = RichText::new(text).size(size::SMALLEST).color(soft);
    ui.add(Label::new(heading).wrap());
}

fn feet(count: usize) -> String {
    if count == 1 {
        "1 foot".to_owned()
    } else {
        format!("{count} feet")
    }
}

/// How far an angle was off, attempt by attempt: a ring without snapping, a dot with it.
fn errors_ui(ui: &mut Ui, progress: &Progress, measurement: Measurement, limit: Option<f64>) {
    let errors = progress.errors(measurement);
    if errors.is_empty() {
        return;
    }
    let of = |snapping: bool| -> Vec<[f64; 2]> {
        let own = errors.iter().filter(|(index, _)| {
            let attempt = progress.attempts.get(*index);
            attempt.is_some_and(|attempt| attempt.snapping == snapping)
        });
        own.map(|(index, error)| [place(*index), *error]).collect()
    };
    let kinds = [(false, of(false)), (true, of(true))];
    let is_mixed = kinds.iter().all(|(_, own)| !own.is_empty());
    let tokens = theme::tokens(ui);
    ui.add_space(6.0);
    let key = if is_mixed {
        ". Rings: without snapping; dots: with it"
    } else {
        ""
    };
    small_heading_ui(ui, format!("{}, degrees off{key}", measurement.name()));
    let least = limit.unwrap_or(2.0);
    let most = errors.iter().map(|at| at.1.abs()).fold(least, f64::max) * 1.1;
    let last = place(progress.attempts.len().max(8));
    // Two lines beside zero are enough: the largest multiple of the limit that is in the picture.
    let step = least * (most / least).floor().max(1.0);
    let plot =
        still_plot(ui, Id::unique(measurement.identifier()), HEIGHT).y_grid_spacer(move |_| {
            let mark = |value| GridMark {
                value,
                step_size: step,
            };
            [-step, 0.0, step].map(mark).to_vec()
        });
    let shown = plot.show_grid([false, true]).show(ui, |plot| {
        plot.set_plot_bounds_x(0.5..=last);
        plot.set_plot_bounds_y(-most..=most);
        plot.hline(HLine::new("", 0.0).color(tokens.line));
        for limit in limit.into_iter().flat_map(|limit| [limit, -limit]) {
            let line = HLine::new("", limit).color(tokens.bad);
            plot.hline(line.style(LineStyle::dashed_loose()));
        }
        for (snapping, own) in kinds {
            let dots = Points::new("", PlotPoints::from(own));
            plot.points(dots.color(tokens.accent).radius(3.0).filled(snapping));
        }
    });
    let spoken = format!("{}, errors of {}", measurement.name(), feet(errors.len()));
    shown
        .response
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &spoken));
}

/// What cost most of the latest feet, in the degrees by which the next foot is chosen too.
fn weakest_ui(ui: &mut Ui, progress: &Progress) {
    let costly: Vec<_> = progress
        .weaknesses()
        .into_iter()
        .filter(|weakness| weakness.cost_degrees >= LEAST_TOLD)
        .take(WEAKEST)
        .collect();
    if costly.is_empty() {
        return;
    }
    ui.add_space(8.0);
    ui.label(widgets::soft(ui, "What costs you most"));
    let key = "In degrees: its share of what its bone turned the judged angles by, without signs, on average for a foot.";
    small_heading_ui(ui, key.to_owned());
    for weakness in costly {
        let words = format!(
            "{}: {}°",
            weakness.thing.name(),
            plain(weakness.cost_degrees, 1)
        );
        ui.add(Label::new(RichText::new(words).size(size::SECONDARY)).wrap());
    }
}
